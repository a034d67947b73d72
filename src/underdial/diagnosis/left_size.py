"""Sizes as the work left them, read from a case: what each is a size of, in SI, with its standard error.

A name is read by its words and the kind of its unit (`entry_drop` in degrees, `clearance` in millimetres). What is no
size of the going (an arc, a rate, a size of the strike) is kept apart with the reason. Acting on them: `as_left`.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from underdial import units
from underdial.diagnosis.case_file import Case, Unused
from underdial.errors import BadInput

# What is read, by the words it is written in and the kind of its unit; the first that fits.
_READ_AS: tuple[tuple[str, str, str], ...] = (
    ("drop", "angle", r"(^|_)drops?(_|$)"),
    ("lock", "angle", r"(^|_)lock(_|$)"),
    ("beat", "angle", r"^beat_(offset|error)$"),
    ("end_shake", "length", r"(^|_)end_?shake$"),
    ("clearance", "length", r"(^|_)(clearance|over_the_pivot|side_?shake|play)$"),
    ("bore", "length", r"^(bore|hole|hole_diameter)$"),
    ("flat", "length", r"(^|_)flat(_diameter)?$"),
    ("end_radius", "length", r"(^|_)dial_up_(effective|friction)_radius$"),
    ("tip", "length", r"(^|_)(tip_radius|upright_(effective|friction)_radius)$"),
    ("runout", "length", r"(^|_)(runout|run_out)$"),
    ("depth", "length", r"^(depth_error|change_of_depth|depth_change|depth_with_its_mate)$"),
    ("centres", "length", r"(^|_)centre_distance$"),
    ("pivot", "length", r"^(diameter|pivot|pivot_diameter)$"),
    ("thickness", "length", r"^thickness$"),
    ("height", "length", r"^height$"),
    ("length", "length", r"^length$"),
    ("main_torque", "torque", r"^(main_torque|torque|torque_full)$"),
    ("turns", "count", r"^turns$"),
)
# Standard error of a reading when none was said: micrometer, pin gauge, feeler, microscope. [common practice]
_USUAL_U = {
    "drop": math.radians(0.2),
    "lock": math.radians(0.2),
    "beat": math.radians(0.2),
    "end_shake": 5e-5,
    "clearance": 1e-5,
    "bore": 1e-5,
    "flat": 1e-5,
    "end_radius": 1e-5,
    "tip": 1e-5,
    "runout": 5e-6,
    "depth": 2e-5,
    "centres": 2e-5,
    "pivot": 5e-6,
    "thickness": 1e-5,
    "height": 1e-5,
    "length": 5e-3,
}
_SHARE_U = {"main_torque": 0.06, "turns": 0.02}
_BALANCE_SHAKE_U_M = 1e-5
_BALANCE = ("balance", "balance_staff", "cone_pivot", "cup_bearing", "balance_pivot", "staff")


@dataclass(frozen=True, slots=True)
class LeftSize:
    """One size left by the work, SI: what it is read as, where, its value with standard error, what it was before and
    was meant to be.
    """

    what: str
    of: str | None
    component: str
    value: float
    u: float
    before: float | None
    target: float | None
    as_written: str


@dataclass(frozen=True)
class AsLeft:
    """What was done and what was left: works by their ids, sizes that act, and what is not used with the reason."""

    works: tuple[str, ...]
    sizes: tuple[LeftSize, ...]
    unused: tuple[Unused, ...]


def is_size(quantity: str, unit: str) -> bool:
    """Whether a quantity read in this unit is a size that acts on the finished clock; an arc or a rate is what it then
    does.
    """
    return not isinstance(_size({"quantity": quantity, "unit": unit, "value": 1.0}, "size"), Unused)


def read_as_left(case: Case) -> AsLeft | None:
    """The sizes left of a case, or None when none were told. BadInput for a row without quantity, value and unit."""
    told = case.as_left
    if not told:
        return None
    sizes: list[LeftSize] = []
    unused: list[Unused] = []
    for i, row in enumerate(told.get("sizes") or ()):
        name = f"as_left.sizes[{i}]"
        for key in ("quantity", "value", "unit"):
            if not isinstance(row, Mapping) or row.get(key) is None:
                raise BadInput(
                    f"{name}.{key}",
                    "(nothing)",
                    "a value; a size needs quantity, value and unit",
                    f"{name}.{key}: missing; a size needs quantity, value and unit.",
                )
        one = _size(row, name)
        if isinstance(one, Unused):
            unused.append(one)
        else:
            sizes.append(one)
    return AsLeft(tuple(str(one) for one in told.get("works") or ()), tuple(sizes), tuple(unused))


def of_balance(size: LeftSize) -> bool:
    """Whether it is a size of the balance's own bearings."""
    return (size.of or size.component) in _BALANCE


def _size(row: Mapping[str, Any], name: str) -> LeftSize | Unused:
    quantity, unit = str(row["quantity"]), str(row["unit"])
    numbers = {key: row.get(key) for key in ("value", "u", "before", "target")}
    for key, number in numbers.items():
        if number is not None and (
            isinstance(number, bool)
            or not isinstance(number, int | float)
            or not math.isfinite(number)
            or (key == "u" and number < 0.0)
        ):
            raise BadInput(f"{name}.{key}", number, "a number" if key != "u" else "a number of 0 or more")
    of, component = (str(row[key]) if row.get(key) else None for key in ("of", "component"))
    whose = f" of the {(of or component or '').replace('.', ' ').replace('_', ' ')}" if of or component else ""
    give = f" ± {numbers['u']:g}" if numbers["u"] else ""
    written = f"{quantity.replace('_', ' ')}{whose} {row['value']:g}{give} {unit}".strip()
    if (of or "").split(".")[0] in ("strike", "chime", "alarm"):
        return Unused(written, "in a train that the sums of the going do not hold")
    try:
        kind, factor = ("count", 1.0) if unit in ("turns", "turn", "") else units.factor(unit)
    except BadInput:
        return Unused(written, f"{unit} is not a unit known here")
    word = re.sub(r"[^a-z0-9]+", "_", quantity.lower()).strip("_")
    what = next((read for read, wanted, like in _READ_AS if wanted == kind and re.search(like, word)), None)
    if what is None:
        return Unused(written, "kept in the record; no prediction of the sums answers to it")
    value = float(row["value"]) * factor
    if what in _SHARE_U and value <= 0.0:
        return Unused(written, "it must be more than 0 to tell anything")
    u = (
        float(numbers["u"]) * factor
        if numbers["u"]
        else _SHARE_U.get(what, 0.0) * abs(value)
        or (_BALANCE_SHAKE_U_M if what == "end_shake" and (of or component) in _BALANCE else _USUAL_U[what])
    )
    before, target = (None if numbers[key] is None else float(numbers[key]) * factor for key in ("before", "target"))  # type: ignore[arg-type]
    return LeftSize(what, of, component or "", value, u, before, target, written)

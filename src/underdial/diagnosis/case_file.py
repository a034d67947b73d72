"""A case as told: movement, complaint, findings, measurements and trials, read from plain mappings into frozen records.

What is missing and needed is refused in one sentence. What is unknown to the trade's vocabulary is kept in `unused`
with the reason, so that nothing said is lost and nothing unknown stops the answer. Null means "not told".
"""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from underdial import units
from underdial.diagnosis.believable import check_reading, check_size, check_told
from underdial.errors import BadInput
from underdial.trade.last_done import heard_works
from underdial.trade.vocabulary import components, conditions, quantities

# Fields of the complaint: closed lists of values, or the kind of value they take. Fixed in docs/reference/commands.
COMPLAINT: dict[str, tuple[str, ...] | str] = {
    "words": "text",
    "runs_for_s": "seconds",
    "never_runs": "yes_no",
    "runs_dial_up_for_s": "seconds",
    "rate_s_per_day": "number",
    "hands_stand": "yes_no",
    "stops_at": ("same_dial_time", "same_minute", "same_wind", "before_hour", "irregular"),
    "rate_kind": ("gains", "loses", "irregular", "changes_over_wind"),
    "strikes": ("wrong_count", "never", "runs_on", "slow", "too_fast", "one_hour_wrong", "one", "weak"),
    "races": "yes_no",
    "swing": ("too_big", "too_small", "knocks"),
    "goes_only": ("tilted", "hands_off", "dial_up", "more_weight"),
    "since": ("moved", "repair", "fall", "wound", "cleaned", "owner_work"),
    "winding": ("slips", "will_not_wind"),
    "chimes": ("out_of_order", "never", "runs_on", "slow", "wrong_count"),
    "alarm": ("wrong_time", "never"),
    "noise": "noise",
    "stops_in_cold": "yes_no",
}
NOISES = ("bang", "knock", "creak", "squeak", "scrape", "click", "rattle", "jangle", "sway")
_LEVELS = {
    "slight": "slight",
    "a touch": "slight",
    "a hair": "slight",
    "a trace": "slight",
    "a bit": "slight",
    "slightly": "slight",
    "moderate": "moderate",
    "quite": "moderate",
    "moderately": "moderate",
    "bad": "severe",
    "badly": "severe",
    "severe": "severe",
    "severely": "severe",
    "heavily": "severe",
    "heavy": "severe",
    "right through": "severe",
}
_STATES = ("present", "absent", "not_examined")
_EXTRA_QUANTITIES = {"escape_torque": "torque", "main_torque": "torque"}
# Kinds of units in which a finding tells how many, not how large.
_NO_SIZES = ("beats", "turns", "counted", "rate", "resistance", "dose rate")
_DEFAULT_CERTAINTY = 0.9
# Hours from winding to reading: the key of the record and of measurement files, and those of cases written by hand.
_SINCE_WINDING = ("since_winding_h", "hours_since_winding_h", "hours_since_winding")


@dataclass(frozen=True, slots=True)
class Report:
    """A finding: what was looked at, what was seen, and what the repairer said is to be done.

    `against` is what it rubs on; `flags` holds `safety` where a danger was spoken of.
    """

    component: str
    condition: str
    state: str
    certainty: float
    level: str | None
    of: str | None
    place: str | None
    significance: str | None
    value_si: float | None
    who: str | None
    index: int
    decision: str | None = None
    against: str | None = None
    flags: tuple[str, ...] = ()
    id: str | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """A measurement in SI (rates per day), with its standard uncertainty; None when none was said."""

    quantity: str
    of: str | None
    value: float
    u: float | None
    kind: str
    position: str | None
    hours_since_winding_h: float | None
    index: int


@dataclass(frozen=True, slots=True)
class Trial:
    """A good part tried in the place of one: did it cure the clock?"""

    component: str
    of: str | None
    cured: bool


@dataclass(frozen=True, slots=True)
class Unused:
    """Something said that the answer does not use, and why."""

    what: str
    reason: str


@dataclass(frozen=True)
class Case:
    """One clock as told. `told` holds the fields of the complaint that were said, each with its value."""

    family: str | None
    movement: Mapping[str, Any]
    told: Mapping[str, Any]
    reports: tuple[Report, ...]
    readings: tuple[Reading, ...]
    trials: tuple[Trial, ...]
    unused: tuple[Unused, ...]
    seed: int
    digest: str = field(default="")
    as_left: Mapping[str, Any] = field(default_factory=dict)
    last_done: tuple[str, ...] = ()


def parse_case(data: Mapping[str, Any]) -> Case:
    """Read a case from a mapping with the keys of the case file.

    Raises BadInput, naming the field, for a part that must be there and is not, or a value of the wrong kind.
    """
    if not isinstance(data, Mapping):
        raise BadInput(
            "case", type(data).__name__, "an object with family or movement, complaint, findings, measurements"
        )
    family, movement = _movement(data)
    unused: list[Unused] = []
    known = {
        "family",
        "movement",
        "complaint",
        "findings",
        "measurements",
        "readings",
        "trials",
        "last_done",
        "seed",
        "as_left",
    }
    unused += [Unused(str(key), "not a part of a case") for key in data if key not in known]
    told = _complaint(_mapping(data, "complaint"), unused)
    reports = tuple(r for i, one in enumerate(_rows(data, "findings")) if (r := _report(one, i, unused)) is not None)
    rows = [(f"measurements[{i}]", one) for i, one in enumerate(_rows(data, "measurements"))]
    rows += [(f"readings[{i}]", one) for i, one in enumerate(_rows(data, "readings"))]
    readings = tuple(g for i, (name, one) in enumerate(rows) if (g := _reading(one, name, i, unused)) is not None)
    trials = tuple(t for i, one in enumerate(_rows(data, "trials")) if (t := _trial(one, i, unused)) is not None)
    seed = data.get("seed", 0) if data.get("seed") is not None else 0
    if isinstance(seed, bool) or not isinstance(seed, int):
        raise BadInput("seed", seed, "a whole number")
    last_done = _last_done(data, unused)
    return Case(
        family,
        movement,
        told,
        reports,
        readings,
        trials,
        tuple(unused),
        seed,
        digest_of(data),
        _mapping(data, "as_left"),
        last_done,
    )


def read_alone(one: Mapping[str, Any]) -> Reading | None:
    """One measurement of a case by itself; None where nothing of the sums answers to it. Raises BadInput as it would in
    a case, naming `value`.
    """
    return _reading(one, "", 0, [])


def digest_of(data: Mapping[str, Any]) -> str:
    """A hash of the case as found in one settled spelling, from which the random numbers of its answer are seeded.

    What was left by the work stays out: the same clock as found has the same answer to the last digit.
    """
    text = json.dumps(
        {key: value for key, value in data.items() if key != "as_left"},
        sort_keys=True,
        ensure_ascii=True,
        default=str,
        separators=(",", ":"),
    )
    return hashlib.sha256(text.encode()).hexdigest()


def _movement(data: Mapping[str, Any]) -> tuple[str | None, Mapping[str, Any]]:
    family = data.get("family")
    if family is not None and not isinstance(family, str):
        raise BadInput("family", family, "the name of a family")
    movement = _mapping(data, "movement")
    if family is None:
        if not movement:
            raise BadInput(
                "family",
                "(nothing)",
                "the name of a family, or a movement with oscillator, train, escape, power",
                "family: missing; a case needs a family, or a movement with oscillator, train, escape and power.",
            )
        for key in ("oscillator", "train", "escape", "power"):
            other = {"train": "wheel_teeth", "escape": "escape_teeth"}.get(key, key)
            if movement.get(key) is None and movement.get(other) is None:
                raise BadInput(
                    f"movement.{key}",
                    "(nothing)",
                    "a value, or a family that gives one",
                    f"movement.{key}: missing; without a family a movement needs oscillator, train, escape and power.",
                )
    return family, {key: value for key, value in movement.items() if value is not None}


def _complaint(given: Mapping[str, Any], unused: list[Unused]) -> dict[str, Any]:
    told: dict[str, Any] = {}
    for key, value in given.items():
        name = f"complaint.{key}"
        if value is None:
            continue
        if key not in COMPLAINT:
            unused.append(Unused(name, "not a field of the complaint that the sums know"))
            continue
        kind = COMPLAINT[key]
        if isinstance(kind, tuple):
            if value not in kind:
                unused.append(Unused(f"{name}={value}", f"not one of {', '.join(kind)}"))
                continue
            told[key] = value
        elif kind == "yes_no":
            if not isinstance(value, bool):
                raise BadInput(name, value, "true, false or null")
            told[key] = value
        elif kind in ("seconds", "number"):
            told[key] = _number(value, name, low=0.0 if kind == "seconds" else -math.inf)
            check_told(name, key, told[key])
        elif kind == "text":
            unused.append(Unused(name, "kept as spoken; what was ticked beside them enters the sums"))
        else:
            told["noise"] = _noise(value)
    return told


def _noise(value: Any) -> str:
    """The kind of a noise from the words for it; `yes` when no kind is known."""
    words = str(value).lower()
    stems = {
        "bang": "bang",
        "knock": "knock",
        "thump": "knock",
        "creak": "creak",
        "twang": "creak",
        "squeak": "squeak",
        "squeal": "squeak",
        "scrap": "scrape",
        "rub": "scrape",
        "grind": "scrape",
        "click": "click",
        "rattl": "rattle",
        "jangl": "jangle",
        "sway": "sway",
        "rock": "sway",
    }
    return next((kind for stem, kind in stems.items() if stem in words), "yes")


def _report(one: Mapping[str, Any], index: int, unused: list[Unused]) -> Report | None:
    name = f"findings[{index}]"
    for key in ("component", "condition", "state"):
        if not isinstance(one.get(key), str) or not one.get(key):
            raise BadInput(
                f"{name}.{key}",
                one.get(key, "(nothing)"),
                "a word; a finding needs component, condition and state",
                f"{name}.{key}: missing; a finding needs component, condition and state.",
            )
    component, condition, state = one["component"], one["condition"], one["state"]
    if state not in _STATES:
        raise BadInput(f"{name}.state", state, ", ".join(_STATES))
    for key, value, known in (("component", component, components()), ("condition", condition, conditions())):
        if value not in known:
            unused.append(Unused(f"{name}.{key}={value}", "not a word of the trade's vocabulary"))
            return None
    of = one.get("of")
    if of is not None and not _known_of(str(of)):
        unused.append(Unused(f"{name}.of={of}", "not a part of the trade's vocabulary; the finding is read without it"))
        of = None
    certainty = (
        _DEFAULT_CERTAINTY
        if one.get("certainty") is None
        else _number(one["certainty"], f"{name}.certainty", low=0.0, high=1.0)
    )
    extent = one.get("extent")
    level = _LEVELS.get(str(extent).strip().lower()) if extent is not None else None
    if extent is not None and level is None:
        unused.append(Unused(f"{name}.extent={extent}", "not slight, moderate or severe"))
    value = _si(one, name, unused)
    names = ("place", "significance", "who", "decision", "against", "id")
    text = {key: (str(one[key]) if one.get(key) is not None else None) for key in names}
    flags = one.get("flags") or ()
    return Report(
        component,
        condition,
        state,
        certainty,
        level,
        str(of) if of else None,
        text["place"],
        text["significance"],
        value,
        text["who"],
        index,
        text["decision"],
        text["against"],
        tuple(str(flag) for flag in ((flags,) if isinstance(flags, str) else flags)),
        text["id"],
    )


def _known_of(of: str) -> bool:
    parts = of.split(".")
    return parts[-1] in components() or of in ("going", "strike", "chime", "alarm")


def _si(one: Mapping[str, Any], name: str, unused: list[Unused]) -> float | None:
    if one.get("value") is None:
        return None
    number = _number(one["value"], f"{name}.value")
    try:
        kind, factor = units.factor(str(one.get("unit")))
    except BadInput:
        unused.append(Unused(f"{name}.unit={one.get('unit')}", "not a unit known here; the value is not used"))
        return None
    if kind in _NO_SIZES:
        unused.append(Unused(f"{name}.unit={one.get('unit')}", f"{number:g} {one.get('unit')} is no size of a fault"))
        return None
    value = number * factor
    check_size(name, number, value)
    return value


def _reading(one: Mapping[str, Any], name: str, index: int, unused: list[Unused]) -> Reading | None:
    at = f"{name}." if name else ""
    for key in ("quantity", "value", "unit"):
        if one.get(key) is None:
            raise BadInput(
                f"{at}{key}",
                "(nothing)",
                "a value; a measurement needs quantity, value and unit",
                f"{at}{key}: missing; a measurement needs quantity, value and unit.",
            )
    quantity = {"amplitude": "half_arc", "swing": "half_arc"}.get(str(one["quantity"]), str(one["quantity"]))
    number = _number(one["value"], f"{at}value")
    if quantity not in quantities() and quantity not in _EXTRA_QUANTITIES:
        unused.append(Unused(f"{at}quantity={quantity}", "not a quantity of the trade's vocabulary"))
        return None
    try:
        kind, factor = units.factor(str(one["unit"]))
    except BadInput:
        unused.append(Unused(f"{at}unit={one['unit']}", "not a unit known here"))
        return None
    check_reading(f"{at}value", quantity, kind, given=number, factor=factor, unit=str(one["unit"]))
    if one.get("lent_parts"):
        unused.append(
            Unused(f"{at}lent_parts", "read with a part of the shop on it; it says nothing of the clock's own")
        )
        return None
    u = None if one.get("u") is None else _number(one["u"], f"{at}u", low=0.0) * factor
    told = next((key for key in _SINCE_WINDING if one.get(key) is not None), None)
    hours = None if told is None else _number(one[told], f"{at}{told}", low=0.0)
    of = str(one["of"]) if one.get("of") is not None else None
    position = str(one["position"]) if one.get("position") is not None else None
    return Reading(quantity, of, number * factor, u, kind, position, hours, index)


def _trial(one: Mapping[str, Any], index: int, unused: list[Unused]) -> Trial | None:
    name = f"trials[{index}]"
    component, result = one.get("component"), one.get("result")
    if not isinstance(component, str):
        raise BadInput(
            f"{name}.component", component, "a part", f"{name}.component: missing; a trial needs component and result."
        )
    if result not in ("no_change", "cured"):
        raise BadInput(f"{name}.result", result, "no_change, cured")
    if component not in components():
        unused.append(Unused(f"{name}.component={component}", "not a word of the trade's vocabulary"))
        return None
    return Trial(component, str(one["of"]) if one.get("of") is not None else None, result == "cured")


def _last_done(data: Mapping[str, Any], unused: list[Unused]) -> tuple[str, ...]:
    """What was done before, one sentence each; what names no work that bears on the sums is kept as unused."""
    given = data.get("last_done")
    if given is None:
        return ()
    rows = (given,) if isinstance(given, str) else given
    if not isinstance(rows, Sequence) or not all(isinstance(one, str) for one in rows):
        raise BadInput("last_done", given, "a list of sentences on what was done before")
    for one in rows:
        if not heard_works(one):
            unused.append(Unused(f"last_done {one}", "tells of no earlier work that bears on the sums"))
    return tuple(rows)


def _mapping(data: Mapping[str, Any], key: str) -> Mapping[str, Any]:
    value = data.get(key)
    if value is None:
        return {}
    if not isinstance(value, Mapping):
        raise BadInput(key, value, "an object of names and values")
    return value


def _rows(data: Mapping[str, Any], key: str) -> Sequence[Mapping[str, Any]]:
    value = data.get(key)
    if value is None:
        return ()
    if isinstance(value, str) or not isinstance(value, Sequence):
        raise BadInput(key, value, "a list of objects")
    for i, one in enumerate(value):
        if not isinstance(one, Mapping):
            raise BadInput(f"{key}[{i}]", one, "an object of names and values")
    return value


def _number(value: Any, name: str, *, low: float = -math.inf, high: float = math.inf) -> float:
    wanted = (
        "a number"
        if math.isinf(low)
        else (f"a number of {low:g} or more" if math.isinf(high) else f"a number of {low:g} to {high:g}")
    )
    if (
        isinstance(value, bool)
        or not isinstance(value, int | float)
        or not math.isfinite(value)
        or not low <= value <= high
    ):
        raise BadInput(name, value, wanted)
    return float(value)

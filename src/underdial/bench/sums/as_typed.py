"""A refusal that names a formula's parameter (`half_arc_rad`), said of what was typed (`half-arc`) and in its unit."""

from __future__ import annotations

import math
from collections.abc import Collection

from underdial.errors import BadInput, OutOfRange, UnderdialError

# The tail of a formula's parameter: by what to multiply and in which unit to say it to a person.
_SAID = {
    "_kg_m2": (1.0, "kgm2"),
    "_s_per_day": (1.0, "s/d"),
    "_m_per_s2": (1.0, "m/s2"),
    "_deg_c": (1.0, "degC"),
    "_ratio": (1.0, ""),
    "_count": (1.0, ""),
    "_rad": (180.0 / math.pi, "deg"),
    "_kg": (1e3, "g"),
    "_pa": (1e-9, "GPa"),
    "_m": (1e3, "mm"),
}
_LONGEST_MM_OF_A_CLOCK = 1e5
# What a formula calls a thing that is asked for under another name.
_OTHER_NAMES = {
    "g": "gravity",
    "wanted-tir": "wanted",
    "modulus-bush": "modulus",
    "modulus1": "modulus",
    "bob": "bob-mass",
    "scale-u": "gauge-scale",
    "arc": "half-arc",
}


def as_typed(wrong: UnderdialError, typed: Collection[str]) -> UnderdialError:
    """The same refusal with the name and unit of what was typed; itself where it names nothing that was typed."""
    name, too_doubtful = (
        wrong.field,
        isinstance(wrong, OutOfRange) and wrong.field.endswith("_u") and wrong.low == wrong.high,
    )
    if too_doubtful:
        name = name.removesuffix("_u")
    tail = next((one for one in _SAID if name.endswith(one)), "")
    stem = name.removesuffix(tail).replace("_", "-")
    option = _meant(_OTHER_NAMES.get(stem, stem), typed)
    if wrong.field in typed or option is None:
        return wrong
    if too_doubtful:
        return BadInput(
            option,
            wrong.value,
            "a smaller error",
            f"{option}: its error is so large that the sum no longer holds over it; read it more closely.",
        )
    if not isinstance(wrong, OutOfRange) or not isinstance(wrong.value, int | float):
        return type(wrong)(
            option, wrong.value, wrong.allowed, wrong.message.replace(f"{wrong.field}:", f"{option}:", 1)
        )
    times, unit = _SAID.get(tail, (1.0, ""))
    # Lengths of a clock are read in mm; a range that ends beyond any clock is left in metres.
    if tail == "_m" and times * wrong.high > _LONGEST_MM_OF_A_CLOCK:
        times, unit = 1.0, "m"
    return OutOfRange(option, times * wrong.value, times * wrong.low, times * wrong.high, unit)


def _meant(stem: str, typed: Collection[str]) -> str | None:
    """The typed name itself, or the only one that ends with it (`temperature` in `water-temperature`)."""
    if stem in typed:
        return stem
    ending = [one for one in typed if one.endswith(f"-{stem}")]
    return ending[0] if len(ending) == 1 else None

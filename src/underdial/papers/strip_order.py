"""The order in which a clock comes apart, and what goes with each work: cautions by trigger, what to measure after,
what to lay out.

A part finds its stage by the assembly it belongs to, outside in; assembly is the same order backwards. Words of a work
(`re-pivot`, `solder`, `clean`) call the cautions of the trade. Lists are common practice, not a law.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from underdial.trade.vocabulary import components

# Stage: words, the assemblies that belong to it, the steps of the trade's cautions that it opens, what closes it in
# assembly.
_STAGES: tuple[tuple[str, tuple[str, ...], tuple[str, ...], str], ...] = (
    (
        "Case, dial and hands",
        ("case", "dial", "hands", "accessories", "electric", "site"),
        ("step:case opened",),
        "hands clear of dial, glass and each other",
    ),
    (
        "Pendulum and weights off",
        ("pendulum", "weight", "pulley", "gut_line", "rope", "weight_chain"),
        ("step:weight on or off",),
        "in beat; arc each side",
    ),
    ("Let the power down", ("let_down",), ("step:let-down",), "a turn wound: the escape wheel goes at once"),
    (
        "Motion work, leading-off, alarm",
        ("motion", "leading_off", "alarm"),
        (),
        "motion work free, the hand's friction even all round",
    ),
    (
        "Strike and chime outside the plates",
        ("strike", "chime", "cuckoo", "hammer"),
        (),
        "warning and locking, by hand through twelve hours",
    ),
    (
        "Escapement and balance",
        ("escapement", "balance", "platform", "lever", "pallets"),
        (),
        "free before power; then drop and lock, both",
    ),
    (
        "Plates apart: train",
        ("plates", "movement", "train"),
        ("step:before the plates are parted",),
        "every arbor free, each with end shake",
    ),
    (
        "Power and winding work",
        ("power", "winding", "barrel", "fusee", "maintaining_power"),
        (),
        "the click holds at every tooth",
    ),
)

# Word at the beginning of a word of the work, or in a part's id -> trigger of the trade's cautions.
_DEEDS = (
    ("re-pivot", "work:re-pivot"),
    ("turn ", "work:turning"),
    ("new staff", "work:turning"),
    ("new arbor", "work:turning"),
    ("bush", "work:drilling"),
    ("drill", "work:drilling"),
    ("silver solder", "work:silver soldering"),
    ("solder", "work:soldering"),
    ("anneal", "work:heating"),
    ("soften", "work:heating"),
    ("harden", "work:heating"),
    ("clean", "work:cleaning"),
    ("degrease", "work:clean in solvent"),
    ("solvent", "work:clean in solvent"),
    ("ammonia", "work:clean in ammonia"),
    ("ultrasonic", "work:ultrasonic cleaning"),
    ("polish", "work:polishing at a machine"),
    ("burnish", "work:turning"),
    ("grind", "work:grinding"),
    ("stone", "work:grinding"),
    ("blue", "work:blueing"),
    ("gild", "work:gilding"),
    ("plat", "work:plating"),
    ("demagnet", "work:demagnetise"),
)
_SPRINGS = ("mainspring", "open_spring", "barrel")
_ESCAPEMENT_STAGE = 5

_MEASURE_AFTER = {
    "bush": ("lean of the pivot", "end shake", "depth with its mate"),
    "pivot_hole": ("lean of the pivot", "end shake", "depth with its mate"),
    "pivot": ("diameter in three places", "runout", "end shake"),
    "balance_staff": ("runout", "end shake", "amplitude dial up and upright"),
    "cone_pivot": ("tip radius", "end shake", "amplitude dial up and upright"),
    "cup_bearing": ("bottom radius", "end shake"),
    "hairspring": ("beats against a watch", "rate", "beat error"),
    "mainspring": ("turns", "torque for a turn"),
    "open_spring": ("turns", "torque for a turn"),
    "barrel": ("turns", "end shake of the arbor"),
    "pallets": ("drop, both", "lock, both"),
    "entry_pallet": ("drop, both", "lock, both"),
    "exit_pallet": ("drop, both", "lock, both"),
    "pin_pallet": ("drop, both", "lock, both"),
    "escape_wheel": ("runout of the rim", "drop round the wheel"),
    "wheel": ("runout of rim and face", "depth with its pinion"),
    "pinion": ("runout", "depth with its wheel"),
    "arbor": ("runout", "end shake"),
    "pendulum": ("rate", "arc each side"),
    "suspension_spring": (
        "thickness and width of the blade",
        "length between the chaps",
        "hangs true, no twist",
        "beat",
        "arc each side",
    ),
    "crutch": ("beat",),
    "balance": ("poise", "rate in four positions"),
    "rack": ("all twelve hours",),
    "snail": ("all twelve hours",),
    "count_wheel": ("a whole turn of the count wheel",),
    "click": ("holds at every tooth",),
    "fusee": ("torque over the wind",),
}

_CONSUMABLES = (
    ("clean", ("cleaning fluid in a labelled bottle", "soft brushes", "pegwood", "lint-free cloth")),
    ("degrease", ("cleaning fluid in a labelled bottle", "lint-free cloth")),
    ("bush", ("bush and one to spare", "cutting and smoothing broaches", "cutter for the oil sink")),
    ("re-pivot", ("pivot steel", "drill of its size and one to spare", "burnisher")),
    ("oil", ("clock oil for train and escapement", "oiler")),
    ("mainspring", ("spring as sized", "spring grease", "thick gloves and eye shield")),
    ("open spring", ("spring as sized", "spring grease", "thick gloves and eye shield")),
    (
        "suspension spring",
        (
            "suspension spring of thickness, width and length as found, and one to spare",
            "brass chaps and rivets or screws for its ends",
            "straight edge to see it hang true",
        ),
    ),
    ("hairspring", ("hairspring as sized, and its pins", "tweezers without magnetism", "eye shield")),
    ("polish", ("fine abrasive sticks", "burnisher")),
    ("solder", ("solder and flux for the metal in hand", "heat sink")),
    ("line", ("new line",)),
    ("pin", ("taper pins",)),
    ("staff", ("blue steel rod", "fine abrasive sticks")),
)


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage of the strip: number from 1, words, the steps of cautions it opens, and what closes it in assembly."""

    number_count: int
    words: str
    steps: tuple[str, ...]
    closes: str


def stages() -> tuple[Stage, ...]:
    """All stages, outside in."""
    return tuple(Stage(k, words, steps, closes) for k, (words, _, steps, closes) in enumerate(_STAGES, 1))


def stage_of(component: str) -> Stage:
    """The stage at which a part is reached; one that belongs nowhere known is reached when the plates are apart."""
    seen: set[str] = set()
    at = component
    while at not in seen:
        for stage, (_, assemblies, _, _) in zip(stages(), _STAGES, strict=True):
            if at in assemblies:
                return stage
        seen.add(at)
        part = components().get(at)
        if part is None:
            break
        at = part.part_of
        if at == "clock":
            break
    return stages()[6]


def triggers_of_work(component: str, words: str) -> set[str]:
    """What a work calls cautions by: its part, its deeds, and the spring or escapement in hand."""
    said = f"{words.lower()} "
    found = {trigger for word, trigger in _DEEDS if f" {word}" in f" {said}"}
    if component in components():
        found.add(f"component:{component}")
    if component in _SPRINGS:
        found |= {"step:mainspring out by hand", "step:spring clamped or taken out"}
    if stage_of(component).number_count == _ESCAPEMENT_STAGE + 1:
        found.add("work:escapement")
    return found


def measure_after(component: str) -> tuple[str, ...]:
    """What to measure when the part is back; nothing where only the eye judges."""
    part = components().get(component)
    for name in (component, *(part.kinds if part else ()), *((part.part_of,) if part else ())):
        if name in _MEASURE_AFTER:
            return _MEASURE_AFTER[name]
    return ()


def consumables(works: Iterable[tuple[str, str]]) -> tuple[str, ...]:
    """What to lay out for works given as (part, words), each thing once."""
    found: dict[str, None] = {}
    for component, words in works:
        said = f" {component.replace('_', ' ')} {words.lower()}"
        for word, things in _CONSUMABLES:
            if f" {word}" in said:
                found |= dict.fromkeys(things)
    return tuple(found)

"""The order in which a clock comes apart, and what goes with each work: cautions by trigger, what to measure after,
what to lay out.

Power comes off before anything it drives is touched: weights first, a spring as soon as the case is open, and line,
chain and fusee with the power work behind it. A part finds its stage by the assembly it belongs to; assembly is the
same order backwards, and setting up comes last. Only stages that the clock has are listed, and where it is not known
how it is built, all. Words of a work (`re-pivot`, `solder`, `clean`) call the cautions of the trade. Lists are common
practice, not a law.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass

from underdial.record.clock import Clock
from underdial.trade.families import families
from underdial.trade.vocabulary import components

_SPRINGS_DRIVE = frozenset({"open_spring", "going_barrel", "fusee"})
_SWINGS = frozenset({"pendulum", "torsion", "balance"})
_STRIKES = frozenset({"count_wheel", "rack", "chime", "cuckoo", "repeat"})

# Assembly -> the stage at which it is reached; power, weights and escape wheel hang on the clock and are looked up
# below.
_ASSEMBLIES = {
    "case": "case",
    "dial": "case",
    "hands": "case",
    "accessories": "case",
    "electric": "case",
    "site": "set_up",
    "pendulum": "pendulum",
    "motion": "motion",
    "leading_off": "motion",
    "alarm": "motion",
    "strike": "strike",
    "chime": "strike",
    "cuckoo": "strike",
    "hammer": "strike",
    "escapement": "escapement",
    "balance": "escapement",
    "platform": "escapement",
    "lever": "escapement",
    "pallets": "escapement",
    "plates": "plates",
    "movement": "plates",
    "train": "plates",
    "power": "power",
    "winding": "power",
}
_HANG = frozenset({"weight", "pulley", "weight_hook", "weight_shell", "ring_weight", "line_guard", "weight_guide"})
_LINES = frozenset({"gut_line", "rope", "weight_chain"})
# Parts that sit on others: a pivot of the balance is met with the balance, a screw of the back cover with the case.
_BETWEEN_PLATES = frozenset(
    {
        "pivot",
        "pivot_hole",
        "pivot_shoulder",
        "bush",
        "oil_sink",
        "arbor",
        "pinion",
        "leaf",
        "lantern_pinion",
        "trundle",
    }
)
_ON_ANOTHER = _BETWEEN_PLATES | {"tooth", "wheel", "collet", "screw", "taper_pin", "steady_pin"}
_SETTING_UP = re.compile(r"\bin beat\b|\bbeat even\b|\blevel\b(?! with)|\bstand firm\b|\bto the wall\b")
_BACK_COCK = re.compile(r"\bback cock\b")

# What a work says -> trigger of the trade's cautions. A deed is a verb: a back plate is not plated, a turn and a half
# is not turned.
_DEEDS = tuple(
    (re.compile(rf"\b(?:{said})"), trigger)
    for said, trigger in (
        ("re-pivot|new pivot", "work:re-pivot"),
        (
            r"turn(?:ing)? (?:an? |new|down|true|up|off|between)|turn the \w+ true|new (?:staff|arbor)|burnish"
            r"|re-point|point\b.*\bcones?\b",
            "work:turning",
        ),
        ("(?:re-)?bush|drill", "work:drilling"),
        ("silver[- ]solder", "work:silver soldering"),
        ("solder", "work:soldering"),
        ("anneal|soften|harden", "work:heating"),
        ("(?<!is )clean", "work:cleaning"),
        ("degrease|solvent", "work:clean in solvent"),
        ("(?<!non-)(?<!without )ammonia", "work:clean in ammonia"),
        ("ultrasonic", "work:ultrasonic cleaning"),
        (r"polish(?!ed)|buff", "work:polishing at a machine"),
        ("grind|stone (?:out|and|off|flat|true|down)", "work:grinding"),
        ("blue(?!d| steel)", "work:blueing"),
        ("(?:re-?)?gild", "work:gilding"),
        (r"(?:re-?|electro-?|silver-?|nickel-?)plat(?:e|ing)\b|plating\b", "work:plating"),
        ("demagnet|magnetism", "work:demagnetise"),
    )
)
_NEW_PART = re.compile(r"\b(?:new|fit|replace|make|another)\b", re.IGNORECASE)
_SPRINGS = ("mainspring", "open_spring", "barrel")

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

# A thing with {size} is laid out by its size: as wanted, as found, or to be worked out.
_CONSUMABLES = (
    ("clean", ("cleaning fluid in a labelled bottle", "soft brushes", "pegwood", "lint-free cloth")),
    ("degrease", ("cleaning fluid in a labelled bottle", "lint-free cloth")),
    ("bush", ("bush and one to spare", "cutting and smoothing broaches", "cutter for the oil sink")),
    ("re-pivot", ("pivot steel", "drill of its size and one to spare", "burnisher")),
    ("oil", ("clock oil for train and escapement", "oiler")),
    ("mainspring", ("mainspring, {size}", "spring grease", "thick gloves and eye shield")),
    ("open spring", ("mainspring, {size}", "spring grease", "thick gloves and eye shield")),
    (
        "suspension spring",
        (
            "suspension spring, {size}, and one to spare",
            "brass chaps and rivets or screws for its ends",
            "straight edge to see it hang true",
        ),
    ),
    ("hairspring", ("hairspring, {size}, and its pins", "tweezers without magnetism", "eye shield")),
    ("polish", ("fine abrasive sticks", "burnisher")),
    ("solder", ("solder and flux for the metal in hand", "heat sink")),
    ("line", ("new line",)),
    ("pin", ("taper pins",)),
    ("staff", ("blue steel rod", "fine abrasive sticks")),
)


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage of the strip: its key, number from 1, words, what is done on reaching it, the steps of cautions it
    opens, and what closes it in assembly.
    """

    key: str
    number_count: int
    words: str
    opens: str
    steps: tuple[str, ...]
    closes: str


@dataclass(frozen=True, slots=True)
class Build:
    """How a clock is built, as far as it is known: its traits, and whether it strikes (None where nobody said)."""

    traits: frozenset[str] = frozenset()
    strikes: bool | None = None


def build_of(clock: Clock, traits: Iterable[str]) -> Build:
    """How a clock is built, from what its kind carries and what was said of it."""
    carried = frozenset(traits) | frozenset(clock.traits)
    family = families().get(clock.family or "")
    told = clock.movement.get("strike")
    if told is not None:
        return Build(carried, told != "none")
    if carried & _STRIKES:
        return Build(carried, True)
    # The trade calls a clock that does not strike a timepiece.
    silent = "timepiece" in clock.name.lower() or (family is not None and not _STRIKES & set(family.may_have))
    return Build(carried, False if silent else None)


def stages(build: Build, needed: Collection[str] = ()) -> tuple[Stage, ...]:
    """The stages that this clock has, and those that a work needs all the same, in the order of the strip."""
    has = build.traits
    springs, weights = bool(has & _SPRINGS_DRIVE), "weight" in has
    known = springs or weights
    rows = (
        _weights_off() if weights else None,
        ("case", "Case, dial and hands", "Open the case; hands and dial come off where a work asks for it.",
         ("step:case opened",), "hands clear of dial, glass and each other"),
        _let_down(known) if springs or not known else None,
        _pendulum_off(has) if _hangs(has) else None,
        ("motion", _motion_words(has), "Note how the wheels stand to each other before they are lifted.", (),
         "motion work free, the hand's friction even all round"),
        _strike(build) if build.strikes is not False else None,
        ("escapement", "Escapement and balance" if _has(has, "balance") else "Escapement",
         "Every train is down before anything is loosened here.", (), "free before power; then drop and lock, both"),
        ("plates", "Plates apart: train", "Every train is down before the plates are parted.",
         ("step:before the plates are parted",), "every arbor free, each with end shake"),
        ("power", "Power and winding work", "Note set-up and turns before anything is taken apart.", (),
         _power_closes(has)),
        ("set_up", "Set up", "In its case, where it is to stand.", (), _set_up_closes(has)),
    )  # fmt: skip
    there = {row[0]: row for row in rows if row is not None}
    spare = {"weights": _weights_off(), "let_down": _let_down(known), "pendulum": _pendulum_off(has),
             "strike": _strike(build)}  # fmt: skip
    there |= {key: spare[key] for key in needed if key not in there}
    ordered = sorted(there.values(), key=lambda row: _ORDER.index(row[0]))
    return tuple(Stage(row[0], k, *row[1:]) for k, row in enumerate(ordered, 1))


def stage_of(component: str, build: Build, *, of: str | None = None, words: str = "") -> str:
    """The key of the stage at which a work is done; a part that belongs nowhere known is reached with the plates
    apart.
    """
    said = words.lower()
    if _BACK_COCK.search(said) or (of or "").endswith("back_cock"):
        return "escapement"
    if component in ("movement", "case", "crutch", "beat_adjuster") and _SETTING_UP.search(said):
        return "escapement" if "hairspring" in said else "set_up"
    owner = (of or "").rpartition(".")[2]
    if component in _ON_ANOTHER and owner in components():
        key = _stage_of_part(owner, build)
        return "plates" if component in _BETWEEN_PLATES and key in ("strike", "power", "weights", "let_down") else key
    return _stage_of_part(component, build)


def _stage_of_part(component: str, build: Build) -> str:
    weights, springs = "weight" in build.traits, bool(build.traits & _SPRINGS_DRIVE)
    if component in _LINES:
        return "weights" if weights and not springs else "power"
    if component in _HANG:
        return "weights" if weights else "power" if springs else "let_down"
    seen: set[str] = set()
    at = component
    while at not in seen:
        if at == "escape_wheel" and not build.traits & {"platform", "verge"}:
            return "plates"
        if at in _ASSEMBLIES:
            return _ASSEMBLIES[at]
        seen.add(at)
        part = components().get(at)
        if part is None or part.part_of == "clock":
            break
        at = part.part_of
    return "plates"


_ORDER = ("weights", "case", "let_down", "pendulum", "motion", "strike", "escapement", "plates", "power", "set_up")
_Row = tuple[str, str, str, tuple[str, ...], str]


def _has(traits: frozenset[str], swing: str) -> bool:
    """Whether the clock swings so, or nobody said with what it swings."""
    return swing in traits or not traits & _SWINGS


def _hangs(traits: frozenset[str]) -> bool:
    return _has(traits, "pendulum") or "torsion" in traits


def _weights_off() -> _Row:
    return ("weights", "Weights off", "Take every weight off before anything below.", ("step:weight on or off",),
            "weights on, lines and pulleys clear; it goes at once")  # fmt: skip


def _let_down(known: bool) -> _Row:
    steps = ("step:let-down",) if known else ("step:let-down", "step:weight on or off")
    words = "Let the power down" if known else "Weights off, springs let down"
    return ("let_down", words, "Let every train down before anything below.", steps,
            "a turn wound: the escape wheel goes at once")  # fmt: skip


def _pendulum_off(traits: frozenset[str]) -> _Row:
    if "torsion" in traits:
        return ("pendulum", "Torsion pendulum off", "Lock it, lift it off and lay it where nothing bends the strip.",
                (), "strip straight, fork upright")  # fmt: skip
    words = "Pendulum off" if traits & _SWINGS else "Pendulum off, where it has one"
    return ("pendulum", words, "Unhook it; the suspension spring is not bent on the way.", (),
            "hangs true, the rod free in the crutch")  # fmt: skip


def _motion_words(traits: frozenset[str]) -> str:
    more = [words for trait, words in (("turret", "leading-off"), ("alarm", "alarm")) if trait in traits]
    return ", ".join(("Motion work", *more))


def _strike(build: Build) -> _Row:
    words = "Strike and chime" if "chime" in build.traits or build.strikes is None else "Strike"
    tail = ", if it has them" if build.strikes is None else ""
    closes = "warning and locking, by hand through twelve hours"
    return ("strike", f"{words} outside the plates{tail}", "Note how every lever stands before it is lifted.", (),
            closes if build.strikes is not None else f"if it strikes: {closes}")  # fmt: skip


def _power_closes(traits: frozenset[str]) -> str:
    holds = "the click holds at every tooth"
    return f"{holds}; line or chain in its groove, then the set-up" if "fusee" in traits else holds


def _set_up_closes(traits: frozenset[str]) -> str:
    if traits & _SWINGS == {"balance"}:
        return "in beat; the swing as it stands in use"
    return "level and in beat; the turn each side" if "torsion" in traits else "level and in beat; arc each side"


def triggers_of_work(component: str, words: str, stage: str = "") -> set[str]:
    """What a work calls cautions by: its part, its deeds, and the spring or escapement in hand; `stage` is where it is
    done.
    """
    said = words.lower()
    found = {trigger for deed, trigger in _DEEDS if deed.search(said)}
    if component in components():
        found.add(f"component:{component}")
    if component in _SPRINGS:
        found |= {"step:mainspring out by hand", "step:spring clamped or taken out"}
    if stage == "escapement":
        found.add("work:escapement")
    return found


def measure_after(component: str) -> tuple[str, ...]:
    """What to measure when the part is back; nothing where only the eye judges."""
    part = components().get(component)
    for name in (component, *(part.kinds if part else ()), *((part.part_of,) if part else ())):
        if name in _MEASURE_AFTER:
            return _MEASURE_AFTER[name]
    return ()


def consumables(works: Iterable[tuple[str, str, str]]) -> tuple[str, ...]:
    """What to lay out for works given as (part, words, the size that is wanted of a new part), each thing once.

    A new part is laid out only where one is fitted, not where the old one is cleaned or mended.
    """
    found: dict[str, None] = {}
    for component, words, size in works:
        said = f" {component.replace('_', ' ')} {words.lower()}"
        for word, things in _CONSUMABLES:
            if f" {word}" in said:
                found |= dict.fromkeys(
                    thing.format(size=size) for thing in things if "{size}" not in thing or _NEW_PART.search(words)
                )
    return tuple(found)

"""What goes wrong with clocks: each fault with the clocks it applies to, the findings that point to it, its remedies.

`matches` are pairs of component and condition; any one of them, found present, points to the fault, and the first
is the name under which an answer reports it. Chances that a fault stops a clock alone are ordinal guesses until
a shop's own record replaces them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Literal

from underdial.errors import BadInput
from underdial.trade.fault_scales import FaultScales, read_fault_scales
from underdial.trade.files import DATA, Strict, broken, keyed, read_record
from underdial.trade.sources import Source, Text, check_sources, read_texts
from underdial.trade.traits import Trait, read_traits
from underdial.trade.vocabulary import Component, Vocabulary, components, read_vocabulary

Applies = Literal["yes", "possible", "no"]
TRAINS = ("going", "strike", "chime", "alarm")
_ID = re.compile(r"[A-Z]{3}-\d\d")


@dataclass(frozen=True, slots=True)
class Remedy(Strict):
    """One way to deal with a fault. `invasiveness` 0 (leave) to 5 (original altered for good), see fault_scales.

    Hours are those of the remedy alone on a stripped movement, least and most.
    """

    id: str
    do: str
    invasiveness: int
    reversible: Literal["yes", "partly", "no"]
    time_low_h: float
    time_high_h: float


@dataclass(frozen=True, slots=True)
class Fault(Strict):
    """A fault as the trade knows it.

    `traits` is a list of choices: the clock must carry one of each. `match_of` narrows the finding's `of`. `raises`
    names faults that an event makes likelier; `replaced_by` keeps older records readable.
    """

    id: str
    group: str
    component_words: str
    condition_words: str
    traits: tuple[tuple[str, ...], ...]
    matches: tuple[tuple[str, str], ...]
    how_seen: str
    effects: tuple[str, ...]
    stops_alone: str
    mechanism: str
    model_terms: tuple[str, ...]
    remedies: tuple[Remedy, ...]
    sources: tuple[Source, ...]
    match_of: tuple[str, ...] = ()
    rate_sign: str | None = None
    raises: tuple[str, ...] = ()
    replaced_by: tuple[str, ...] = ()
    stops_alone_probability: float = 0.0

    @property
    def component(self) -> str:
        """The component under which an answer reports this fault."""
        return self.matches[0][0]

    @property
    def condition(self) -> str:
        """The condition under which an answer reports this fault."""
        return self.matches[0][1]

    @property
    def counted(self) -> bool:
        """Whether it is offered, counted and priced: not an event, a property of the design, or an older name."""
        return not self.replaced_by and not self.raises and self.group != "design_note"


@cache
def faults() -> Mapping[str, Fault]:
    """Every fault by its id, group by group."""
    return read_faults(DATA)


def applies(fault: Fault, traits: Iterable[str], may_have: Iterable[str] = ()) -> Applies:
    """Whether a clock with these traits can have the fault; possible when that hangs on a trait it may have.

    Power, oscillator or escapement named for one clock have to replace those of its family first
    (`traits.described`).
    """
    carried = frozenset(traits)
    open_still = carried | frozenset(may_have)
    if all(carried.intersection(choice) for choice in fault.traits):
        return "yes"
    return "possible" if all(open_still.intersection(choice) for choice in fault.traits) else "no"


def matching(component: str, condition: str, of: str | None = None) -> tuple[Fault, ...]:
    """The faults a present finding points to: those that fit its `of` first, exact parts before wider ones.

    Raises BadInput for a component or an `of` that the vocabulary does not know.
    """
    known = components()
    if component not in known:
        raise BadInput("component", component, "a component of the vocabulary")
    place = _place(of, known)
    ranked: list[tuple[bool, int, Fault]] = []
    for fault in faults().values():
        steps = _steps(fault, (component, *known[component].kinds), condition)
        fit = _fit(fault, place, known)
        if steps is not None and fit is not None and not fault.replaced_by:
            ranked.append((not fit, steps, fault))
    return tuple(fault for _, _, fault in sorted(ranked, key=lambda one: one[:2]))


@cache
def read_faults(folder: Path) -> Mapping[str, Fault]:
    """The faults of a data folder; BadInput, naming file and key, when a file is broken or names what is not there."""
    scales, words, kinds, known = (
        read_fault_scales(folder),
        read_vocabulary(folder),
        read_traits(folder),
        read_texts(folder),
    )
    found: list[Fault] = []
    for group in scales.groups:
        path = folder / "faults" / f"{group}.json"
        for fault in read_record(path, tuple[Fault, ...]):
            if fault.group != group:
                raise broken(path, f"[{fault.id}].group", fault.group, group)
            _check(path, fault, scales, words, kinds, known)
            chance = next(one.probability for one in scales.stops_alone if one.id == fault.stops_alone)
            found.append(replace(fault, stops_alone_probability=chance))
    stray = {path.stem for path in (folder / "faults").glob("*.json")} - set(scales.groups)
    if stray:
        raise broken(folder / "fault_scales.json", "groups", min(stray), "every file of the folder faults")
    by_id = keyed(folder / "faults", found, lambda one: one.id)
    for fault in by_id.values():
        for other in (*fault.raises, *fault.replaced_by):
            if other not in by_id or other == fault.id:
                raise broken(
                    folder / "faults" / f"{fault.group}.json", f"[{fault.id}]", other, "the id of another fault"
                )
    return by_id


# Where a finding's `of` points: nowhere said, a train only, or a part with its kinds and its train.
_Place = tuple[str | None, tuple[str, ...]]


def _place(of: str | None, known: Mapping[str, Component]) -> _Place | None:
    if of is None or of == "":
        return None
    if of in TRAINS:
        return of, ()
    train, dot, part = of.rpartition(".")
    if part not in known or (dot and train not in TRAINS):
        raise BadInput("of", of, "a component, a train (going, strike, chime, alarm), or train.component")
    own_train = train or (known[part].part_of if known[part].part_of in TRAINS else "going")
    return own_train, (part, *known[part].kinds)


def _fit(fault: Fault, place: _Place | None, known: Mapping[str, Component]) -> bool | None:
    """True: `match_of` is met. False: it is not contradicted. None: the finding is about something else."""
    if not fault.match_of or place is None:
        return False
    train, parts = place
    if train in fault.match_of or any(part in fault.match_of for part in parts):
        return True
    asks_for_part = any(one in known for one in fault.match_of)
    return False if not parts and asks_for_part else None


def _steps(fault: Fault, kinds: tuple[str, ...], condition: str) -> int | None:
    """How far up the kinds of the part a pair of the fault is met; None when it is not."""
    return next((step for step, part in enumerate(kinds) if (part, condition) in fault.matches), None)


def _check(
    path: Path,
    fault: Fault,
    scales: FaultScales,
    words: Vocabulary,
    kinds: Mapping[str, Trait],
    known: Mapping[str, Text],
) -> None:
    if not _ID.fullmatch(fault.id):
        raise broken(path, f"[{fault.id}].id", fault.id, "three capital letters, a dash, two digits")
    check_sources(path, fault.id, fault.sources, known)
    if not fault.matches or len(set(fault.matches)) != len(fault.matches):
        raise broken(path, f"[{fault.id}].matches", len(fault.matches), "one pair at least, none of them twice")
    parts = {**words.components}
    rows: tuple[tuple[str, Iterable[str], Iterable[str], str], ...] = (
        ("traits", (one for choice in fault.traits for one in choice), kinds, "a trait of traits.json"),
        ("matches", (part for part, _ in fault.matches), parts, "a component of components.json"),
        ("matches", (state for _, state in fault.matches), words.conditions, "a condition of conditions.json"),
        ("match_of", fault.match_of, {*parts, *TRAINS}, "a component or a train"),
        ("effects", fault.effects, {one.id for one in scales.effects}, "an effect of fault_scales.json"),
        ("stops_alone", (fault.stops_alone,), {one.id for one in scales.stops_alone}, "a step of fault_scales.json"),
        (
            "rate_sign",
            (fault.rate_sign,) if fault.rate_sign else (),
            {one.id for one in scales.rate_signs},
            "a sign of fault_scales.json",
        ),
    )
    for key, given, allowed, what in rows:
        strange = next((one for one in given if one not in allowed), None)
        if strange is not None:
            raise broken(path, f"[{fault.id}].{key}", strange, what)
    if not fault.effects or len(set(fault.effects)) != len(fault.effects):
        raise broken(path, f"[{fault.id}].effects", len(fault.effects), "one effect at least, none of them twice")
    _check_remedies(path, fault, {one.rank for one in scales.invasiveness})


def _check_remedies(path: Path, fault: Fault, ranks: set[int]) -> None:
    names = [one.id for one in fault.remedies]
    if not names or len(set(names)) != len(names):
        raise broken(path, f"[{fault.id}].remedies", len(names), "one remedy at least, no id twice")
    for remedy in fault.remedies:
        key = f"[{fault.id}].remedies[{remedy.id}]"
        if remedy.invasiveness not in ranks:
            raise broken(path, f"{key}.invasiveness", remedy.invasiveness, "a rank of fault_scales.json")
        if not 0.0 <= remedy.time_low_h <= remedy.time_high_h or remedy.time_high_h == 0.0:
            raise broken(
                path,
                f"{key}.time_low_h",
                remedy.time_low_h,
                f"0 to time_high_h, here {remedy.time_high_h:g}, which is above 0",
            )

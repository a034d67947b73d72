"""What is spoken of: noun phrases to parts with their host and place.

What a phrase leaves unsaid is taken from the `Focus`: the wheel, the train and the part spoken of last. A word that
names several parts is settled by what stands beside it and what was spoken of.

Never here: the state of a part; what makes a noun phrase (`noun_phrases`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from underdial.telling.names import lexicon, places_of_parts
from underdial.telling.parts_meant.focus import Focus, Target, without_train
from underdial.telling.parts_meant.said_places import OPPOSITE, fitting, place_of
from underdial.telling.parts_meant.sub_parts import sub_parts
from underdial.telling.sentences.items import Item
from underdial.telling.sentences.noun_phrases import Named, Phrase

_ENDS = ("front", "back", "both", "upper", "lower")
_PART_OF_ASPECT = {
    "endshake": "arbor",
    "beat": "movement",
    "poise": "balance",
    "locks": "pallets",
    "drops": "pallets",
    "depth": "pallets",
    "rate": "movement",
}


def targets(phrase: Phrase, focus: Focus, *, all_of: str | None = None) -> tuple[Target, ...]:
    """The parts a noun phrase means, with what it leaves unsaid filled in from the focus."""
    train = next((item.value for item in phrase.items if item.kind == "train"), None)
    wheels = tuple(item.value for item in phrase.items if item.kind == "wheel")
    place = place_of(phrase, all_of)
    heads = _heads(phrase)
    if train is not None:
        focus.train = focus.said_now = train
        if train == "going" and (wheels or heads):
            focus.section = None
    if not heads and not wheels:
        flipped = any(item.kind == "word" and item.value == "other" for item in phrase.items)
        return _selected(focus, train, place, flipped)
    named = _parts_named(heads, wheels, train, focus)
    if not named:
        return _wheels_alone(phrase, wheels, train, place, focus) if wheels else ()
    if named[0][1] == "wheel" and not wheels:
        if focus.hosts and focus.hosts[0] in places_of_parts.WHEELS:
            return tuple(_wheel_target(host, train or focus.host_train, place, focus) for host in focus.hosts)
        named = named[1:] if len(named) > 1 else named
    item, part = named[0]
    others = tuple(other for _, other in named[1:])
    return _of_head(Named(item, part, others, wheels, train, place, phrase, all_of == "all"), focus)


def other_one(subjects: Sequence[Target]) -> tuple[Target, ...]:
    """The same parts at the opposite end, side or train, for "the other one"."""
    flipped = []
    for target in subjects:
        if target.place in OPPOSITE:
            flipped.append(replace(target, place=OPPOSITE[target.place]))
        elif target.of in OPPOSITE:
            flipped.append(replace(target, of=OPPOSITE[target.of]))
        else:
            flipped.append(target)
    return tuple(flipped)


def _heads(phrase: Phrase) -> list[Item]:
    """Parts with the head noun first: "the hole in the cock" and "the cock's hole" both begin with the hole."""
    order: list[Item] = []
    last_end: int | None = None
    reverse = False
    for item in phrase.items:
        if item.kind == "word" and item.value in ("of", "on", "in", "for", "at"):
            reverse = True
        if item.kind in ("part", "shared", "aspect"):
            if order and not reverse:
                order.insert(0, item)
            else:
                order.append(item)
            last_end = item.end
        elif item.kind == "wheel" and not order and last_end is None:
            reverse = False
    return order


def _selected(focus: Focus, train: str | None, place: str | None, flipped: bool) -> tuple[Target, ...]:
    """Only a place or a train was said: "Back, oval", "the strike one": the rest is that of the last subject."""
    if flipped and train is None and (place is None or place in ("outer_end", "inner_end", "far_end")):
        return other_one(focus.subjects)
    chosen: dict[Target, None] = {}
    for target in focus.subjects:
        if train is not None:
            target = _in_train(target, train)
        if place is not None:
            target = _at_place(target, place)
        chosen[target] = None
    return tuple(chosen)


def _in_train(target: Target, train: str) -> Target:
    """The same part in another train, where it is one that trains have."""
    if target.component in places_of_parts.POWER or target.component in places_of_parts.TRAIN_WORK:
        return replace(target, of=train)
    if target.component in places_of_parts.WHEELS:
        return replace(target, of=train if train != "going" else None)
    if target.of and without_train(target.of) in places_of_parts.WHEELS:
        return replace(target, of=places_of_parts.of_wheel(without_train(target.of), train))
    return target


def _at_place(target: Target, place: str) -> Target:
    """The same part at another place; a place at the end of an arbor means the hole there."""
    if target.component in places_of_parts.WHEELS and place in _ENDS:
        return Target("pivot_hole", places_of_parts.of_wheel(target.component, target.of), place)
    if target.component in ("entry_pallet", "exit_pallet") and place in ("entry", "exit"):
        return Target(f"{place}_pallet")
    on_arbor = target.component in ("pinion", "leaf", "tooth", "collet", "arbor")
    if on_arbor and place in ("front", "back") and target.of:
        return Target("pivot_hole", target.of, place)
    return replace(target, place=fitting(target.component, place))


def _parts_named(heads: list[Item], wheels: Sequence[str], train: str | None, focus: Focus) -> list[tuple[Item, str]]:
    """The parts that the nouns of a phrase mean, the head first; a noun that means none here is left out."""
    if (
        train is not None
        and len(heads) == 1
        and heads[0].kind == "shared"
        and heads[0].value in ("spring", "springs")
        and not wheels
    ):
        heads = [replace(heads[0], kind="part", value="mainspring")]
    beside = [*heads[1:], *(Item("part", wheel, 0, 0) for wheel in wheels)]
    meant = [(item, _part_meant(item, focus, beside)) for item in heads]
    return [(item, part) for item, part in meant if part is not None]


def _part_meant(item: Item, focus: Focus, beside: Sequence[Item]) -> str | None:
    if item.kind == "aspect":
        if item.value == "swing":
            return "balance" if "balance" in focus.traits else "pendulum"
        return _PART_OF_ASPECT[item.value]
    if item.kind == "part":
        if item.value == "suspension_spring" and "torsion" in focus.traits:
            return "torsion_strip"
        if item.value == "weight_chain" and "fusee" in focus.traits:
            return "fusee_chain"
        return item.value
    return _part_called_for(item.value, focus, beside)


def _part_called_for(word: str, focus: Focus, beside: Sequence[Item]) -> str | None:
    """Of the readings of a shared word the one that a part beside it or of late calls for, or a trait of the clock."""
    near = [
        part.value
        if part.kind != "shared"
        else next((p for p, callers in lexicon.shared_words()[part.value] if not callers), "")
        for part in beside
        if part.kind in ("part", "wheel", "shared")
    ]
    readings = lexicon.shared_words()[word]
    for context in (near, focus.recent[:1], focus.nearby, focus.recent[1:2], focus.recent[2:3]):
        for part, callers in readings:
            if callers & set(context) and not any(c.startswith("!") and c[1:] != focus.train for c in callers):
                return part
    for part, callers in readings:
        if _is_called_for_by_clock(callers, focus):
            return part
    return next((part for part, callers in readings if not callers), None)


def _is_called_for_by_clock(callers: frozenset[str], focus: Focus) -> bool:
    """Whether a trait of the clock ("#fusee") or the train spoken of ("!strike") calls for a reading."""
    return any(c.startswith("#") and c[1:] in focus.traits for c in callers) or any(
        c.startswith("!") and c[1:] == focus.train and "hammer" not in callers for c in callers
    )


def _wheels_alone(
    phrase: Phrase, wheels: Sequence[str], train: str | None, place: str | None, focus: Focus
) -> tuple[Target, ...]:
    """Wheels with no part: "the third" goes on with the holes or pivots spoken of, "the third wheel" does not."""
    if focus.generic is not None and all(item.end - item.start == 1 for item in phrase.items if item.kind == "wheel"):
        return tuple(
            Target(focus.generic, places_of_parts.of_wheel(wheel, train or focus.train_of_wheel(wheel)), place)
            for wheel in dict.fromkeys(wheels)
        )
    return _wheels_called_so(phrase, wheels, train, place, focus)


def _wheels_called_so(
    phrase: Phrase, wheels: Sequence[str], train: str | None, place: str | None, focus: Focus
) -> tuple[Target, ...]:
    if any(item.end - item.start == 2 for item in phrase.items if item.kind == "wheel"):
        focus.generic = None
    return _whole_wheels(wheels, train, place, focus)


def _whole_wheels(wheels: Sequence[str], train: str | None, place: str | None, focus: Focus) -> tuple[Target, ...]:
    return tuple(
        _wheel_target(wheel, train or focus.train_of_wheel(wheel), place, focus) for wheel in dict.fromkeys(wheels)
    )


def _wheel_target(wheel: str, train: str | None, place: str | None, focus: Focus) -> Target:
    """A wheel; at an end of its arbor the hole it runs in."""
    focus.host_train = train
    if place in _ENDS:
        return Target("pivot_hole", places_of_parts.of_wheel(wheel, train), place)
    return Target(
        wheel,
        train if train not in (None, "going") and wheel not in places_of_parts.ONE_OF_A_KIND else None,
        place if place != "all" else None,
    )


def _of_head(said: Named, focus: Focus) -> tuple[Target, ...]:
    """The parts meant by a phrase with a part at its head."""
    if _is_where_wheels_are(said):
        return _whole_wheels(said.wheels, said.train, said.place, focus)
    if said.item.kind == "aspect" and said.item.value == "depth" and (said.wheels or said.others):
        return (_in_depth(said, focus),)
    if said.part in places_of_parts.HOSTS:
        return sub_parts(said, focus)
    if said.part == "wheel":
        wheels = _wheels_called_so(said.phrase, said.wheels, said.train, said.place, focus)
        return wheels or (Target("wheel", None, said.place),)
    if said.part in places_of_parts.WHEELS:
        return (_wheel_target(said.part, said.train or focus.train_of_wheel(said.part), said.place, focus),)
    place = "thread" if said.item.value == "thread" and said.item.kind == "shared" else said.place
    return (
        Target(
            said.part,
            focus.train_of_part(said.part, said.train, both=place == "both"),
            fitting(said.part, place),
            said.item.value if said.item.kind == "aspect" else None,
        ),
    )


def _is_where_wheels_are(said: Named) -> bool:
    """ "The escape wheel on the platform": the wheel comes first, the part only says where."""
    first = next((item for item in said.phrase.items if item.kind in ("part", "shared", "wheel", "aspect")), None)
    return (
        first is not None
        and first.kind == "wheel"
        and said.part in ("platform", "movement", "case", "plates")
        and any(item.kind == "word" and item.value in ("on", "in", "of") for item in said.phrase.items)
    )


def _in_depth(said: Named, focus: Focus) -> Target:
    """The depth of a wheel or part is written under the first that is named."""
    part = said.wheels[0] if said.wheels else said.others[0]
    if part in places_of_parts.WHEELS:
        return replace(_wheel_target(part, said.train, None, focus), aspect="depth")
    return Target(part, None, None, "depth")

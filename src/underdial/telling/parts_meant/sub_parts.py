"""Parts of parts, with the host they belong to: pivots, holes, arbors, teeth, leaves, screws, hinges.

The host is the wheel or part named with them, else what was spoken of last, where that can carry them. Of all pivots
or holes together none is written.

Never here: parts that stand for themselves (`subjects`).
"""

from __future__ import annotations

from dataclasses import replace

from underdial.telling.names import places_of_parts
from underdial.telling.parts_meant.focus import Focus, Target
from underdial.telling.parts_meant.said_places import fitting
from underdial.telling.sentences.noun_phrases import Named

_HOLES = ("pivot_hole", "bush")
_PIVOTING = ("pivot", "pivot_hole")
# Said of all of them, these are of no one wheel.
_IN_ROWS = ("pivot", "pivot_hole", "oil_sink", "pinion")
_IN_TRAIN = ("pivot", "pivot_hole", "oil_sink", "arbor", "pinion", "tooth", "bush")
# What turns on pivots of its own, which are no pivots of the movement.
_NO_HOST_OF_PIVOTS = (
    "handle",
    "door",
    "hinge",
    "bezel",
    "bell_stand",
    "repeat_work",
    "bird",
    "bellows",
    "bird_door",
    "alarm_lever",
    "locking_lever",
    "count_hook",
    "silent_lever",
    "rack_hook",
    "drop_lever",
    "stop_work",
)
_ABOUT_BALANCE = frozenset(
    ("balance", "balance_staff", "jewel", "end_stone", "cylinder", "balance_cock", "hairspring", "cock", "platform")
)


def sub_parts(said: Named, focus: Focus) -> tuple[Target, ...]:
    """The parts meant where the head of a noun phrase is a part of a part."""
    whole = _stands_for(said, focus)
    if whole is not None:
        return (whole,)
    said = _as_written(said, focus)
    if said.wheels:
        return _of_wheels(said, focus)
    one = _of_part_named(said, focus) or _of_what_pivots(said) or _screw(said, focus)
    if one is not None:
        return (one,)
    if said.train is not None and said.part in _IN_TRAIN:
        return (Target(said.part, said.train if said.train != "going" else None, said.place, said.aspect),)
    spoken_of = () if _is_of_every_host(said) else _of_part_spoken_of(said, focus)
    return spoken_of or (Target(said.part, None, said.place, said.aspect),)


def host_named(part: str) -> bool:
    """Whether a screw may be said to be of this part when both are named together."""
    return (
        part not in places_of_parts.WHEELS
        and part not in ("screw", "case", "case_screw", "movement", "plates", "hands", "slots")
        and part not in places_of_parts.HOSTS
    )


def _stands_for(said: Named, focus: Focus) -> Target | None:
    """Holes of a pulley or a jewel just spoken of, and teeth of a ratchet wheel, are said of these."""
    late = next(iter(focus.recent), None)
    if said.wheels:
        return None
    if said.part == "pivot_hole" and not said.others:
        if late == "pulley":
            return Target("pulley", focus.train_of_part("pulley", said.train), said.place)
        if late == "jewel":
            return Target("jewel", None, said.place)
    if said.part == "tooth" and (said.others[0] if said.others else late) == "ratchet_wheel":
        return Target("ratchet_wheel", focus.train_of_part("ratchet_wheel", said.train), said.place)
    return None


def _as_written(said: Named, focus: Focus) -> Named:
    """The part, its aspect and its place in the form that a finding has."""
    part = "pinion" if said.part == "leaf" and focus.recent[:1] == ["pinion"] else said.part
    aspect = said.item.value if said.item.kind == "aspect" else None
    if part == "bush" and said.item.kind == "part":
        aspect = "bush"
    place = fitting(part, said.place)
    if not said.wheels and part in _HOLES and place is None and said.others[:1] == ("back_cock",):
        place = "back"
    return replace(said, part=part, aspect=aspect, place=place)


def _of_wheels(said: Named, focus: Focus) -> tuple[Target, ...]:
    now = focus.said_now or focus.section
    side = said.train or (now if now in ("strike", "chime") and "escape_wheel" not in said.wheels else None)
    focus.host_train = side
    return tuple(
        Target(said.part, places_of_parts.of_wheel(wheel, side), said.place, said.aspect)
        for wheel in dict.fromkeys(said.wheels)
    )


def _of_part_named(said: Named, focus: Focus) -> Target | None:
    """Of the first part named with it that can carry it; a hole of a plate is at the front or the back."""
    for other in said.others:
        host = places_of_parts.host_for(said.part, other)
        if host is not None:
            of = places_of_parts.of_wheel(host, said.train or focus.said_now or focus.section)
            return Target(said.part, of, said.place, said.aspect)
        if said.part in _HOLES and other in ("front_plate", "back_plate"):
            train = said.train if said.train != "going" else None
            return Target(said.part, train, "front" if other == "front_plate" else "back", said.aspect)
    return None


def _of_what_pivots(said: Named) -> Target | None:
    """ "The pivot of the handle" is the handle."""
    pivots = said.part in _PIVOTING and said.others and said.others[0] not in places_of_parts.HOSTS
    return Target(said.others[0], None, None, None) if pivots and said.others[0] in _NO_HOST_OF_PIVOTS else None


def _screw(said: Named, focus: Focus) -> Target | None:
    """Screws of the movement hold it in the case; else a screw is of the part named with it."""
    if said.part != "screw":
        return None
    if not said.others:
        holds = said.item.plural and focus.recent[:1] == ["movement"]
        return Target("case_screw", None, said.place) if holds else None
    return Target(said.part, said.others[0], said.place, said.aspect) if host_named(said.others[0]) else None


def _is_of_every_host(said: Named) -> bool:
    """ "None of the pivots", "all the holes": said of no one wheel."""
    if not said.phrase.plural:
        return False
    if said.of_all and said.part in _IN_ROWS and not said.others:
        return True
    if said.aspect is not None:
        return False
    quant = said.phrase.quant
    if said.place is None:
        return quant == "none" and said.part in _PIVOTING
    return said.place == "all" and quant == "all" and said.phrase.preposition is None and said.part in _IN_ROWS


def _of_part_spoken_of(said: Named, focus: Focus) -> tuple[Target, ...]:
    """Of the hosts spoken of last that can carry it, else of the balance staff; nothing where there is none."""
    hosts = _hosts_spoken_of(said.part, focus)
    if not hosts:
        if _is_of_balance(said, focus):
            staff = "cylinder" if "cylinder" in focus.traits else "balance_staff"
            return (Target(said.part, staff, said.place, said.aspect),)
        return ()
    side = focus.host_train if all(host in places_of_parts.WHEELS for host in hosts) else None
    place = None if len(hosts) > 1 and said.place == "all" else said.place
    return tuple(
        Target(said.part, places_of_parts.of_wheel(host, side), place, said.aspect) for host in dict.fromkeys(hosts)
    )


def _hosts_spoken_of(part: str, focus: Focus) -> list[str]:
    carried = [places_of_parts.host_for(part, host) for host in focus.hosts]
    hosts = [host for host in carried if host is not None]
    if hosts:
        return hosts
    late = [places_of_parts.host_for(part, one) for one in focus.recent[: 1 if part == "screw" else 2]]
    return [host for host in late if host is not None][:1]


def _is_of_balance(said: Named, focus: Focus) -> bool:
    return (
        said.part in _PIVOTING
        and said.place in ("upper", "lower")
        and "balance" in focus.traits
        and not _ABOUT_BALANCE.isdisjoint(focus.recent[:4])
    )

"""Choosing a mainspring from what the shop can have: does it go in, does it give the turns, how strong is it.

A spring is judged against need: turns for the going time, torque for a turn against the spring it replaces, height of
the barrel, fill. Torque is never taken as a reason to choose a stronger spring than was there.

Limits: coils close together, even modulus; what a set spring still gives is not known. Source: [Goodrich1905]_ ch. XV;
[Headrick]_ on strength.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from underdial.mechanics.barrel import barrel_turns, fill_ratio
from underdial.mechanics.mainspring import strength_ratio, torque_per_turn_n_m
from underdial.mechanics.materials import STEEL_PA

# A spring this much stronger or weaker than the one it replaces is no like-for-like. Judgement: a tenth in thickness is
# a third in torque.
_LIKE_LOW_RATIO, _LIKE_HIGH_RATIO = 0.8, 1.2
# A third to a half of the room beside the arbor is common practice; beyond these it is said. [judgement]
FILL_LOW_RATIO, FILL_HIGH_RATIO = 0.3, 0.62


@dataclass(frozen=True, slots=True)
class Strip:
    """A mainspring as sold: a name, thickness, height, length."""

    name: str
    thickness_m: float
    height_m: float
    length_m: float


@dataclass(frozen=True, slots=True)
class Judged:
    """A strip with what it would do here; `against` lists why not, empty when it will do."""

    strip: Strip
    turns: float | None
    fill_ratio: float
    torque_per_turn_n_m: float
    strength_ratio: float | None
    against: tuple[str, ...]


def judge_springs(
    stock: Iterable[Strip],
    *,
    barrel_m: float,
    arbor_m: float,
    room_height_m: float | None = None,
    turns_needed: float | None = None,
    instead_of: Strip | None = None,
    modulus_pa: float = STEEL_PA,
) -> tuple[Judged, ...]:
    """Every strip of a list judged for one barrel, the best first.

    Parameters
    ----------
    stock : iterable of Strip
        What can be had.
    barrel_m, arbor_m : float
        Inside diameter of the barrel and diameter of the arbor [m], 0.001 to 1.
    room_height_m : float or None
        Height inside the barrel [m]; a spring needs a little less.
    turns_needed : float or None
        Turns of the barrel in the going time.
    instead_of : Strip or None
        The spring it replaces.
    modulus_pa : float
        Modulus of elasticity [Pa], 1e10 to 1e12.

    Returns
    -------
    tuple of Judged
        Those that will do first, nearest in strength to the old one, then nearest to half full.

    Notes
    -----
    Source: [Goodrich1905]_ ch. XV; [Headrick]_ mainsprings.
    """
    judged = [_judge(one, barrel_m, arbor_m, room_height_m, turns_needed, instead_of, modulus_pa) for one in stock]
    return tuple(
        sorted(
            judged,
            key=lambda one: (
                len(one.against),
                abs((one.strength_ratio or 1.0) - 1.0),
                abs(one.fill_ratio - 0.5),
                one.strip.name,
            ),
        )
    )


def _judge(
    one: Strip,
    barrel_m: float,
    arbor_m: float,
    room_height_m: float | None,
    turns_needed: float | None,
    old: Strip | None,
    modulus_pa: float,
) -> Judged:
    fill = fill_ratio(barrel_m=barrel_m, arbor_m=arbor_m, thickness_m=one.thickness_m, length_m=one.length_m)
    turns = (
        barrel_turns(barrel_m=barrel_m, arbor_m=arbor_m, thickness_m=one.thickness_m, length_m=one.length_m)
        if fill <= 1.0
        else None
    )
    torque = torque_per_turn_n_m(
        modulus_pa=modulus_pa, height_m=one.height_m, thickness_m=one.thickness_m, length_m=one.length_m
    )
    strength = (
        None
        if old is None
        else strength_ratio(
            thickness_m=one.thickness_m,
            instead_of_thickness_m=old.thickness_m,
            height_m=one.height_m,
            instead_of_height_m=old.height_m,
            length_m=one.length_m,
            instead_of_length_m=old.length_m,
        )
    )
    against = []
    if turns is None:
        against.append("does not go into the barrel")
    elif turns_needed is not None and turns < turns_needed:
        against.append(f"gives {turns:.2f} turns, {turns_needed:.2f} are needed")
    if room_height_m is not None and one.height_m >= room_height_m:
        against.append("too high for the barrel")
    if strength is not None and not _LIKE_LOW_RATIO <= strength <= _LIKE_HIGH_RATIO:
        against.append(f"{strength:.2f} times as strong as the old one")
    if turns is not None and not FILL_LOW_RATIO <= fill <= FILL_HIGH_RATIO:
        against.append(f"fills {100.0 * fill:.0f} % of the room")
    return Judged(one, turns, fill, torque, strength, tuple(against))

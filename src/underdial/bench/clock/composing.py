"""A movement told by hand, for a clock of no kind in the list: what drives it, what it swings with, its escapement and
its counts.

What is not told (sizes, weights, losses) is taken from the kind that stands nearest, as the sums do.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict

from underdial.errors import BadInput
from underdial.movement.as_made import Movement
from underdial.movement.composition import compose, presets_by_likeness
from underdial.trade.families import families

# Key of a description -> its words, as one picks them.
MAKES: Mapping[str, tuple[tuple[str, str], ...]] = {
    "power": (
        ("open_spring", "an open spring"),
        ("going_barrel", "a spring in a going barrel"),
        ("fusee", "a spring with a fusee"),
        ("weight", "a weight"),
    ),
    "oscillator": (
        ("pendulum", "a pendulum"),
        ("balance", "a balance and hairspring"),
        ("torsion", "a pendulum that turns"),
    ),
    "escapement": (
        ("recoil", "an anchor that recoils"),
        ("deadbeat", "a deadbeat anchor"),
        ("brocot", "pin or stone pallets in front"),
        ("strip_pallets", "pallets of bent strip"),
        ("pin_pallet", "a pin lever"),
        ("lever", "a lever"),
        ("cylinder", "a cylinder"),
        ("verge", "a verge"),
        ("pinwheel", "a pin wheel"),
        ("coup_perdu", "one beat without impulse"),
    ),
}
_WANTED = {"power": "what drives it", "oscillator": "what it swings with"}


def told_by_hand(family: str | None, named: Mapping[str, str], counts: Mapping[str, object]) -> dict[str, object]:
    """What the record keeps of a movement told by hand; BadInput for a word that is none of the list.

    With counts and no kind from the list, power and oscillator have to be told too, and the whole is composed once, so
    that nothing is kept that the sums refuse: OutsideModel or BadInput says why.
    """
    found: dict[str, object] = dict(counts)
    for key, words in MAKES.items():
        said = named.get(key, "")
        if said and said not in dict(words):
            raise BadInput(key, said, ", ".join(one for one, _ in words))
        if said:
            found[key] = said
    if counts and family is None:
        for key, what in _WANTED.items():
            if key not in found:
                raise BadInput(
                    key,
                    "nothing",
                    ", ".join(one for one, _ in MAKES[key]),
                    f"{key}: with counts and no kind of movement from the list, say {what} too.",
                )
        composed_by_hand(found)
    return found


def can_be_composed(movement: Mapping[str, object]) -> bool:
    """Whether a description names no less than the sums need of a clock of no kind in the list."""
    return all(movement.get(key) for key in ("oscillator", "train", "escape", "power"))


def composed_by_hand(movement: Mapping[str, object]) -> Movement:
    """The movement of a description that names no kind, composed on the nearest one."""
    presets: dict[str, Mapping[str, object]] = {name: asdict(one) for name, one in families().items()}
    return compose(presets[presets_by_likeness(movement, presets)[0]], movement)

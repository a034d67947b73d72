"""Where in a movement a fault sits: the arbors it can act at, from its law and from the `of` of a finding.

Arbors count from the great wheel as 0. Two places stand behind the escape wheel: the pallet arbor (or lever) and the
oscillator, each with a number of its own after the last arbor.
"""

from __future__ import annotations

from dataclasses import dataclass

from underdial.mechanics.parameters import Layout
from underdial.movement.as_made import Movement

_GREAT = {"great_wheel", "barrel", "barrel_arbor", "fusee", "mainspring", "weight_barrel", "winding_arbor", "click"}
_PALLET = {"pallet_arbor", "lever", "pallets", "anchor", "back_cock", "fork"}
_OSCILLATOR = {
    "balance",
    "balance_staff",
    "cone_pivot",
    "cylinder",
    "pendulum",
    "balance_cock",
    "cup_bearing",
    "platform",
}
_MOTION = {"minute_wheel", "hour_wheel", "cannon_pinion", "motion_work", "motion", "hands", "minute_hand", "hour_hand"}
_OTHER_TRAINS = ("strike", "chime", "alarm")


@dataclass(frozen=True)
class Places:
    """The places of one movement by name."""

    arbor_names: tuple[str, ...]
    hour_arbor: int

    @property
    def count(self) -> int:
        """Arbors from great wheel to escape wheel."""
        return len(self.arbor_names)

    @property
    def pallet_arbor(self) -> int:
        """Number of the place behind the escape wheel."""
        return self.count

    @property
    def oscillator(self) -> int:
        """Number of the place behind the pallet arbor."""
        return self.count + 1

    def named(self, of: str | None) -> int | None:
        """Number of the place a finding's `of` means in the going train; None when it names none there."""
        if of is None or self.other_train(of):
            return None
        name = of.rsplit(".", 1)[-1]
        if name in self.arbor_names:
            return self.arbor_names.index(name)
        if name in _GREAT:
            return 0
        if name in ("centre_wheel", *_MOTION):
            return self.hour_arbor
        if name == "contrate_wheel":
            return max(self.count - 2, 0)
        if name == "crown_wheel":
            return self.count - 1
        if name in _PALLET:
            return self.pallet_arbor
        return self.oscillator if name in _OSCILLATOR else None

    def of_law(self, place: str) -> tuple[tuple[int, ...], bool]:
        """Arbors a law can act at, and whether it acts at all of them at once (else at one, not known which)."""
        last = self.count - 1
        if place in ("all", "wide"):
            return tuple(range(self.count)), True
        if place == "arbor":
            return tuple(range(self.count)), False
        if place == "fast":
            return tuple(range(max(last - 2, 0), last + 1)), False
        one = {"great": 0, "escape": last, "before_escape": max(last - 1, 0), "motion": self.hour_arbor}.get(place)
        return ((one,), False) if one is not None else ((), False)

    def label(self, arbor: int) -> str | None:
        """Vocabulary id of a place by number."""
        if 0 <= arbor < self.count:
            return self.arbor_names[arbor]
        return "pallet_arbor" if arbor == self.pallet_arbor else None

    @staticmethod
    def other_train(of: str | None) -> str | None:
        """The train a finding's `of` names when it is not the going train."""
        head = (of or "").split(".")[0]
        return head if head in _OTHER_TRAINS else None


def places_of(movement: Movement, layout: Layout) -> Places:
    """The places of a movement; a side branch for the hands counts as the arbor that turns nearest to once an hour."""
    if movement.train.hour_arbor > 0:
        hour = movement.train.hour_arbor - 1
    else:
        slow = [abs(period - 3600.0) for period in layout.arbor_period_s]
        hour = slow.index(min(slow))
    return Places(tuple(layout.arbor_names), hour)

"""Cutting a wheel of any count: turns and holes of a dividing head, and the sizes of blank and cutter.

A worm head gives one turn of the work for so many turns of its handle; whole turns and a part that must fall on a hole
circle. Counts that no circle divides are said to need a plate of their own count, and the nearest that can be had.

Sources: arithmetic; tooth form of `movement.tooth_form`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from underdial.errors import OutOfRange
from underdial.movement.gear_sizes import outside_diameter_m, pitch_diameter_m
from underdial.movement.tooth_form import addendum_ratio, leaf_thickness_ratio

# Hole circles that many heads come with. [common practice]
USUAL_CIRCLES = (15, 16, 17, 18, 19, 20, 21, 23, 27, 29, 31, 33, 37, 39, 41, 43, 47, 49)
# Depth below the pitch circle that leaves the other's tip free. [common practice]
_ROOT_WHEEL_MODULES, _CLEARANCE_MODULES = 1.57, 0.4


@dataclass(frozen=True, slots=True)
class Division:
    """Handle turns for one tooth: whole turns, and holes on a circle; `exact` False when no circle does it."""

    whole_turns_count: int
    holes_count: int
    circle_count: int
    exact: bool
    angle_rad: float


@dataclass(frozen=True, slots=True)
class CutterSizes:
    """Blank and cutter: diameters, full depth of cut, width of the space on the pitch circle and at the root."""

    blank_diameter_m: float
    root_diameter_m: float
    depth_of_cut_m: float
    space_at_pitch_m: float
    space_at_root_m: float


def divide(teeth_count: int, *, worm_count: int, circles: Sequence[int] = USUAL_CIRCLES) -> Division:
    """Turns and holes for one tooth.

    Parameters
    ----------
    teeth_count : int
        Teeth to be cut, 3 to 2000.
    worm_count : int
        Turns of the handle for one turn of the work, 1 to 720 (1: a plate on the mandrel).
    circles : sequence of int
        Hole circles at hand, 2 to 1000 holes each.

    Returns
    -------
    Division
        The exact division on the smallest circle, else the nearest on any.

    Raises
    ------
    OutOfRange
        A count lies outside its range.

    Notes
    -----
    worm/teeth as a mixed number. Source: arithmetic.
    """
    for name, value, low, high in (("teeth_count", teeth_count, 3, 2000), ("worm_count", worm_count, 1, 720)):
        if not low <= value <= high:
            raise OutOfRange(name, value, low, high)
    whole, rest = divmod(worm_count, teeth_count)
    angle = 2.0 * math.pi / teeth_count
    for circle in sorted(circles):
        if (rest * circle) % teeth_count == 0:
            return Division(whole, rest * circle // teeth_count, circle, True, angle)
    circle = min(circles, key=lambda one: abs(rest * one / teeth_count - round(rest * one / teeth_count)) / one)
    return Division(whole, round(rest * circle / teeth_count), circle, False, angle)


def wheel_cutter(
    wheel_count: int, pinion_count: int, *, module_m: float, shortening_ratio: float = 0.95
) -> CutterSizes:
    """Blank and cutter of a wheel that drives this pinion; module in metres [m], 1e-5 to 0.05.

    The flanks below the pitch circle are radial, so the space narrows to the root.
    """
    height = addendum_ratio(wheel_count=wheel_count, pinion_count=pinion_count, shortening_ratio=shortening_ratio)
    return _sizes(wheel_count, module_m, height, _ROOT_WHEEL_MODULES, math.pi / 2.0)


def pinion_cutter(pinion_count: int, *, module_m: float, wheel_addendum_ratio: float) -> CutterSizes:
    """Blank and cutter of a pinion with round-ended leaves; module in metres [m], 1e-5 to 0.05.

    The space is deep enough for a wheel's tooth of that height, in modules, and 0.4 more.
    """
    thickness = leaf_thickness_ratio(pinion_count=pinion_count)
    return _sizes(pinion_count, module_m, thickness / 2.0, wheel_addendum_ratio + _CLEARANCE_MODULES, thickness)


def _sizes(count: int, module_m: float, height: float, root: float, thickness: float) -> CutterSizes:
    pitch = pitch_diameter_m(teeth_count=count, module_m=module_m)
    root_diameter = pitch - 2.0 * root * module_m
    space = math.pi * module_m - thickness * module_m
    return CutterSizes(
        outside_diameter_m(teeth_count=count, module_m=module_m, addendum_ratio=height),
        root_diameter,
        (height + root) * module_m,
        space,
        space * root_diameter / pitch,
    )

"""Lock and drop of pallets as they come at measured centres, against those they were drawn for.

The wheel turns clockwise below the pallets; a tooth locks and leaves where its tip lies as far from the pallet centre
as the face's corner, which the swing of the anchor does not change. So both drops follow from the wheel's angles at the
two radii, and each lock from where the corner stands when the tooth on the other side leaves.

Limits: points for tips, dead faces, no shake of either arbor. Source: triangle of wheel centre, pallet centre and tip.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from underdial.errors import BadInput


@dataclass(frozen=True, slots=True)
class AsSet:
    """Drop of the wheel before it locks on each pallet, and the lock it finds there (at the pallets); a lock below
    nought trips, a drop below nought binds.
    """

    entry_drop_rad: float
    exit_drop_rad: float
    entry_lock_rad: float
    exit_lock_rad: float


def pallets_as_set(
    *,
    escape_count: int,
    radius_m: float,
    span_teeth: float,
    outer_m: float,
    inner_m: float,
    lift_rad: float,
    lock_rad: float,
    centres_m: float,
) -> AsSet:
    """Drops and locks at centres that are not those of the drawing.

    Parameters
    ----------
    escape_count : int
        Teeth of the escape wheel, 6 to 200.
    radius_m : float
        Radius of the wheel over its teeth [m], 0.0005 to 1.
    span_teeth : float
        Spaces between the pallets, 1.5 to 99.5.
    outer_m : float
        Larger radius of the faces about the pallet centre [m], 0.0001 to 2.
    inner_m : float
        Smaller radius of the faces [m], 0.0001 to 2.
    lift_rad : float
        Lift that was drawn [rad], 0.001 to 0.5.
    lock_rad : float
        Lock that was drawn [rad], 0 to 0.2.
    centres_m : float
        Distance of the centres as measured [m], 0.0005 to 2.

    Returns
    -------
    AsSet
        Both drops at the wheel, both locks at the pallets.

    Raises
    ------
    BadInput
        At these centres a tooth does not reach a face at all.

    Notes
    ----- With the wheel's angle a from the line of centres at which a tip is r from the pallet centre, and the pallets'
    angle b there: entry drop k pitch - 2 a(outer), exit drop 2 a(inner) - k pitch, locks 2 b(r) - 2 b(drawn) + lock;
    exact. Source: derived.
    """
    pitch = 2.0 * math.pi / escape_count
    tangent = math.pi / 2.0 - span_teeth * pitch / 2.0

    def at(radius: float) -> tuple[float, float]:
        cosine = (radius_m**2 + centres_m**2 - radius**2) / (2.0 * radius_m * centres_m)
        if not -1.0 < cosine < 1.0:
            raise BadInput(
                "centres",
                f"{centres_m * 1e3:g} mm",
                "centres at which the teeth reach the pallets",
                f"centres: at {centres_m * 1e3:g} mm the teeth do not reach the pallets.",
            )
        wheel = math.acos(cosine)
        return wheel, math.atan2(radius_m * math.sin(wheel), centres_m - radius_m * math.cos(wheel))

    (far, far_lean), (near, near_lean) = at(outer_m), at(inner_m)
    return AsSet(
        (span_teeth + 0.5) * pitch - 2.0 * far,
        2.0 * near - (span_teeth - 0.5) * pitch,
        2.0 * (far_lean - tangent) + lock_rad,
        2.0 * (near_lean - tangent) + lock_rad,
    )

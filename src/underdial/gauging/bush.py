"""A worn pivot hole: its true centre, the bore for the pivot, the fit of the bush, and what the wear did to the depth.

Wear stretches the hole one way; its short axis is still the hole as made. The middle of the worn hole lies half the
stretch from the true centre, towards the wear. Diameters throughout; interference is on the diameter.

Limits: the wear lies in one direction; elastic press fit (`mechanics.press_fit`), refused above the yield stress.
Sources: geometry; [Timoshenko1956]_ part II, ch. VI.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from underdial.errors import BadInput
from underdial.mechanics.pivot_hole import clearance_m as clearance_for_lean_m
from underdial.mechanics.press_fit import bore_closes_m, hoop_pa, pressure_pa, push_out_n
from underdial.uncertain import Uncertain, propagate

# Least wall of a bush beside its bore, so that broaching does not open it. Judgement of the bench.
LEAST_WALL_M = 0.4e-3


@dataclass(frozen=True, slots=True)
class TrueCentre:
    """Where the centre of the hole was: how far from the middle of the worn hole, towards which angle, and the smallest
    bush, centred there, that takes all the wear away."""

    offset_m: Uncertain
    toward_rad: float
    cleans_up_m: Uncertain


@dataclass(frozen=True, slots=True)
class PressFit:
    """The fit: pressure, force to push it out, closing of the bore, hoop stress at the bore, bore to make before
    pressing.
    """

    pressure_pa: Uncertain
    push_out_n: Uncertain
    bore_closes_m: Uncertain
    bore_before_m: Uncertain
    hoop_pa: Uncertain


@dataclass(frozen=True, slots=True)
class StockBush:
    """One line of the shop's list of bushes."""

    name: str
    outside_m: float
    bore_m: float
    length_m: float


def bore(
    *,
    pivot_m: Uncertain,
    clearance_m: Uncertain | None = None,
    lean_rad: Uncertain | None = None,
    plate_m: Uncertain | None = None,
) -> tuple[Uncertain, Uncertain]:
    """Bore for a pivot and its clearance, by a clearance given or by the lean it shall allow over the plate.

    Parameters
    ----------
    pivot_m : Uncertain
        Diameter of the pivot [m].
    clearance_m : Uncertain or None
        Hole less pivot, on the diameter.
    lean_rad : Uncertain or None
        Lean one way from upright, in place of the clearance.
    plate_m : Uncertain or None
        Thickness of the plate, needed with a lean.

    Returns
    -------
    tuple of Uncertain and Uncertain
        Bore and clearance [m].

    Raises
    ------
    BadInput
        Neither or both of clearance and lean are given, or a lean without its plate.
    """
    if (clearance_m is None) == (lean_rad is None):
        raise BadInput(
            "clearance",
            "neither" if clearance_m is None else "both",
            "--clearance or --lean, one of the two",
            "clearance: give either --clearance or --lean; opinions on both differ, so none is taken for granted.",
        )
    if lean_rad is not None:
        if plate_m is None:
            raise BadInput("plate", "nothing", "a thickness, such as 1.6mm")
        clearance_m = propagate(
            clearance_for_lean_m,
            {"lean_rad": lean_rad.value, "plate_m": plate_m.value},
            {"lean_rad": lean_rad.u, "plate_m": plate_m.u},
        )
    assert clearance_m is not None
    return Uncertain(pivot_m.value + clearance_m.value, math.hypot(pivot_m.u, clearance_m.u)), clearance_m


def true_centre(*, hole_m: Uncertain, hole_long_m: Uncertain, worn_toward_rad: float) -> TrueCentre:
    """True centre of a worn hole from its two axes and the direction of the wear.

    Parameters
    ----------
    hole_m, hole_long_m : Uncertain
        Short and long axis of the worn hole [m].
    worn_toward_rad : float
        Direction of the wear, clockwise seen from the dial, 0 at twelve [rad].

    Returns
    -------
    TrueCentre
        Offset from the middle of the worn hole, its direction (against the wear), smallest bush that cleans up.

    Raises
    ------
    BadInput
        The long axis is shorter than the short one.

    Notes
    -----
    (long - short)/2 against the wear; the far end lies long - short/2 from the true centre. Source: geometry.
    """
    if hole_long_m.value < hole_m.value:
        raise BadInput(
            "hole_long",
            hole_long_m.value,
            "the longer of the two axes",
            f"hole_long: {hole_long_m.value * 1e3:g} mm is shorter than the hole's short axis, "
            f"{hole_m.value * 1e3:g} mm.",
        )
    offset = Uncertain((hole_long_m.value - hole_m.value) / 2.0, math.hypot(hole_m.u, hole_long_m.u) / 2.0)
    cleans = Uncertain(2.0 * hole_long_m.value - hole_m.value, math.hypot(2.0 * hole_long_m.u, hole_m.u))
    return TrueCentre(offset, (worn_toward_rad + math.pi) % (2.0 * math.pi), cleans)


def press_fit(
    *,
    outside_m: Uncertain,
    bore_m: Uncertain,
    interference_m: Uncertain,
    plate_m: Uncertain,
    friction_ratio: Uncertain,
    modulus_pa: float = 100e9,
    poisson_ratio: float = 0.3,
) -> PressFit:
    """Press fit of a bush of the plate's own metal.

    Parameters
    ----------
    outside_m, bore_m, interference_m, plate_m, friction_ratio : Uncertain
        Diameters, interference on the diameter, thickness of the plate, friction of the fit.
    modulus_pa : float
        Modulus of bush and plate [Pa], 1e9 to 1e12.
    poisson_ratio : float
        Poisson's ratio of both, 0 to 0.5.

    Returns
    -------
    PressFit
        Pressure, push-out, closing, bore before pressing, hoop stress, each with its uncertainty.

    Raises
    ------
    OutOfRange
        The bore is not smaller than the outside.

    Notes
    -----
    Source: [Timoshenko1956]_ part II, ch. VI.
    """
    values = {
        "outside_m": outside_m.value,
        "bore_m": bore_m.value,
        "interference_m": interference_m.value,
        "plate_m": plate_m.value,
        "friction_ratio": friction_ratio.value,
    }
    us = {
        "outside_m": outside_m.u,
        "bore_m": bore_m.u,
        "interference_m": interference_m.u,
        "plate_m": plate_m.u,
        "friction_ratio": friction_ratio.u,
    }

    def pressure(**v: float) -> float:
        return pressure_pa(
            interference_m=v["interference_m"],
            outside_m=v["outside_m"],
            bore_m=v["bore_m"],
            modulus_bush_pa=modulus_pa,
            modulus_plate_pa=modulus_pa,
            poisson_bush_ratio=poisson_ratio,
            poisson_plate_ratio=poisson_ratio,
        )

    def push_out(**v: float) -> float:
        return push_out_n(
            pressure_pa=pressure(**v),
            outside_m=v["outside_m"],
            plate_m=v["plate_m"],
            friction_ratio=v["friction_ratio"],
        )

    def closes(**v: float) -> float:
        return bore_closes_m(
            pressure_pa=pressure(**v), outside_m=v["outside_m"], bore_m=v["bore_m"], modulus_bush_pa=modulus_pa
        )

    def hoop(**v: float) -> float:
        return hoop_pa(pressure_pa=pressure(**v), outside_m=v["outside_m"], bore_m=v["bore_m"])

    return PressFit(
        propagate(pressure, values, us),
        propagate(push_out, values, us),
        propagate(closes, values, us),
        propagate(lambda **v: v["bore_m"] + closes(**v), values, us),
        propagate(hoop, values, us),
    )


def depth_change_m(*, offset_m: float, toward_rad: float, mate_toward_rad: float, centre_distance_m: float) -> float:
    """Change of the centre distance when a hole's centre moves.

    Parameters
    ----------
    offset_m : float
        How far the centre moves [m], 0 to 0.01.
    toward_rad : float
        Which way it moves, clockwise seen from the dial [rad], -7 to 7.
    mate_toward_rad : float
        Direction from this hole to the arbor it meshes with [rad], -7 to 7.
    centre_distance_m : float
        Distance of the two arbors before [m], 0.0005 to 1.

    Returns
    -------
    float
        Change, + too far apart [m].

    Notes
    -----
    Exact: the distance after less the distance before. Source: geometry.
    """
    along = offset_m * math.cos(toward_rad - mate_toward_rad)
    across = offset_m * math.sin(toward_rad - mate_toward_rad)
    return math.hypot(centre_distance_m - along, across) - centre_distance_m


def choose_bush(
    stock: Iterable[StockBush], *, bore_m: float, cleans_up_m: float, plate_m: float, wall_m: float = LEAST_WALL_M
) -> tuple[StockBush | None, tuple[tuple[StockBush, str], ...]]:
    """The smallest bush of the shop's list that will do, and why each of the others will not.

    Parameters
    ----------
    stock : iterable of StockBush
        The list the shop keeps.
    bore_m : float
        Bore wanted [m], 1e-5 to 0.1.
    cleans_up_m : float
        Outside diameter that takes the wear away [m], 0 to 0.1.
    plate_m : float
        Thickness of the plate [m], 1e-5 to 0.1.
    wall_m : float
        Least wall left beside the bore [m], 0 to 0.01.

    Returns
    -------
    tuple of StockBush or None, and tuple of (StockBush, str)
        The choice; the others, each with one reason.

    Notes
    ----- A bore below the wanted one is broached out; a longer bush is faced off. Judgement: least metal taken from the
    plate.
    """
    fits, others = [], []
    for one in stock:
        if one.outside_m < cleans_up_m:
            others.append((one, f"leaves wear: {cleans_up_m * 1e3:.2f} mm outside cleans up"))
        elif one.bore_m > bore_m:
            others.append((one, "bore too large"))
        elif one.outside_m - bore_m < 2.0 * wall_m:
            others.append((one, f"wall below {wall_m * 1e3:.1f} mm once opened"))
        elif one.length_m < plate_m:
            others.append((one, "shorter than the plate is thick"))
        else:
            fits.append(one)
    fits.sort(key=lambda one: (one.outside_m, bore_m - one.bore_m, one.length_m))
    return (fits[0] if fits else None), (*((one, "larger than need be") for one in fits[1:]), *others)

"""Compensated pendulums: lengths of two metals, or of mercury, that keep the centre of oscillation in its place.

Everything that lets the bob down (rod, hook) is balanced by what lifts it (tube, bob standing on its foot, mercury).
Lengths and expansions are taken as they come; a list of lengths goes with a list of expansions.

First order; the bob's own moment and the second-order shift of the centre of oscillation are left out, some 2 to 5 %
of the compensator's length. Sources: [Grimthorpe1903]_ p. 55 to 69; [Goodrich1905]_ ch. III, IV; [Britannica1910]_.
"""

from __future__ import annotations

from collections.abc import Sequence

from underdial.errors import BadInput, OutOfRange
from underdial.formula import formula


@formula("growth")
def growth_m(lengths_m: Sequence[float], expansions_per_k: Sequence[float], change_k: float = 1.0) -> float:
    """How much several lengths of different materials grow together.

    Parameters
    ----------
    lengths_m : list of float
        Lengths, one after the other, negative where they work the other way [m], -1000 to 1000.
    expansions_per_k : list of float
        Linear expansion of each [1/K], -0.001 to 0.01.
    change_k : float
        Change of temperature, + warmer [K], -2000 to 2000.

    Returns
    -------
    float
        Growth [m].

    Notes
    -----
    First order. Source: [Goodrich1905]_ ch. III.
    """
    if len(lengths_m) != len(expansions_per_k):
        raise BadInput("expansions_per_k", len(expansions_per_k), f"as many as there are lengths, {len(lengths_m)}")
    return sum(length * alpha for length, alpha in zip(lengths_m, expansions_per_k, strict=True)) * change_k


@formula("compensating_tube")
def compensating_tube_m(
    down_lengths_m: Sequence[float],
    down_expansions_per_k: Sequence[float],
    up_lengths_m: Sequence[float],
    up_expansions_per_k: Sequence[float],
    *,
    tube_expansion_per_k: float,
    sleeve_expansion_per_k: float,
) -> float:
    """Length of the tube that lifts the bob as much as everything else lets it down.

    Parameters
    ----------
    down_lengths_m : list of float
        Lengths that let the bob down (rod, hook) [m], 0 to 1000.
    down_expansions_per_k : list of float
        Their linear expansions [1/K], -0.001 to 0.01.
    up_lengths_m : list of float
        Lengths that lift it already (a bob standing on its foot) [m], 0 to 1000.
    up_expansions_per_k : list of float
        Their linear expansions [1/K], -0.001 to 0.01.
    tube_expansion_per_k : float
        Linear expansion of the tube (zinc) [1/K], 0 to 0.01.
    sleeve_expansion_per_k : float
        Linear expansion of the tube around it that lets the bob down again (iron); 0 when there is none [1/K], 0 to
        0.01.

    Returns
    -------
    float
        Length of the tube [m].

    Raises
    ------
    OutOfRange
        The tube does not grow more than the sleeve, so that no length will do.

    Notes
    -----
    tube z + up = down + sleeve z, solved for z; first order. Source: [Grimthorpe1903]_ p. 56 to 62.
    """
    if tube_expansion_per_k <= sleeve_expansion_per_k:
        raise OutOfRange("tube_expansion_per_k", tube_expansion_per_k, sleeve_expansion_per_k, 0.01, "1/K")
    down = growth_m(down_lengths_m, down_expansions_per_k)
    up = growth_m(up_lengths_m, up_expansions_per_k)
    return (down - up) / (tube_expansion_per_k - sleeve_expansion_per_k)


@formula("mercury_rise")
def mercury_rise_ratio(*, mercury_by_volume_ratio: float, jar_by_length_ratio: float) -> float:
    """Rise of a mercury column in a jar that itself widens.

    Parameters
    ----------
    mercury_by_volume_ratio : float
        Growth of the mercury's volume over a span of temperature, as a ratio, 0 to 1.
    jar_by_length_ratio : float
        Growth of the jar's width over the same span, as a ratio, 0 to 0.1.

    Returns
    -------
    float
        Rise of the column over the span, as a ratio of its height.

    Notes
    -----
    Volume growth less growth of the jar's section. Source: [Goodrich1905]_ ch. IV.
    """
    return mercury_by_volume_ratio - ((1.0 + jar_by_length_ratio) ** 2 - 1.0)


@formula("mercury_half_height")
def mercury_half_height_m(*, pendulum_m: float, rod_per_k: float, rise_per_k: float) -> float:
    """Half the height of the mercury whose rise cancels the growth of a rod that reaches to the jar's foot.

    Parameters
    ----------
    pendulum_m : float
        Pivot to the middle of the mercury [m], 0.01 to 20.
    rod_per_k : float
        Linear expansion of the rod [1/K], 0 to 0.01.
    rise_per_k : float
        Rise of the mercury in its jar, as a ratio of its height [1/K], 0 to 0.01.

    Returns
    -------
    float
        Half height [m].

    Raises
    ------
    OutOfRange
        The mercury does not rise faster than the rod grows.

    Notes
    -----
    rise x = rod (pendulum + x); first order. Source: [Grimthorpe1903]_ p. 66.
    """
    if rise_per_k <= rod_per_k:
        raise OutOfRange("rise_per_k", rise_per_k, rod_per_k, 0.01, "1/K")
    return rod_per_k * pendulum_m / (rise_per_k - rod_per_k)


@formula("mercury_height")
def mercury_height_m(*, pendulum_m: float, rod_per_k: float, mercury_per_k: float, jar_per_k: float) -> float:
    """Height of the mercury, from the volume growth of mercury and the jar's expansion.

    Parameters
    ----------
    pendulum_m : float
        Pivot to centre of oscillation [m], 0.01 to 20.
    rod_per_k : float
        Linear expansion of the rod [1/K], 0 to 0.01.
    mercury_per_k : float
        Expansion of mercury by volume [1/K], 0 to 0.01.
    jar_per_k : float
        Linear expansion of the jar [1/K], 0 to 0.01.

    Returns
    -------
    float
        Height of the column [m].

    Raises
    ------
    OutOfRange
        The mercury does not rise faster than jar and rod grow.

    Notes
    -----
    (x/2)(mercury - 2 jar - rod) = rod pendulum; first order. Source: [Britannica1910]_ art. Clock.
    """
    left = mercury_per_k - 2.0 * jar_per_k - rod_per_k
    if left <= 0.0:
        raise OutOfRange("mercury_per_k", mercury_per_k, 2.0 * jar_per_k + rod_per_k, 0.01, "1/K")
    return 2.0 * rod_per_k * pendulum_m / left


@formula("mercury_half_height_on_rod")
def mercury_half_height_on_rod_m(*, rod_m: float, rod_per_k: float, rise_per_k: float) -> float:
    """Half the height of the mercury from the whole rod down to the foot of the jar.

    Parameters
    ----------
    rod_m : float
        Pivot to foot of the mercury [m], 0.01 to 20.
    rod_per_k : float
        Linear expansion of the rod [1/K], 0 to 0.01.
    rise_per_k : float
        Rise of the centre of oscillation for each length of half height [1/K], 1e-9 to 0.01.

    Returns
    -------
    float
        Half height [m].

    Notes
    -----
    Rod growth over rise; first order. Source: [Grimthorpe1903]_ p. 69.
    """
    return rod_m * rod_per_k / rise_per_k

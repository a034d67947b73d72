"""Where a bob has to hang on its rod, and what a turn of the nut does when the rod is not without weight.

The centre of oscillation of bob and rod together lies above the middle of the bob or below it, by the rod's weight and
the bob's own width. Limits: a uniform rod from the point of suspension, a bob that turns with it, small swings.
Source: [Huygens1673]_ part IV; derived.
"""

from __future__ import annotations

import math

from underdial.errors import OutOfRange
from underdial.formula import formula


@formula("bob_place")
def bob_place(
    *, length_m: float, bob_kg: float, bob_gyration_m: float = 0.0, rod_kg: float = 0.0, rod_m: float = 0.0
) -> tuple[float, float]:
    """Depth of a bob's middle for a wanted length, and how far the centre of oscillation follows when the bob moves.

    Parameters
    ----------
    length_m : float
        Pivot to centre of oscillation that is wanted [m], 0.001 to 100.
    bob_kg : float
        Mass of the bob [kg], 1e-6 to 1e5.
    bob_gyration_m : float
        Radius of gyration of the bob about its own middle [m], 0 to 10.
    rod_kg : float
        Mass of the rod [kg], 0 to 1e4.
    rod_m : float
        Length of the rod from the pivot [m], 0 to 100.

    Returns
    -------
    depth_m : float
        Pivot to the middle of the bob [m].
    follows_ratio : float
        Move of the centre of oscillation over the move of the bob.

    Raises
    ------
    OutOfRange
        The bob is too light, or too wide, to bring the whole to this length.

    Notes
    -----
    Larger root d of M d^2 - L M d + M k^2 + m r^2/3 - L m r/2 = 0; follows (2 d - L) M / (M d + m r/2). Exact.
    Source: [Huygens1673]_ part IV.
    """
    first, second = rod_kg * rod_m / 2.0, rod_kg * rod_m**2 / 3.0
    under = length_m**2 - 4.0 * (bob_gyration_m**2 + (second - length_m * first) / bob_kg)
    if under < 0.0:
        # The shortest is where the root vanishes; the rod shortens by its own share what the bob's width asks for.
        share = 2.0 * first / bob_kg
        least = math.sqrt(share**2 + 4.0 * (bob_gyration_m**2 + second / bob_kg)) - share
        raise OutOfRange("length_m", length_m, least, 100.0, "m")
    depth = (length_m + math.sqrt(under)) / 2.0
    return depth, (2.0 * depth - length_m) * bob_kg / (bob_kg * depth + first)

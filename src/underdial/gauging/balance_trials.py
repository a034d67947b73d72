"""A balance measured by what it does: inertia from added screws, a hairspring counted and vibrated.

Two equal screws put opposite each other add a known moment; how far the beats fall tells the moment of the balance.
A spring held at a trial length beats so often; how far that is from the right number tells how much to let out.

Limits: the screws' own moment about their axes is a cylinder's, added where given; loss is left out (1/8Q^2).
Sources: [Defossez1950]_ ch. II and III.
"""

from __future__ import annotations

from underdial.errors import OutOfRange
from underdial.formula import formula


@formula("inertia_from_screws")
def inertia_from_screws_kg_m2(
    *,
    screw_kg: float,
    screws_count: float = 2.0,
    radius_m: float,
    beats_without_per_hour: float,
    beats_with_per_hour: float,
    screw_diameter_m: float = 0.0,
) -> float:
    """Moment of inertia of a balance from its beats without and with screws of known mass.

    Parameters
    ----------
    screw_kg : float
        Mass of one screw [kg], 1e-9 to 1.
    screws_count : float
        Screws added, evenly round, 1 to 40.
    radius_m : float
        From the staff to the middle of a screw [m], 1e-5 to 1.
    beats_without_per_hour : float
        Beats in an hour before [1/h], 1 to 200000.
    beats_with_per_hour : float
        Beats in an hour with the screws [1/h], 1 to 200000.
    screw_diameter_m : float
        Diameter of a screw, its axis along the radius, for its own moment; 0 leaves it out [m], 0 to 0.1.

    Returns
    -------
    float
        Moment of inertia without the screws [kg m2].

    Raises
    ------
    OutOfRange
        The beats did not fall.

    Notes
    ----- n m (r^2 + d^2/16) / ((N0/N1)^2 - 1); a screw lies along the radius, short against it. Source: [Defossez1950]_
    ch. II.
    """
    if beats_with_per_hour >= beats_without_per_hour:
        raise OutOfRange("beats_with_per_hour", beats_with_per_hour, 1.0, beats_without_per_hour, "1/h")
    added = screws_count * screw_kg * (radius_m**2 + screw_diameter_m**2 / 16.0)
    return added / ((beats_without_per_hour / beats_with_per_hour) ** 2 - 1.0)


@formula("vibrated_beats")
def vibrated_beats_per_hour(*, beats_count: float, time_s: float) -> float:
    """Beats in an hour from beats counted against a watch.

    Parameters
    ----------
    beats_count : float
        Beats (single swings) counted, 1 to 1e7.
    time_s : float
        Time they took [s], 1 to 1e6.

    Returns
    -------
    float
        Beats in an hour [1/h].

    Notes
    -----
    3600 n / t. Source: definition.
    """
    return 3600.0 * beats_count / time_s

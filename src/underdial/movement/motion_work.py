"""Motion work: the two meshes between minute hand and hour hand.

The cannon pinion drives the minute wheel, whose pinion drives the hour wheel: twelve to one, or twenty-four.
Exact arithmetic. Sources: [Goodrich1905]_ ch. XVI; [Grimthorpe1903]_ p. 297.
"""

from __future__ import annotations

from underdial.formula import formula


@formula("motion_work_ratio")
def motion_ratio(
    *, cannon_count: float, minute_wheel_count: float, minute_pinion_count: float, hour_wheel_count: float
) -> float:
    """Turns of the minute hand for one of the hour hand.

    Parameters
    ----------
    cannon_count : float
        Leaves of the cannon pinion, 1 to 500.
    minute_wheel_count : float
        Teeth of the minute wheel, 1 to 500.
    minute_pinion_count : float
        Leaves of the minute pinion, 1 to 500.
    hour_wheel_count : float
        Teeth of the hour wheel, 1 to 500.

    Returns
    -------
    float
        Ratio; 12 for a dial of twelve hours.

    Notes
    -----
    Exact. Source: [Goodrich1905]_ ch. XVI.
    """
    return minute_wheel_count / cannon_count * hour_wheel_count / minute_pinion_count


@formula("minute_pinion_leaves")
def minute_pinion_leaves(
    *, cannon_count: float, minute_wheel_count: float, hour_wheel_count: float, ratio: float = 12.0
) -> float:
    """Leaves of a missing minute pinion.

    Parameters
    ----------
    cannon_count : float
        Leaves of the cannon pinion, 1 to 500.
    minute_wheel_count : float
        Teeth of the minute wheel, 1 to 500.
    hour_wheel_count : float
        Teeth of the hour wheel, 1 to 500.
    ratio : float
        Turns of the minute hand for one of the hour hand, 1 to 48.

    Returns
    -------
    float
        Leaves; not a whole number when the counts do not belong together.

    Notes
    -----
    Exact. Source: [Goodrich1905]_ ch. XVI, solved for the pinion.
    """
    return minute_wheel_count * hour_wheel_count / (ratio * cannon_count)


@formula("wheel_for_ratio")
def wheel_for_ratio(*, pinion_count: float, ratio: float) -> float:
    """Teeth of a wheel from its pinion and the ratio of their turns.

    Parameters
    ----------
    pinion_count : float
        Leaves of the pinion, 1 to 500.
    ratio : float
        Turns of the pinion for one of the wheel, 0.01 to 1000.

    Returns
    -------
    float
        Teeth.

    Notes
    -----
    Exact. Source: [Goodrich1905]_ ch. XIV.
    """
    return pinion_count * ratio


@formula("hour_wheel_teeth")
def hour_wheel_teeth(
    *, cannon_count: float, minute_wheel_count: float, minute_pinion_count: float, ratio: float = 12.0
) -> float:
    """Teeth of a missing hour wheel.

    Parameters
    ----------
    cannon_count : float
        Leaves of the cannon pinion, 1 to 500.
    minute_wheel_count : float
        Teeth of the minute wheel, 1 to 500.
    minute_pinion_count : float
        Leaves of the minute pinion, 1 to 500.
    ratio : float
        Turns of the minute hand for one of the hour hand, 1 to 48.

    Returns
    -------
    float
        Teeth.

    Notes
    -----
    Exact. Source: [Goodrich1905]_ ch. XVI, solved for the wheel.
    """
    return ratio * cannon_count * minute_pinion_count / minute_wheel_count

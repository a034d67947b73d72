"""Weight drive: torque at the drum, work and power, weight for a torque.

Loss in line and pulley is left out unless an efficiency is given. Source: statics; [Goodrich1905]_ ch. XIV.
"""

from __future__ import annotations

from underdial.formula import formula


@formula("weight_torque")
def torque_n_m(
    *,
    mass_kg: float,
    drum_m: float,
    line_m: float = 0.0,
    falls_count: float = 1.0,
    g_m_per_s2: float = 9.80665,
    efficiency_ratio: float = 1.0,
) -> float:
    """Torque of a weight at its drum.

    Parameters
    ----------
    mass_kg : float
        Mass of the weight with its pulley [kg], 0 to 10000.
    drum_m : float
        Diameter of the drum [m], 0.001 to 5.
    line_m : float
        Diameter of the line [m], 0 to 0.05.
    falls_count : float
        Parts of line that carry the weight, 1 to 12.
    g_m_per_s2 : float
        Local gravity [m/s2], 0.1 to 30.
    efficiency_ratio : float
        Part left after line and pulley, 0.1 to 1.

    Returns
    -------
    float
        Torque [N m].

    Notes
    -----
    m g (drum + line) / (2 falls). Source: statics.
    """
    return mass_kg * g_m_per_s2 * (drum_m + line_m) / 2.0 / falls_count * efficiency_ratio


@formula("weight_for_torque")
def mass_for_torque_kg(
    *,
    torque_n_m: float,
    drum_m: float,
    line_m: float = 0.0,
    falls_count: float = 1.0,
    g_m_per_s2: float = 9.80665,
    efficiency_ratio: float = 1.0,
) -> float:
    """Weight that gives a torque at the drum: `weight_torque` read the other way.

    Parameters
    ----------
    torque_n_m : float
        Torque wanted [N m], 0 to 10000.
    drum_m : float
        Diameter of the drum [m], 0.001 to 5.
    line_m : float
        Diameter of the line [m], 0 to 0.05.
    falls_count : float
        Parts of line that carry the weight, 1 to 12.
    g_m_per_s2 : float
        Local gravity [m/s2], 0.1 to 30.
    efficiency_ratio : float
        Part left after line and pulley, 0.1 to 1.

    Returns
    -------
    float
        Mass [kg].

    Notes
    -----
    The torque solved for the mass. Source: statics.
    """
    return torque_n_m * falls_count * 2.0 / ((drum_m + line_m) * g_m_per_s2 * efficiency_ratio)


@formula("weight_power")
def mean_power_w(*, mass_kg: float, drop_m: float, going_time_d: float, g_m_per_s2: float = 9.80665) -> float:
    """Mean power that a falling weight gives a clock.

    Parameters
    ----------
    mass_kg : float
        Mass of the weight [kg], 0 to 10000.
    drop_m : float
        Fall of the weight [m], 0 to 200.
    going_time_d : float
        Going time [d], 0.001 to 10000.
    g_m_per_s2 : float
        Local gravity [m/s2], 0.1 to 30.

    Returns
    -------
    float
        Power [W].

    Notes
    -----
    m g h over the time. Source: definition of power.
    """
    return mass_kg * g_m_per_s2 * drop_m / (86400.0 * going_time_d)


@formula("weight_energy")
def energy_j(*, mass_kg: float, drop_m: float, g_m_per_s2: float = 9.80665) -> float:
    """Work that a falling weight does in one going.

    Parameters
    ----------
    mass_kg : float
        Mass of the weight [kg], 0 to 10000.
    drop_m : float
        Fall of the weight [m], 0 to 200.
    g_m_per_s2 : float
        Local gravity [m/s2], 0.1 to 30.

    Returns
    -------
    float
        Work [J].

    Notes
    -----
    m g h. Source: definition of work.
    """
    return mass_kg * g_m_per_s2 * drop_m


@formula("driving_ratio")
def driving_ratio(
    *, weight_kg: float, drop_m: float, pendulum_kg: float, length_m: float, going_time_d: float = 1.0
) -> float:
    """Work of the weight in a day over weight times length of the pendulum, a measure of how hard a clock is driven.

    Parameters
    ----------
    weight_kg : float
        Mass of the driving weight [kg], 0 to 10000.
    drop_m : float
        Fall in the going time [m], 0 to 200.
    pendulum_kg : float
        Mass of the pendulum [kg], 0.001 to 10000.
    length_m : float
        Length of the pendulum [m], 0.001 to 100.
    going_time_d : float
        Going time [d], 0.01 to 10000.

    Returns
    -------
    float
        Ratio for a day; about 1/30 in the best astronomical clocks.

    Notes
    -----
    W h / M l. Source: [Grimthorpe1903]_ p. 90.
    """
    return weight_kg * drop_m / going_time_d / (pendulum_kg * length_m)

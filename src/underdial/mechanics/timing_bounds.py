"""How well a rate can be known from beat times: bounds that no method can beat.

White, independent timing errors. Sources: Fisher information of a line (derived); [RifeBoorstyn1974]_ for a tone.
"""

from __future__ import annotations

import math

from underdial.formula import formula


@formula("rate_bound")
def rate_bound_s_per_day(*, sigma_s: float, beats_count: float, beat_s: float) -> float:
    """Least standard uncertainty of a rate from beat times.

    Parameters
    ----------
    sigma_s : float
        Standard deviation of one beat time [s], 0 to 10.
    beats_count : float
        Beat times, equally spaced, 2 to 1e12.
    beat_s : float
        Time between two beats [s], 1e-6 to 1e6.

    Returns
    -------
    float
        Standard uncertainty of the rate [s/day].

    Notes
    -----
    86400 sigma sqrt(12/(N (N^2 - 1)))/beat; the least-squares line reaches it. Source: derived (Fisher information).
    """
    n = beats_count
    return 86400.0 * sigma_s * math.sqrt(12.0 / (n * (n * n - 1.0))) / beat_s


@formula("beats_for_rate_bound")
def beats_for_bound_count(*, sigma_s: float, beat_s: float, rate_u_s_per_day: float) -> float:
    """Beats to be timed for a wanted uncertainty of the rate: `rate_bound` read the other way.

    Parameters
    ----------
    sigma_s : float
        Standard deviation of one beat time [s], 1e-12 to 10.
    beat_s : float
        Time between two beats [s], 1e-6 to 1e6.
    rate_u_s_per_day : float
        Standard uncertainty wanted [s/day], 1e-12 to 1e6.

    Returns
    -------
    float
        Beats, not rounded.

    Notes
    -----
    Real root of N^3 - N = 12 (86400 sigma/(beat u))^2 by Newton from above. Source: derived.
    """
    c = 12.0 * (86400.0 * sigma_s / (beat_s * rate_u_s_per_day)) ** 2
    n = max(2.0, math.pow(c, 1.0 / 3.0) + 1.0)
    for _ in range(60):
        n -= (n**3 - n - c) / (3.0 * n * n - 1.0)
    return n


@formula("two_ends_loss")
def two_ends_loss_ratio(*, beats_count: float) -> float:
    """How much worse a rate is from the first and last beat alone than from all of them.

    Parameters
    ----------
    beats_count : float
        Beat times, 2 to 1e12.

    Returns
    -------
    float
        Ratio of the standard uncertainties, 1 or more.

    Notes
    -----
    sqrt(2)/(N - 1) over sqrt(12/(N (N^2 - 1))); sqrt(N/6) for many beats. Source: derived.
    """
    n = beats_count
    return math.sqrt(2.0) / (n - 1.0) / math.sqrt(12.0 / (n * (n * n - 1.0)))


@formula("tone_bound")
def tone_bound_rad(*, samples_count: float, amplitude_ratio: float, sigma_ratio: float) -> float:
    """Least standard uncertainty of a real tone's frequency, in radians a sample.

    Parameters
    ----------
    samples_count : float
        Samples, 4 to 1e12.
    amplitude_ratio : float
        Amplitude of the tone over full scale, 1e-12 to 1e12.
    sigma_ratio : float
        Standard deviation of the noise in a sample over full scale, 0 to 1e12.

    Returns
    -------
    float
        Standard uncertainty of the frequency [rad].

    Notes
    -----
    sqrt(24 sigma^2/(A^2 N (N^2 - 1))); phase and amplitude unknown, many cycles. Source: [RifeBoorstyn1974]_.
    """
    n = samples_count
    return math.sqrt(24.0 * sigma_ratio**2 / (amplitude_ratio**2 * n * (n * n - 1.0)))

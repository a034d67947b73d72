"""Statistics of rates: the Allan family, phase from frequency, mean and spread, a known test sequence.

Frequencies are relative (or in any unit, which the answer then has), equally spaced; the phase is their running sum
over the sampling rate, from nought. Values agree with the published test sets to seven digits.

Source: [NISTSP1065]_ s. 5.2 (definitions), s. 12.4 (test set).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from underdial.errors import BadInput, OutOfRange
from underdial.formula import formula

FloatArray = npt.NDArray[np.float64]
KINDS = ("adev", "oadev", "mdev", "tdev", "hdev", "ohdev", "totdev")


@formula("allan")
def allan(kind: str, frequency: Sequence[float], taus: Sequence[float], *, rate_hz: float = 1.0) -> list[float]:
    """Allan deviation, or one of its kin, at averaging times.

    Parameters
    ----------
    kind : str
        adev, oadev, mdev, tdev, hdev, ohdev or totdev.
    frequency : list of float
        Relative frequencies, equally spaced, three or more.
    taus : list of float
        Averaging times, whole multiples of the spacing [s], 1e-6 to 1e12.
    rate_hz : float
        Frequencies in a second [Hz], 1e-9 to 1e9.

    Returns
    -------
    list of float
        Deviation at each averaging time; for tdev in seconds.

    Raises
    ------
    BadInput
        The kind is unknown, or an averaging time is no whole multiple of the spacing.
    OutOfRange
        An averaging time is too long for the record.

    Notes
    -----
    Source: [NISTSP1065]_ s. 5.2.
    """
    if kind not in KINDS:
        raise BadInput("kind", kind, ", ".join(KINDS))
    phase = np.asarray(phase_from_frequency(frequency, rate_hz=rate_hz))
    return [_deviation(kind, phase, tau, rate_hz) for tau in taus]


@formula("phase_from_frequency")
def phase_from_frequency(frequency: Sequence[float], *, rate_hz: float = 1.0, less_mean: int = 0) -> list[float]:
    """Phase as the running sum of frequencies, from nought.

    Parameters
    ----------
    frequency : list of float
        Relative frequencies, equally spaced.
    rate_hz : float
        Frequencies in a second [Hz], 1e-9 to 1e9.
    less_mean : int
        1 takes the mean off first, 0 does not, 0 to 1.

    Returns
    -------
    list of float
        Phase, one value more than frequencies [s].

    Notes
    -----
    Source: [NISTSP1065]_ s. 3.
    """
    values = np.asarray(frequency, dtype=np.float64)
    if less_mean:
        values = values - values.mean()
    return [0.0, *(np.cumsum(values) / rate_hz).tolist()]


@formula("mean_and_spread")
def mean_and_spread(values: Sequence[float]) -> tuple[float, float, float, float]:
    """Mean, standard deviation, largest and least of readings.

    Parameters
    ----------
    values : list of float
        Readings, two or more.

    Returns
    -------
    mean : float
        Mean.
    deviation : float
        Standard deviation with n - 1.
    largest : float
        Largest.
    least : float
        Least.

    Raises
    ------
    BadInput
        There are fewer than two readings.

    Notes
    -----
    Source: [GUM2008]_ 4.2.
    """
    if len(values) < 2:
        raise BadInput("values", len(values), "two readings or more")
    array = np.asarray(values, dtype=np.float64)
    return float(array.mean()), float(array.std(ddof=1)), float(array.max()), float(array.min())


@formula("test_sequence")
def known_sequence(*, first: int, multiplier: int = 16807, modulus: int = 2147483647, count: int = 1000) -> list[int]:
    """The whole numbers of the published test set for stability programs: each is the last times a factor, modulo.

    Parameters
    ----------
    first : int
        First number, 1 to 2147483646.
    multiplier : int
        Factor, 2 to 2147483646.
    modulus : int
        Modulus, 3 to 4294967296.
    count : int
        Numbers wanted, the first among them, 1 to 10000000.

    Returns
    -------
    list of int
        Numbers.

    Notes
    -----
    Exact. Source: [NISTSP1065]_ s. 12.4.
    """
    numbers = [int(first)]
    for _ in range(int(count) - 1):
        numbers.append(numbers[-1] * int(multiplier) % int(modulus))
    return numbers


@formula("test_frequencies")
def known_frequency_ratios(
    *, first: int = 1234567890, multiplier: int = 16807, modulus: int = 2147483647, count: int = 1000
) -> list[float]:
    """The published test set as numbers between nought and one.

    Parameters
    ----------
    first : int
        First number, 1 to 2147483646.
    multiplier : int
        Factor, 2 to 2147483646.
    modulus : int
        Modulus, 3 to 4294967296.
    count : int
        Numbers wanted, 1 to 10000000.

    Returns
    -------
    list of float
        Numbers over the modulus.

    Notes
    -----
    Source: [NISTSP1065]_ s. 12.4.
    """
    return [one / modulus for one in known_sequence(first=first, multiplier=multiplier, modulus=modulus, count=count)]


@formula("drift")
def drift_per_day(days_d: Sequence[float], rates_s_per_day: Sequence[float]) -> tuple[float, float]:
    """Drift of a rate: how much it changes in a day, with its standard uncertainty.

    Parameters
    ----------
    days_d : list of float
        Times of the readings [d], -1e6 to 1e6.
    rates_s_per_day : list of float
        Rates, + gains [s/day], -1e6 to 1e6.

    Returns
    -------
    drift : float
        Change of the rate in a day [s/day/d].
    drift_u : float
        Its standard uncertainty from the scatter about the line [s/day/d].

    Raises
    ------
    BadInput
        There are fewer than three readings, or all at one time.

    Notes
    -----
    Least squares; the uncertainty holds for scatter that is independent from reading to reading.
    Source: [GUM2008]_ H.3.
    """
    from underdial.mechanics.line_fit import line_fit

    found = line_fit(days_d, rates_s_per_day)
    return found.slope, found.slope_u


def _deviation(kind: str, x: FloatArray, tau: float, rate_hz: float) -> float:
    m = round(tau * rate_hz)
    if m < 1 or abs(m - tau * rate_hz) > 1e-9 * max(1.0, m):
        raise BadInput("taus", tau, f"whole multiples of {1.0 / rate_hz:g} s")
    order = 3 if kind.endswith("hdev") else 2
    longest = (len(x) - 1) // (3 if kind in ("hdev", "ohdev", "mdev", "tdev") else 2)
    if kind == "totdev":
        longest = len(x) - 2
    if m > longest or len(x) <= order * m:
        raise OutOfRange("taus", tau, 1.0 / rate_hz, max(1, longest) / rate_hz, "s")
    span = m / rate_hz
    if kind == "totdev":
        whole = np.concatenate((2.0 * x[0] - x[m:0:-1], x, 2.0 * x[-1] - x[-2 : -m - 2 : -1]))
        inner = np.arange(1, len(x) - 1) + m
        return float(np.sqrt(np.mean((whole[inner - m] - 2.0 * whole[inner] + whole[inner + m]) ** 2) / 2.0) / span)
    step = m if kind in ("adev", "hdev") else 1
    y = x[::m] if step == m and m > 1 else x
    lag = 1 if step == m and m > 1 else m
    if order == 3:
        third = y[3 * lag :] - 3.0 * y[2 * lag : -lag] + 3.0 * y[lag : -2 * lag] - y[: -3 * lag]
        return float(np.sqrt(np.mean(third**2) / 6.0) / span)
    second = y[2 * lag :] - 2.0 * y[lag:-lag] + y[: -2 * lag]
    if kind in ("mdev", "tdev"):
        total = np.concatenate(([0.0], np.cumsum(second)))
        second = (total[m:] - total[:-m]) / m
    deviation = float(np.sqrt(np.mean(second**2) / 2.0) / span)
    return deviation * span / 3.0**0.5 if kind == "tdev" else deviation

"""Rows of groups 9 to 13: statistics, uncertainty, runout, estimation, small networks."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from underdial.diagnosis import network
from underdial.gauging import circle
from underdial.mechanics import estimation, line_fit, rate_statistics, timing_bounds
from underdial.uncertain import Part, budget, correlated, coverage_factor, expanded_u, standard_u

from .convert import each, shop, si

Row = dict[str, Any]
ORDER = ("l_s_nm", "d_theta_C", "d2_nm", "d0_nm", "d1_nm", "d_alpha_per_C")


def _allan(i: Row) -> list[float]:
    frequency = (
        i["freq"]
        if "freq" in i
        else rate_statistics.known_frequency_ratios(
            first=i["n1"], multiplier=i["multiplier"], modulus=i["modulus"], count=i["count"]
        )
    )
    return rate_statistics.allan(i["kind"], frequency, i["taus_s"], rate_hz=i["rate_hz"])


def _part(given: Row) -> Part:
    u = given["u"] if "u" in given else standard_u(half_width=given["half_width"], shape=given["shape"])
    return Part(given["value"], u, given.get("df", math.inf))


def _end_gauge(
    l_s_nm: float,
    d0_nm: float,
    d1_nm: float,
    d2_nm: float,
    alpha_s_per_C: float,
    d_alpha_per_C: float,
    d_theta_C: float,
    theta_bar_C: float,
    Delta_C: float,
) -> float:
    """The measurement equation that the row itself gives; it is an input of the budget."""
    return (
        l_s_nm + d0_nm + d1_nm + d2_nm - l_s_nm * (d_alpha_per_C * (theta_bar_C + Delta_C) + alpha_s_per_C * d_theta_C)
    )


def _gauge_budget(i: Row) -> Any:
    return budget(_end_gauge, {name: _part(given) for name, given in i.items()})


def _impedance(i: Row) -> Any:
    models = [lambda v, a, phi: v / a * math.cos(phi), lambda v, a, phi: v / a * math.sin(phi), lambda v, a, phi: v / a]
    parts = {"v": _part(i["V"]), "a": _part(i["I"]), "phi": _part(i["phi"])}
    return correlated(models, parts, {("v", "a"): i["r_V_I"], ("v", "phi"): i["r_V_phi"], ("a", "phi"): i["r_I_phi"]})


def _harmonic(i: Row) -> tuple[list[float], list[float]]:
    return si(i["R_mm"], "mm"), si(i["angle_deg"], "deg")


def _three(row: list[float]) -> Row:
    return {"least_d": row[0], "likely_d": row[1], "most_d": row[2]}


def _path(i: Row) -> list[float]:
    mean, variance = estimation.chain_duration(*([row[k] for row in i["a_m_b"]] for k in range(3)))
    return [mean, estimation.done_by_probability(due_d=i["due"], mean_d=mean, variance_d2=variance)]


def _sprinkler(i: Row) -> list[float]:
    net = network.Network(
        (
            network.yes_no("cloudy", i["p_cloudy"]),
            network.yes_no("sprinkler", i["p_sprinkler_by_cloudy"], ["cloudy"]),
            network.yes_no("rain", i["p_rain_by_cloudy"], ["cloudy"]),
            network.yes_no("wet", i["p_wet_by_sprinkler_rain"], ["sprinkler", "rain"]),
        )
    )
    wet = {"wet": 1}
    return [
        float(network.posterior(net, "sprinkler", wet)[1]),
        float(network.posterior(net, "rain", wet)[1]),
        float(network.posterior(net, "sprinkler", {**wet, "rain": 1})[1]),
        network.probability(net, wet),
    ]


def _burglary(i: Row) -> float:
    net = network.Network(
        (
            network.yes_no("burglary", i["p_burglary"]),
            network.yes_no("earthquake", i["p_earthquake"]),
            network.yes_no("alarm", i["p_alarm_by_burglary_earthquake"], ["burglary", "earthquake"]),
            network.yes_no("john", i["p_john_by_alarm"], ["alarm"]),
            network.yes_no("mary", i["p_mary_by_alarm"], ["alarm"]),
        )
    )
    return float(network.posterior(net, "burglary", {"john": 1, "mary": 1})[1])


CALLS: dict[str, Callable[[Row], Any]] = {
    **{f"statistics-{n}": _allan for n in ("01", "02", "03", "04", "05", "06", "12", "13", "14", "16", "17")},
    "statistics-08": lambda i: rate_statistics.phase_from_frequency(i["freq"], rate_hz=i["rate_hz"], less_mean=1),
    "statistics-09": lambda i: list(rate_statistics.mean_and_spread(i["freq"]))[:2],
    "statistics-10": lambda i: rate_statistics.known_sequence(
        first=i["n1"], multiplier=i["multiplier"], modulus=i["modulus"], count=i["count"]
    )[1:],
    "statistics-18": lambda i: list(
        rate_statistics.mean_and_spread(
            rate_statistics.known_frequency_ratios(
                first=i["n1"], multiplier=i["multiplier"], modulus=i["modulus"], count=i["count"]
            )
        )
    ),
    "statistics-20": lambda i: timing_bounds.rate_bound_s_per_day(
        sigma_s=i["sigma_s"], beats_count=i["N"], beat_s=i["beat_s"]
    ),
    "statistics-22": lambda i: timing_bounds.two_ends_loss_ratio(beats_count=i["N"]),
    "statistics-23": lambda i: timing_bounds.tone_bound_rad(
        samples_count=i["N"], amplitude_ratio=i["A"], sigma_ratio=i["sigma"]
    ),
    "uncertainty-01": lambda i: [_gauge_budget(i).value, _gauge_budget(i).u],
    "uncertainty-02": lambda i: _gauge_budget(i).degrees_of_freedom,
    "uncertainty-03": lambda i: expanded_u(u=i["u_nm"], probability=i["probability"], degrees_of_freedom=i["df"]),
    "uncertainty-04": lambda i: [_gauge_budget(i).shares[name] for name in ORDER],
    "uncertainty-06": lambda i: [*(one.value for one in _impedance(i)[0]), *(one.u for one in _impedance(i)[0])],
    "uncertainty-07": lambda i: [_impedance(i)[1][a][b] for a, b in ((0, 1), (0, 2), (1, 2))],
    "uncertainty-09": lambda i: list(line_fit.line_prediction(i["t_C"], i["b_C"], at=i["at_C"])),
    "uncertainty-11": lambda i: each(
        lambda df: coverage_factor(probability=i["probability"], degrees_of_freedom=df), i["df"]
    ),
    "runout-02": lambda i: list(circle.circle_fit(i["x"], i["y"])),
    "runout-03": lambda i: shop(list(circle.first_harmonic(*_harmonic(i))), "mm"),
    "runout-04": lambda i: shop(circle.roundness_m(*_harmonic(i)), "mm"),
    "runout-05": lambda i: shop(circle.indicator_movement_m(eccentricity_m=si(i["e_mm"], "mm")), "mm"),
    "runout-07": lambda i: shop(
        circle.bend_angle_rad(eccentricity_m=si(i["e_mm"], "mm"), distance_m=si(i["d_mm"], "mm")), "deg"
    ),
    "runout-08": lambda i: shop(
        circle.diameter_over_odd_teeth_m(over_m=si(i["over_teeth_in"], "in"), teeth_count=i["teeth"]), "in"
    ),
    "estimation-03": lambda i: [
        f(**_three(row))
        for f in (estimation.three_point_mean_d, estimation.three_point_variance_d2)
        for row in i["a_m_b"]
    ],
    "estimation-04": _path,
    "estimation-05": lambda i: [
        f(**_three(row))
        for row in i.values()
        for f in (estimation.three_point_mean_d, estimation.three_point_deviation_d)
    ],
    "estimation-06": lambda i: each(
        lambda due: estimation.done_by_probability(due_d=due, mean_d=i["mean_d"], variance_d2=i["variance_d2"]),
        i["due_d"],
    ),
    "estimation-07": lambda i: list(
        estimation.beta_duration(least_d=i["o"], likely_d=i["m"], most_d=i["p"], weight_ratio=i["weight"])
    ),
    "network-01": _sprinkler,
    "network-02": _burglary,
}

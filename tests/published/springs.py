"""Rows of groups 3 and 4, balance and spring, mainsprings."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from underdial.mechanics import (
    balance,
    barrel,
    hairspring,
    heat_on_pendulum,
    mainspring,
    poise,
    rate_record,
    weight_drive,
)
from underdial.movement import fusee_turns

from .convert import each, shop, si

Row = dict[str, Any]


def _rates_then_spread(i: Row) -> list[float]:
    rates = rate_record.daily_rates_s_per_day(i["readings_s"])
    return [*rates, rate_record.rate_spread_s_per_day(rates)]


def _rates_then_temperature(i: Row) -> list[float]:
    rates = rate_record.daily_rates_s_per_day(i["readings_s"])
    return [*rates, rate_record.temperature_record_error_s_per_day(heat_s_per_day=rates[0], cold_s_per_day=rates[-1])]


def _free_arc(i: Row) -> float:
    return shop(
        balance.supplementary_arc_rad(
            vibration_rad=si(i["vibration_deg"], "deg"), fork_rad=si(i["fork_deg"], "deg"), impulse_ratio=i["ratio"]
        ),
        "deg",
    )


def _best_length(i: Row) -> float:
    return shop(
        barrel.best_length_m(
            barrel_m=si(i["barrel_mm"], "mm"), arbor_m=si(i["arbor_mm"], "mm"), thickness_m=si(i["thickness_mm"], "mm")
        ),
        "mm",
    )


CALLS: dict[str, Callable[[Row], Any]] = {
    "balance-02": lambda i: heat_on_pendulum.observed_rate_s_per_day_per_k(
        rate_change_s_per_day=i["s_per_day_per_F"], change_k=si(1, "degF")
    ),
    "balance-04": lambda i: balance.temperature_rate_s_per_day_per_k(balance_expansion_per_k=i["alpha_per_C"]),
    "balance-05": lambda i: balance.temperature_rate_s_per_day_per_k(balance_expansion_per_k=i["alpha_per_C"]),
    "balance-06": lambda i: balance.temperature_rate_s_per_day_per_k(
        modulus_change_per_k=i["beta_E_per_C"],
        spring_expansion_per_k=i["alpha_spring_per_C"],
        balance_expansion_per_k=i["alpha_balance_per_C"],
    ),
    "balance-07": lambda i: balance.stiffness_n_m_per_rad(inertia_kg_m2=i["I_kg_m2"], beats_per_hour=i["bph"]),
    "balance-08": lambda i: hairspring.stiffness_n_m_per_rad(
        modulus_pa=i["modulus_pa"], height_m=i["height_m"], thickness_m=i["thickness_m"], length_m=i["length_m"]
    ),
    "balance-09": lambda i: hairspring.length_change_rate_s_per_day(length_change_ratio=i["length_change_ratio"]),
    "balance-10": lambda i: balance.radius_change_rate_s_per_day(radius_change_ratio=i["radius_change_ratio"]),
    "balance-12": lambda i: each(lambda a: poise.poise_factor_ratio(half_arc_rad=si(a, "deg")), i["half_arc_deg"]),
    "balance-13": lambda i: poise.poise_rate_s_per_day(
        moment_kg_m=i["moment_kg_m"],
        stiffness_n_m_per_rad=i["stiffness_n_m_per_rad"],
        half_arc_rad=si(i["half_arc_deg"], "deg"),
        g_m_per_s2=i["g_m_per_s2"],
    ),
    "balance-14": lambda i: shop(balance.half_arc_rad(turns=i["turns"]), "deg"),
    "balance-16": _free_arc,
    "balance-17": _free_arc,
    "balance-18": _rates_then_spread,
    "balance-19": _rates_then_spread,
    "balance-22": _rates_then_temperature,
    "balance-23": _rates_then_temperature,
    "balance-28": lambda i: balance.quality_ratio(fraction_left_ratio=i["fraction_left"]),
    "mainspring-01": lambda i: barrel.wall_ratio(arbor_over_barrel_ratio=i["arbor_over_barrel"]),
    "mainspring-03": lambda i: fusee_turns.coil_turns(coils_up_count=i["up"], coils_down_count=i["down"]),
    "mainspring-04": _best_length,
    "mainspring-05": _best_length,
    "mainspring-06": lambda i: barrel.most_turns(
        barrel_m=si(i["barrel_mm"], "mm"), arbor_m=si(i["arbor_mm"], "mm"), thickness_m=si(i["thickness_mm"], "mm")
    ),
    "mainspring-07": lambda i: shop(
        barrel.thickness_by_parts_m(
            barrel_m=si(i["barrel_mm"], "mm"),
            turns=i["turns"],
            wound_parts=i["wound_parts"],
            unwound_parts=i["unwound_parts"],
            parts=i["parts"],
        ),
        "mm",
    ),
    "mainspring-09": lambda i: mainspring.strength_ratio(
        thickness_m=1e-3, instead_of_thickness_m=1e-3, height_m=i["w_ratio"], instead_of_height_m=1
    ),
    "mainspring-10": lambda i: mainspring.strength_ratio(
        thickness_m=si(i["t2_mm"], "mm"), instead_of_thickness_m=si(i["t1_mm"], "mm")
    ),
    "mainspring-11": lambda i: mainspring.torque_per_turn_n_m(
        modulus_pa=i["modulus_pa"], height_m=i["height_m"], thickness_m=i["thickness_m"], length_m=i["length_m"]
    ),
    "mainspring-14": lambda i: weight_drive.mean_power_w(
        mass_kg=i["mass_kg"], drop_m=i["drop_m"], going_time_d=i["days"], g_m_per_s2=i["g_m_per_s2"]
    ),
    "mainspring-21": _best_length,
    "mainspring-22": lambda i: [
        mainspring.strength_ratio(thickness_m=si(a, "in"), instead_of_thickness_m=si(b, "in"))
        for a, b in zip(i["t_in"], i["t_in"][1:], strict=False)
    ],
}

"""Rows of group 2, pendulums."""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path
from typing import Any

from underdial.mechanics import (
    air_on_pendulum,
    circular_error,
    compensation,
    compound_pendulum,
    escapement,
    gravity,
    heat_on_pendulum,
    line_fit,
    old_measures,
    pendulum,
    pendulum_regulation,
    seconds_pendulum,
)  # fmt: skip

from .convert import each, shop, si

Row = dict[str, Any]
DATA = Path(__file__).parents[1] / "data" / "checks"


def _by_rule_bpm(i: Row) -> Any:
    def one(bpm: float) -> float:
        return shop(
            seconds_pendulum.length_by_rule_for_beats_m(
                beats_per_hour=si(bpm, "bpm"), seconds_pendulum_m=si(i["seconds_pendulum_in"], "in")
            ),
            "in",
        )

    return each(one, i["bpm"]) if isinstance(i["bpm"], list) else one(i["bpm"])


def _beats(i: Row) -> float:
    return seconds_pendulum.beats_by_rule_per_hour(
        length_m=si(i["L_in"], "in"), seconds_pendulum_m=si(i["seconds_pendulum_in"], "in")
    )


def _length_mm(i: Row) -> Any:
    def one(bph: float) -> float:
        return shop(pendulum.length_m(beats_per_hour=bph, g_m_per_s2=i["g_m_per_s2"]), "mm")

    return each(one, i["beats_per_hour"]) if isinstance(i["beats_per_hour"], list) else one(i["beats_per_hour"])


def _loss(deg: float) -> float:
    return circular_error.circular_loss_s_per_day(half_arc_rad=si(deg, "deg"))


def _difference(low_deg: float, high_deg: float) -> float:
    return circular_error.circular_loss_difference_s_per_day(
        from_half_arc_rad=si(low_deg, "deg"), to_half_arc_rad=si(high_deg, "deg")
    )


def _place_in(i: Row) -> list[float]:
    return each(
        lambda lat: shop(
            pendulum.length_for_beat_m(
                beat_s=i["beat_s"], g_m_per_s2=gravity.normal_gravity_m_per_s2(latitude_rad=si(lat, "deg"))
            ),
            "in",
        ),
        i["latitude_deg"],
    )


def _heat(i: Row) -> float:
    return heat_on_pendulum.temperature_error_s_per_day(
        expansion_per_k=si(i["alpha_per_F"], "per_F"), change_k=si(i["dT_F"], "degF")
    )


def _tube(down: list[tuple[float, float]], up: list[tuple[float, float]], tube: float, sleeve: float) -> float:
    return shop(
        compensation.compensating_tube_m(
            si([a for a, _ in down], "in"),
            si([b for _, b in down], "per_1000F"),
            si([a for a, _ in up], "in"),
            si([b for _, b in up], "per_1000F"),
            tube_expansion_per_k=si(tube, "per_1000F"),
            sleeve_expansion_per_k=si(sleeve, "per_1000F"),
        ),
        "in",
    )


def _table_line(i: Row) -> list[float]:
    with (DATA / i["table"]).open() as file:
        rows = list(csv.DictReader(file))
    found = line_fit.line_fit([float(row[i["x"]]) for row in rows], [float(row[i["y"]]) for row in rows])
    return [found.slope, found.intercept]


CALLS: dict[str, Callable[[Row], Any]] = {
    "pendulum-01": lambda i: shop(pendulum.length_for_beat_m(beat_s=i["beat_s"], g_m_per_s2=i["g_m_per_s2"]), "in"),
    "pendulum-02": _by_rule_bpm,
    "pendulum-03": lambda i: each(
        lambda b: shop(
            seconds_pendulum.length_by_rule_m(beat_s=b, seconds_pendulum_m=si(i["seconds_pendulum_in"], "in")), "in"
        ),
        i["beat_s"],
    ),
    "pendulum-05": lambda i: seconds_pendulum.beat_by_rule_s(
        length_m=si(i["L_in"], "in"), seconds_pendulum_m=si(i["seconds_pendulum_in"], "in")
    ),
    **{f"pendulum-{n}": _length_mm for n in ("08", "09", "10", "12", "13", "14", "15", "16")},
    "pendulum-17": lambda i: shop(
        pendulum_regulation.length_change_m(length_m=si(i["L_mm"], "mm"), rate_s_per_day=i["rate_s_per_day"]), "mm"
    ),
    "pendulum-19": lambda i: shop(
        pendulum_regulation.nut_pitch_m(length_m=si(i["L_in"], "in"), rate_s_per_day=i["rate_s_per_day"]), "in"
    ),
    "pendulum-21": lambda i: shop(
        pendulum_regulation.length_change_m(length_m=si(i["L_in"], "in"), rate_s_per_day=i["rate_s_per_day"]), "in"
    ),
    "pendulum-22": lambda i: pendulum_regulation.length_change_rate_s_per_day(
        length_m=si(i["L_in"], "in"), change_m=si(i["dL_in"], "in")
    ),
    "pendulum-24": lambda i: pendulum_regulation.added_weight_ratio(
        rate_s_per_day=i["rate_s_per_day"], depth_ratio=i["d_over_l"]
    ),
    "pendulum-25": lambda i: pendulum_regulation.added_weight_ratio(
        rate_s_per_day=i["rate_s_per_day"], depth_ratio=i["d_over_l"]
    ),
    "pendulum-26": lambda i: pendulum_regulation.added_weight_rate_s_per_day(
        added_kg=si(i["m_gr"], "gr"), bob_kg=si(i["M_gr"], "gr"), depth_ratio=i["d_over_l"]
    ),
    "pendulum-27": lambda i: _loss(i["semi_arc_deg"]),
    "pendulum-28": lambda i: _difference(i["semi_arc2_deg"], i["semi_arc1_deg"]),
    "pendulum-29": lambda i: _difference(i["semi_arc_deg"], i["semi_arc_deg"] + i["increase_arcmin"] / 60),
    "pendulum-30": lambda i: _difference(i["semi_arc_deg"], i["semi_arc_deg"] + i["increase_deg"]),
    "pendulum-32": lambda i: circular_error.circular_loss_first_term_s_per_day(
        half_arc_rad=si(i["semi_arc_deg"], "deg")
    ),
    "pendulum-33": lambda i: each(_loss, i["semi_arc_deg"]),
    "pendulum-34": lambda i: each(
        lambda a: pendulum.period_s(length_m=i["L_m"], g_m_per_s2=i["g_m_per_s2"], half_arc_rad=si(a, "deg")),
        i["half_arc_deg"],
    ),
    "pendulum-35": lambda i: circular_error.circular_coefficients(powers=i["powers"]),
    "pendulum-40": lambda i: heat_on_pendulum.days_to_error_d(error_s=-i["gain_s"], rate_s_per_day=_heat(i)),
    "pendulum-42": lambda i: shop(_heat(i), "s/week"),
    "pendulum-44": _heat,
    "pendulum-45": lambda i: heat_on_pendulum.temperature_error_s_per_day(
        expansion_per_k=si(i["alpha_per_180F"], "per_180F"), change_k=si(i["dT_F"], "degF")
    ),
    "pendulum-47": lambda i: each(
        lambda lat: gravity.normal_gravity_m_per_s2(latitude_rad=si(lat, "deg")), i["latitude_deg"]
    ),
    "pendulum-48": _place_in,
    "pendulum-51": lambda i: shop(
        gravity.seconds_pendulum_old_rule_m(
            latitude_rad=si(i["latitude_deg"], "deg"),
            equator_m=si(i["equator_in"], "in"),
            rise_m=si(i["rise_in"], "in"),
        ),
        "in",
    ),
    "pendulum-53": lambda i: gravity.move_rate_s_per_day(
        from_latitude_rad=si(i["latitude_from_deg"], "deg"), to_latitude_rad=si(i["latitude_to_deg"], "deg")
    ),
    "pendulum-54": lambda i: shop(old_measures.old_length_m(count=i["lines"], unit_m=si(i["mm_per_line"], "mm")), "mm"),
    "pendulum-55": lambda i: shop(
        pendulum.length_for_beat_m(
            beat_s=i["beat_s"], g_m_per_s2=gravity.normal_gravity_m_per_s2(latitude_rad=si(i["latitude_deg"], "deg"))
        ),
        "mm",
    ),
    "pendulum-56": lambda i: gravity.normal_gravity_m_per_s2(
        latitude_rad=si(i["latitude_deg"], "deg"), height_m=i["height_m"]
    ),
    "pendulum-58": lambda i: compound_pendulum.rod_equivalent_length_m(rod_m=i["rod_m"]),
    "pendulum-60": lambda i: compound_pendulum.equivalent_length_m(centre_depth_m=i["h_m"], gyration_m=i["k_m"]),
    "pendulum-61": _by_rule_bpm,
    "pendulum-62": lambda i: shop(_beats(i), "bpm"),
    "pendulum-63": lambda i: _beats(i),
    "pendulum-64": lambda i: [
        air_on_pendulum.buoyancy_rate_s_per_day(air_over_bob_ratio=i["air_over_bob"]),
        air_on_pendulum.barometric_rate_s_per_day(
            rate_s_per_day=air_on_pendulum.buoyancy_rate_s_per_day(air_over_bob_ratio=i["air_over_bob"]),
            height_m=si(i["barometer_in"], "in"),
            change_m=si(1, "in"),
        ),
    ],
    "pendulum-65": lambda i: air_on_pendulum.barometric_rate_s_per_day(
        rate_s_per_day=i["s_per_day_per_cm"], height_m=si(1, "cm"), change_m=si(1, "in")
    ),
    "pendulum-69": lambda i: shop(
        compensation.mercury_half_height_m(
            pendulum_m=si(i["pendulum_in"], "in"),
            rod_per_k=si(i["rod_per_1000F"], "per_1000F"),
            rise_per_k=si(i["mercury_rise_per_1000F"], "per_1000F"),
        ),
        "in",
    ),
    "pendulum-70": lambda i: shop(
        compensation.mercury_height_m(
            pendulum_m=si(i["pendulum_in"], "in"),
            rod_per_k=si(i["rod_per_F"], "per_F"),
            mercury_per_k=si(i["mercury_per_F"], "per_F"),
            jar_per_k=si(i["glass_per_F"], "per_F"),
        ),
        "in",
    ),
    "pendulum-71": lambda i: shop(
        compensation.mercury_half_height_on_rod_m(
            rod_m=si(i["rod_in"], "in"),
            rod_per_k=si(i["rod_per_1000F"], "per_1000F"),
            rise_per_k=si(i["rise_per_in_per_1000F"], "per_1000F"),
        ),
        "in",
    ),
    "pendulum-72": lambda i: _tube(
        [(i["rod_in"], i["rod_per_1000F"])],
        [(i["bob_half_in"], i["bob_per_1000F"])],
        i["zinc_per_1000F"],
        i["tube_per_1000F"],
    ),
    "pendulum-74": lambda i: [
        _tube([(r, i["iron_per_1000F"])], [(c, i["iron_per_1000F"])], i["zinc_per_1000F"], i["iron_per_1000F"])
        for r, c in zip(i["rod_in"], i["below_co_in"], strict=True)
    ],
    "pendulum-75": lambda i: shop(
        [
            compensation.growth_m(
                si([i["steel_in"], i["wood_in"]], "in"),
                si([i["steel_per_180F"], i["wood_per_180F"]], "per_180F"),
                si(180, "degF"),
            ),
            compensation.growth_m(si([i["bob_half_in"]], "in"), si([i["zinc_per_180F"]], "per_180F"), si(180, "degF")),
        ],
        "in",
    ),
    "pendulum-76": lambda i: shop(
        [
            compensation.growth_m(
                si([i["bob_half_in"]], "in"), si([i["bob_per_1000F"]], "per_1000F"), si(1000, "degF")
            ),
            compensation.growth_m(si([i["rod_in"]], "in"), si([i["rod_per_1000F"]], "per_1000F"), si(1000, "degF")),
        ],
        "in",
    ),
    "pendulum-77": lambda i: _tube(
        [(i["wood_in"], i["wood_per_1000F"]), (i["steel_extra_in"], i["steel_per_1000F"])],
        [(i["bob_below_in"], i["lead_per_1000F"])],
        i["zinc_per_1000F"],
        i["steel_per_1000F"],
    ),
    "pendulum-78": lambda i: escapement.arc_length_m(radius_m=i["radius"], angle_rad=si(i["angle_deg"], "deg")),
    "pendulum-79": lambda i: compensation.mercury_rise_ratio(
        mercury_by_volume_ratio=i["mercury_by_volume"], jar_by_length_ratio=i["jar_by_length"]
    ),
    "pendulum-81": lambda i: pendulum.beat_s(length_m=i["L_m"], g_m_per_s2=i["g_m_per_s2"]),
    "pendulum-82": _table_line,
}

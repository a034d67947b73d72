"""Rows of group 1, trains: what each hands to which function."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from underdial.movement import calendar_train, fusee_turns, going_time, going_train, motion_work, strike_train

from .convert import each, shop, si

Row = dict[str, Any]


def _beats(i: Row) -> float:
    return going_train.beats_per_hour(i["wheels"], i["pinions"], i["escape"])


def _duration(i: Row) -> float:
    return going_time.going_time_h(turns=i["turns"], wheels=i["wheels"], pinions=i["pinions"])


def _ratio(i: Row) -> float:
    return going_train.train_ratio(i["wheels"], i["pinions"])


def _moon(i: Row) -> float:
    return calendar_train.calendar_period_h(
        [a for a, _ in i["pairs"]], [b for _, b in i["pairs"]], first_arbor_h=i["first_arbor_h"]
    )


def _turret(i: Row) -> float:
    return shop(
        going_train.beats_per_hour(i["wheels"], i["pinions"], i["escape"], first_wheel_period_h=i["great_wheel_h"]),
        "bpm",
    )


CALLS: dict[str, Callable[[Row], Any]] = {
    "train-02": lambda i: going_train.wheel_for_beats(
        beats_per_hour=i["beats_per_hour"], wheels=[i["third"]], pinions=i["pinions"], escape_count=i["escape"]
    ),
    "train-04": lambda i: going_train.turns_in_time(rev_per_hour=i["turns_per_h"], duration_s=si(1, "min")),
    "train-05": lambda i: going_train.beats_per_hour(i["wheels"], i["pinions"], i["escape"], beats_per_tooth=1),
    "train-06": _ratio,
    **{f"train-{n}": _beats for n in ("07", "09", "10", "11", "13", "32", "33", "57")},
    "train-14": _turret,
    "train-15": _turret,
    "train-17": lambda i: going_time.going_time_h(turns=i["turns"], wheels=[i["great"]], pinions=[i["pinion"]]),
    "train-18": lambda i: going_time.going_time_h(turns=i["coils"], wheels=[i["wheel"]], pinions=[i["pinion"]]),
    "train-19": lambda i: shop(
        going_time.drum_circumference_m(
            drop_m=si(i["fall_in"], "in"), falls_count=i["falls"], going_time_h=i["hours"], turn_h=i["hours_per_turn"]
        ),
        "in",
    ),
    "train-22": lambda i: shop(going_time.line_width_m(turns=i["turns"], line_m=si(i["cord_in"], "in")), "in"),
    "train-23": lambda i: going_time.duration_ratio(from_d=i["days_from"], to_d=i["days_to"]),
    **{f"train-{n}": _duration for n in ("24", "25", "27", "28")},
    "train-30": lambda i: going_time.wheel_product(
        going_time_h=shop(si(i["days"], "d"), "h"), turns=i["turns"], pinions=i["pinions"]
    ),
    "train-35": lambda i: going_train.beats_per_hour(i["wheels"], i["pinions"], i["crown"], beats_per_tooth=1),
    "train-37": lambda i: fusee_turns.beats_per_turn(
        going_time_h=i["hours"], beats_per_hour=i["bph"], turns=i["turns"]
    ),
    "train-38": lambda i: fusee_turns.going_time_from_beats_h(
        turns=i["turns"], beats_per_turn=i["half_beats_per_turn"], beats_per_hour=i["half_bph"]
    ),
    "train-39": lambda i: motion_work.motion_ratio(
        cannon_count=i["cannon"],
        minute_wheel_count=i["minute"],
        minute_pinion_count=i["minute_pinion"],
        hour_wheel_count=i["hour"],
    ),
    **{f"train-{n}": _ratio for n in ("40", "41", "42")},
    "train-44": lambda i: motion_work.wheel_for_ratio(pinion_count=i["pinion"], ratio=i["ratio"]),
    "train-45": lambda i: each(
        lambda h: strike_train.strike_blows(hours_count=h, first_hour=i["first_hour"]), i["hours"]
    ),
    "train-46": lambda i: strike_train.pin_wheel_turns(blows_count=i["blows"], pins_count=i["pins"]),
    "train-47": lambda i: strike_train.pin_wheel_turns(blows_count=i["blows"], pins_count=i["pins"]),
    "train-48": lambda i: strike_train.blows_in_days(blows_per_day_count=i["per_day"], duration_d=i["days"]),
    "train-49": lambda i: strike_train.strike_blows(
        hours_count=i["hours"], first_hour=i["first_hour"], blows_at_half=i["blows_at_half"]
    ),
    "train-50": lambda i: strike_train.blows_per_great_turn([i["great"]], [i["pinion"]], i["pins"]),
    "train-51": _moon,
    "train-52": _moon,
    "train-53": lambda i: fusee_turns.coil_turns(coils_up_count=i["up"], coils_down_count=i["down"]),
    "train-54": lambda i: fusee_turns.turns_unused(
        total_turns=i["total"], used_turns=i["used"], set_up_turns=i["setup"]
    ),
    "train-56": lambda i: motion_work.minute_pinion_leaves(
        cannon_count=i["cannon"], minute_wheel_count=i["minute"], hour_wheel_count=i["hour"], ratio=i["ratio"]
    ),
}

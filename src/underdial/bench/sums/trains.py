"""Trains from counts: beats and periods, lost counts, strike trains, rack and snail."""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Sequence
from typing import Any

from underdial import units
from underdial.bench.sums.stated import held, stated
from underdial.errors import BadInput, OutOfRange
from underdial.mechanics import gravity, pendulum
from underdial.movement import going_time, going_train, missing_wheels, strike_train
from underdial.uncertain import Uncertain
from underdial.units import Quantity

_SOURCES = ["Derham1696", "Goodrich1905"]
# A pendulum said without its uncertainty: how well one is measured on a bench. [common practice]
_LENGTH_U_RATIO, _GOING_U_RATIO, _SIZE_U_RATIO = 0.005, 0.03, 0.005


def gravity_of(gravity_given: Quantity | None, latitude: Quantity | None) -> tuple[float, dict[str, Any]]:
    """Gravity as given, of the latitude, or standard gravity, which is then echoed as assumed."""
    if gravity_given is not None and latitude is not None:
        raise BadInput(
            "latitude", "both", "--gravity or --latitude", "latitude: give either --gravity or --latitude, not both"
        )
    if gravity_given is not None:
        if not 0.1 <= gravity_given.value <= 30.0:
            raise OutOfRange("gravity", gravity_given.value, 0.1, 30.0, "m/s2")
        return gravity_given.value, {}
    if latitude is not None:
        return gravity.normal_gravity_m_per_s2(latitude_rad=latitude.value), {}
    return pendulum.STANDARD_GRAVITY_M_PER_S2, {"gravity_m_per_s2": pendulum.STANDARD_GRAVITY_M_PER_S2}


def reckon_train(
    train: str,
    *,
    escape_count: int,
    turns: float | None = None,
    hour_arbor: int = 2,
    side_branch: str | None = None,
    beats_per_tooth: float = 2.0,
    weight: tuple[Quantity | None, Quantity | None, float, Quantity | None] = (None, None, 1.0, None),
    oscillator: str = "pendulum",
    gravity_given: Quantity | None = None,
    latitude: Quantity | None = None,
) -> dict[str, Any]:
    """Beats, periods, going time and pendulum of a train. `weight` is drop, drum, falls and line."""
    wheels, pinions = _known_counts(train)
    if not 1 <= escape_count <= 500:
        raise BadInput("escape", escape_count, "1 to 500 teeth")
    if not 0.5 <= beats_per_tooth <= 4.0:
        raise BadInput("beats-per-tooth", beats_per_tooth, "0.5 to 4")
    branch = _branch(side_branch) if side_branch is not None else None
    found = going_train.reckon(
        wheels,
        pinions,
        escape_count=escape_count,
        hour_arbor=hour_arbor,
        side_branch=branch,
        beats_per_tooth=beats_per_tooth,
    )
    great_turns = _great_turns(turns, weight)
    g, assumed = gravity_of(gravity_given, latitude)
    length = pendulum.length_m(beats_per_hour=found.beats_per_hour, g_m_per_s2=g) if oscillator == "pendulum" else None
    return {
        "beats_per_hour": found.beats_per_hour,
        "escape_rev_per_hour": found.escape_rev_per_hour,
        "arbors": [
            {"name": one.name, "period_s": one.period_s, "rev_per_hour": 3600.0 / one.period_s, "hour": one.hour}
            for one in found.arbors
        ],
        "meshes": [
            {
                "from": one.driver,
                "to": one.driven,
                "wheel_count": one.wheel_count,
                "pinion_count": one.pinion_count,
                "period_s": one.period_s,
            }
            for one in found.meshes
        ],
        "turns": great_turns,
        "going_time_h": None if great_turns is None else great_turns * found.hours_per_great_turn,
        "pendulum_length_m": length,
        "assumed": {} if length is None else assumed,
        "warnings": _train_warnings(found, oscillator),
        "sources": _SOURCES,
    }


def find_missing(
    train: str,
    *,
    escape_count: int | None = None,
    pendulum_length: Quantity | None = None,
    beats: tuple[float, float] | None = None,
    going: Quantity | None = None,
    turns: tuple[float, float] | None = None,
    centre_distances: Sequence[str] = (),
    outside_diameters: Sequence[str] = (),
    wheel_range: tuple[int, int] = (20, 144),
    pinion_range: tuple[int, int] = (5, 20),
    escape_range: tuple[int, int] = (12, 60),
    leaves: tuple[int, ...] = (),
    hour_arbor: int = 2,
    limit: int = 20,
    gravity_given: Quantity | None = None,
    latitude: Quantity | None = None,
) -> dict[str, Any]:
    """Every set of counts that fits what was measured, with its probability, and what would tell more."""
    wheels, pinions = going_train.parse_counts(train)
    g, assumed = gravity_of(gravity_given, latitude)
    target = _beats(pendulum_length, beats, g, assumed)
    if pendulum_length is None:
        assumed.pop("gravity_m_per_s2", None)
    distances = dict(_centre_distance(one) for one in centre_distances)
    diameters = [_diameter(one) for one in outside_diameters]
    lost = missing_wheels.Lost(
        wheels,
        pinions,
        escape_count,
        target,
        hour_arbor,
        _hours_per_turn(going, turns, assumed),
        distances,
        {arbor: size for arbor, part, size in diameters if part == "w"},
        {arbor: size for arbor, part, size in diameters if part == "p"},
    )
    if escape_count is not None and not 1 <= escape_count <= 500:
        raise BadInput("escape", escape_count, "1 to 500 teeth")
    if not 1 <= limit <= 200:
        raise BadInput("limit", limit, "1 to 200")
    found = missing_wheels.search(
        lost, ranges=missing_wheels.Ranges(wheel_range, pinion_range, escape_range, leaves), limit=limit
    )
    none_fits = not found.candidates
    return {
        "candidates": [
            {
                "train": " ".join(f"{w}/{p}" for w, p in zip(one.wheels, one.pinions, strict=True)),
                "escape": one.escape_count,
                "beats_per_hour": one.beats_per_hour,
                "error_ratio": one.error_ratio,
                "probability": one.probability,
            }
            for one in found.candidates
        ],
        "searched_count": found.searched_count,
        "fitting_count": found.fitting_count,
        "settled": found.settled,
        "advice": found.advice,
        "to_make": [] if none_fits else _to_make(lost, found.candidates[0]),
        **({"verdict": "refused", "reason": found.advice} if none_fits else {}),
        "assumed": {**assumed, "practice": "weights of leaf and tooth counts after common practice"},
        "warnings": [] if found.settled or none_fits else ["Counts alone do not settle it."],
        "sources": _SOURCES,
    }


def reckon_strike(
    train: str, *, pins_count: int, pin_arbor: int = 2, turns: float | None = None, halves: bool = False
) -> dict[str, Any]:
    """Blows and going time of a strike train."""
    wheels, pinions = _known_counts(train)
    if not 1 <= pin_arbor <= len(wheels) + 1:
        raise BadInput("pin-arbor", pin_arbor, f"1 to {len(wheels) + 1}")
    if not 1 <= pins_count <= 200:
        raise BadInput("pins", pins_count, "1 to 200")
    _check_turns(turns)
    before = pin_arbor - 1
    blows_12h = strike_train.strike_blows(hours_count=12, blows_at_half=1 if halves else 0)
    per_turn = strike_train.blows_per_great_turn(wheels[:before], pinions[:before], pins_count)
    hours = (
        None
        if turns is None
        else strike_train.strike_going_time_h(blows_per_great_turn=per_turn, turns=turns, blows_per_12h_count=blows_12h)
    )
    return {
        "blows_per_12h_count": blows_12h, "blows_per_great_turn_count": per_turn,
        "blows_per_wind_count": None if turns is None else per_turn * turns, "going_time_h": hours,
        "assumed": {}, "warnings": [], "sources": _SOURCES,
    }  # fmt: skip


def read_rack(text: str, *, tail: Quantity, tooth_angle: Quantity) -> dict[str, Any]:
    """Blows that a snail gives at each hour, and whether each is the hour's own."""
    hours, radii = _snail(text)
    found = strike_train.rack_hours(hours, radii, tail_m=tail.value, tooth_angle_rad=tooth_angle.value)
    wrong = [one for one in found if one.blows_count != one.hour]
    near = [one for one in found if one.blows_count == one.hour and abs(one.off_ratio) > 0.3]
    missing = sorted(set(range(1, 13)) - {one.hour for one in found})
    return {
        "hours": [{"hour": one.hour, "blows_count": one.blows_count, "off_ratio": one.off_ratio} for one in found],
        "verdict": "failed" if wrong else "sound",
        "reason": "; ".join(f"{one.hour} strikes {one.blows_count}" for one in wrong) or None,
        "assumed": {"one_o_clock": "one tooth is gathered at one"},
        "warnings": [
            *(f"{one.hour}: the step is {abs(one.off_ratio):.2f} of a tooth from the middle" for one in near),
            *([f"hours not in the file: {', '.join(map(str, missing))}"] if missing else []),
        ],
        "sources": ["Goodrich1905"],
    }


def _known_counts(train: str) -> tuple[list[int], list[int]]:
    wheels, pinions = going_train.parse_counts(train)
    known_w, known_p = [one for one in wheels if one is not None], [one for one in pinions if one is not None]
    if len(known_w) != len(wheels) or len(known_p) != len(pinions):
        raise BadInput(
            "train", train, "known counts; lost ones belong to missing", "train: a count is lost; find it with missing"
        )
    return known_w, known_p


def _branch(text: str) -> tuple[int, int, int]:
    match = re.fullmatch(r"\s*(\d):(\d{1,4})/(\d{1,4})\s*", text)
    if match is None or "0" in (match[2], match[3]):
        raise BadInput("side-branch", text, "arbor:wheel/pinion, such as 2:60/30")
    return int(match[1]), int(match[2]), int(match[3])


def _great_turns(
    turns: float | None, weight: tuple[Quantity | None, Quantity | None, float, Quantity | None]
) -> float | None:
    drop, drum, falls, line = weight
    if drop is None:
        _check_turns(turns)
        return turns
    if turns is not None:
        raise BadInput(
            "turns",
            turns,
            "either --turns or --weight-drop",
            "turns: give either --turns or --weight-drop with --drum, not both",
        )
    if drum is None:
        raise BadInput(
            "drum",
            "(nothing)",
            "the diameter of the drum, such as 45mm",
            "drum: --weight-drop needs the diameter of the drum, such as --drum 45mm",
        )
    return going_time.line_turns(
        drop_m=drop.value, drum_m=drum.value, falls_count=falls, line_m=0.0 if line is None else line.value
    )


def _check_turns(turns: float | None) -> None:
    if turns is not None and not 0.0 < turns <= 10000.0:
        raise BadInput("turns", turns, "above 0 to 10000")


def _train_warnings(found: going_train.GoingTrain, oscillator: str) -> list[str]:
    if oscillator == "pendulum" and not 1200 <= found.beats_per_hour <= 20000:
        return [f"{found.beats_per_hour:g} beats an hour is unusual for a pendulum; look at the hour arbor."]
    return []


def _to_make(lost: missing_wheels.Lost, best: missing_wheels.Candidate) -> list[dict[str, Any]]:
    """Wheel and pinion of every mesh that lost one, by the likeliest counts, with the module that its centres give."""
    rows = []
    for mesh, (wheel, pinion) in enumerate(zip(lost.wheels, lost.pinions, strict=True)):
        if wheel is not None and pinion is not None:
            continue
        apart = lost.centre_distance_m.get(mesh + 1)
        module = (
            None
            if apart is None
            else Uncertain(
                2.0 * apart.value / (best.wheels[mesh] + best.pinions[mesh]),
                2.0 * apart.u / (best.wheels[mesh] + best.pinions[mesh]),
            )
        )
        rows.append(
            {
                "arbor_count": mesh + 1,
                "wheel_count": best.wheels[mesh],
                "pinion_count": best.pinions[mesh],
                **stated("module", "m", module),
            }
        )
    return rows


def _beats(
    length: Quantity | None, beats: tuple[float, float] | None, g: float, assumed: dict[str, Any]
) -> Uncertain | None:
    if length is not None and beats is not None:
        raise BadInput(
            "pendulum",
            length.value,
            "either --pendulum or --beats-per-hour",
            "pendulum: give either --pendulum or --beats-per-hour, not both",
        )
    held("pendulum", length, low=1.0, high=1e5, unit="mm")
    if length is not None:
        u = length.u
        if u == 0.0:
            u = assumed["pendulum_u_m"] = _LENGTH_U_RATIO * length.value
        value = pendulum.beats_per_hour(length_m=length.value, g_m_per_s2=g)
        return Uncertain(value, 0.5 * value * u / length.value)
    if beats is not None:
        if not 1.0 <= beats[0] <= 200000.0:
            raise BadInput("beats-per-hour", beats[0], "1 to 200000")
        return Uncertain(*beats)
    return None


def _hours_per_turn(
    going: Quantity | None, turns: tuple[float, float] | None, assumed: dict[str, Any]
) -> Uncertain | None:
    if (going is None) != (turns is None):
        raise BadInput("turns" if turns is None else "going-time", "(nothing)", "--going-time together with --turns")
    if going is None or turns is None:
        return None
    if going.value <= 0.0 or turns[0] <= 0.0:
        raise BadInput("going-time", going.value, "a time and turns above nought")
    value = going.value / 3600.0 / turns[0]
    spread = math.hypot(going.u / going.value, turns[1] / turns[0])
    if spread == 0.0:
        spread = assumed["going_time_u_ratio"] = _GOING_U_RATIO
    return Uncertain(value, value * spread)


def _centre_distance(text: str) -> tuple[int, Uncertain]:
    match = re.fullmatch(r"\s*(\d)-(\d)=(.+)", text)
    if match is None or int(match[2]) != int(match[1]) + 1:
        raise BadInput("centre-distance", text, "neighbouring arbors and a length, such as 3-4=24.1+-0.1mm")
    return int(match[1]), _size(match[3], "centre-distance")


def _diameter(text: str) -> tuple[int, str, Uncertain]:
    match = re.fullmatch(r"\s*(\d)([wp])=(.+)", text)
    if match is None:
        raise BadInput(
            "outside-diameter", text, "an arbor, w for its wheel or p for its pinion, and a length, such as 3w=44.6mm"
        )
    return int(match[1]), match[2], _size(match[3], "outside-diameter")


def _size(text: str, field: str) -> Uncertain:
    read = units.parse(text, kind="length", field=field)
    if read.value <= 0.0:
        raise BadInput(field, text, "a length above nought")
    return Uncertain(read.value, read.u or _SIZE_U_RATIO * read.value)


def _snail(text: str) -> tuple[list[int], list[float]]:
    rows = list(csv.DictReader(io.StringIO(text)))
    if not rows or not {"hour", "snail_radius_mm"} <= set(rows[0]):
        raise BadInput(
            "file",
            "its first line",
            "hour,snail_radius_mm",
            "file: its first line has to be hour,snail_radius_mm, with a row for each hour below",
        )
    hours, radii = [], []
    for number, row in enumerate(rows, start=2):
        try:
            hours.append(int(row["hour"]))
            radii.append(float(row["snail_radius_mm"]) / 1000.0)
        except (TypeError, ValueError):
            raise BadInput(
                "file",
                f"line {number}",
                "an hour and a radius in mm",
                f"file: line {number} is not an hour and a radius in mm",
            ) from None
    if not all(map(math.isfinite, radii)):
        raise BadInput("file", "a radius", "a number of millimetres")
    return hours, radii

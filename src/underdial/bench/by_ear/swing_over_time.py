"""The swing of a balance along a long recording: heard anew in a few excerpts, because a clock that is followed keeps
only its beats.

Limits: recordings of twenty minutes and more, with the lift told; excerpts of forty seconds, each judged as a recording
of its own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from underdial.capture import sound
from underdial.listening import channels
from underdial.listening.follower import Follower
from underdial.listening.hearing import Expected, hear
from underdial.mechanics.rate_variation import weighted_slope

Floats = NDArray[np.float32]
LEAST_LONG_S = 1200.0
_EXCERPTS, _EXCERPT_S = 8, 40.0


@dataclass(frozen=True, slots=True)
class SwingAt:
    """The swing each side [deg] at a time of the recording [s], with its standard error [deg]."""

    at_s: float
    amplitude_deg: float
    amplitude_u_deg: float


def swings_along(path: Path, expected: Expected, *, beats_per_hour: float, duration_s: float) -> tuple[SwingAt, ...]:
    """The swing in excerpts spread over a long recording; empty for a short one, or where no lift is told."""
    if duration_s < LEAST_LONG_S or expected.lift_deg is None or expected.balance is False:
        return ()
    starts = [k * (duration_s - _EXCERPT_S) / (_EXCERPTS - 1) for k in range(_EXCERPTS)]
    out = []
    with sound.open_sound(path) as opened:
        for start, frames in zip(starts, _excerpts(opened, starts), strict=False):
            follower = Follower(opened.sample_hz, beats_per_hour)
            follower.feed(
                frames
                @ np.array(channels.channel_mix_ratios(frames, opened.sample_hz, beats_per_hour), dtype=np.float32)
            )
            follower.close()
            swing = hear(follower, expected).swing
            if swing.amplitude_deg is not None and swing.u_deg is not None:
                out.append(SwingAt(start + _EXCERPT_S / 2.0, swing.amplitude_deg, swing.u_deg))
    return tuple(out)


def swing_keys(swings: Sequence[SwingAt], over_time: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """`swings`, how they run down, and how the rate goes with them; null where fewer than three were heard."""
    told: dict[str, Any] = {
        "swings": [
            {"at_s": one.at_s, "amplitude_deg": one.amplitude_deg, "amplitude_u_deg": one.amplitude_u_deg}
            for one in swings
        ],
        "run_down_deg_per_h": None,
        "run_down_u_deg_per_h": None,
        "isochronism_s_per_day_per_deg": None,
        "isochronism_u_s_per_day_per_deg": None,
    }
    if len(swings) < 3:
        return told
    at, swing, u = (
        np.array([getattr(one, name) for one in swings]) for name in ("at_s", "amplitude_deg", "amplitude_u_deg")
    )
    slope, slope_u = weighted_slope(at / 3600.0, swing, u)
    told |= {"run_down_deg_per_h": slope, "run_down_u_deg_per_h": slope_u}
    rates = [one["rate_s_per_day"] for one in over_time]
    if len(rates) > 2 and None not in rates:
        # Each stretch of the rate with the swing in its middle, between the excerpts on both sides of it.
        along = np.interp([(one["start_s"] + one["end_s"]) / 2.0 for one in over_time], at, swing)
        if float(np.ptp(along)) > 3.0 * float(np.median(u)):
            slope, slope_u = weighted_slope(
                along, np.array(rates), np.array([one["rate_u_s_per_day"] for one in over_time])
            )
            told |= {"isochronism_s_per_day_per_deg": slope, "isochronism_u_s_per_day_per_deg": slope_u}
    return told


def swing_lines(answer: Mapping[str, Any]) -> list[str]:
    """The same as sentences."""
    swings = answer["swings"]
    if len(swings) < 3:
        return []
    slope, u = answer["run_down_deg_per_h"], answer["run_down_u_deg_per_h"]
    first, last = swings[0]["amplitude_deg"], swings[-1]["amplitude_deg"]
    lines = [
        f"Its swing goes from {first:.0f} to {last:.0f} deg over the recording, {slope:+.2g} deg an hour, give or "
        f"take {u:.2g}."
    ]
    if answer["isochronism_s_per_day_per_deg"] is not None:
        lines.append(
            f"With every degree of swing its rate changes by {answer['isochronism_s_per_day_per_deg']:+.2g} s a day, "
            f"give or take {answer['isochronism_u_s_per_day_per_deg']:.2g}."
        )
    return lines


def _excerpts(opened: sound.Sound, starts: Sequence[float]) -> list[Floats]:
    """The frames of each excerpt, taken in one way through the file."""
    spans = [(int(start * opened.sample_hz), int((start + _EXCERPT_S) * opened.sample_hz)) for start in starts]
    parts: list[list[Floats]] = [[] for _ in spans]
    at = 0
    for block in opened.blocks:
        for part, (low, high) in zip(parts, spans, strict=True):
            if at < high and at + block.shape[0] > low:
                part.append(block[max(low - at, 0) : high - at].copy())
        at += block.shape[0]
    return [np.concatenate(part) for part in parts if part]

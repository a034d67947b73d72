"""What was heard, as one picture: what is left of the beats in its band, the escape wheel's rose, the ladder of periods.

The answer stands above as a sentence with its errors. Residuals are drawn against time with upright hairs for 95 in
100; the rose has a petal for each tooth, solid and outward when late, open and inward when early, and says that sound
numbers no teeth; the ladder names the arbor of each period and is hatched where the recording is too short to tell.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from underdial.papers.scene import Point, Scene, arc, polar

WIDTH = 960.0
_LEFT, _RIGHT = 96.0, 640.0
_TOP, _FOOT = 190.0, 330.0
_ROSE: Point = (190.0, 565.0)
_RING = 105.0
_LADDER_X, _LADDER_TOP, _LADDER_FOOT = 790.0, 180.0, 670.0


@dataclass(frozen=True, slots=True)
class ResidualShown:
    """Lateness at a time [s], and half its 95 in 100 band [s]; late is above nought."""

    time_s: float
    late_s: float
    half_band_s: float


@dataclass(frozen=True, slots=True)
class RungShown:
    """An arbor's turn [s], its name, how far its beats swing [s] or None when the recording was too short, and whether it is sure."""

    period_s: float
    name: str
    peak_s: float | None
    sure: bool


@dataclass(frozen=True, slots=True)
class TimingShown:
    """The sentence and its small print, and the three pictures' numbers; an empty rose is left out."""

    sentence: str
    notes: tuple[str, ...]
    residuals: tuple[ResidualShown, ...]
    petals_s: tuple[tuple[float, float], ...]
    rungs: tuple[RungShown, ...]
    span_s: float


def timing_scene(shown: TimingShown) -> Scene:
    """The whole picture."""
    height = 720.0 if shown.petals_s or shown.rungs else 420.0
    scene = Scene(WIDTH, height, "What was heard", _description(shown))
    scene.hatching("band", stroke="steel", pitch=4.0, angle_deg=90.0, width=0.3)
    scene.hatching("beyond", stroke="ink-soft", pitch=6.0, angle_deg=135.0, width=0.3)
    scene.rectangle(0, 0, WIDTH, height, fill="paper")
    for k, line in enumerate(_broken(shown.sentence, 62)):
        scene.words((40, 60 + 36 * k), line, "plate-medium", 30.0)
    for k, line in enumerate(shown.notes[:2]):
        scene.words((40, 124 + 20 * k), line, size=15.0, fill="ink-soft")
    _residuals(scene, shown)
    if shown.petals_s:
        _rose(scene, shown.petals_s)
    if shown.rungs:
        _ladder(scene, shown.rungs, shown.span_s)
    return scene


def _residuals(scene: Scene, shown: TimingShown) -> None:
    scene.words((40, _TOP - 14), "What is left when the steady rate is taken out", "plate-italic", 20.0)
    if not shown.residuals:
        return
    most = max(abs(one.late_s) + one.half_band_s for one in shown.residuals)
    reach = _round_up(max(most, 1e-5))
    middle = (_TOP + _FOOT) / 2.0

    def at(one: ResidualShown, shift: float) -> Point:
        x = _LEFT + (_RIGHT - _LEFT) * one.time_s / max(shown.span_s, 1e-9)
        return x, middle - (one.late_s + shift) / reach * (_FOOT - _TOP) / 2.0

    upper = [at(one, one.half_band_s) for one in shown.residuals]
    lower = [at(one, -one.half_band_s) for one in shown.residuals]
    scene.outline([*upper, *reversed(lower)], fill="#band")
    scene.line((_LEFT, middle), (_RIGHT, middle), stroke="line-edge", width=0.8)
    scene.outline([at(one, 0.0) for one in shown.residuals], closed=False, stroke="ink", width=1.2)
    scene.line((_LEFT, _TOP), (_LEFT, _FOOT), stroke="line-edge", width=1.2)
    for part, words in ((1.0, f"+{_ms(reach)} late"), (0.0, "0"), (-1.0, f"−{_ms(reach)}")):
        y = middle - part * (_FOOT - _TOP) / 2.0
        scene.line((_LEFT - 5, y), (_LEFT, y), stroke="line-edge", width=1.2)
        scene.words((_LEFT - 9, y + 5), words, size=15.0, fill="ink-faint", anchor="end")
    for k in range(5):
        x = _LEFT + (_RIGHT - _LEFT) * k / 4.0
        scene.line((x, _FOOT + 8), (x, _FOOT + 13), stroke="line-edge", width=1.2)
        scene.words((x, _FOOT + 30), _span(shown.span_s * k / 4.0), size=15.0, fill="ink-faint", anchor="middle")
    scene.line((_LEFT, _FOOT + 8), (_RIGHT, _FOOT + 8), stroke="line-edge", width=1.2)
    scene.words((_RIGHT, _TOP - 14), "band: 95 in 100", size=15.0, fill="ink-faint", anchor="end")


def _rose(scene: Scene, petals: Sequence[tuple[float, float]]) -> None:
    scene.words((40, 410), "Round the escape wheel, one petal a tooth", "plate-italic", 20.0)
    most = max(max(abs(late) + 1.96 * u for late, u in petals), 1e-6)
    reach = 34.0
    scene.disc(_ROSE, _RING, stroke="ink", width=1.2)
    scene.outline(arc(_ROSE, _RING + reach, 0, 2 * math.pi), closed=False, stroke="line-edge", width=0.8, dash=(1, 4))
    half = math.pi / len(petals) * 0.8
    for k, (late, u) in enumerate(petals):
        angle = -math.pi / 2 + 2 * math.pi * k / len(petals)
        long = reach * late / most
        tip, belly = polar(_ROSE, _RING + long, angle), _RING + 0.55 * long
        ring = [polar(_ROSE, _RING, angle), polar(_ROSE, belly, angle - half), tip, polar(_ROSE, belly, angle + half)]
        scene.outline(ring, fill="ink" if late > 0 else "paper", stroke="ink", width=0.8)
        bracket = reach * 1.96 * u / most
        scene.line(polar(_ROSE, _RING + long - bracket, angle), polar(_ROSE, _RING + long + bracket, angle), stroke="steel", width=0.8)
    scene.words((_ROSE[0], _ROSE[1] - 6), f"dotted: {_ms(most)} late", size=15.0, fill="ink-faint", anchor="middle")
    scene.words((_ROSE[0], _ROSE[1] + 14), "hairs: 95 in 100", size=15.0, fill="ink-faint", anchor="middle")
    for k, line in enumerate(("Solid and outward: late. Open and inward: early.", "Sound does not number teeth: the first petal", "is where the recording began. Ink a tooth,",
                              "and record again, to tell which it is.")):
        scene.words((_ROSE[0] + _RING + reach + 22, _ROSE[1] - 30 + 21 * k), line, size=15.0, fill="ink-soft")


def _ladder(scene: Scene, rungs: Sequence[RungShown], span_s: float) -> None:
    scene.words((_LADDER_X - 110, _LADDER_TOP - 14), "Which arbor owns the swing", "plate-italic", 20.0)
    low = math.log(min(one.period_s for one in rungs)) - 0.4
    high = math.log(max(one.period_s for one in rungs)) + 0.4

    def y_of(period_s: float) -> float:
        return _LADDER_FOOT - (math.log(period_s) - low) / (high - low) * (_LADDER_FOOT - _LADDER_TOP)

    longest = span_s / 3.0
    limit = min(max(y_of(longest), _LADDER_TOP), _LADDER_FOOT)
    if limit > _LADDER_TOP:
        scene.rectangle(_LADDER_X, _LADDER_TOP, 40, limit - _LADDER_TOP, fill="#beyond")
    for x in (_LADDER_X, _LADDER_X + 40):
        scene.line((x, _LADDER_TOP), (x, _LADDER_FOOT), stroke="ink", width=1.2)
    most = max([one.peak_s for one in rungs if one.peak_s is not None] + [1e-6])
    for one in rungs:
        y = y_of(one.period_s)
        scene.line((_LADDER_X, y), (_LADDER_X + 40, y), stroke="ink", width=2.0 if one.sure else 0.8)
        scene.words((_LADDER_X - 10, y + 1), one.name.replace("_", " "), "plate-italic", 18.0, anchor="end")
        scene.words((_LADDER_X - 10, y + 18), _span(one.period_s), size=15.0, fill="ink-faint", anchor="end")
        if one.peak_s is None:
            scene.words((_LADDER_X + 50, y + 5), f"needs {_span(3.0 * one.period_s)}", size=15.0, fill="ink-faint")
        else:
            scene.line((_LADDER_X + 40, y), (_LADDER_X + 40 + 30.0 * one.peak_s / most, y), stroke="ink", width=4.0 if one.sure else 1.2)
            scene.words((_LADDER_X + 78, y + 5), _ms(one.peak_s) if one.sure else "chance", "bench-bold" if one.sure else "bench", 15.0,
                        fill="ink" if one.sure else "ink-faint")
    scene.words((_LADDER_X - 110, _LADDER_FOOT + 30), "hatched: too slow for this recording", size=15.0, fill="ink-faint")


def _description(shown: TimingShown) -> str:
    parts = [shown.sentence, *shown.notes]
    for one in shown.rungs:
        what = "too slow for this recording" if one.peak_s is None else f"{_ms(one.peak_s)}, {'sure' if one.sure else 'no more than chance'}"
        parts.append(f"{one.name.replace('_', ' ')}, {_span(one.period_s)}: {what}.")
    return " ".join(parts)


def _broken(text: str, width: int) -> list[str]:
    lines = [""]
    for word in text.split():
        if lines[-1] and len(lines[-1]) + 1 + len(word) > width:
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    return lines[:2]


def _round_up(value: float) -> float:
    step = 10.0 ** math.floor(math.log10(value))
    return next(step * k for k in (1.0, 2.0, 5.0, 10.0) if step * k >= value)


def _ms(seconds: float) -> str:
    return f"{1e3 * seconds:.2g} ms" if seconds >= 1e-4 else f"{1e6 * seconds:.0f} µs"


def _span(seconds: float) -> str:
    if seconds < 120.0:
        return f"{seconds:.3g} s"
    if seconds < 7200.0:
        return f"{seconds / 60.0:.3g} min"
    return f"{seconds / 3600.0:.3g} h" if seconds < 172800.0 else f"{seconds / 86400.0:.3g} days"

"""What was heard, as one picture: what is left of the beats in its band, the escape wheel's rose, the ladder of
periods.

The answer stands above as a sentence with its errors. Residuals are drawn against time with upright hairs for 95 in
100; the rose has a petal for each tooth, solid and outward when late, open and inward when early, and says that sound
numbers no teeth; the ladder names the arbor of each period and is hatched where the recording is too short to tell.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from underdial.papers.scene import Point, Scene, arc, polar


@dataclass(frozen=True, slots=True)
class Sheet:
    """Where the three pictures stand on a sheet: wide, side by side; narrow, one under the other with the head left to
    the page.
    """

    width: float
    height: float
    short_height: float
    left: float
    right: float
    top: float
    foot: float
    rose: Point
    ring: float
    rose_head: float
    rose_words: Point
    ladder_left: float
    ladder: float
    ladder_top: float
    ladder_foot: float


WIDE = Sheet(
    960.0,
    720.0,
    420.0,
    96.0,
    640.0,
    190.0,
    330.0,
    (190.0, 565.0),
    105.0,
    410.0,
    (351.0, 535.0),
    680.0,
    790.0,
    180.0,
    670.0,
)
NARROW = Sheet(
    350.0,
    1210.0,
    250.0,
    98.0,
    330.0,
    44.0,
    174.0,
    (175.0, 430.0),
    105.0,
    270.0,
    (20.0, 604.0),
    16.0,
    130.0,
    740.0,
    1160.0,
)
_LOUD_SIZE = (350.0, 150.0)
_ROSE_WORDS = (
    "Solid and outward: late. Open and inward: early.",
    "Sound does not number teeth: the first petal",
    "is where the recording began. Ink a tooth,",
    "and record again, to tell which it is.",
)
_ROSE_WORDS_NARROW = (
    "Solid, outward: late. Open, inward: early.",
    "Sound numbers no teeth: the first petal is",
    "where the recording began. Ink a tooth, and",
    "record again, to tell which it is.",
)


@dataclass(frozen=True, slots=True)
class ResidualShown:
    """Lateness at a time [s], and half its 95 in 100 band [s]; late is above nought."""

    time_s: float
    late_s: float
    half_band_s: float


@dataclass(frozen=True, slots=True)
class RungShown:
    """An arbor's turn [s], its name, how far its beats swing [s] or None when the recording was too short, and whether
    it is sure.
    """

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


def timing_scene(shown: TimingShown, sheet: Sheet = WIDE) -> Scene:
    """The whole picture."""
    height = sheet.height if shown.petals_s or shown.rungs else sheet.short_height
    scene = Scene(sheet.width, height, "What was heard", _description(shown))
    scene.hatching("band", stroke="steel", pitch=4.0, angle_deg=90.0, width=0.3)
    scene.hatching("beyond", stroke="ink-soft", pitch=6.0, angle_deg=135.0, width=0.3)
    scene.rectangle(0, 0, sheet.width, height, fill="paper")
    if sheet is WIDE:
        for k, line in enumerate(_broken(shown.sentence, 62)):
            scene.words((40, 60 + 36 * k), line, "plate-medium", 30.0)
        for k, line in enumerate(shown.notes[:2]):
            scene.words((40, 124 + 20 * k), line, size=15.0, fill="ink-soft")
    _residuals(scene, shown, sheet)
    if shown.petals_s:
        _rose(scene, shown.petals_s, sheet)
    if shown.rungs:
        _ladder(scene, shown.rungs, shown.span_s, sheet)
    return scene


def loud_scene(loud: Sequence[float], span_s: float) -> Scene:
    """What the microphone hears: how far the sound swings to both sides in each part of the last seconds, a share of
    all the recorder can take.
    """
    width, height = _LOUD_SIZE
    most = max(loud, default=0.0)
    says = _loud_words(loud, most)
    scene = Scene(width, height, "What the microphone hears", f"The last {span_s:.0f} seconds. {says}")
    scene.rectangle(0, 0, width, height, fill="paper")
    scene.words((16, 20), f"What the microphone hears, last {span_s:.0f} s", "plate-italic", 18.0)
    middle, reach, left, right = 76.0, 44.0, 16.0, width - 16.0
    places = [left + (right - left) * k / max(len(loud) - 1, 1) for k in range(len(loud))]
    sizes = [reach * one / max(most, 1e-6) for one in loud]
    scene.line((left, middle), (right, middle), stroke="line-edge", width=0.8)
    if len(loud) > 1 and most > 0.0:
        upper = [(x, middle - size) for x, size in zip(places, sizes, strict=True)]
        lower = [(x, middle + size) for x, size in zip(places, sizes, strict=True)]
        scene.outline([*upper, *reversed(lower)], fill="ink", stroke="ink", width=0.5)
    scene.words((16, 142), says, size=15.0, fill="ink-soft")
    return scene


def _residuals(scene: Scene, shown: TimingShown, sheet: Sheet) -> None:
    left, right, top, foot = sheet.left, sheet.right, sheet.top, sheet.foot
    head = (
        "What is left when the steady rate is taken out" if sheet is WIDE else "Left when the steady rate is taken out"
    )
    scene.words((40 if sheet is WIDE else 16, top - 14), head, "plate-italic", 20.0)
    if not shown.residuals:
        return
    most = max(abs(one.late_s) + one.half_band_s for one in shown.residuals)
    reach = _round_up(max(most, 1e-5))
    middle = (top + foot) / 2.0

    def at(one: ResidualShown, shift: float) -> Point:
        x = left + (right - left) * one.time_s / max(shown.span_s, 1e-9)
        return x, middle - (one.late_s + shift) / reach * (foot - top) / 2.0

    upper = [at(one, one.half_band_s) for one in shown.residuals]
    lower = [at(one, -one.half_band_s) for one in shown.residuals]
    scene.outline([*upper, *reversed(lower)], fill="#band")
    scene.line((left, middle), (right, middle), stroke="line-edge", width=0.8)
    scene.outline([at(one, 0.0) for one in shown.residuals], closed=False, stroke="ink", width=1.2)
    scene.line((left, top), (left, foot), stroke="line-edge", width=1.2)
    for part, words in ((1.0, f"+{_ms(reach)} late"), (0.0, "0"), (-1.0, f"−{_ms(reach)}")):
        y = middle - part * (foot - top) / 2.0
        scene.line((left - 5, y), (left, y), stroke="line-edge", width=1.2)
        scene.words((left - 9, y + 5), words, size=15.0, fill="ink-faint", anchor="end")
    steps = 4 if sheet is WIDE else 2
    for k in range(steps + 1):
        x = left + (right - left) * k / steps
        scene.line((x, foot + 8), (x, foot + 13), stroke="line-edge", width=1.2)
        scene.words(
            (x, foot + 30),
            _span(shown.span_s * k / steps),
            size=15.0,
            fill="ink-faint",
            anchor="end" if k == steps and sheet is not WIDE else "middle",
        )
    scene.line((left, foot + 8), (right, foot + 8), stroke="line-edge", width=1.2)
    scene.words(
        (right, top - 14 if sheet is WIDE else foot + 52), "band: 95 in 100", size=15.0, fill="ink-faint", anchor="end"
    )


def _rose(scene: Scene, petals: Sequence[tuple[float, float]], sheet: Sheet) -> None:
    scene.words(
        (40 if sheet is WIDE else 16, sheet.rose_head),
        "Round the escape wheel, one petal a tooth",
        "plate-italic",
        20.0 if sheet is WIDE else 18.0,
    )
    most = max(max(abs(late) + 1.96 * u for late, u in petals), 1e-6)
    reach = 34.0
    scene.disc(sheet.rose, sheet.ring, stroke="ink", width=1.2)
    scene.outline(
        arc(sheet.rose, sheet.ring + reach, 0, 2 * math.pi), closed=False, stroke="line-edge", width=0.8, dash=(1, 4)
    )
    half = math.pi / len(petals) * 0.8
    for k, (late, u) in enumerate(petals):
        angle = -math.pi / 2 + 2 * math.pi * k / len(petals)
        long = reach * late / most
        tip, belly = polar(sheet.rose, sheet.ring + long, angle), sheet.ring + 0.55 * long
        ring = [
            polar(sheet.rose, sheet.ring, angle),
            polar(sheet.rose, belly, angle - half),
            tip,
            polar(sheet.rose, belly, angle + half),
        ]
        scene.outline(ring, fill="ink" if late > 0 else "paper", stroke="ink", width=0.8)
        bracket = reach * 1.96 * u / most
        scene.line(
            polar(sheet.rose, sheet.ring + long - bracket, angle),
            polar(sheet.rose, sheet.ring + long + bracket, angle),
            stroke="steel",
            width=0.8,
        )
    scene.words(
        (sheet.rose[0], sheet.rose[1] - 6), f"dotted: {_ms(most)} late", size=15.0, fill="ink-faint", anchor="middle"
    )
    scene.words((sheet.rose[0], sheet.rose[1] + 14), "hairs: 95 in 100", size=15.0, fill="ink-faint", anchor="middle")
    for k, line in enumerate(_ROSE_WORDS if sheet is WIDE else _ROSE_WORDS_NARROW):
        scene.words((sheet.rose_words[0], sheet.rose_words[1] + 21 * k), line, size=15.0, fill="ink-soft")


def _ladder(scene: Scene, rungs: Sequence[RungShown], span_s: float, sheet: Sheet) -> None:
    scene.words((sheet.ladder_left, sheet.ladder_top - 14), "Which arbor owns the swing", "plate-italic", 20.0)
    low = math.log(min(one.period_s for one in rungs)) - 0.4
    high = math.log(max(one.period_s for one in rungs)) + 0.4

    def y_of(period_s: float) -> float:
        return sheet.ladder_foot - (math.log(period_s) - low) / (high - low) * (sheet.ladder_foot - sheet.ladder_top)

    longest = span_s / 3.0
    limit = min(max(y_of(longest), sheet.ladder_top), sheet.ladder_foot)
    if limit > sheet.ladder_top:
        scene.rectangle(sheet.ladder, sheet.ladder_top, 40, limit - sheet.ladder_top, fill="#beyond")
    for x in (sheet.ladder, sheet.ladder + 40):
        scene.line((x, sheet.ladder_top), (x, sheet.ladder_foot), stroke="ink", width=1.2)
    most = max([one.peak_s for one in rungs if one.peak_s is not None] + [1e-6])
    for one in rungs:
        y = y_of(one.period_s)
        scene.line((sheet.ladder, y), (sheet.ladder + 40, y), stroke="ink", width=2.0 if one.sure else 0.8)
        scene.words((sheet.ladder - 10, y + 1), one.name.replace("_", " "), "plate-italic", 18.0, anchor="end")
        scene.words((sheet.ladder - 10, y + 18), _span(one.period_s), size=15.0, fill="ink-faint", anchor="end")
        if one.peak_s is None:
            scene.words((sheet.ladder + 50, y + 5), f"needs {_span(3.0 * one.period_s)}", size=15.0, fill="ink-faint")
        else:
            scene.line(
                (sheet.ladder + 40, y),
                (sheet.ladder + 40 + 30.0 * one.peak_s / most, y),
                stroke="ink",
                width=4.0 if one.sure else 1.2,
            )
            scene.words(
                (sheet.ladder + 78, y + 5),
                _ms(one.peak_s) if one.sure else "chance",
                "bench-bold" if one.sure else "bench",
                15.0,
                fill="ink" if one.sure else "ink-faint",
            )
    scene.words(
        (sheet.ladder_left, sheet.ladder_foot + 30), "hatched: too slow for this recording", size=15.0, fill="ink-faint"
    )


def _loud_words(loud: Sequence[float], most: float) -> str:
    """How the level stands, in words: too loud, nothing, or what its ticks are above the rest."""
    if most <= 0.0:
        return "No sound at all: is the microphone on?"
    if most > 0.99:
        return "Too loud: turn the level down."
    usual = sorted(loud)[len(loud) // 2]
    above = 20.0 * math.log10(most / max(usual, 1e-6))
    return (
        "Nothing stands clear yet: nearer to it."
        if above < 8.0
        else f"The loudest stands {above:.0f} dB above the rest."
    )


def _description(shown: TimingShown) -> str:
    parts = [shown.sentence, *shown.notes]
    for one in shown.rungs:
        what = (
            "too slow for this recording"
            if one.peak_s is None
            else f"{_ms(one.peak_s)}, {'sure' if one.sure else 'no more than chance'}"
        )
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

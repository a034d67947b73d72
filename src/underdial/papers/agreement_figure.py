"""What was said beside what happened, as one picture: a bar for each class of stated chances, with its count, on a line
of agreement.

Across stands what was said, upward the share of clocks that went their full time. A bar that ends at the short stroke
across it was well said: the stroke is what was said. Its upright hair is where the share may lie by the counts alone,
90 in 100. A bar of few clocks is hatched.

Limits: bars that would hide one another are moved apart; the strokes stay at their height.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from underdial.papers.scene import Point, Scene

# Drawn as wide as a telephone shows it, so that no word is smaller than fifteen there.
WIDTH, HEIGHT = 380.0, 418.0
_LEFT, _RIGHT, _TOP, _FOOT = 54.0, 370.0, 46.0, 286.0
_BAR = 30.0
# Bars closer than this would hide one another, or their counts.
_LEAST_APART = 46.0
_FEW_COUNT = 5


@dataclass(frozen=True, slots=True)
class ClassShown:
    """One class: its word, what was said on average, the share that ran full with its interval, and the counts."""

    word: str
    said_probability: float
    seen_ratio: float
    seen_low_ratio: float
    seen_high_ratio: float
    ran_count: int
    count: int


@dataclass(frozen=True, slots=True)
class AgreementShown:
    """The sentence that stands above, and the classes from the least chance on."""

    sentence: str
    classes: tuple[ClassShown, ...]


def agreement_scene(shown: AgreementShown) -> Scene:
    """The whole picture."""
    scene = Scene(WIDTH, HEIGHT, "What was said beside what happened", _description(shown))
    scene.hatching("few", stroke="ink-soft", pitch=6.0, angle_deg=135.0, width=0.4)
    scene.rectangle(0, 0, WIDTH, HEIGHT, fill="paper")
    scene.words((8, 22), "Clocks that went their full time", "plate-italic", 20.0)
    _frame(scene)
    for one, x in zip(shown.classes, _places(shown.classes), strict=True):
        _bar(scene, one, x)
    scene.line(_at(0.0, 0.0), _at(1.0, 1.0), stroke="brass-line", width=2.0, dash=(8, 5))
    return scene


def _frame(scene: Scene) -> None:
    scene.line((_LEFT, _TOP), (_LEFT, _FOOT), stroke="line-edge", width=1.2)
    scene.line((_LEFT, _FOOT), (_RIGHT, _FOOT), stroke="line-edge", width=1.2)
    for part in (0.0, 0.5, 1.0):
        x, y = _at(part, part)
        scene.line((_LEFT - 6, y), (_LEFT, y), stroke="line-edge", width=1.2)
        scene.words(
            (_LEFT - 10, y + 6), ("none", "half", "all")[round(2 * part)], size=16.5, fill="ink-soft", anchor="end"
        )
        scene.line((x, _FOOT), (x, _FOOT + 6), stroke="line-edge", width=1.2)
        scene.words(
            (x, _FOOT + 26),
            f"{100 * part:.0f}",
            size=16.5,
            fill="ink-soft",
            anchor=("middle", "middle", "end")[round(2 * part)],
        )
    scene.words((_RIGHT, _FOOT + 52), "said beforehand, in 100", "plate-italic", 20.0, anchor="end")
    for k, line in enumerate(
        ("Stroke and dashes: as was said. Hair: 90 in 100", "by the counts. Hatched: fewer than five clocks.")
    ):
        scene.words((8, _FOOT + 90 + 24 * k), line, size=16.5, fill="ink-soft")


def _bar(scene: Scene, one: ClassShown, x: float) -> None:
    top = _at(0.0, one.seen_ratio)[1]
    fill = "#few" if one.count < _FEW_COUNT else "brass-wash"
    scene.rectangle(x - _BAR / 2.0, top, _BAR, _FOOT - top, fill=fill, stroke="ink", width=1.2)
    said = _at(0.0, one.said_probability)[1]
    scene.line((x - _BAR / 2.0 - 5, said), (x + _BAR / 2.0 + 5, said), stroke="brass-line", width=4.0)
    low, high = _at(0.0, one.seen_low_ratio)[1], _at(0.0, one.seen_high_ratio)[1]
    scene.line((x, high), (x, low), stroke="ink", width=1.6)
    for y in (low, high):
        scene.line((x - 7, y), (x + 7, y), stroke="ink", width=1.6)
    scene.words((x, _FOOT - 10), f"{one.ran_count}/{one.count}", "bench-bold", 17.0, anchor="middle", halo="paper")


def _places(classes: Sequence[ClassShown]) -> list[float]:
    """Where the bars stand: at what was said, moved apart where they would lie on one another, and kept inside."""
    places = [_at(one.said_probability, 0.0)[0] for one in classes]
    for k in range(1, len(places)):
        places[k] = max(places[k], places[k - 1] + _LEAST_APART)
    over = max(0.0, places[-1] + _BAR / 2.0 - _RIGHT) if places else 0.0
    for k in range(len(places) - 1, -1, -1):
        limit = _RIGHT - _BAR / 2.0 - (len(places) - 1 - k) * _LEAST_APART if over else places[k]
        places[k] = max(min(places[k], limit), _LEFT + _BAR / 2.0)
    return places


def _at(said: float, seen: float) -> Point:
    return _LEFT + (_RIGHT - _LEFT) * said, _FOOT - (_FOOT - _TOP) * seen


def _description(shown: AgreementShown) -> str:
    told = [
        f"{one.word}, said {100 * one.said_probability:.0f} in 100: {one.ran_count} of {one.count} went their full "
        f"time, by the counts {100 * one.seen_low_ratio:.0f} to "
        f"{100 * one.seen_high_ratio:.0f} in 100."
        for one in shown.classes
    ]
    return " ".join((shown.sentence, *told))

"""What was heard as a picture: wide, narrow, and the sound as it comes."""

from __future__ import annotations

import dataclasses

import pytest

from underdial.papers.scene import svg
from underdial.papers.timing_figure import (
    NARROW,
    WIDE,
    ResidualShown,
    RungShown,
    Sheet,
    TimingShown,
    loud_scene,
    timing_scene,
)

RUNGS = (
    RungShown(24.0, "escape_wheel", 4e-4, True),
    RungShown(240.0, "third_wheel", 3e-5, False),
    RungShown(3600.0, "second_wheel", None, False),
)
SHOWN = TimingShown(
    "It gains 20.0 s a day, give or take 8.5 (95 in 100).",
    ("One.", "Two."),
    tuple(ResidualShown(float(k), 1e-4 * (k % 3 - 1), 5e-5) for k in range(60)),
    tuple((1e-4 * (k - 15), 1e-5) for k in range(30)),
    RUNGS,
    1500.0,
)


@pytest.mark.parametrize("sheet", [WIDE, NARROW])
def test_what_is_drawn_lies_on_its_sheet(sheet: Sheet) -> None:
    scene = timing_scene(SHOWN, sheet)
    points = [point for shape in scene.shapes for ring in getattr(shape, "rings", ()) for point in ring]

    assert all(0.0 <= x <= scene.width and 0.0 <= y <= scene.height for x, y in points)


def test_an_arbor_that_is_sure_is_told_by_its_milliseconds_and_the_others_by_words() -> None:
    drawn = svg(timing_scene(SHOWN, NARROW))

    assert "0.4 ms" in drawn
    assert ">chance<" in drawn
    assert "needs 3 h" in drawn
    assert "needs 3 h" not in svg(timing_scene(dataclasses.replace(SHOWN, rungs=RUNGS[:2]), NARROW))


@pytest.mark.parametrize(
    ("loud", "says"),
    [
        ([0.0] * 50, "is the microphone on"),
        ([1.0] + [0.01] * 50, "turn the level down"),
        ([0.012, 0.01] * 25, "Nothing stands clear"),
        ([0.1] + [0.01] * 50, "20 dB above the rest"),
        ([], "is the microphone on"),
    ],
)
def test_the_sound_as_it_comes_says_what_to_do(loud: list[float], says: str) -> None:
    # Derived: a tenfold swing is 20 dB.
    assert says in loud_scene(loud, 8.0).description


def test_a_sure_pattern_is_sure_however_small_its_chance() -> None:
    import numpy as np

    from underdial.bench.by_ear.listening import Listened, expect, timing_shown
    from underdial.listening.follower import Follower
    from underdial.listening.hearing import hear
    from underdial.listening.simulator import Ticking, simulate

    samples, _ = simulate(
        Ticking(duration_s=90.0, sample_hz=8000, beats_per_hour=18000.0, wheel_s=1e-3, wheel_count=15, level=0.2),
        np.random.default_rng(1),
    )
    follower = Follower(8000, 18000.0)
    follower.feed(samples)
    follower.close()
    expected, escape_count, position = expect(beats_per_hour=(18000.0, 0.0), escape_count=15)
    heard = hear(follower, expected)
    shown = timing_shown(Listened(heard, expected, escape_count, position))

    assert heard.patterns[0].chance_probability is not None
    # Derived: a millisecond in a scatter of microseconds, 450 beats: far below what a picture can show
    assert heard.patterns[0].chance_probability < 1e-200
    assert shown.rungs[0].sure

"""How bad a fault is, before and after a look."""

from __future__ import annotations

import numpy as np
import pytest

from underdial.diagnosis import severity


def test_seen_severity_equals_what_simulated_looks_leave() -> None:
    rng = np.random.default_rng(1)
    s = severity.unseen(rng.standard_normal(400_000))
    said = severity.said_level(s, rng.standard_normal(len(s)))

    for number, level in enumerate(severity.LEVELS, 1):
        kept = s[said == number]
        exact = severity.seen(rng.standard_normal(200_000), rng.standard_normal(200_000), level=level)

        # Derived: by throwing away every simulated look of another level; 1 in 100 is four standard errors of the
        # rarest level
        assert np.median(exact) == pytest.approx(np.median(kept), rel=0.01)
        assert np.quantile(exact, 0.9) == pytest.approx(np.quantile(kept, 0.9), rel=0.015)  # Derived: the same


def test_a_worse_level_means_a_worse_fault_at_every_quantile() -> None:
    x = np.linspace(-2.5, 2.5, 101)
    slight, moderate, severe = (severity.seen(x, np.zeros_like(x), level=level) for level in severity.LEVELS)

    assert (slight < moderate).all()
    assert (moderate < severe).all()


@pytest.mark.parametrize("chance", [0.05, 0.25, 0.6, 0.97])
def test_a_threshold_is_passed_with_its_chance(chance: float) -> None:
    s = severity.unseen(np.random.default_rng(2).standard_normal(200_000))

    # Derived: by drawing; 0.004 is three standard errors
    assert (s > severity.threshold(chance)).mean() == pytest.approx(chance, abs=0.004)


def test_noise_alone_reads_few_faults_as_none() -> None:
    rng = np.random.default_rng(3)
    s = severity.unseen(rng.standard_normal(200_000))

    # Derived: by drawing
    assert (severity.said_level(s, rng.standard_normal(len(s))) == 0).mean() == pytest.approx(
        severity.chance_of_saying_none(), abs=0.002
    )


def test_what_was_looked_at_and_called_sound_is_slight_or_was_passed_over() -> None:
    rng = np.random.default_rng(4)
    s = severity.unseen(rng.standard_normal(400_000))
    passed = s[severity.said_level(s, rng.standard_normal(len(s))) == 0]
    exact = severity.seen(rng.standard_normal(100_000), rng.standard_normal(100_000), level="none")

    # Derived: by throwing away every simulated look that saw something; 0.02 is four standard errors of some 17 000
    # draws
    assert np.median(exact) == pytest.approx(np.median(passed), rel=0.02)
    assert np.quantile(exact, 0.9) == pytest.approx(np.quantile(passed, 0.9), rel=0.02)  # Derived: the same


def test_a_fault_seen_without_a_word_on_its_extent_is_any_that_was_seen() -> None:
    rng = np.random.default_rng(6)
    s = severity.unseen(rng.standard_normal(400_000))
    told = s[severity.said_level(s, rng.standard_normal(len(s))) > 0]
    exact = severity.seen(rng.standard_normal(400_000), rng.standard_normal(400_000), level=None)

    for chance in (0.02, 0.5, 0.98):
        # Derived: by throwing away every simulated look that saw nothing; 0.015 is four standard errors at the ends
        assert np.quantile(exact, chance) == pytest.approx(np.quantile(told, chance), rel=0.015)


def test_the_slightest_faults_are_the_ones_passed_over() -> None:
    rng = np.random.default_rng(7)
    s = severity.unseen(rng.standard_normal(800_000))
    passed = s[severity.said_level(s, rng.standard_normal(len(s))) == 0]
    exact = severity.seen(rng.standard_normal(400_000), rng.standard_normal(400_000), level="none")

    # Derived: as above, at the low end: 33 000 draws leave 1.2 in 100, three of them
    assert np.quantile(exact, 0.02) == pytest.approx(np.quantile(passed, 0.02), rel=0.035)


def test_one_fault_in_twenty_four_reads_as_none() -> None:
    # Derived: the normal law at ln 0.3 / sqrt(0.6^2 + 0.35^2) = -1.7333, from a table 0.0415
    assert severity.chance_of_saying_none() == pytest.approx(0.0415, abs=5e-5)


def test_what_always_or_never_stops_a_clock_has_a_threshold_too() -> None:
    always, never = severity.threshold(1.0), severity.threshold(0.0)

    # Derived: 4.7534 standard deviations hold all but one in a million, to one side: exp(0.6 x 4.7534) = 17.33
    assert never == pytest.approx(17.33, abs=0.01)
    assert always == pytest.approx(1.0 / never, rel=1e-6)

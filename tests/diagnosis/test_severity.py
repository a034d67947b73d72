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

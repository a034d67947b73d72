"""Do these sums explain this clock at all? How many simulated clocks are at least as odd.

Clocks are drawn that agree with the findings; their owners tell, and their gauges read, the same things as here. The
chance of each such story under the model is reckoned with its own clock left out, and the real one is put beside them.

Limits: with eight sharp readings the chance of a story is itself reckoned to about one part in e; both sides by the
same means. Below 0.02 the answer says that the sums do not explain the clock.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from underdial.diagnosis import complaint_model, readings
from underdial.diagnosis.effects import scatter_count
from underdial.diagnosis.fate import Fate, fate
from underdial.diagnosis.fault_draws import FaultDraws, draw_faults
from underdial.diagnosis.question import Question
from underdial.diagnosis.simulate import simulate_told, told_weight
from underdial.mechanics.parameters import Array

FITS_FROM = 0.02
_CLOCKS = 5000
# Stories told at first, and more of them where the first leave it open.
_STORIES = (160, 320)
_OPEN_BELOW = 0.06


def misfit_probability(asked: Question, rng: np.random.Generator) -> float | None:
    """Share of simulated clocks at least as odd as this one; None when nothing was told or read to be odd about."""
    names = [n for n in asked.told if n not in ("since", "words", "rate_s_per_day")]
    if not names and not asked.gauges.gauges:
        return None
    draws = draw_faults(asked.suspicion, _CLOCKS, rng)
    theta = rng.standard_normal((scatter_count(asked.bench.layout), _CLOCKS))
    what = fate(
        asked.bench, theta, asked.suspicion.suspects, draws, hours_h=asked.gauges.hours_h, sizes=asked.learned.sizes
    )

    def evidence(told: dict[str, object], values: list[float], left_out: int | None) -> float:
        gauges = tuple(replace(g, value=v) for g, v in zip(asked.gauges.gauges, values, strict=True))
        like: Array = complaint_model.log_likelihood(
            told,
            asked.bench,
            asked.signs,
            what,
            draws,
            regulator_sd=asked.regulator_sd,
            typical_rate=asked.typical_rate,
        ) + readings.log_likelihood(
            gauges, asked.bench, what, regulator_sd=asked.regulator_sd, typical_rate=asked.typical_rate
        )
        if left_out is not None:
            like[left_out] = -np.inf
        return float(np.logaddexp.reduce(like))

    weight = told_weight(names, asked, what, draws)
    real = evidence({n: asked.told[n] for n in names}, [g.value for g in asked.gauges.gauges], None)
    odd, told_count = 0, 0
    for count in _STORIES:
        chosen = np.sort(rng.choice(_CLOCKS, size=count, replace=False, p=weight / weight.sum()))
        stories = _stories(asked, what, draws, chosen, names, rng)
        odd += sum(evidence(told, values, int(k)) <= real for k, (told, values) in zip(chosen, stories, strict=True))
        told_count += count
        if odd > _OPEN_BELOW * told_count or np.count_nonzero(weight) < 2 * told_count:
            break
    return (odd + 0.5) / (told_count + 1.0)


def _stories(
    asked: Question,
    what: Fate,
    draws: FaultDraws,
    chosen: NDArray[np.int64],
    names: list[str],
    rng: np.random.Generator,
) -> list[tuple[dict[str, object], list[float]]]:
    """What is told and read of the chosen clocks."""
    told = simulate_told(names, asked, what, draws, rng)
    regulator = asked.regulator_sd * rng.standard_normal(draws.count)
    shown = [
        readings.simulate(g, asked.bench, what, rng, regulator=regulator, typical_rate=asked.typical_rate)
        for g in asked.gauges.gauges
    ]
    return [(told[int(k)], [float(s[int(k)]) for s in shown]) for k in chosen]

"""As one speaks: one more finding changes the answer at once, roughly first, then as sharply as is wished.

The clocks of the last answer are kept. When a finding comes, only the suspects it touches are drawn anew, as the
finding now allows, and every clock is weighed by what complaint and readings make of the change. That is exact in
expectation: the old state of those suspects serves as a number of no account.

Limits: when a finding overturns the answer few kept clocks carry it (`effective_draws_count` says how many); `refined`
then begins from new draws.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from underdial.diagnosis.answer import Answered, brief
from underdial.diagnosis.case_file import Case
from underdial.diagnosis.causes import find_causes
from underdial.diagnosis.fault_draws import FaultDraws, draw_faults
from underdial.diagnosis.question import Learned, Question, question, weigh
from underdial.diagnosis.sampler import Posterior, importance, resampled
from underdial.diagnosis.suspects import Suspect
from underdial.mechanics.parameters import Array

FEWEST_EFFECTIVE = 60.0
_ROUGH_CLOCKS = 1000
_ANEW = 12_000
_STEPS = (20_000, 60_000, 120_000)


@dataclass
class Kept:
    """The clocks of the last answer with their log likelihood, ready for one more finding."""

    asked: Question
    found: Posterior
    like: Array


def keep(answered: Answered) -> Kept:
    """Make the clocks of an answer ready; done while the repairer takes a breath."""
    found = _fewer(answered.found)
    return Kept(answered.asked, found, weigh(answered.asked, found.theta, found.draws)[1])


def begin(case: Case, rng: np.random.Generator, *, learned: Learned | None = None) -> tuple[dict[str, Any], Kept]:
    """A first brief answer from new draws, and the clocks that carry it; for a clock that nothing is kept of."""
    return _anew(question(case, learned), rng)


def with_finding(
    kept: Kept, case: Case, rng: np.random.Generator, *, learned: Learned | None = None
) -> tuple[dict[str, Any], Kept]:
    """The answer to a case that has grown by findings, from the kept clocks.

    Parameters
    ----------
    kept : Kept
        From `keep` or from the last call.
    case : Case
        The whole case as it now stands; its movement, complaint and readings as before, else new draws are made.
    rng : Generator
        The random source.

    Returns
    -------
    tuple of mapping and Kept
        The brief answer (causes and chances, no choices, no tests; `rough` is true), and the clocks that carry it.
    """
    asked = question(case, learned)
    if not _same_going(kept.asked, asked):
        return _anew(asked, rng)
    draws, changed = _moved_over(kept, asked, rng)
    _, like = weigh(asked, kept.found.theta, draws)
    log_w = like - kept.like if changed else np.zeros(len(like))
    weights = np.exp(log_w - log_w.max())
    weights /= weights.sum()
    effective = min(float(1.0 / (weights**2).sum()), kept.found.effective_count)
    if effective < FEWEST_EFFECTIVE:
        anew = _anew(asked, rng)
        if anew[1].found.effective_count > effective:
            return anew
    chosen = resampled(weights, kept.found.count, rng)
    found = Posterior(
        kept.found.theta[:, chosen],
        draws.chosen(chosen),
        effective,
        kept.found.log_evidence,
        kept.found.disagreement,
        "kept",
    )
    return brief(asked, found, find_causes(asked, found)), Kept(asked, found, like[chosen])


def refined(
    case: Case, rng: np.random.Generator, *, wanted_u_probability: float = 0.015, learned: Learned | None = None
) -> Iterator[dict[str, Any]]:
    """Brief answers from more and more new draws, until the stated error of every leading cause is as wished."""
    asked = question(case, learned)
    for most in _STEPS:
        weighed = importance(asked, rng, draws_count=most)
        weights = weighed.weights()
        chosen = resampled(weights, 3000, rng)
        found = Posterior(
            weighed.theta[:, chosen],
            weighed.draws.chosen(chosen),
            weighed.effective_count(),
            math.nan,
            0.0,
            "importance",
        )
        answer = brief(asked, found, find_causes(asked, found))
        worst = max((row["necessary_u_probability"] for row in answer["causes"][:4]), default=0.0)
        answer["rough"] = worst > wanted_u_probability
        yield answer
        if not answer["rough"]:
            return


def _anew(asked: Question, rng: np.random.Generator) -> tuple[dict[str, Any], Kept]:
    weighed = importance(asked, rng, draws_count=_ANEW)
    chosen = resampled(weighed.weights(), _ROUGH_CLOCKS, rng)
    found = Posterior(
        weighed.theta[:, chosen], weighed.draws.chosen(chosen), weighed.effective_count(), math.nan, 0.0, "importance"
    )
    return brief(asked, found, find_causes(asked, found)), Kept(asked, found, weighed.log_weight[chosen])


def _fewer(found: Posterior) -> Posterior:
    columns = np.arange(min(_ROUGH_CLOCKS, found.count)) * found.count // min(_ROUGH_CLOCKS, found.count)
    return Posterior(
        found.theta[:, columns],
        found.draws.chosen(columns),
        found.effective_count,
        found.log_evidence,
        found.disagreement,
        found.method,
    )


def _same_going(old: Question, new: Question) -> bool:
    """Whether only findings differ: then the sound movements and the weighing are the same."""
    return (
        old.movement == new.movement
        and old.told == new.told
        and old.gauges.gauges == new.gauges.gauges
        and old.case.trials == new.case.trials
    )


def _name(suspect: Suspect) -> tuple[object, ...]:
    """What makes a suspect the same one: fault, place, chance, and what was said of it."""
    return (
        suspect.fault,
        suspect.arbors,
        suspect.everywhere,
        round(suspect.probability, 12),
        suspect.read_as_none_share,
        suspect.level,
        suspect.measured_severity,
        bool(suspect.reports),
    )


def _moved_over(kept: Kept, asked: Question, rng: np.random.Generator) -> tuple[FaultDraws, bool]:
    """The kept faults in the columns of the new question; suspects that changed are drawn anew, with all their finding
    could mean.
    """
    n = kept.found.count
    fresh = draw_faults(asked.suspicion, n, rng)
    old = {_name(s): k for k, s in enumerate(kept.asked.suspicion.suspects)}
    old_picks = {
        frozenset(_name(kept.asked.suspicion.suspects[m]) for m in p.members): p.probability
        for p in kept.asked.suspicion.picks
    }
    anew = set()
    for pick in asked.suspicion.picks:
        names = frozenset(_name(asked.suspicion.suspects[m]) for m in pick.members)
        if old_picks.get(names) != pick.probability:
            anew |= set(pick.members)
    for k, suspect in enumerate(asked.suspicion.suspects):
        source = old.get(_name(suspect))
        if source is None or k in anew:
            anew.add(k)
            continue
        for name in ("severity", "arbor", "sense", "clock"):
            getattr(fresh, name)[k] = getattr(kept.found.draws, name)[source]
    return fresh, bool(anew)

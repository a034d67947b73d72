"""What finished jobs teach: chances of faults, sizes of effects, and whether the stated chances have held.

A finished job has its case as found, the faults that turned out to be there, what was put right, and how the clock
did afterwards. Sizes of effects are learned on a grid by the evidence of before and after; chances of faults by counting,
against what was held before. Every step makes a new version that names its jobs and the version it came from;
none is changed, and any may be gone back to. Nothing is taken up silently: `changes` says what a version changes.

Limits: one effect at a time; factors from 0.4 to 2.5; twenty jobs move a wrong effect size about home.
"""

from __future__ import annotations

import copy
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from underdial.diagnosis import readings
from underdial.diagnosis.case_file import parse_case
from underdial.diagnosis.effects import scatter_count
from underdial.diagnosis.fault_draws import draw_faults
from underdial.diagnosis.question import Learned, question, weigh, with_faults_put_right
from underdial.mechanics.parameters import Array
from underdial.trade.fault_laws import fault_laws

FACTORS = tuple(float(f) for f in np.exp(np.linspace(math.log(0.4), math.log(2.5), 13)))
_FACTOR_LOG_SD = 0.35
_DRAWS = 8_000
# What was held before counts as this many clocks looked at. [assumption]
_HELD_COUNT = 20.0


@dataclass(frozen=True)
class Job:
    """A finished job: the case as found, what was there when it was stripped, what was put right, and how it did then.

    `after` are measurements as in a case file, read after the work; `there` and `not_there` are faults by id.
    """

    job_id: str
    case: Mapping[str, Any]
    there: frozenset[str] = frozenset()
    not_there: frozenset[str] = frozenset()
    put_right: frozenset[str] = frozenset()
    after: tuple[Mapping[str, Any], ...] = ()
    ran_full: bool | None = None
    stated_probability: float | None = None


@dataclass(frozen=True)
class Version:
    """What has been learned so far. `parent` is the version it came from; version 0 has learned nothing."""

    number: int = 0
    learned: Learned = field(default_factory=Learned)
    jobs: tuple[str, ...] = ()
    parent: int | None = None
    note: str = "as delivered"


def learn_priors(before: Version, jobs: Sequence[Job]) -> Version:
    """A new version whose chances of faults take the jobs into account; clocks where nobody looked do not count."""
    fresh = [job for job in jobs if job.job_id not in before.jobs]
    priors = dict(before.learned.priors)
    for fault, law in fault_laws().items():
        seen = sum(fault in job.there for job in fresh)
        looked = seen + sum(fault in job.not_there for job in fresh)
        if looked:
            held = priors.get(fault, law.prior_probability)
            priors[fault] = (held * _HELD_COUNT + seen) / (_HELD_COUNT + looked)
    return _next(before, replace(before.learned, priors=priors), fresh, f"chances from {len(fresh)} jobs")


def learn_size(before: Version, fault: str, jobs: Sequence[Job], rng: np.random.Generator) -> tuple[Version, Array]:
    """A new version whose effect size of one fault takes the jobs into account.

    Parameters
    ----------
    before : Version
        What was learned until now.
    fault : str
        The fault whose effect is learned.
    jobs : sequence of Job
        Finished jobs; those without readings after the work teach by their case alone.
    rng : Generator
        The random source.

    Returns
    -------
    tuple of Version and array, shape (factors,)
        The new version, and the chances of the factors in `FACTORS`.
    """
    fresh = [job for job in jobs if fault not in job.not_there]
    log_chance = -0.5 * (np.log(FACTORS) / _FACTOR_LOG_SD) ** 2
    for job in fresh:
        log_chance = log_chance + size_evidence(before, fault, job, rng)
    chance = np.exp(log_chance - log_chance.max())
    chance /= chance.sum()
    factor = float(np.exp(np.sum(chance * np.log(FACTORS))))
    sizes = {**before.learned.sizes, fault: factor}
    return _next(before, replace(before.learned, sizes=sizes), fresh, f"effect of {fault} times {factor:.2f} from {len(fresh)} jobs"), chance


def size_evidence(before: Version, fault: str, job: Job, rng: np.random.Generator) -> Array:
    """Log evidence of one job for every factor, on the same draws; shape (factors,)."""
    out = []
    for factor in FACTORS:
        own = copy.deepcopy(rng)
        asked = question(parse_case(job.case), replace(before.learned, sizes={**before.learned.sizes, fault: factor}))
        draws = draw_faults(asked.suspicion, _DRAWS, own)
        theta = own.standard_normal((scatter_count(asked.bench.layout), _DRAWS))
        _, like = weigh(asked, theta, draws)
        if job.after:
            then = question(parse_case({**job.case, "complaint": {}, "findings": [], "measurements": list(job.after)}), before.learned)
            cured = tuple(k for k, s in enumerate(asked.suspicion.suspects) if s.fault in job.put_right)
            what = with_faults_put_right(replace(asked, gauges=then.gauges, bench=replace(asked.bench, layout=then.bench.layout, nominal=then.bench.nominal)),
                                         theta, draws, cured)  # fmt: skip
            like = like + readings.log_likelihood(then.gauges.gauges, asked.bench, what, regulator_sd=asked.regulator_sd, typical_rate=asked.typical_rate)
        out.append(float(np.logaddexp.reduce(like) - math.log(_DRAWS)))
    rng.random(1000)
    return np.asarray(out)


def changes(before: Version, after: Version) -> list[str]:
    """What a version changes, in words, before it is taken up."""
    out = []
    for fault in sorted({*before.learned.priors, *after.learned.priors}):
        law = fault_laws().get(fault)
        a = before.learned.priors.get(fault, law.prior_probability if law else math.nan)
        b = after.learned.priors.get(fault, a)
        if abs(a - b) > 1e-9:
            out.append(f"{fault}: chance in a clock brought in from {a:.3f} to {b:.3f}")
    for fault in sorted({*before.learned.sizes, *after.learned.sizes}):
        a, b = before.learned.sizes.get(fault, 1.0), after.learned.sizes.get(fault, 1.0)
        if abs(a - b) > 1e-9:
            out.append(f"{fault}: effect from {a:.2f} to {b:.2f} times what was delivered")
    return out


def back_to(versions: Sequence[Version], number: int) -> Version:
    """An earlier version, as a new one that says so; what was learned since stays readable."""
    wanted = next(v for v in versions if v.number == number)
    return Version(max(v.number for v in versions) + 1, wanted.learned, wanted.jobs, versions[-1].number, f"back to version {number}")


def reliability(jobs: Sequence[Job], *, bins_count: int = 5) -> list[dict[str, float]]:
    """What was stated against what happened, over finished jobs, in classes of the stated chance.

    `seen_low` and `seen_high` are the 90 % interval of the share, from the counts alone (Jeffreys).
    """
    from scipy.stats import beta

    pairs = [(job.stated_probability, job.ran_full) for job in jobs if job.stated_probability is not None and job.ran_full is not None]
    out = []
    for b in range(bins_count):
        mine = [(p, ran) for p, ran in pairs if min(int(p * bins_count), bins_count - 1) == b]
        if mine:
            good = sum(bool(ran) for _, ran in mine)
            low, high = beta.ppf([0.05, 0.95], good + 0.5, len(mine) - good + 0.5)
            out.append({"said": sum(p for p, _ in mine) / len(mine), "seen": good / len(mine), "seen_low": float(low), "seen_high": float(high), "count": float(len(mine))})
    return out


def _next(before: Version, learned: Learned, jobs: Sequence[Job], note: str) -> Version:
    names = (*before.jobs, *(job.job_id for job in jobs if job.job_id not in before.jobs))
    return Version(before.number + 1, learned, names, before.number, note)

"""What finished jobs teach: chances of faults, sizes of effects, and whether the stated chances have held.

A finished job has its case as found, the faults that turned out to be there, what was put right, and how the clock did
afterwards. Sizes of effects are learned on a grid of factors by the evidence of before and after; chances of faults by
counting, against what was held before. Every step makes a new version that names its jobs and the version it came from;
none is changed, and any may be gone back to. Nothing is taken up silently: `changes` says what a version changes.

Limits: one effect at a time; factors from 0.4 to 2.5; twenty jobs move a wrong effect size about home. A work is taken
to have put its faults right wholly. That a clock whose owner dates the complaint from an event is likelier to have some
faults is not taken out.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from underdial.diagnosis import readings
from underdial.diagnosis.case_file import parse_case
from underdial.diagnosis.effects import scatter_count
from underdial.diagnosis.fault_draws import FaultDraws, draw_faults
from underdial.diagnosis.question import Learned, Question, question, weigh, with_faults_put_right
from underdial.mechanics.parameters import Array
from underdial.trade.fault_laws import fault_laws, symptom_laws

FACTORS = tuple(float(f) for f in np.exp(np.linspace(math.log(0.4), math.log(2.5), 13)))
# Least stated chance of each class: the scale of words that owners are told by.
CLASSES = (0.0, 0.2, 0.5, 0.7, 0.9)
# Effects as delivered are believed within about a third of themselves. [assumption]
_FACTOR_LOG_SD = 0.35
_DRAWS_COUNT = 6_000
# What was held as delivered counts as this many clocks looked at. [assumption]
_HELD_COUNT = 20.0
# A factor that moves less than this is not worth a line. [common practice]
_LEAST_STEP_LOG = 0.02


@dataclass(frozen=True)
class Job:
    """A finished job: the case as found, what was there when it was stripped, what was put right, and how it did then.

    `after` are measurements as in a case file, read after the work; `there` and `not_there` are faults by id. Only a
    clock that was `stripped` teaches chances: in any other what was not written down may have been there all the same.
    """

    job_id: str
    case: Mapping[str, Any]
    there: frozenset[str] = frozenset()
    not_there: frozenset[str] = frozenset()
    put_right: frozenset[str] = frozenset()
    after: tuple[Mapping[str, Any], ...] = ()
    ran_full: bool | None = None
    stated_probability: float | None = None
    stripped: bool = True


@dataclass(frozen=True)
class Version:
    """What has been learned so far.

    `parent` is the version it came from; version 0 has learned nothing.

    `looked_count` says how many clocks of the jobs stand behind each chance, `size_chances` how likely each of
    `FACTORS` is.
    """

    number: int = 0
    learned: Learned = field(default_factory=Learned)
    jobs: tuple[str, ...] = ()
    parent: int | None = None
    note: str = "as delivered"
    looked_count: Mapping[str, int] = field(default_factory=dict)
    size_chances: Mapping[str, tuple[float, ...]] = field(default_factory=dict)


@dataclass(frozen=True)
class Change:
    """One number that a version changes: the `chance` of a fault in a clock brought in, or the `size` of its effect
    against what was delivered.
    """

    fault: str
    what: str
    before: float
    after: float


@dataclass(frozen=True)
class StatedClass:
    """Jobs whose stated chance lay in one class: what was said on average, the share that ran full and its 90 %
    interval.
    """

    said_probability: float
    seen_ratio: float
    seen_low_ratio: float
    seen_high_ratio: float
    ran_count: int
    count: int


def learn(
    before: Version, jobs: Sequence[Job], rng: np.random.Generator, *, progress: Callable[[float], None] | None = None
) -> Version:
    """One new version from the jobs that have not taught yet: chances by counting, and by these the size of every
    effect found in one of them.

    `progress` is told the part that is done, from 0 to 1, after each job and effect.
    """
    fresh = _fresh(before, jobs)
    after = learn_priors(before, fresh)
    by_these = replace(before, learned=after.learned)
    tasks = sorted(
        (fault, number) for number, job in enumerate(fresh) for fault in job.there if teaches_size(job, fault)
    )
    log_chances: dict[str, Array] = {}
    for done, (fault, number) in enumerate(tasks, 1):
        log_chances[fault] = log_chances.get(fault, _held(before, fault)) + size_evidence(
            by_these, fault, fresh[number], rng
        )
        if progress is not None:
            progress(done / len(tasks))
    chances = {fault: _normalised(one) for fault, one in log_chances.items()}
    sizes = {**before.learned.sizes, **{fault: _middle(one) for fault, one in chances.items()}}
    kept = {**before.size_chances, **{fault: tuple(float(p) for p in one) for fault, one in chances.items()}}
    return replace(
        after,
        learned=replace(after.learned, sizes=sizes),
        size_chances=kept,
        note=f"chances and {len(chances)} effects from {len(fresh)} jobs",
    )


def learn_priors(before: Version, jobs: Sequence[Job]) -> Version:
    """A new version whose chances of faults take the jobs into account; clocks where nobody looked do not count."""
    fresh = _fresh(before, jobs)
    looked_in = [job for job in fresh if job.stripped]
    priors, looked_count = dict(before.learned.priors), dict(before.looked_count)
    for fault, delivered in _delivered().items():
        seen = sum(fault in job.there for job in looked_in)
        looked = seen + sum(fault in job.not_there for job in looked_in)
        if looked:
            behind = _HELD_COUNT + before.looked_count.get(fault, 0)
            priors[fault] = (priors.get(fault, delivered) * behind + seen) / (behind + looked)
            looked_count[fault] = before.looked_count.get(fault, 0) + looked
    after = _next(before, replace(before.learned, priors=priors), fresh, f"chances from {len(fresh)} jobs")
    return replace(after, looked_count=looked_count)


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
    fresh = [job for job in _fresh(before, jobs) if fault not in job.not_there]
    log_chance = _held(before, fault)
    for job in fresh:
        log_chance = log_chance + size_evidence(before, fault, job, rng)
    chance = _normalised(log_chance)
    factor = _middle(chance)
    learned = replace(before.learned, sizes={**before.learned.sizes, fault: factor})
    after = _next(before, learned, fresh, f"effect of {fault} times {factor:.2f} from {len(fresh)} jobs")
    return replace(after, size_chances={**before.size_chances, fault: tuple(float(p) for p in chance)}), chance


def teaches_size(job: Job, fault: str) -> bool:
    """Whether a job can say anything of the size of an effect: the fault was there, acts in the sums, and something was
    read.
    """
    law = fault_laws().get(fault)
    return law is not None and bool(law.laws) and fault in job.there and bool(job.case.get("measurements") or job.after)


def size_evidence(before: Version, fault: str, job: Job, rng: np.random.Generator) -> Array:
    """Log evidence of one job for every factor, on the same draws; shape (factors,).

    Every second factor is reckoned, the others lie on a smooth curve through them. Faults that were looked for and not
    there are in no draw.
    """
    from scipy.interpolate import CubicSpline

    asked = question(parse_case(job.case), before.learned)
    draws = draw_faults(asked.suspicion, _DRAWS_COUNT, rng)
    draws.severity[[k for k, one in enumerate(asked.suspicion.suspects) if one.fault in job.not_there]] = 0.0
    theta = rng.standard_normal((scatter_count(asked.bench.layout), _DRAWS_COUNT))
    logs = np.log(FACTORS)
    few = []
    for factor in FACTORS[::2]:
        one = replace(asked, learned=replace(before.learned, sizes={**before.learned.sizes, fault: factor}))
        like = weigh(one, theta, draws)[1] + _log_likelihood_after(one, job, theta, draws)
        few.append(float(np.logaddexp.reduce(like) - math.log(_DRAWS_COUNT)))
    return np.asarray(CubicSpline(logs[::2], few)(logs))


def changed(before: Version, after: Version) -> list[Change]:
    """Every number that a version changes, chances first, by fault."""
    out, delivered = [], _delivered()
    for fault in sorted({*before.learned.priors, *after.learned.priors}):
        a, b = (one.learned.priors.get(fault, delivered.get(fault, math.nan)) for one in (before, after))
        if abs(a - b) > 1e-9:
            out.append(Change(fault, "chance", a, b))
    for fault in sorted({*before.learned.sizes, *after.learned.sizes}):
        a, b = (one.learned.sizes.get(fault, 1.0) for one in (before, after))
        if abs(math.log(a / b)) > _LEAST_STEP_LOG:
            out.append(Change(fault, "size", a, b))
    return out


def changes(before: Version, after: Version) -> list[str]:
    """What a version changes, in words, before it is taken up."""
    words = {
        "chance": "{}: chance in a clock brought in from {:.3f} to {:.3f}",
        "size": "{}: effect from {:.2f} to {:.2f} times what was delivered",
    }
    return [words[one.what].format(one.fault, one.before, one.after) for one in changed(before, after)]


def back_to(versions: Sequence[Version], number: int) -> Version:
    """An earlier version, as a new one that says so; what was learned since stays readable."""
    wanted = next(v for v in versions if v.number == number)
    return replace(
        wanted, number=max(v.number for v in versions) + 1, parent=versions[-1].number, note=f"back to version {number}"
    )


def reliability(jobs: Iterable[Job], *, least: Sequence[float] = CLASSES) -> list[StatedClass]:
    """What was stated against what happened, over finished jobs, in classes of the stated chance that begin at `least`.

    The interval of the share is from the counts alone (Jeffreys). A class without a job is left out.
    """
    from scipy.stats import beta

    pairs = stated_and_seen(jobs)
    out = []
    for low, high in zip(least, [*least[1:], math.inf], strict=True):
        mine = [(p, ran) for p, ran in pairs if low <= p < high]
        if mine:
            good = sum(ran for _, ran in mine)
            seen_low, seen_high = (float(one) for one in beta.ppf([0.05, 0.95], good + 0.5, len(mine) - good + 0.5))
            out.append(
                StatedClass(sum(p for p, _ in mine) / len(mine), good / len(mine), seen_low, seen_high, good, len(mine))
            )
    return out


def stated_and_seen(jobs: Iterable[Job]) -> list[tuple[float, bool]]:
    """The stated chance and whether it ran full, of the jobs that have both."""
    return [
        (job.stated_probability, job.ran_full)
        for job in jobs
        if job.stated_probability is not None and job.ran_full is not None
    ]


def _fresh(before: Version, jobs: Sequence[Job]) -> list[Job]:
    return [job for job in jobs if job.job_id not in before.jobs]


def _delivered() -> dict[str, float]:
    """Chances of all faults as delivered; a fault of striking that also touches the going is counted once."""
    return {
        **{fault: law.prior_probability for fault, law in symptom_laws().items()},
        **{fault: law.prior_probability for fault, law in fault_laws().items()},
    }


def _log_likelihood_after(asked: Question, job: Job, theta: Array, draws: FaultDraws) -> Array:
    """Log likelihood of what was read after the work, for the same clocks with their faults put right; nought where
    nothing was read.
    """
    if not job.after:
        return np.zeros(draws.count)
    then = question(
        parse_case({**job.case, "complaint": {}, "findings": [], "measurements": list(job.after), "trials": []}),
        asked.learned,
    )
    cured = tuple(k for k, one in enumerate(asked.suspicion.suspects) if one.fault in job.put_right)
    bench = replace(asked.bench, layout=then.bench.layout, nominal=then.bench.nominal)
    what = with_faults_put_right(replace(asked, gauges=then.gauges, bench=bench), theta, draws, cured)
    return readings.log_likelihood(
        then.gauges.gauges, bench, what, regulator_sd=asked.regulator_sd, typical_rate=asked.typical_rate
    )


def _held(before: Version, fault: str) -> Array:
    """Log chances of the factors as they are held until now."""
    known = before.size_chances.get(fault)
    if known is None:
        return -0.5 * (np.log(FACTORS) / _FACTOR_LOG_SD) ** 2
    return np.log(np.maximum(known, 1e-300))


def _normalised(log_chance: Array) -> Array:
    chance = np.exp(log_chance - log_chance.max())
    return np.asarray(chance / chance.sum())


def _middle(chance: Array) -> float:
    return float(np.exp(np.sum(chance * np.log(FACTORS))))


def _next(before: Version, learned: Learned, jobs: Sequence[Job], note: str) -> Version:
    names = (*before.jobs, *(job.job_id for job in jobs if job.job_id not in before.jobs))
    return replace(before, number=before.number + 1, learned=learned, jobs=names, parent=before.number, note=note)

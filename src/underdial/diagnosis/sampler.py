"""Clocks that agree with all that was told: importance sampling first, tempered moves when the evidence is sharp.

Draws agree with the findings exactly and are weighed by complaint and readings. When too few of them carry the weight,
a set of particles is led from the findings to the whole evidence in steps; between the steps each moves by a
reference-adapted Crank-Nicolson step of the sound movement, by redrawing single suspects, and by redrawing how bad the
present ones are. Redrawing single suspects keeps rare faults in the set. Two runs are made and compared.

The random source is passed in; the same source gives the same answer to the last digit. Limits: at 40 000 to 120 000
draws; below an effective 300 the tempered runs answer, with 2 x 1400 particles, side by side. With eight sharp readings
these are worth some 50 independent draws (reckoned from how the two runs differ), and the stated errors say so.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from underdial.diagnosis.effects import scatter_count
from underdial.diagnosis.fate import Fate
from underdial.diagnosis.fault_draws import FaultDraws, draw_faults, fill_in
from underdial.diagnosis.question import Question, weigh
from underdial.mechanics.parameters import Array

BLOCK = 20_000
LEAST_EFFECTIVE = 300.0
WANTED_EFFECTIVE = 500.0
_PARTICLES = 1_400
_MOVES = 18
_EASY_EFFECTIVE = 40.0
_ORDER = ("sound", "swap_stops", "few", "swap_any", "many", "severity")
_NEGLIGIBLE = 16.0
_DOUBTFUL = 12
Progress = Callable[[float], None]


@dataclass
class Weighed:
    """Draws with their log weights; the negligible ones are left out, `tried_count` counts all."""

    theta: Array
    draws: FaultDraws
    log_weight: Array
    tried_count: int

    def weights(self) -> Array:
        """Normalised weights, shape (draws,)."""
        w = np.exp(self.log_weight - self.log_weight.max())
        return np.asarray(w / w.sum())

    def part(self, start: int, end: int) -> Weighed:
        """Some of the draws in a row, as a set of its own."""
        some = np.arange(start, end)
        tried = max(round(self.tried_count * len(some) / len(self.log_weight)), len(some))
        return Weighed(self.theta[:, some], self.draws.chosen(some), self.log_weight[some], tried)

    def effective_count(self) -> float:
        """Effective number of draws."""
        return float(1.0 / (self.weights() ** 2).sum())


@dataclass
class Posterior:
    """Clocks that agree with everything, equally weighted.

    effective_count: of the run behind them. log_evidence: log density of complaint and readings, given the findings.
    disagreement: largest difference between the two runs in the chance of any fault. method: importance or tempered.
    """

    theta: Array
    draws: FaultDraws
    effective_count: float
    log_evidence: float
    disagreement: float
    method: str

    @property
    def count(self) -> int:
        """Draws."""
        return self.draws.count


def posterior(
    asked: Question,
    rng: np.random.Generator,
    *,
    keep: int = 3000,
    most_draws: int = 120_000,
    hurried: bool = False,
    progress: Progress | None = None,
) -> Posterior:
    """Draw clocks that agree with everything told.

    Parameters
    ----------
    asked : Question
        The case made ready.
    rng : Generator
        The random source.
    keep : int
        Equally weighted clocks to return, 100 or more.
    most_draws : int
        Most draws of importance sampling before the tempered moves take over.
    hurried : bool
        Half the particles and half the moves: for a clock that the sums do not explain anyhow.
    progress : callable, optional
        Told the share done, 0 to 1; it may raise to cancel.

    Returns
    -------
    Posterior
        With the effective count and how far two runs differ.
    """
    say = progress or (lambda share: None)
    parts = [importance(asked, rng, draws_count=min(2 * BLOCK, most_draws))]
    say(0.3)
    while (
        _effective(np.concatenate([p.log_weight for p in parts])) < WANTED_EFFECTIVE
        and sum(p.tried_count for p in parts) < most_draws
    ):
        parts.append(importance(asked, rng, draws_count=BLOCK))
        say(min(0.9, sum(p.tried_count for p in parts) / most_draws))
    found = together(*parts)
    if found.effective_count() >= LEAST_EFFECTIVE:
        return _from_importance(found, keep, rng)
    half = found.draws.count // 2
    # Where next to no draw agrees, both runs start from all there are.
    ends = (0, half, half, found.draws.count) if half else (0, 1, 0, 1)
    pools = [found.part(*ends[:2]), found.part(*ends[2:])]
    first, second = _led(asked, rng, pools, hurried=hurried, progress=lambda s: say(0.3 + 0.7 * s))
    one, two = ((run.draws.severity > 0).mean(axis=1) for run in (first, second))
    theta = np.concatenate([first.theta, second.theta], axis=1)
    draws = FaultDraws.joined([first.draws, second.draws])
    evidence = float(np.logaddexp(first.log_evidence, second.log_evidence) - math.log(2.0))
    return Posterior(
        theta, draws, _worth_of_two_runs(one, two, draws.count), evidence, float(np.abs(one - two).max()), "tempered"
    )


def _worth_of_two_runs(one: Array, two: Array, count: int) -> float:
    """How many independent draws would differ as two runs did: the spread of a chance p over n draws is p(1 - p)/n.

    Counted over the suspects that are most in doubt: the many rare ones come and go easily and say little of how well
    those are known.
    """
    p = 0.5 * (one + two)
    doubtful = np.argsort(-p * (1.0 - p), kind="stable")[:_DOUBTFUL]
    one, two, p = one[doubtful], two[doubtful], p[doubtful]
    spread = float((2.0 * p * (1.0 - p)).sum())
    differ = float(((one - two) ** 2).sum())
    return float(min(2.0 * spread / max(differ, 1e-12), count))


def importance(asked: Question, rng: np.random.Generator, *, draws_count: int) -> Weighed:
    """Draws that agree with the findings, weighed by complaint and readings."""
    parts = []
    best = -math.inf
    for start in range(0, draws_count, BLOCK):
        n = min(BLOCK, draws_count - start)
        draws = draw_faults(asked.suspicion, n, rng)
        theta = rng.standard_normal((scatter_count(asked.bench.layout), n))
        _, weight = weigh(asked, theta, draws)
        best = max(best, float(weight.max()))
        heavy = np.flatnonzero(weight > best - _NEGLIGIBLE)
        parts.append(Weighed(np.ascontiguousarray(theta[:, heavy]), draws.chosen(heavy), weight[heavy], n))
    return parts[0] if len(parts) == 1 else together(*parts)


def resampled(weights: Array, count: int, rng: np.random.Generator) -> NDArray[np.int64]:
    """Systematic resampling: numbers of the draws, each as often as its weight asks."""
    steps = (rng.random() + np.arange(count)) / count
    return np.minimum(np.searchsorted(np.cumsum(weights), steps), len(weights) - 1).astype(np.int64)


def tempered(
    asked: Question,
    rng: np.random.Generator,
    start: Weighed | None = None,
    *,
    hurried: bool = False,
    progress: Progress | None = None,
) -> Posterior:
    """One run of tempered particles from the findings to the whole evidence."""
    pool = start or importance(asked, rng, draws_count=3 * BLOCK)
    return _led(asked, rng, [pool], hurried=hurried, progress=progress)[0]


def _led(
    asked: Question, rng: np.random.Generator, pools: list[Weighed], *, hurried: bool, progress: Progress | None
) -> list[Posterior]:
    """Runs of tempered particles side by side: each resamples among its own, all are weighed in one go, which costs
    less.
    """
    # Evidence that is but a little too sharp needs fewer steps.
    easy = hurried or min(p.effective_count() for p in pools) >= _EASY_EFFECTIVE
    particles, moves_count = (_PARTICLES // 2, _MOVES // 2) if easy else (_PARTICLES, _MOVES)
    theta, draws, like = (
        np.concatenate([p.theta for p in pools], axis=1),
        FaultDraws.joined([p.draws for p in pools]),
        np.concatenate([p.log_weight for p in pools]),
    )
    groups = np.split(np.arange(len(like)), np.cumsum([p.draws.count for p in pools])[:-1])
    beta, evidence, sizes = 0.0, [math.log(p.draws.count / p.tried_count) for p in pools], _Steps()
    blocks = _blocks(asked)
    for _ in range(60):
        step = min(_next_beta(like[g], beta, wanted=particles if beta == 0.0 else particles // 2) for g in groups)
        chosen = []
        for i, g in enumerate(groups):
            log_w = (step - beta) * like[g]
            evidence[i] += float(np.logaddexp.reduce(log_w) - math.log(len(log_w)))
            weights = np.exp(log_w - log_w.max())
            chosen.append(g[resampled(weights / weights.sum(), particles, rng)])
        kept = np.concatenate(chosen)
        theta, draws, like = theta[:, kept], draws.chosen(kept), like[kept]
        groups = np.split(np.arange(len(like)), len(pools))
        beta = step
        moves = moves_count if beta < 1.0 else 2 * moves_count
        for move in range(moves):
            theta, draws, like = _move(
                asked, rng, blocks, sizes, beta, theta, draws, like, groups, kind=_ORDER[move % len(_ORDER)]
            )
        if progress is not None:
            progress(beta)
        if beta >= 1.0:
            break
    return [Posterior(theta[:, g], draws.chosen(g), float(len(np.unique(np.round(like[g], 9)))), e, 0.0, "tempered")
            for g, e in zip(groups, evidence, strict=True)]  # fmt: skip


@dataclass
class _Steps:
    """Widths of the moves, adapted to how often they are taken."""

    rho: float = 0.8


def _next_beta(like: Array, beta: float, *, wanted: int) -> float:
    """The next exponent: as far as leaves the wanted effective number."""
    low, high = beta, 1.0
    if _effective((high - beta) * like) >= wanted:
        return 1.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        if _effective((middle - beta) * like) >= wanted:
            low = middle
        else:
            high = middle
    return max(low, beta + 1e-4)


def _effective(log_w: Array) -> float:
    w = np.exp(log_w - log_w.max())
    return float(w.sum() ** 2 / (w**2).sum())


def _blocks(asked: Question) -> tuple[list[tuple[int, ...]], Array]:
    """Suspects that must be redrawn together (those one finding could mean), and how often each block is tried."""
    suspects = asked.suspicion.suspects
    parent = list(range(len(suspects)))

    def root(k: int) -> int:
        while parent[k] != k:
            k = parent[k]
        return k

    for pick in asked.suspicion.picks:
        for other in pick.members[1:]:
            parent[root(other)] = root(pick.members[0])
    groups: dict[int, list[int]] = {}
    for k in range(len(suspects)):
        groups.setdefault(root(k), []).append(k)
    blocks = [tuple(g) for g in groups.values()]
    chance = np.asarray([max(suspects[k].probability for k in g) for g in blocks])
    in_pick = {m for p in asked.suspicion.picks for m in p.members}
    chance = np.where([any(k in in_pick for k in g) for g in blocks], 0.5, chance)
    often = np.sqrt(np.clip(chance * (1.0 - chance), 1e-4, None)) + 0.03
    return blocks, often / often.sum()


def _move(
    asked: Question,
    rng: np.random.Generator,
    blocks: tuple[list[tuple[int, ...]], Array],
    sizes: _Steps,
    beta: float,
    theta: Array,
    draws: FaultDraws,
    like: Array,
    groups: list[NDArray[np.int64]],
    *,
    kind: str,
) -> tuple[Array, FaultDraws, Array]:
    """One move of all particles at the exponent `beta`."""
    extra = np.zeros(len(like))
    new_theta, new_draws = theta, draws
    if kind == "sound":
        steps = [_reference_step(theta[:, g], sizes.rho, rng) for g in groups]
        new_theta, extra = np.concatenate([s[0] for s in steps], axis=1), np.concatenate([s[1] for s in steps])
    elif kind == "severity":
        new_draws = _worse_or_better(asked, draws, rng)
    elif kind.startswith("swap"):
        new_draws, extra = _swapped(asked, draws, rng, only_stops=kind == "swap_stops")
    else:
        new_draws = _redrawn(asked, draws, blocks, rng, blocks_count=2 if kind == "few" else 16)
    _, proposed = weigh(asked, new_theta, new_draws)
    taken = np.log(rng.random(len(like))) < beta * (proposed - like) + extra
    if kind == "sound":
        rate = float(taken.mean())
        sizes.rho = float(np.clip(sizes.rho + (0.05 if rate < 0.2 else -0.05 if rate > 0.4 else 0.0), 0.3, 0.98))
        theta = np.where(taken[None, :], new_theta, theta)
    else:
        merged = FaultDraws(
            *(
                np.where(taken[None, :], getattr(new_draws, n), getattr(draws, n))
                for n in ("severity", "arbor", "sense", "clock")
            )
        )
        draws = merged
    return theta, draws, np.where(taken, proposed, like)


def _reference_step(theta: Array, rho: float, rng: np.random.Generator) -> tuple[Array, Array]:
    """A Crank-Nicolson step about the particles' own mean and covariance, and the log ratio that corrects for it."""
    d, n = theta.shape
    mean = theta.mean(axis=1, keepdims=True) * (n / (n + 20.0))
    cov = np.cov(theta) * 0.9 + 0.1 * np.eye(d)
    lower = np.linalg.cholesky(cov)
    new = mean + rho * (theta - mean) + math.sqrt(1.0 - rho**2) * (lower @ rng.standard_normal((d, n)))

    def log_reference(x: Array) -> Array:
        z = np.linalg.solve(lower, x - mean)
        return np.asarray(-0.5 * (z**2).sum(axis=0))

    prior = -0.5 * ((new**2).sum(axis=0) - (theta**2).sum(axis=0))
    return new, prior + log_reference(theta) - log_reference(new)


def _copied(draws: FaultDraws) -> FaultDraws:
    return FaultDraws(draws.severity.copy(), draws.arbor.copy(), draws.sense.copy(), draws.clock.copy())


def _worse_or_better(asked: Question, draws: FaultDraws, rng: np.random.Generator) -> FaultDraws:
    """How bad about a third of the present faults are, redrawn as their findings allow."""
    new = _copied(draws)
    for k in np.flatnonzero((draws.severity > 0).any(axis=1)):
        mask = (draws.severity[k] > 0) & (rng.random(draws.count) < 0.35)
        fill_in(new, int(k), asked.suspicion.suspects[int(k)], np.flatnonzero(mask), rng)
    return new


def _swapped(
    asked: Question, draws: FaultDraws, rng: np.random.Generator, *, only_stops: bool
) -> tuple[FaultDraws, Array]:
    """One present suspect taken out and an absent one put in, in each particle; with the log ratio that corrects for
    it.

    The one to leave is any present one alike, the one to come is chosen by its odds; so the odds cancel but for the
    sums over those absent before and after.
    """
    suspects = asked.suspicion.suspects
    held = {m for p in asked.suspicion.picks for m in p.members}
    open_to = np.asarray([k for k, one in enumerate(suspects) if k not in held and (one.law.events or not only_stops)])
    odds = np.asarray([suspects[k].probability / (1.0 - suspects[k].probability) for k in open_to])
    there = draws.severity[open_to] > 0.0
    some = np.flatnonzero(there.any(axis=0))
    new = _copied(draws)
    extra = np.zeros(draws.count)
    extra[~there.any(axis=0)] = -np.inf
    out = np.argmax(np.where(there[:, some], rng.random((len(open_to), len(some))), -1.0), axis=0)
    gumbel = np.log(odds)[:, None] + rng.gumbel(size=(len(open_to), len(some)))
    into = np.argmax(np.where(there[:, some], -np.inf, gumbel), axis=0)
    absent_odds = (odds[:, None] * ~there[:, some]).sum(axis=0)
    extra[some] = np.log(absent_odds) - np.log(absent_odds - odds[into] + odds[out])
    new.severity[open_to[out], some] = 0.0
    for j in np.unique(into):
        k = int(open_to[j])
        fill_in(new, k, suspects[k], some[into == j], rng)
    return new, extra


def _redrawn(
    asked: Question,
    draws: FaultDraws,
    blocks: tuple[list[tuple[int, ...]], Array],
    rng: np.random.Generator,
    *,
    blocks_count: int,
) -> FaultDraws:
    """Some blocks of suspects redrawn in each particle, as before anything but the findings was known."""
    suspects = asked.suspicion.suspects
    new = _copied(draws)
    n = draws.count
    # Each particle takes the blocks that its own coin picks, so that a set of any size is one symmetric choice.
    chances = np.minimum(blocks_count * blocks[1], 0.9)
    for b, block in enumerate(blocks[0]):
        columns = np.flatnonzero(rng.random(n) < chances[b])
        if not len(columns):
            continue
        there = {k: rng.random(len(columns)) < suspects[k].probability for k in block}
        for pick in asked.suspicion.picks:
            if pick.members[0] in there:
                u = rng.random(len(columns))
                edge = 0.0
                for member, share in zip(pick.members, pick.shares, strict=True):
                    there[member] = there[member] | ((u >= edge) & (u < edge + share * pick.probability))
                    edge += share * pick.probability
        for k in block:
            new.severity[k, columns] = 0.0
            fill_in(new, k, suspects[k], columns[there[k]], rng)
    return new


def together(*parts: Weighed) -> Weighed:
    """Several sets of draws as one, the negligible left out where they are many."""
    log_w = np.concatenate([p.log_weight for p in parts])
    tried = sum(p.tried_count for p in parts)
    theta = np.concatenate([p.theta for p in parts], axis=1)
    draws = FaultDraws.joined([p.draws for p in parts])
    heavy = np.flatnonzero(log_w > log_w.max() - _NEGLIGIBLE)
    if len(heavy) > 0.7 * len(log_w):
        return Weighed(theta, draws, log_w, tried)
    return Weighed(theta[:, heavy], draws.chosen(heavy), log_w[heavy], tried)


def _from_importance(found: Weighed, keep: int, rng: np.random.Generator) -> Posterior:
    weights = found.weights()
    half = len(weights) // 2
    there = found.draws.severity > 0
    gap = 0.0
    if half > 10:
        a = there[:, :half] @ weights[:half] / weights[:half].sum()
        b = there[:, half:] @ weights[half:] / weights[half:].sum()
        gap = float(np.abs(a - b).max())
    chosen = resampled(weights, keep, rng)
    log_max = found.log_weight.max()
    evidence = float(log_max + np.log(np.exp(found.log_weight - log_max).sum() / found.tried_count))
    return Posterior(
        found.theta[:, chosen], found.draws.chosen(chosen), found.effective_count(), evidence, gap, "importance"
    )


def fates(asked: Question, found: Posterior) -> Fate:
    """The fate of every clock of a posterior, as found."""
    return weigh(asked, found.theta, found.draws)[0]

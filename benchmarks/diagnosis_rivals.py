"""Three other ways to answer the two questions of the diagnosis benchmark, each given every advantage we know of.

All are trained on 8 000 made-up clocks of the same family from the very model that ours uses, with all findings, the
run time and the readings in classes. Naive Bayes: one table for each question, smoothing chosen by two-fold log loss,
then its log odds refitted by a straight line on clocks it was not trained on, so that it is not over-sure. Noisy OR:
every fault found at a level may by itself keep the clock from going, fitted by maximum likelihood with the run time in
it. Base rate: the share in training.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

Array = NDArray[np.float64]
Classes = NDArray[np.int64]
SMOOTHINGS = (0.5, 1.0, 2.0, 5.0)


def classes_of(levels: Classes, run_s: Array, shown: Array, *, duration_s: float, edges: list[Array]) -> Classes:
    """Features (clocks, columns) in classes: findings, run time, readings cut at `edges`; one not taken is a class of
    its own.
    """
    run = np.searchsorted([15.0, 60.0, 300.0, 1800.0, 7200.0, 43200.0, 0.8 * duration_s], run_s)
    cut = [np.where(np.isnan(one), 0, 1 + np.searchsorted(edge, one)) for edge, one in zip(edges, shown, strict=True)]
    return np.column_stack([*(levels + 1), run, *cut]).astype(np.int64)


class NaiveBayes:
    """One table of class counts for each yes-or-no question."""

    def __init__(self, features: Classes, answers: Array) -> None:
        half = np.arange(len(features)) % 2 == 0
        losses = []
        for alpha in SMOOTHINGS:
            loss = 0.0
            for mask in (half, ~half):
                odds = _log_odds(_tables(features[mask], answers[mask], alpha), features[~mask])
                loss += _log_loss(odds, answers[~mask])
            losses.append(loss)
        self.alpha = SMOOTHINGS[int(np.argmin(losses))]
        held = [
            (_log_odds(_tables(features[m], answers[m], self.alpha), features[~m]), answers[~m]) for m in (half, ~half)
        ]
        self.line = _straight_line(np.concatenate([h[0] for h in held]), np.concatenate([h[1] for h in held]))
        self.tables = _tables(features, answers, self.alpha)

    def chance(self, features: Classes) -> Array:
        """Chance of yes as the table says it."""
        return _logistic(_log_odds(self.tables, features))

    def refitted_chance(self, features: Classes) -> Array:
        """The same with its log odds refitted on clocks it was not trained on."""
        a, b = self.line
        return _logistic(a + b * _log_odds(self.tables, features))


class NoisyOr:
    """Each fault left as found at its level, and the run time told, may keep the clock from going."""

    def __init__(self, levels: Classes, left: Classes, run_class: Classes, answers: Array) -> None:
        design = _design(levels, left, run_class)

        def loss(w: Array) -> tuple[float, Array]:
            rate = design @ w + 1e-4
            p = np.exp(-rate)
            value = -(answers * -rate + (1 - answers) * np.log1p(-np.minimum(p, 1 - 1e-9))).mean()
            slope = answers - (1 - answers) * p / np.maximum(1 - p, 1e-9)
            return float(value), design.T @ slope / len(answers)

        start = np.full(design.shape[1], 0.1)
        self.weights = minimize(loss, start, jac=True, method="L-BFGS-B", bounds=[(0.0, 20.0)] * len(start)).x

    def chance(self, levels: Classes, left: Classes, run_class: Classes) -> Array:
        """Chance that the clock goes its full time with the faults marked in `left` still there."""
        return np.exp(-(_design(levels, left, run_class) @ self.weights + 1e-4))


def _design(levels: Classes, left: Classes, run_class: Classes) -> Array:
    """One column for each fault and level where it is left, and one for each class of run time."""
    columns = [
        ((levels[i] == level) & (left[i] == 1)).astype(float) for i in range(len(levels)) for level in (-1, 0, 1, 2, 3)
    ]
    columns += [(run_class == c).astype(float) for c in range(8)]
    return np.column_stack(columns)


def _tables(features: Classes, answers: Array, alpha: float) -> tuple[float, list[Array]]:
    yes = answers > 0.5
    prior = float(np.log((yes.sum() + alpha) / ((~yes).sum() + alpha)))
    tables = []
    for column in features.T:
        count = 12
        a = np.bincount(column[yes], minlength=count) + alpha
        b = np.bincount(column[~yes], minlength=count) + alpha
        tables.append(np.log(a / a.sum()) - np.log(b / b.sum()))
    return prior, tables


def _log_odds(tables: tuple[float, list[Array]], features: Classes) -> Array:
    prior, columns = tables
    return prior + sum((table[features[:, i]] for i, table in enumerate(columns)), np.zeros(len(features)))


def _logistic(x: Array) -> Array:
    return 1.0 / (1.0 + np.exp(-np.clip(x, -30, 30)))


def _log_loss(odds: Array, answers: Array) -> float:
    return float(np.logaddexp(0.0, -np.where(answers > 0.5, odds, -odds)).mean())


def _straight_line(odds: Array, answers: Array) -> tuple[float, float]:
    best = minimize(lambda ab: _log_loss(ab[0] + ab[1] * odds, answers), np.array([0.0, 1.0]), method="Nelder-Mead").x
    return float(best[0]), float(best[1])

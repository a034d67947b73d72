"""How grammar and network are joined: the chance that a proposed finding is right, fitted on look-overs held out.

Both readings propose (`underdial.telling.learned.second_reading`); a logistic model says from a few features of each
proposal how likely it is. It is fitted on files that the network was not taught on, with the network as the package
will read it. Source: Hastie, Tibshirani, Friedman 2009, The elements of statistical learning, section 4.4.1 (Newton's
steps), 3.4.1 (ridge).

Never here: torch, the features themselves.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import Any
from unittest.mock import patch

import numpy as np
import numpy.typing as npt
from benchmarks.lookover_score import Score, score

from teaching import told
from teaching.examples import items_of, sentences_of
from underdial.telling import look_over
from underdial.telling.learned import candidates, laid_out, network, sayings, weighing_up
from underdial.telling.learned.candidates import Candidate
from underdial.telling.learned.network import Weights
from underdial.telling.speech import captions
from underdial.telling.speech.words import Word

Numbers = npt.NDArray[np.float64]
# Pulls the weights of features of spread 1 towards 0.
RIDGE = 1.0
# Newton's steps settle long before.
_STEPS = 30
_LEAST_SPREAD = 1e-6
# Files are scored with a joining that was fitted on the others, in this many parts.
FOLDS = 5
# A proposal may begin this long before its label's line of speech or behind it.
NEAR_S = 4.0
# Of two proposals that one label could make right, the likelier is; what a reading proposes counts this much.
_PROPOSED = 0.3
_SCORED = ("component", "of", "place", "condition", "state", "start_s", "end_s", "also_s")


@dataclass(frozen=True)
class Proposals:
    """The proposals of one look-over: features of shape (n, features), and whether each is right, shape (n,)."""

    features: Numbers
    right: Numbers


@dataclass(frozen=True)
class Joining:
    """Weights of the features, shape (features,), and the shift of the logistic model."""

    weights: Numbers
    shift: float

    def tables(self) -> dict[str, npt.NDArray[np.float32]]:
        """The tables of the file."""
        return {"join": self.weights.astype(np.float32), "join.shift": np.array([self.shift], np.float32)}


def fit(proposals: Sequence[Proposals]) -> Joining:
    """The joining that these proposals call for."""
    features, right = (np.concatenate([getattr(one, name) for one in proposals]) for name in ("features", "right"))
    middle, spread = features.mean(axis=0), features.std(axis=0) + _LEAST_SPREAD
    x = np.column_stack([(features - middle) / spread, np.ones(len(features))])
    ridge = np.diag([RIDGE] * features.shape[1] + [0.0])
    beta = np.zeros(x.shape[1])
    for _ in range(_STEPS):
        chance = 1.0 / (1.0 + np.exp(-x @ beta))
        curvature = x.T @ (x * (chance * (1.0 - chance))[:, None]) + ridge
        beta -= np.linalg.solve(curvature, x.T @ (chance - right) + ridge @ beta)
    weights = beta[:-1] / spread
    return Joining(weights, float(beta[-1] - weights @ middle))


def proposals_of(weights: Weights, speech: told.Told) -> Proposals:
    """What both readings propose for labelled speech, with these weights of the network."""
    rendered = told.render(speech)
    transcript = captions.parse(rendered.captions, name=rendered.gold["file"])
    sentences, rough = sentences_of(transcript)
    words = [word for sentence in sentences for word in sentence]
    spans = candidates.spans_of(look_over.read(transcript, layers=look_over.GRAMMAR).findings, words)
    with reading_with(weights):
        rows = candidates.candidates(spans, sayings.find(sentences, items_of(sentences), spans, rough=rough).sayings)
    return Proposals(
        weighing_up.features_of(rows, rough=rough).astype(np.float64), right_ones(rows, words, rendered.gold)
    )


def right_ones(rows: Sequence[Candidate], words: Sequence[Word], gold: Mapping[str, Any]) -> Numbers:
    """1 for each proposal that a label makes right, else 0; a label makes one right, the likeliest."""
    right = np.zeros(len(rows))
    left = list(gold["findings"])
    likeliest = sorted(
        range(len(rows)),
        key=lambda at: (
            -(
                rows[at].score_probability
                + _PROPOSED * (rows[at].finding is not None)
                + _PROPOSED * (rows[at].saying is not None)
            )
        ),
    )
    for at in likeliest:
        meant = next((label for label in left if _means(label, rows[at], words[rows[at].begin].start_s)), None)
        if meant is not None:
            left.remove(meant)
            right[at] = 1.0
    return right


def _means(label: Mapping[str, Any], row: Candidate, moment_s: float | None) -> bool:
    accept = label.get("accept", {})
    in_time = moment_s is None or label["start_s"] - NEAR_S <= moment_s <= label["end_s"] + NEAR_S
    component, condition = (
        getattr(row, key) in (label[key], *accept.get(key, ())) for key in ("component", "condition")
    )
    return in_time and component and condition and row.state == label["state"]


def joined(weights: Weights, joining: Joining) -> Weights:
    """The same weights with this joining."""
    return replace(weights, of={**weights.of, **joining.tables()})


def score_apart(weights: Weights, held: Sequence[told.Told], proposals: Sequence[Proposals]) -> Score:
    """What the app reads of each look-over with a joining that was fitted on other ones; needs two look-overs at
    least.
    """
    folds = min(FOLDS, len(held))
    total = Score()
    for fold in range(folds):
        others = fit([one for at, one in enumerate(proposals) if at % folds != fold])
        with reading_with(joined(weights, others)):
            total = sum((_score_of(speech) for speech in held[fold::folds]), total)
    return total


def _score_of(speech: told.Told) -> Score:
    rendered = told.render(speech)
    account = look_over.read(captions.parse(rendered.captions, name=rendered.gold["file"]))
    return score(
        rendered.gold,
        {
            "findings": [{key: getattr(one, key) for key in _SCORED} for one in account.findings],
            "measurements": [{"value": one.value, "unit": one.unit} for one in account.measurements],
        },
    )


@contextmanager
def reading_with(weights: Weights) -> Iterator[None]:
    """Let the reading of the package use these weights instead of those that came with it."""
    laid_out.numbered.cache_clear()
    try:
        with patch.object(network, "weights", lambda: weights):
            yield
    finally:
        laid_out.numbered.cache_clear()

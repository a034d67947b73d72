"""The joining learns which proposals are right, and a label makes one proposal right."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import minimize
from teaching.joining import Joining, Proposals, right_ones

from teaching import joining, told
from underdial.telling.learned import laid_out, network
from underdial.telling.learned.candidates import Candidate
from underdial.telling.learned.network import Weights
from underdial.telling.speech.words import Word

from .conftest import speech

# Two ways to the top of one hill.
SAME_TOP = 1e-3


def _drawn(seed: int, truth: tuple[float, ...], shift: float, count: int = 4000) -> Proposals:
    rng = np.random.default_rng(seed)
    features = rng.normal(1.0, 2.0, size=(count, len(truth)))
    chance = 1.0 / (1.0 + np.exp(-(features @ np.array(truth) + shift)))
    return Proposals(features, (rng.random(count) < chance).astype(float))


def test_the_joining_is_the_likeliest_one_by_another_way() -> None:
    """Another way: the penalised likelihood handed to a general minimiser."""
    drawn = _drawn(3, (0.5, -1.0, 0.0), 0.3, count=500)
    middle, spread = drawn.features.mean(axis=0), drawn.features.std(axis=0)

    def loss(beta: np.ndarray) -> float:
        scores = (drawn.features - middle) / spread @ beta[:3] + beta[3]
        return float(np.logaddexp(0.0, scores).sum() - drawn.right @ scores + 0.5 * joining.RIDGE * beta[:3] @ beta[:3])

    other = minimize(loss, np.zeros(4), tol=1e-12).x
    made = joining.fit([drawn])

    assert made.weights == pytest.approx(other[:3] / spread, abs=SAME_TOP)
    assert made.shift == pytest.approx(other[3] - (other[:3] / spread) @ middle, abs=SAME_TOP)


def test_proposals_of_several_look_overs_count_together() -> None:
    whole = _drawn(4, (1.0, 0.0), 0.0, count=300)
    halves = [Proposals(whole.features[part], whole.right[part]) for part in (slice(0, 150), slice(150, 300))]

    assert joining.fit(halves).weights == pytest.approx(joining.fit([whole]).weights)


def _row(component: str, *, begin: int, score: float, state: str = "present", condition: str = "worn") -> Candidate:
    return Candidate(component, condition, state, None, None, begin, begin, score_probability=score)


def test_a_label_makes_the_likeliest_of_its_proposals_right() -> None:
    words = [Word(text, text, float(at), at + 1.0) for at, text in enumerate(["the", "click", "is", "worn"])]
    rows = [
        _row("click", begin=1, score=0.2),
        _row("click", begin=3, score=0.9),
        _row("pawl_spring", begin=3, score=0.95),
        _row("click", begin=3, score=0.9, state="absent"),
    ]
    label = {"component": "click", "condition": "worn", "state": "present", "start_s": 0.0, "end_s": 4.0}

    assert right_ones(rows, words, {"findings": [label]}).tolist() == [False, True, False, False]
    assert right_ones(
        rows, words, {"findings": [label, {**label, "component": "ratchet", "accept": {"component": ["click"]}}]}
    ).tolist() == [True, True, False, False]
    assert not right_ones(rows, words, {"findings": [{**label, "start_s": 60.0, "end_s": 64.0}]}).any()
    assert not right_ones(rows, words, {"findings": [{**label, "condition": "scored"}]}).any()


def test_the_package_reads_with_other_weights_only_for_a_while() -> None:
    own = network.weights
    other = Weights({}, {"kinds": ("", "part")}, {}, b"")
    with joining.reading_with(other):
        inside = (network.weights(), laid_out.numbered("kinds"))

    assert inside == (other, {"part": 1})
    assert network.weights is own
    assert set(joining.joined(other, Joining(np.ones(2), 1.0)).of) == {"join", "join.shift"}


def test_the_file_that_came_with_the_package_proposes_what_is_labelled() -> None:
    proposals = joining.proposals_of(network.weights(), speech())

    assert len(proposals.features) == len(proposals.right)
    assert 0 < proposals.right.sum() <= len(proposals.right)


def test_each_look_over_is_scored_with_a_joining_of_others(monkeypatch: pytest.MonkeyPatch) -> None:
    """Files are told apart by their one proposal; the fit is watched, the reading is left out."""
    used: list[tuple[int, list[int]]] = []
    held = [
        told.parse(speech_text, name=f"Z/{number:02d}.told")
        for number, speech_text in enumerate(
            ["# clock: a\n# speaker: b\n# form: txt\n# stops: yes\n# cut: sentence\nIt is a clock."] * 7
        )
    ]
    proposals = [Proposals(np.array([[float(number)]]), np.zeros(1)) for number in range(len(held))]
    seen: list[list[int]] = []
    monkeypatch.setattr(
        joining, "fit", lambda own: seen.append([int(one.features[0, 0]) for one in own]) or Joining(np.zeros(1), 0.0)
    )
    monkeypatch.setattr(
        joining, "_score_of", lambda one: used.append((int(one.name[2:4]), seen[-1])) or joining.Score()
    )
    joining.score_apart(Weights({}, {}, {}, b""), held, proposals)

    assert sorted(number for number, _ in used) == list(range(len(held)))
    assert all(number not in others for number, others in used)

"""What is made up is weighed by the very law that made it up: looks, run times and readings."""

from __future__ import annotations

import dataclasses
import itertools
import math
from typing import Any

import numpy as np
import pytest

from tests.diagnosis.cases import asked, finding, number
from underdial.diagnosis import complaint_model, readings
from underdial.diagnosis.complaint_model import GOES_SHARE
from underdial.diagnosis.effects import scatter_count
from underdial.diagnosis.fate import Fate, fate
from underdial.diagnosis.fault_draws import FaultDraws, draw_faults
from underdial.diagnosis.made_up import MadeUp, make_up, own_name
from underdial.diagnosis.question import Question
from underdial.diagnosis.readings import Gauge
from underdial.diagnosis.simulate import simulate_told
from underdial.mechanics.parameters import Array

FAMILY = "open_spring_balance_30h"
LOOKED_FOR = ("TRN-27", "BAL-04", "LEV-15", "BAL-01")


@pytest.fixture(scope="module")
def made() -> MadeUp:
    return make_up(FAMILY, LOOKED_FOR, 30_000, np.random.default_rng(1), most_readings=0)


def test_a_look_leaves_the_chance_that_the_suspects_are_given(made: MadeUp) -> None:
    looks: tuple[tuple[int, dict[str, Any]], ...] = (
        (0, {"state": "absent", "certainty": 1.0}),
        (2, {"extent": "moderate", "certainty": 0.9}),
    )
    for row, fault in enumerate(LOOKED_FOR):
        component, condition = own_name(made.asked, fault)
        there = made.draws.severity[number(made.asked, fault)] > 0
        for level, told in looks:
            one = asked(FAMILY, findings=[finding(component, condition, **told)])
            drawn = draw_faults(one.suspicion, 8_000, np.random.default_rng(2)).severity[number(one, fault)] > 0
            seen = there[made.levels[row] == level]

            # Derived: by throwing away the clocks of another level; four standard errors of both counts
            u = math.sqrt(seen.mean() * (1 - seen.mean()) / len(seen) + drawn.mean() * (1 - drawn.mean()) / len(drawn))
            assert drawn.mean() == pytest.approx(seen.mean(), abs=4.0 * u + 1e-3)


def test_a_fault_that_was_passed_over_is_drawn_as_bad_as_such_faults_are(made: MadeUp) -> None:
    s = made.draws.severity[number(made.asked, "TRN-27")]
    passed = s[(made.levels[0] == 0) & (s > 0)]
    one = asked(FAMILY, findings=[finding("movement", "old_oil", state="absent", certainty=1.0)])
    drawn = draw_faults(one.suspicion, 15_000, np.random.default_rng(4)).severity[number(one, "TRN-27")]

    for share in (0.25, 0.5, 0.75):
        # Derived: by throwing away all other clocks; 0.15 is four standard errors of some 1100 of them
        assert np.quantile(drawn[drawn > 0], share) == pytest.approx(np.quantile(passed, share), rel=0.15)


@pytest.mark.parametrize("family", [FAMILY, "english_longcase", "pin_pallet_alarm"])
def test_run_times_are_told_as_often_as_they_weigh(family: str) -> None:
    one = asked(family)
    n = 6000
    draws = draw_faults(one.suspicion, n, np.random.default_rng(5))
    theta = np.random.default_rng(6).standard_normal((scatter_count(one.bench.layout), n))
    what = fate(one.bench, theta, one.suspicion.suspects, draws, hours_h=one.gauges.hours_h)
    duration = one.bench.layout.duration_s
    times = np.asarray(
        [t["runs_for_s"] for t in simulate_told(["runs_for_s"], one, what, draws, np.random.default_rng(7))],
        dtype=float,
    )
    edges = np.exp(np.linspace(math.log(3.0), math.log(GOES_SHARE * duration), 13))
    expected = []
    for low, high in itertools.pairwise(edges):
        steps = np.exp(np.linspace(math.log(low), math.log(high), 21))[:-1] * (high / low) ** 0.025
        mass = (
            sum(float(np.exp(_log_told(one, what, draws, float(t))).mean()) for t in steps) * math.log(high / low) / 20
        )
        expected.append(mass)
    expected.append(float(np.exp(_log_told(one, what, draws, duration)).mean()))
    counted = [((times >= low) & (times < high)).mean() for low, high in itertools.pairwise(edges)] + [
        (times >= edges[-1]).mean()
    ]

    for said, weighed in zip(counted, expected, strict=True):
        # Derived: the same share by the density and by telling; four standard errors of 6000 clocks
        assert said == pytest.approx(weighed, abs=4.0 * math.sqrt(weighed / n) + 5e-4)


def _log_told(one: Question, what: Fate, draws: FaultDraws, time_s: float) -> Array:
    return complaint_model.log_likelihood(
        {"runs_for_s": time_s},
        one.bench,
        one.signs,
        what,
        draws,
        regulator_sd=one.regulator_sd,
        typical_rate=one.typical_rate,
    )


@pytest.mark.parametrize(("kind", "u"), [("swing", 0.14), ("beat_time", 0.01), ("escape", 8e-6), ("main", 0.02)])
def test_readings_fall_as_often_as_they_weigh(kind: str, u: float) -> None:
    one = asked(FAMILY)
    draws = draw_faults(one.suspicion, 1, np.random.default_rng(8))
    theta = np.random.default_rng(9).standard_normal((scatter_count(one.bench.layout), 1))
    theta, draws = np.repeat(theta, 40_000, axis=1), draws.chosen(np.zeros(40_000, np.int64))
    what = fate(one.bench, theta, one.suspicion.suspects, draws, hours_h=one.gauges.hours_h)
    gauge = Gauge(kind, 0.0, u, 0, 0, 0)
    shown = readings.simulate(
        gauge, one.bench, what, np.random.default_rng(10), regulator=0.0, typical_rate=one.typical_rate
    )
    edges = np.quantile(shown, np.linspace(0.02, 0.98, 9))
    alone = fate(
        one.bench, theta[:, :1], one.suspicion.suspects, draws.chosen(np.zeros(1, np.int64)), hours_h=one.gauges.hours_h
    )
    for low, high in itertools.pairwise(edges):
        values = low + (high - low) * (np.arange(40) + 0.5) / 40
        mass = 0.0
        for value in values:
            told = (dataclasses.replace(gauge, value=float(value)),)
            log_density = readings.log_likelihood(
                told, one.bench, alone, regulator_sd=one.regulator_sd, typical_rate=one.typical_rate
            )
            mass += math.exp(float(log_density[0])) * (high - low) / 40

        # Derived: an eighth of 96 in 100 by construction; four standard errors of 40 000 readings
        assert mass == pytest.approx(0.12, abs=0.0065)

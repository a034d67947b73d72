"""Finished jobs teach, by versions that say what they change and that can be gone back from."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.diagnosis.cases import asked, number
from underdial.diagnosis.case_file import parse_case
from underdial.diagnosis.effects import scatter_count
from underdial.diagnosis.fate import fate
from underdial.diagnosis.fault_draws import draw_faults
from underdial.diagnosis.learning import (
    FACTORS,
    Job,
    Version,
    back_to,
    changed,
    changes,
    learn,
    learn_priors,
    learn_size,
    reliability,
)
from underdial.diagnosis.made_up import MadeUp, World, made_good, make_up
from underdial.diagnosis.question import Learned, question, weigh, with_faults_put_right
from underdial.trade.fault_laws import fault_laws

CASE = {"family": "pin_pallet_alarm", "complaint": {"runs_for_s": 600}}


def test_chances_move_towards_what_was_found() -> None:
    jobs = [
        Job(
            f"j{i}",
            CASE,
            there=frozenset({"PWR-01"} if i < 15 else set()),
            not_there=frozenset({"PWR-01"} if i >= 15 else set()),
        )
        for i in range(20)
    ]

    after = learn_priors(Version(), jobs)

    held = fault_laws()["PWR-01"].prior_probability
    # Derived: what was held counts as twenty clocks, the jobs as twenty
    assert after.learned.priors["PWR-01"] == pytest.approx((20 * held + 15) / 40)


def test_a_job_teaches_once_only() -> None:
    jobs = [Job("j1", CASE, there=frozenset({"PWR-01"}))]
    once = learn_priors(Version(), jobs)

    assert learn_priors(once, jobs).learned == once.learned


def test_a_version_names_its_parent_its_jobs_and_its_changes_and_can_be_left() -> None:
    first = Version()
    second = learn_priors(first, [Job("j1", CASE, there=frozenset({"PWR-01"}))])
    third = back_to([first, second], 0)

    assert (second.parent, second.jobs) == (0, ("j1",))
    assert len(changes(first, second)) == 1
    assert third.learned == first.learned
    assert third.number == 2  # Derived: versions are only added


def test_learned_chances_reach_the_suspects() -> None:
    one = question(parse_case(CASE), Learned(priors={"PWR-01": 0.5}))

    assert one.suspicion.suspects[number(one, "PWR-01")].probability == 0.5  # Derived: as given


def test_reliability_counts_what_was_stated_against_what_happened() -> None:
    jobs = [Job(f"j{i}", CASE, stated_probability=0.9, ran_full=i < 9) for i in range(10)] + [
        Job("x", CASE, stated_probability=0.1, ran_full=False)
    ]

    rows = reliability(jobs)

    assert [row.count for row in rows] == [1, 10]  # Derived: one job at 0.1, ten at 0.9
    assert rows[1].ran_count == 9  # Derived: nine of ten
    assert rows[1].seen_ratio == pytest.approx(0.9)  # Derived: nine of ten
    assert rows[1].seen_low_ratio < 0.9 < rows[1].seen_high_ratio


def test_the_interval_of_a_share_is_that_of_jeffreys() -> None:
    jobs = [Job(f"j{i}", CASE, stated_probability=0.95, ran_full=True) for i in range(10)]

    one = reliability(jobs)[0]

    # Source: L. D. Brown, T. T. Cai, A. DasGupta, Statistical Science 16 (2001) 101: beta quantiles with half a success
    # and half a failure more. Derived: the 5 % point of Beta(10.5, 0.5) solved by bisection of its incomplete beta
    # function to four digits
    assert one.seen_low_ratio == pytest.approx(0.8292, abs=5e-4)
    assert one.seen_high_ratio == pytest.approx(1.0, abs=1e-3)  # Derived: as near to all as its 95 % point is


def test_a_job_without_a_stated_chance_or_without_an_end_is_in_no_class() -> None:
    assert reliability([Job("a", CASE, ran_full=True), Job("b", CASE, stated_probability=0.4)]) == []


@settings(max_examples=20, deadline=None)
@given(
    st.lists(st.sampled_from(("there", "not there", "not looked", "not stripped")), min_size=1, max_size=12),
    st.integers(0, 12),
)
def test_chances_come_out_the_same_in_one_batch_or_in_two(kinds: list[str], cut: int) -> None:
    one = frozenset({"PWR-01"})
    jobs = [
        Job(
            f"j{i}",
            CASE,
            there=one if kind in ("there", "not stripped") else frozenset(),
            not_there=one if kind == "not there" else frozenset(),
            stripped=kind != "not stripped",
        )
        for i, kind in enumerate(kinds)
    ]

    at_once, in_two = learn_priors(Version(), jobs), learn_priors(learn_priors(Version(), jobs[:cut]), jobs[cut:])

    assert at_once.learned.priors == pytest.approx(in_two.learned.priors)
    assert at_once.looked_count == in_two.looked_count
    assert at_once.jobs == in_two.jobs


def test_a_clock_that_was_not_taken_apart_teaches_no_chance() -> None:
    after = learn_priors(Version(), [Job("j1", CASE, there=frozenset({"PWR-01"}), stripped=False)])

    assert after.learned.priors == {}
    assert after.jobs == ("j1",)


def test_chances_of_striking_faults_are_learned_too() -> None:
    from underdial.trade.fault_laws import symptom_laws

    fault = next(one for one in symptom_laws() if one not in fault_laws())

    assert changed(Version(), learn_priors(Version(), [Job("j1", CASE, there=frozenset({fault}))]))[0].fault == fault


SWINGS = [{"quantity": "half_arc", "value": 150.0, "u": 8.0, "unit": "deg", "position": "12_up"}]
READ = {
    **CASE,
    "findings": [{"component": "cone_pivot", "condition": "blunt", "state": "present"}],
    "measurements": SWINGS,
}


def one_job(name: str, *, swing_deg: float = 150.0) -> Job:
    return Job(
        name,
        {**READ, "measurements": [{**SWINGS[0], "value": swing_deg}]},
        there=frozenset({"BAL-04"}),
        put_right=frozenset({"BAL-04"}),
        after=({**SWINGS[0], "value": 240.0},),
    )


def test_jobs_teach_chances_and_sizes_in_one_version_with_progress(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("underdial.diagnosis.learning._DRAWS_COUNT", 200)
    parts: list[float] = []
    after = learn(Version(), [one_job("j1"), one_job("j2")], np.random.default_rng(1), progress=parts.append)

    assert (after.number, after.parent, after.jobs) == (1, 0, ("j1", "j2"))
    assert parts == [0.5, 1.0]  # Derived: two jobs with one effect each
    assert {one.what for one in changed(Version(), after)} == {"chance", "size"}
    assert sum(after.size_chances["BAL-04"]) == pytest.approx(1.0)  # Derived: chances of the factors


def test_the_same_jobs_and_the_same_seed_teach_the_same_to_the_last_digit(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("underdial.diagnosis.learning._DRAWS_COUNT", 200)
    twice = [learn(Version(), [one_job("j1")], np.random.default_rng(1)) for _ in range(2)]

    assert twice[0] == twice[1]
    assert learn(twice[0], [one_job("j1")], np.random.default_rng(2)).learned == twice[0].learned


def test_what_is_learned_of_a_size_is_carried_on_and_not_begun_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("underdial.diagnosis.learning._DRAWS_COUNT", 200)
    first = learn(Version(), [one_job("j1")], np.random.default_rng(1))
    nothing_more: dict[str, Any] = {"there": frozenset(), "put_right": frozenset()}
    second = learn(first, [dataclasses.replace(one_job("j2"), **nothing_more)], np.random.default_rng(2))

    assert second.size_chances == first.size_chances
    assert second.learned.sizes == first.learned.sizes


def test_going_back_brings_the_numbers_and_the_jobs_of_that_time(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("underdial.diagnosis.learning._DRAWS_COUNT", 200)
    versions = [Version(), learn(Version(), [one_job("j1")], np.random.default_rng(1))]
    back = back_to(versions, 0)

    assert (back.learned, back.jobs, back.size_chances) == (Version().learned, (), {})
    assert [one.job_id for one in [one_job("j1")] if one.job_id not in back.jobs] == ["j1"]


@pytest.mark.slow
def test_twenty_jobs_bring_a_wrong_effect_size_home() -> None:
    """Blunt cones truly act 1.6 times as hard as delivered; case and swings before and after the work teach it."""
    one = asked(
        "pin_pallet_alarm",
        measurements=[
            {"quantity": "half_arc", "value": 150, "unit": "deg", "position": p} for p in ("12_up", "dial_up")
        ],
    )
    rng = np.random.default_rng(11)
    draws = draw_faults(one.suspicion, 400, rng)
    theta = rng.standard_normal((scatter_count(one.bench.layout), 400))
    true = fate(one.bench, theta, one.suspicion.suspects, draws, hours_h=one.gauges.hours_h, sizes={"BAL-04": 1.6})
    blunt = np.flatnonzero(draws.severity[number(one, "BAL-04")] > 0.3)[:20]
    jobs = []
    for i in blunt:
        swings = np.degrees(true.outcome.amplitude_at_rad[1, :, i]) + 4.0 * rng.standard_normal(2)
        measured = [
            {"quantity": "half_arc", "value": float(max(s, 5.0)), "u": 5.0, "unit": "deg", "position": p}
            for s, p in zip(swings, ("12_up", "dial_up"), strict=True)
        ]
        jobs.append(
            Job(
                f"j{i}",
                {
                    "family": "pin_pallet_alarm",
                    "findings": [{"component": "cone_pivot", "condition": "blunt", "state": "present"}],
                    "measurements": measured,
                },
            )
        )

    after, chance = learn_size(Version(), "BAL-04", jobs, rng)

    assert chance.sum() == pytest.approx(1.0)  # Derived: chances of the factors
    assert len(chance) == len(FACTORS)
    # Derived: the true factor is 1.6; a published trial of this kind reached 1.62 after 20 jobs, ours is allowed a
    # quarter
    assert 1.2 < after.learned.sizes["BAL-04"] < 2.0
    assert dataclasses.asdict(after)["parent"] == 0


LOOKED_FOR = ("TRN-27", "BAL-04", "PWR-01", "TRN-08", "BAL-01", "TRN-30")
# In the true world old oil drags 2.2 times as hard as delivered, and every second mainspring is set; as delivered it is
# one in ten.
TRUE = World("another world", {}, 0.0, Learned(priors={"PWR-01": 0.5}, sizes={"TRN-27": 2.2}))


def found_in(made: MadeUp, number: int) -> frozenset[str]:
    return frozenset(fault for row, fault in enumerate(LOOKED_FOR) if made.levels[row, number] > 0)


def finished_jobs(made: MadeUp, rng: np.random.Generator) -> list[Job]:
    """The made-up clocks as jobs: stripped, what was found put right, the swings read again."""
    after = made_good(made, LOOKED_FOR, rng)[1]
    sound = [
        frozenset(fault for row, fault in enumerate(LOOKED_FOR) if made.levels[row, i] == 0)
        for i in range(len(made.cases))
    ]
    return [
        Job(f"j{i}", case, found_in(made, i), sound[i], found_in(made, i), tuple(after[i]))
        for i, case in enumerate(made.cases)
    ]


def stated(made: MadeUp, number: int, put_right: frozenset[str], learned: Learned) -> float:
    """The chance that a clock goes its full time with some of its faults put right, by its findings alone."""
    asked_of = question(parse_case({**made.cases[number], "measurements": [], "complaint": {}}), learned)
    rng = np.random.default_rng(number)
    draws = draw_faults(asked_of.suspicion, 1500, rng)
    theta = rng.standard_normal((scatter_count(asked_of.bench.layout), 1500))
    weights = np.exp(weigh(asked_of, theta, draws)[1])
    cured = tuple(k for k, one in enumerate(asked_of.suspicion.suspects) if one.fault in put_right)
    return float(np.average(with_faults_put_right(asked_of, theta, draws, cured).full, weights=weights))


def calibration_slope(said: np.ndarray, ran: np.ndarray) -> float:
    """Slope of a logistic line of what happened over the log odds of what was said: 1 when what is said holds."""
    rows = np.stack([np.ones(len(said)), np.log(np.clip(said, 0.01, 0.99) / (1.0 - np.clip(said, 0.01, 0.99)))], axis=1)
    at = np.zeros(2)
    for _ in range(60):
        mean = 1.0 / (1.0 + np.exp(-rows @ at))
        at = at + np.linalg.solve((rows * (mean * (1.0 - mean))[:, None]).T @ rows, rows.T @ (ran - mean))
    return float(at[1])


@pytest.mark.slow
def test_jobs_from_another_world_bring_chances_and_sizes_home_and_what_is_said_holds_better() -> None:
    rng = np.random.default_rng(5)
    after = learn(Version(), finished_jobs(make_up("pin_pallet_alarm", LOOKED_FOR, 60, rng, world=TRUE), rng), rng)

    # Derived: more than half of the way from 1 to 2.2, by its log
    assert after.learned.sizes["TRN-27"] > math.sqrt(2.2)
    # Derived: 42 of 60 are looked at, so the spring is set in 21: (20 x 0.1 + 21) / (20 + 42) = 0.37, give or take two
    # errors of 0.052
    assert 0.26 < after.learned.priors["PWR-01"] < 0.48
    new = make_up("pin_pallet_alarm", LOOKED_FOR, 240, rng, world=TRUE)
    # A third is left as it is, in a third the oil alone is left, in a third all that was found is put right.
    fates = [
        new.fate.full,
        made_good(new, LOOKED_FOR, rng, left=("TRN-27",))[0].full,
        made_good(new, LOOKED_FOR, rng)[0].full,
    ]
    works = [frozenset[str](), frozenset(LOOKED_FOR) - {"TRN-27"}, frozenset(LOOKED_FOR)]
    ran = np.asarray([fates[i % 3][i] for i in range(240)], dtype=float)
    versions = {"delivered": Version(), "learned": after, "back": back_to([Version(), after], 0)}
    said = {
        name: np.asarray([stated(new, i, works[i % 3] & found_in(new, i), one.learned) for i in range(240)])
        for name, one in versions.items()
    }

    np.testing.assert_array_equal(said["back"], said["delivered"])
    slopes = {name: calibration_slope(one, ran) for name, one in said.items()}
    assert abs(slopes["learned"] - 1.0) < abs(slopes["delivered"] - 1.0)
    assert abs(said["learned"].sum() - ran.sum()) < abs(said["delivered"].sum() - ran.sum())
    assert ((said["learned"] - ran) ** 2).mean() < ((said["delivered"] - ran) ** 2).mean()

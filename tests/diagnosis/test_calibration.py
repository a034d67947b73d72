"""Do the stated chances and errors hold, over many made-up clocks whose truth is known? (slow)"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from benchmarks.diagnosis import CHOICES, INSPECTED, SBC_LIMIT_CHI2, ask_ours

from tests.diagnosis.cases import asked, finding, number
from underdial.bench.causes.diagnose import diagnose
from underdial.diagnosis.answer import error_of
from underdial.diagnosis.made_up import MIS_SET, WELL_SET, make_up
from underdial.diagnosis.sampler import importance, posterior

FAMILY = "open_spring_balance_30h"


def test_made_up_clocks_differ_between_the_two_worlds() -> None:
    well, mis = (
        make_up(FAMILY, ("TRN-27", "BAL-04"), 300, np.random.default_rng(1), world=world)
        for world in (WELL_SET, MIS_SET)
    )

    assert mis.fate.outcome.reserve_ratio[0].mean() < well.fate.outcome.reserve_ratio[0].mean()
    assert {row["complaint"]["runs_for_s"] > 0 for row in well.cases} == {True}


@pytest.mark.slow
def test_truth_stands_anywhere_among_the_draws() -> None:
    """Simulation-based calibration of six quantities, each at the 99.8 % limit."""
    clocks = 150
    made = make_up(FAMILY, INSPECTED[FAMILY], clocks, np.random.default_rng(21))
    ranks = np.asarray(
        [
            ask_ours(made, i, CHOICES[FAMILY][:1], INSPECTED[FAMILY], np.random.default_rng([21, i]))[1]
            for i in range(clocks)
        ]
    )

    for column in ranks.T:
        count = np.bincount(np.clip((column * 10).astype(int), 0, 9), minlength=10)
        chi2 = float(((count - clocks / 10.0) ** 2 / (clocks / 10.0)).sum())
        # Derived: chi-squared with 9 degrees of freedom at 99.8 %
        assert chi2 < SBC_LIMIT_CHI2


@pytest.mark.slow
def test_stated_errors_cover_what_another_seed_says() -> None:
    """Over seeds, chances lie within two stated errors of their mean about as often as they should."""
    case: dict[str, Any] = {
        "family": "french_round_pendulum",
        "complaint": {"runs_for_s": 1800},
        "findings": [finding("movement", "old_oil", extent="moderate")],
    }
    answers = [diagnose({**case, "seed": seed}) for seed in range(12)]
    scores: dict[str, list[float]] = {"necessary": [], "present": [], "choice": []}
    for fault in ("TRN-27", "PEN-01", "TRN-01"):
        rows = [next(r for r in a["causes"] if r["fault"] == fault and r["of"] is None) for a in answers]
        for name in ("necessary", "present"):
            value, u = (np.asarray([r[f"{name}{tail}_probability"] for r in rows]) for tail in ("", "_u"))
            scores[name] += list((value - value.mean()) / u)
    firsts = [a["choices"][0] for a in answers]
    value, u = (np.asarray([c[f"runs_full{tail}_probability"] for c in firsts]) for tail in ("", "_u"))
    scores["choice"] += list((value - value.mean()) / u)

    for z in scores.values():
        # Derived: 95 in 100 within two errors; of 12 to 36 scores four in five at least with chance 0.99
        assert (np.abs(z) < 2.0).mean() >= 0.8


@pytest.mark.slow
def test_the_tempered_run_agrees_with_many_plain_draws() -> None:
    from underdial.diagnosis.sampler import tempered

    readings = [{"quantity": "half_arc", "value": 120, "u": 8, "unit": "deg", "position": "12_up"}]
    one = asked("pin_pallet_alarm", complaint={"runs_for_s": 1800.0}, measurements=readings)
    plain = importance(one, np.random.default_rng(31), draws_count=200_000)
    led = tempered(one, np.random.default_rng(32))
    exact = (plain.draws.severity > 0) @ plain.weights()

    for fault in ("TRN-27", "BAL-04", "TRN-01", "LEV-01", "BAL-15"):
        k = number(one, fault)
        # Derived: by 200 000 plain draws; 0.07 is four standard errors of some 600 independent particles
        assert (led.draws.severity[k] > 0).mean() == pytest.approx(exact[k], abs=0.07)


@pytest.mark.slow
def test_stated_errors_cover_where_eight_readings_call_for_tempered_runs() -> None:
    """With sharp readings two runs answer; how they differ must tell how far a third would."""
    readings: list[dict[str, Any]] = [
        {"quantity": "half_arc", "value": 120, "u": 8, "unit": "deg", "position": "12_up"},
        {"quantity": "half_arc", "value": 160, "u": 8, "unit": "deg", "position": "dial_up"},
        {"quantity": "half_arc", "value": 118, "u": 8, "unit": "deg", "position": "12_up", "hours_since_winding_h": 3},
        {"quantity": "rate", "value": 60, "u": 12, "unit": "s/d"},
        {"quantity": "rate", "value": -40, "u": 12, "unit": "s/d", "position": "dial_up"},
        {"quantity": "beat_error", "value": 3, "u": 1, "unit": "ms"},
        {"quantity": "escape_torque", "value": 45, "u": 5, "unit": "uNm"},
        {"quantity": "main_torque", "value": 0.3, "u": 0.02, "unit": "Nm"},
    ]
    one = asked(
        "open_spring_balance_30h",
        complaint={"runs_for_s": 1800.0},
        findings=[finding("movement", "old_oil", extent="moderate")],
        measurements=readings,
    )
    runs = [posterior(one, np.random.default_rng(40 + seed)) for seed in range(8)]
    there = np.asarray([(run.draws.severity > 0).mean(axis=1) for run in runs])
    leading = np.argsort(-there.mean(axis=0))[:8]
    u = np.asarray([[error_of(float(p[k]), run) for k in leading] for p, run in zip(there, runs, strict=True)])
    z = (there[:, leading] - there[:, leading].mean(axis=0)) / u

    assert {run.method for run in runs} == {"tempered"}
    # Derived: 95 in 100 within two errors; of 64 that hang together in eights, four in five at least
    assert (np.abs(z) < 2.0).mean() >= 0.8

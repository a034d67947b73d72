"""Do the stated chances hold, and are they better than simpler methods? `python3 dev.py bench diagnosis [--json]`.

Clocks are made up in a world that the model describes and in one that it does not (train friction +25 %, lever inertia
+40 %, Q -20 %, least amplitude +8 %, severities spread by a further 0.4 in the logarithm). Of each the run time, the
findings of a repairer who overlooks and errs, and the swings are told. Two questions are put to all methods: would it
go its full time after each of six choices; would it go if only this one fault were put right. Also: simulation-based
calibration of six quantities, the slope of calibration, and the time an answer takes. A run of 1200 clocks in both
worlds takes some eight minutes of one processor alone.

Of the well-set world the least is told that any method can reach: if chances p hold, their own Brier score is the mean
of p(1 - p), and another method with chances q adds the mean of (q - p) squared. So ratios are compared without the luck
of the draw.
"""

from __future__ import annotations

import argparse
import json
import time
from typing import Any

import numpy as np
from numpy.typing import NDArray

from benchmarks.diagnosis_rivals import NaiveBayes, NoisyOr, classes_of
from underdial.diagnosis.case_file import parse_case
from underdial.diagnosis.fate import fate
from underdial.diagnosis.fault_draws import FaultDraws
from underdial.diagnosis.made_up import MIS_SET, WELL_SET, MadeUp, World, make_up, true_fate
from underdial.diagnosis.question import Question, question
from underdial.diagnosis.sampler import importance, resampled, together
from underdial.diagnosis.work_lines import CLEANED

Array = NDArray[np.float64]
INSPECTED = {
    "open_spring_balance_30h": (
        "TRN-27",
        "TRN-01",
        "BAL-04",
        "LEV-01",
        "PWR-01",
        "LEV-15",
        "BAL-01",
        "PWR-06",
        "BAL-07",
        "LEV-12",
    ),
    "english_longcase": ("TRN-27", "TRN-01", "ESC-01", "PEN-01", "PEN-02", "PWR-31", "PEN-05"),
}
CHOICES: dict[str, tuple[frozenset[str], ...]] = {
    "open_spring_balance_30h": (
        CLEANED, CLEANED | {"TRN-01"}, CLEANED | {"BAL-04", "BAL-07"}, CLEANED | {"LEV-01"}, CLEANED | {"PWR-01"},
        CLEANED | set(INSPECTED["open_spring_balance_30h"]),
    ),
    "english_longcase": (
        CLEANED, frozenset({"PEN-01", "PEN-18"}), CLEANED | {"PEN-01"}, CLEANED | {"ESC-01"}, CLEANED | {"TRN-01"},
        CLEANED | set(INSPECTED["english_longcase"]),
    ),
}  # fmt: skip
TRAINING, POSTERIOR, MOST_DRAWS = 8000, 600, 120_000
SBC_LIMIT_CHI2 = 26.06  # 99.8 % of chi-squared with 9 degrees of freedom


def main(argv: list[str]) -> int:
    """Run both worlds and print the table; exit 1 when a target of ours is missed."""
    parser = argparse.ArgumentParser(prog="dev.py bench diagnosis")
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--clocks", type=int, default=1200)
    parser.add_argument("--seed", type=int, default=5)
    parser.add_argument("--readings", type=int, help="nought to so many readings of any kind, instead of the swings")
    given = parser.parse_args(argv)
    result: dict[str, Any] = {
        "clocks_count": given.clocks,
        "training_clocks_count": TRAINING,
        "worlds": {},
        "speed": _speed(),
    }
    for world in (WELL_SET, MIS_SET):
        result["worlds"][world.name] = run_world(world, given.clocks, given.seed, given.readings)
    result["targets"] = _targets(result)
    print(json.dumps(result) if given.json else _table(result))
    return 0 if all(result["targets"].values()) else 1


def run_world(world: World, clocks: int, seed: int, most_readings: int | None = None) -> dict[str, Any]:
    """All methods on the clocks of one world, both families together."""
    rows: dict[str, list[Array]] = {}
    ranks: list[Array] = []
    for number, family in enumerate(INSPECTED):
        found = run_family(family, world, clocks // len(INSPECTED), seed + 100 * number, most_readings)
        for key, value in found["rows"].items():
            rows.setdefault(key, []).append(value)
        ranks.append(found["ranks"])
    joined = {key: np.concatenate([v.ravel() for v in value]) for key, value in rows.items()}
    out: dict[str, Any] = {}
    for kind in ("choice", "cause"):
        truth = joined[f"{kind}_truth"]
        methods = [
            key.removeprefix(f"{kind}_") for key in joined if key.startswith(f"{kind}_") and key != f"{kind}_truth"
        ]
        brier = {m: float(((joined[f"{kind}_{m}"] - truth) ** 2).mean()) for m in methods}
        out[kind] = {"brier": brier, "log_loss": {m: _log_loss(joined[f"{kind}_{m}"], truth) for m in methods}}
        out[kind]["against_naive_bayes"] = _paired(rows, kind, "naive_bayes")
        out[kind]["against_refitted"] = _paired(rows, kind, "naive_bayes_refitted")
        out[kind]["floor"] = _floor(rows, kind)
    out["choice"]["reliability"] = _reliability(joined["choice_ours"], joined["choice_truth"])
    out["choice"]["calibration_slope"] = _slope(joined["choice_ours"], joined["choice_truth"])
    out["sbc_chi2"] = _sbc(np.concatenate(ranks, axis=1))
    return out


def run_family(family: str, world: World, clocks: int, seed: int, most_readings: int | None = None) -> dict[str, Any]:
    """Truth and every method's chances for the clocks of one family."""
    rng = np.random.default_rng(seed)
    inspected, options = INSPECTED[family], CHOICES[family]
    train = make_up(family, inspected, TRAINING, rng, most_readings=most_readings)
    test = make_up(family, inspected, clocks, np.random.default_rng(seed + 1), world=world, most_readings=most_readings)
    rivals = _rivals(family, train, test)
    ours, ranks = [], []
    for i in range(clocks):
        chances, rank = ask_ours(test, i, options, inspected, np.random.default_rng([seed, i]))
        ours.append(chances)
        ranks.append(rank)
    mine = np.asarray(ours)
    truth = _truth(test, options, inspected)
    cut = len(options)
    rows = {
        "choice_truth": truth[:, :cut],
        "cause_truth": truth[:, cut:],
        "choice_ours": mine[:, :cut],
        "cause_ours": mine[:, cut:],
    }
    for name, chances in rivals.items():
        rows[f"choice_{name}"], rows[f"cause_{name}"] = chances[:, :cut], chances[:, cut:]
    return {"rows": rows, "ranks": np.asarray(ranks).T}


def ask_ours(
    test: MadeUp, i: int, options: tuple[frozenset[str], ...], inspected: tuple[str, ...], rng: np.random.Generator
) -> tuple[Array, Array]:
    """Our chances for a clock, and where the truth of six quantities stands among our draws (0 to 1)."""
    asked = question(parse_case(test.cases[i]))
    found = importance(asked, rng, draws_count=20_000)
    while found.effective_count() < 250.0 and found.tried_count < MOST_DRAWS:
        found = together(found, importance(asked, rng, draws_count=20_000))
    weights = found.weights()
    chosen = resampled(weights, POSTERIOR, rng)
    theta, draws = found.theta[:, chosen], found.draws.chosen(chosen)
    as_found = fate(asked.bench, theta, asked.suspicion.suspects, draws, hours_h=asked.gauges.hours_h)
    chances = [float(_after(asked, theta, draws, ids).mean()) for ids in options]
    chances += [_alone(asked, theta, draws, as_found.full, fault) for fault in inspected]
    ours = _quantities(asked, theta, draws, as_found, inspected)
    true_draws = test.draws.chosen(np.asarray([i]))
    what = true_fate(test.asked, test.theta[:, [i]], true_draws, test.world)
    true = _quantities(test.asked, test.theta[:, [i]], true_draws, what, inspected)
    below = (ours < true).mean(axis=1)
    same = (ours == true).mean(axis=1)
    return np.asarray(chances), below + same * rng.random(len(same))


def _after(asked: Question, theta: Array, draws: FaultDraws, ids: frozenset[str]) -> NDArray[np.bool_]:
    members = [k for k, one in enumerate(asked.suspicion.suspects) if one.fault in ids]
    return fate(asked.bench, theta, asked.suspicion.suspects, draws.without(members)).full


def _alone(asked: Question, theta: Array, draws: FaultDraws, full: NDArray[np.bool_], fault: str) -> float:
    """Chance that it stands as found and would go if only this fault were put right: only the clocks that hold it need
    be run.
    """
    members = [k for k, one in enumerate(asked.suspicion.suspects) if one.fault == fault]
    some = np.flatnonzero(~full & (draws.severity[members] > 0.0).any(axis=0))
    if not len(some):
        return 0.0
    return float(_after(asked, theta[:, some], draws.chosen(some), frozenset({fault})).sum()) / len(full)


def _truth(test: MadeUp, options: tuple[frozenset[str], ...], inspected: tuple[str, ...]) -> Array:
    def after(ids: frozenset[str]) -> NDArray[np.bool_]:
        members = [k for k, one in enumerate(test.asked.suspicion.suspects) if one.fault in ids]
        return true_fate(test.asked, test.theta, test.draws.without(members), test.world).full

    columns = [after(ids) for ids in options]
    columns += [~test.fate.full & after(frozenset({fault})) for fault in inspected]
    return np.column_stack(columns).astype(float)


def _quantities(asked: Question, theta: Array, draws: FaultDraws, what: Any, inspected: tuple[str, ...]) -> Array:
    """Escape torque, oscillator's own quality, reserve, swing, and how bad the first and third inspected faults are."""
    layout = asked.bench.layout
    bad = []
    for fault in (inspected[0], inspected[2]):
        members = [k for k, one in enumerate(asked.suspicion.suspects) if one.fault == fault]
        bad.append(draws.severity[members].max(axis=0))
    quality = what.table.values[layout.row("cone_tip_radius_m" if layout.oscillator == "balance" else "linear_q_ratio")]
    return np.stack(
        [
            what.outcome.escape_torque_n_m,
            quality,
            what.outcome.reserve_ratio[0],
            what.outcome.amplitude_full_rad[-1],
            *bad,
        ]
    )


def _rivals(family: str, train: MadeUp, test: MadeUp) -> dict[str, Array]:
    """Chances of every rival for every question, shape (clocks, questions)."""
    options, inspected = CHOICES[family], INSPECTED[family]
    answers = _truth(train, options, inspected)
    duration = train.asked.bench.layout.duration_s
    read = [_told(made) for made in (train, test)]
    edges = [np.nanquantile(s, np.linspace(0, 1, 10)[1:-1]) for s in read[0][1]]
    features = [
        classes_of(m.levels, r[0], r[1], duration_s=duration, edges=edges)
        for m, r in zip((train, test), read, strict=True)
    ]
    tables = [NaiveBayes(features[0], answers[:, q]) for q in range(answers.shape[1])]
    out = {
        "naive_bayes": np.column_stack([t.chance(features[1]) for t in tables]),
        "naive_bayes_refitted": np.column_stack([t.refitted_chance(features[1]) for t in tables]),
        "base_rate": np.tile(answers.mean(axis=0), (len(test.cases), 1)),
    }
    out["noisy_or"] = _noisy_or(train, test, answers, options, inspected, [f[:, len(inspected)] for f in features])
    return out


def _noisy_or(
    train: MadeUp,
    test: MadeUp,
    answers: Array,
    options: tuple[frozenset[str], ...],
    inspected: tuple[str, ...],
    run: list[NDArray[np.int64]],
) -> Array:
    sets = [*options, *(frozenset({fault}) for fault in inspected)]
    left = [np.asarray([[int(f not in ids)] for f in inspected]) for ids in sets]
    n = len(train.cases)
    fitted = NoisyOr(
        np.tile(train.levels, len(options)),
        np.concatenate([np.repeat(x, n, axis=1) for x in left[: len(options)]], axis=1),
        np.tile(run[0], len(options)),
        answers[:, : len(options)].T.ravel(),
    )
    m = len(test.cases)
    chances = np.column_stack([fitted.chance(test.levels, np.repeat(x, m, axis=1), run[1]) for x in left])
    stands = fitted.chance(test.levels, np.ones((len(inspected), m), np.int64), run[1])
    chances[:, len(options) :] = np.clip(chances[:, len(options) :] - stands[:, None], 1e-4, 1.0)
    return chances


def _told(made: MadeUp) -> tuple[Array, Array]:
    run = np.asarray([c["complaint"]["runs_for_s"] for c in made.cases])
    return run, made.shown[~np.isnan(made.shown).all(axis=1)]


def _paired(rows: dict[str, list[Array]], kind: str, rival: str) -> dict[str, float]:
    """Brier of ours over the rival's, and the upper 95 % limit of the paired difference, clock by clock."""
    mine, theirs = [], []
    for ours, other, truth in zip(rows[f"{kind}_ours"], rows[f"{kind}_{rival}"], rows[f"{kind}_truth"], strict=True):
        mine.append(((ours - truth) ** 2).mean(axis=1))
        theirs.append(((other - truth) ** 2).mean(axis=1))
    a, b = np.concatenate(mine), np.concatenate(theirs)
    difference = a - b
    return {
        "ratio": float(a.mean() / b.mean()),
        "difference": float(difference.mean()),
        "upper_95": float(difference.mean() + 1.645 * difference.std(ddof=1) / np.sqrt(len(difference))),
    }


def _floor(rows: dict[str, list[Array]], kind: str) -> dict[str, float]:
    """What could be reached if our chances hold: our own Brier score, over that of naive Bayes; and our excess above
    it, with its error.
    """
    own, theirs, excess = [], [], []
    for p, q, truth in zip(rows[f"{kind}_ours"], rows[f"{kind}_naive_bayes"], rows[f"{kind}_truth"], strict=True):
        own.append((p * (1.0 - p)).mean(axis=1))
        theirs.append((p * (1.0 - p) + (q - p) ** 2).mean(axis=1))
        excess.append(((p - truth) ** 2 - p * (1.0 - p)).mean(axis=1))
    a, b, c = (np.concatenate(one) for one in (own, theirs, excess))
    return {
        "brier": float(a.mean()),
        "ratio": float(a.mean() / b.mean()),
        "excess": float(c.mean()),
        "excess_u": float(c.std(ddof=1) / np.sqrt(len(c))),
    }


def _log_loss(p: Array, truth: Array) -> float:
    p = np.clip(p, 0.005, 0.995)
    return float(-(truth * np.log(p) + (1 - truth) * np.log(1 - p)).mean())


def _reliability(p: Array, truth: Array) -> list[dict[str, float]]:
    bins = np.clip((p * 10).astype(int), 0, 9)
    return [
        {"said": float(p[bins == b].mean()), "seen": float(truth[bins == b].mean()), "count": int((bins == b).sum())}
        for b in range(10)
        if (bins == b).any()
    ]


def _slope(p: Array, truth: Array) -> float:
    """Slope of a logistic line of what happened on the log odds that were said; 1 when they hold."""
    from scipy.optimize import minimize

    x = np.log(np.clip(p, 0.005, 0.995) / (1 - np.clip(p, 0.005, 0.995)))

    def loss(ab: Array) -> float:
        odds = ab[0] + ab[1] * x
        return float(np.logaddexp(0.0, -np.where(truth > 0.5, odds, -odds)).mean())

    return float(minimize(loss, np.array([0.0, 1.0]), method="Nelder-Mead").x[1])


def _sbc(ranks: Array) -> dict[str, float]:
    names = ("escape_torque", "oscillator", "reserve", "swing", "severity_first", "severity_third")
    out = {}
    for name, row in zip(names, ranks, strict=True):
        count = np.bincount(np.clip((row * 10).astype(int), 0, 9), minlength=10)
        expected = len(row) / 10.0
        out[name] = float(((count - expected) ** 2 / expected).sum())
    return out


def _speed() -> dict[str, float]:
    """Seconds of an answer with two swings, with eight readings, and of one more finding as one speaks; the second time
    each.
    """
    from underdial.bench.causes.diagnose import diagnose
    from underdial.diagnosis.as_spoken import begin, with_finding

    case = {
        "family": "open_spring_balance_30h",
        "complaint": {"runs_for_s": 1800.0},
        "findings": [{"component": "movement", "condition": "old_oil", "state": "present", "extent": "moderate"}],
        "measurements": [
            {"quantity": "half_arc", "value": 120, "u": 8, "unit": "deg", "position": "12_up"},
            {"quantity": "half_arc", "value": 160, "u": 8, "unit": "deg", "position": "dial_up"},
        ],
    }
    eight = [
        *case["measurements"],
        {"quantity": "rate", "value": 60, "u": 12, "unit": "s/d"},
        {"quantity": "rate", "value": -40, "u": 12, "unit": "s/d", "position": "dial_up"},
        {"quantity": "beat_error", "value": 3, "u": 1, "unit": "ms"},
        {"quantity": "escape_torque", "value": 45, "u": 5, "unit": "uNm"},
        {"quantity": "main_torque", "value": 0.3, "u": 0.02, "unit": "Nm"},
        {"quantity": "half_arc", "value": 118, "u": 8, "unit": "deg", "position": "12_up", "hours_since_winding_h": 3},
    ]
    more = {
        **case,
        "findings": [
            *case["findings"],
            {"component": "cone_pivot", "condition": "blunt", "state": "present", "extent": "slight"},
        ],
    }
    kept = begin(parse_case(case), np.random.default_rng(1))[1]
    out = {}
    for name, act in (
        ("answer_s", lambda: diagnose(case)),
        ("eight_readings_s", lambda: diagnose({**case, "measurements": eight})),
        ("one_more_finding_s", lambda: with_finding(kept, parse_case(more), np.random.default_rng(2))),
    ):
        act()
        start = time.perf_counter()
        act()
        out[name] = time.perf_counter() - start
    return out


def _targets(result: dict[str, Any]) -> dict[str, bool]:
    well, mis = result["worlds"]["well_set"], result["worlds"]["mis_set"]
    out = {}
    for kind in ("choice", "cause"):
        out[f"{kind}: at most 0.85 of naive Bayes, well set"] = well[kind]["against_naive_bayes"]["ratio"] <= 0.85
        out[f"{kind}: at most 0.95 of naive Bayes, mis-set"] = mis[kind]["against_naive_bayes"]["ratio"] <= 0.95
        out[f"{kind}: paired difference surely below 0, both worlds"] = (
            max(w[kind]["against_naive_bayes"]["upper_95"] for w in (well, mis)) < 0.0
        )
        floor = well[kind]["floor"]
        out[f"{kind}: Brier score as our own chances foretell it, well set"] = (
            abs(floor["excess"]) <= 2.58 * floor["excess_u"]
        )
    out["calibration slope 0.9 to 1.1, well set"] = 0.9 <= well["choice"]["calibration_slope"] <= 1.1
    out["simulation-based calibration, all six"] = max(well["sbc_chi2"].values()) <= SBC_LIMIT_CHI2
    return out


def _table(result: dict[str, Any]) -> str:
    lines = [
        f"{result['clocks_count']} clocks in each world, rivals trained on {result['training_clocks_count']} of each "
        "family"
    ]
    for name, world in result["worlds"].items():
        lines += ["", f"World: {name.replace('_', '-')}", f"{'Brier score':<24}{'choices':>10}{'one cause':>12}"]
        for method in world["choice"]["brier"]:
            lines.append(
                f"{method.replace('_', ' '):<24}{world['choice']['brier'][method]:>10.4f}"
                f"{world['cause']['brier'][method]:>12.4f}"
            )
        if name == "well_set":
            a, b = world["choice"]["floor"], world["cause"]["floor"]
            lines.append(f"{'least that can be':<24}{a['brier']:>10.4f}{b['brier']:>12.4f}")
            lines.append(f"{'  over naive Bayes':<24}{a['ratio']:>10.3f}{b['ratio']:>12.3f}")
            lines.append(f"{'  our excess':<24}{a['excess']:>10.4f}{b['excess']:>12.4f}")
            lines.append(f"{'  its standard error':<24}{a['excess_u']:>10.4f}{b['excess_u']:>12.4f}")
        for rival in ("naive_bayes", "refitted"):
            a, b = world["choice"][f"against_{rival}"], world["cause"][f"against_{rival}"]
            lines.append(f"{'ours / ' + rival.replace('_', ' '):<24}{a['ratio']:>10.3f}{b['ratio']:>12.3f}")
            lines.append(f"{'  upper 95 % of diff.':<24}{a['upper_95']:>10.4f}{b['upper_95']:>12.4f}")
        lines.append(
            "said > seen: " + " ".join(f"{r['said']:.2f}>{r['seen']:.2f}" for r in world["choice"]["reliability"])
        )
        lines.append(f"calibration slope {world['choice']['calibration_slope']:.3f}")
        lines.append("SBC chi2 (9 dof, limit 26.1): " + " ".join(f"{k} {v:.1f}" for k, v in world["sbc_chi2"].items()))
    speed = result["speed"]
    lines += [
        "",
        f"An answer with two swings takes {speed['answer_s']:.2f} s here, with eight readings "
        f"{speed['eight_readings_s']:.2f} s, "
        f"one more finding {speed['one_more_finding_s']:.2f} s.",
        "",
    ]
    return "\n".join(lines + [f"{'met   ' if met else 'MISSED'} {what}" for what, met in result["targets"].items()])


if __name__ == "__main__":
    import sys

    raise SystemExit(main(sys.argv[1:]))

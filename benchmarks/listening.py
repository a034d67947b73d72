"""How good listening is: against the bound, against its own stated error, against nuisances, against general libraries.

    python3 dev.py bench listening [--json] [--recordings 200] [--coverage 1000] [--nuisances 300] [--hum 300]
                                   [--parts accuracy,...] [--workers 1] [--keep FILE]

Truth comes from `underdial.listening.simulator`. The bound is the Cramer-Rao bound of a fit of period, phase and
asymmetry to beats that scatter by their own jitter (0.1 ms here) and by the least arrival error the noise allows.
Energy over noise: a tick's summed squares over the variance of one noise sample. Recordings last 60 s unless said.

Wrong and accepted is a beat count off by one in a hundred, or a rate off by over three stated uncertainties of the fit
alone: with the recorder's share of 4.3 s/day among them next to nothing could ever be wrong.

All of it takes some ninety minutes of one core. With `--keep` each recording's outcome is written down as it comes and
taken from there the next time, so that a run may be broken off; outcomes of an older program must not be kept.
"""

from __future__ import annotations

import argparse
import json
import math
import multiprocessing
import resource
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from benchmarks.listening_peers import FAILED_S_PER_DAY, peers
from underdial.listening import rate_fit, simulator
from underdial.listening.follower import Follower
from underdial.listening.hearing import Expected, Heard, hear
from underdial.listening.simulator import Ticking
from underdial.uncertain import Uncertain

CLOCKS = {
    "pendulum": Ticking(beats_per_hour=3600.0, asymmetry_s=0.010, jitter_s=1e-4),
    "balance": Ticking(beats_per_hour=18000.0, asymmetry_s=0.002, jitter_s=1e-4, half_arc_deg=220.0),
    "recoil": Ticking(beats_per_hour=9000.0, asymmetry_s=0.004, jitter_s=1e-4),
}
SNRS_DB = (20.0, 30.0, 40.0, 50.0)
PEER_SNRS_DB = (15.0, 17.0, 20.0, 25.0, 30.0, 40.0, 50.0)
NUISANCES = ("speech", "second_clock", "bursts", "dropped", "hum", "clipping", "pumping")
HUM_BEATS_PER_HOUR = (3600.0, 5400.0, 7200.0, 9000.0, 10800.0, 14400.0, 18000.0, 21600.0, 28800.0, 36000.0)
PARTS = ("accuracy", "coverage", "nuisances", "hum", "peers", "speed", "week")
_RATE_SPREAD_S_PER_DAY = 170.0


def main(argv: list[str]) -> int:
    """Run the parts asked for and print them as tables, or as one JSON object."""
    parser = argparse.ArgumentParser(prog="dev.py bench listening", description=__doc__)
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--recordings", type=int, default=200, help="a cell of the accuracy table")
    parser.add_argument("--coverage", type=int, default=1000)
    parser.add_argument("--nuisances", type=int, default=300)
    parser.add_argument(
        "--hum", type=int, default=300, help="recordings with hum, over beats that go into the mains and others"
    )
    parser.add_argument("--peers", type=int, default=12, help="recordings a cell for the peers")
    parser.add_argument("--parts", default=",".join(PARTS))
    parser.add_argument("--workers", type=int, default=1)
    parser.add_argument("--keep", type=Path, help="file of outcomes, read first and added to")
    given = parser.parse_args(argv)
    wanted = given.parts.split(",")
    answer: dict[str, Any] = {}
    with ProcessPoolExecutor(given.workers) as processes:
        pool = Runs(processes, given.keep)
        if "accuracy" in wanted:
            answer["accuracy"] = [
                accuracy(pool, clock, snr, given.recordings) for clock in ("pendulum", "balance") for snr in SNRS_DB
            ]
        if "coverage" in wanted:
            answer["coverage"] = coverage(pool, given.coverage)
        if "nuisances" in wanted:
            answer["nuisances"] = nuisances(pool, given.nuisances)
        if "hum" in wanted:
            answer["hum"] = hum(pool, given.hum)
        if "peers" in wanted:
            answer["peers"] = [beside_peers(pool, clock, snr, given.peers) for clock in CLOCKS for snr in PEER_SNRS_DB]
    if "speed" in wanted:
        answer["speed"] = speed()
    if "week" in wanted:
        answer["week"] = week()
    print(json.dumps(answer) if given.json else _tables(answer))
    return 0


class Runs:
    """Recordings run by a pool of processes, their outcomes kept in a file of lines if one is named."""

    def __init__(self, pool: ProcessPoolExecutor, keep: Path | None) -> None:
        self.pool, self.keep = pool, keep
        lines = keep.read_text().splitlines() if keep is not None and keep.exists() else []
        self.known: dict[str, Any] = dict(json.loads(line) for line in lines)

    def rows(self, function: Callable[[Any], dict[str, Any]], jobs: list[Any]) -> list[dict[str, Any]]:
        """The outcome of each job, in order."""
        names = [f"{function.__name__} {job!r}" for job in jobs]
        missing = {name: job for name, job in zip(names, jobs, strict=True) if name not in self.known}
        for name, row in zip(missing, self.pool.map(function, missing.values()), strict=True):
            self.known[name] = row
            if self.keep is not None:
                with self.keep.open("a") as out:
                    out.write(json.dumps([name, row]) + "\n")
        return [self.known[name] for name in names]


def accuracy(pool: Runs, name: str, snr_db: float, count: int) -> dict[str, Any]:
    """One cell: root mean square error of the accepted against the bound, and the share accepted."""
    clock = replace(CLOCKS[name], snr_db=snr_db)
    rows = pool.rows(_one, [(clock, 1000 + k, True) for k in range(count)])
    errors = np.array([row["error"] for row in rows if row["accepted"]])
    bound = float(np.sqrt(np.mean([row["bound"] ** 2 for row in rows])))
    rms = _rms(errors)
    return {
        "clock": name,
        "snr_db": snr_db,
        "recordings_count": count,
        "accepted_ratio": errors.size / count,
        "rms_s_per_day": rms,
        "bound_s_per_day": bound,
        "rms_over_bound_ratio": None if rms is None else rms / bound,
        "mean_stated_u_s_per_day": float(np.mean([row["u"] for row in rows if row["accepted"]]))
        if errors.size
        else None,
    }


def coverage(pool: Runs, count: int) -> dict[str, Any]:
    """Share of 95 % intervals (fit part alone) that hold the truth, over clocks, loudness and wander drawn at random.

    A third of the clocks have jitter alone; the others' periods also wander, by 1 to 300 microseconds a beat.
    """
    jobs = []
    for k in range(count):
        rng = np.random.default_rng(50_000 + k)
        name = str(rng.choice(list(CLOCKS)))
        wander = 0.0 if k % 3 == 0 else float(10 ** rng.uniform(-6, -3.5))
        clock = replace(
            CLOCKS[name],
            duration_s=float(rng.uniform(30, 60)),
            snr_db=float(rng.uniform(20, 50)),
            period_noise_s=wander,
            jitter_s=float(10 ** rng.uniform(-4.3, -3)),
        )
        jobs.append((clock, 60_000 + k, True))
    rows = pool.rows(_one, jobs)
    kept = [(row, job[0].period_noise_s > 0) for row, job in zip(rows, jobs, strict=True) if row["accepted"]]
    inside = [abs(row["error"]) <= row["half"] for row, _ in kept]
    steady = [abs(row["error"]) <= row["half"] for row, wanders in kept if not wanders]
    return {
        "recordings_count": count,
        "accepted_count": len(kept),
        "covered_ratio": float(np.mean(inside)),
        "covered_jitter_only_ratio": float(np.mean(steady)),
        "covered_wandering_ratio": float(
            np.mean([abs(row["error"]) <= row["half"] for row, wanders in kept if wanders])
        ),
        "beyond_three_u_count": int(sum(abs(row["error"]) > 3 * row["u"] for row, _ in kept)),
    }


def nuisances(pool: Runs, count: int) -> list[dict[str, Any]]:
    """For each nuisance, with and without a count: how many were accepted, and how many of these were wrong."""
    jobs = []
    for k in range(count):
        rng = np.random.default_rng(90_000 + k)
        clock = replace(
            CLOCKS[("pendulum", "recoil", "balance")[k // len(NUISANCES) % 3]], snr_db=float(rng.uniform(25, 45))
        )
        jobs.append(
            (NUISANCES[k % len(NUISANCES)], simulator.nuisance(NUISANCES[k % len(NUISANCES)], clock, rng), 91_000 + k)
        )
    return _both_ways(pool, jobs, NUISANCES)


def hum(pool: Runs, count: int) -> list[dict[str, Any]]:
    """Hum of 0 to 30 dB over the noise, thirty seconds each, over counts that go into 50 or 60 Hz and others; as for
    nuisances.
    """
    jobs = []
    for k in range(count):
        rng = np.random.default_rng(95_000 + k)
        beats = HUM_BEATS_PER_HOUR[k % len(HUM_BEATS_PER_HOUR)]
        clock = replace(
            CLOCKS["recoil"],
            beats_per_hour=beats,
            snr_db=float(rng.uniform(25, 45)),
            hum_db=float(rng.uniform(0, 30)),
            duration_s=30.0,
            hum_hz=float(rng.choice([50.0, 60.0])),
            sample_hz=int(rng.choice([16000, 44100, 48000])),
            asymmetry_s=float(rng.uniform(0.0, 0.02)) * 3600.0 / beats,
        )
        jobs.append((f"{beats:.0f}", clock, 96_000 + k))
    return _both_ways(pool, jobs, tuple(f"{beats:.0f}" for beats in HUM_BEATS_PER_HOUR))


def _both_ways(pool: Runs, jobs: list[tuple[str, Ticking, int]], names: tuple[str, ...]) -> list[dict[str, Any]]:
    """With the count and without, for each name: how many were accepted, and how many of these were wrong."""
    out = []
    for given in (True, False):
        rows = pool.rows(_one, [(clock, seed, given) for _, clock, seed in jobs])
        for name in names:
            mine = [row for row, job in zip(rows, jobs, strict=True) if job[0] == name]
            taken = [row for row in mine if row["accepted"]]
            reasons: dict[str, int] = {}
            for row in mine:
                if not row["accepted"]:
                    reasons[row["reason_id"]] = reasons.get(row["reason_id"], 0) + 1
            out.append(
                {
                    "nuisance": name,
                    "count_given": given,
                    "recordings_count": len(mine),
                    "accepted_count": len(taken),
                    "wrong_and_accepted_count": sum(row["wrong"] for row in taken),
                    "wrong_seeds": [row["seed"] for row in taken if row["wrong"]],
                    "median_error_s_per_day": float(np.median([abs(row["error"]) for row in taken])) if taken else None,
                    "refused": reasons,
                }
            )
    return out


def beside_peers(pool: Runs, name: str, snr_db: float, count: int) -> dict[str, Any]:
    """Median error and share that failed (nothing, or off by over 100 s/day), ours and the libraries', on the same
    recordings.
    """
    clock = replace(CLOCKS[name], snr_db=snr_db)
    rows = pool.rows(_peers_on_one, [(clock, 7000 + k) for k in range(count)])
    out: dict[str, Any] = {"clock": name, "snr_db": snr_db, "bound_s_per_day": rows[0]["bound"]}
    for who in rows[0]["errors"]:
        errors = [row["errors"][who] for row in rows]
        good = [abs(one) for one in errors if one is not None and abs(one) <= FAILED_S_PER_DAY]
        out[who] = {
            "median_error_s_per_day": float(np.median(good)) if good else None,
            "rms_s_per_day": _rms(np.array(good)) if good else None,
            "failed_ratio": 1.0 - len(good) / count,
        }
    return out


def speed() -> dict[str, Any]:
    """Seconds of 48 kHz sound per second of one core, for ten minutes and an hour with the count known, and the memory
    above the imports.
    """
    out: dict[str, Any] = {}
    for name in ("pendulum", "balance"):
        for minutes in (10, 60):
            with tempfile.TemporaryDirectory() as folder:
                path = Path(folder) / "long.wav"
                write_long(path, replace(CLOCKS[name], snr_db=40.0), minutes * 60.0)
                out[f"{name}_{minutes}_min"] = _alone(
                    _listen_long, (str(path), CLOCKS[name].beats_per_hour, minutes * 60.0)
                )
    return out


def week() -> dict[str, Any]:
    """A week of an 18000-beat clock, sampled at 8 kHz to save time: seconds of sound per second of a core, and memory
    above the imports.
    """
    return {"balance_7_days_8_khz": _alone(_listen_week, 7 * 1440)}


def _alone(function: Callable[[Any], dict[str, Any]], job: Any) -> dict[str, Any]:
    """Run in a process of its own, so that making the sound does not count as listening's memory."""
    with ProcessPoolExecutor(1, mp_context=multiprocessing.get_context("spawn")) as fresh:
        return fresh.submit(function, job).result()


def _listen_long(job: tuple[str, float, float]) -> dict[str, Any]:
    from underdial.bench.by_ear.listening import follow_sound
    from underdial.capture.sound import open_sound

    path, count, seconds = job
    before, start, wall = _peak_mb(), time.process_time(), time.perf_counter()
    with open_sound(Path(path)) as opened:
        follower = follow_sound(opened, count)
    heard = hear(follower, Expected(Uncertain(count), "given"))
    return _cost(heard, seconds, before, start, wall)


def _listen_week(minutes: int) -> dict[str, Any]:
    clock = replace(CLOCKS["balance"], sample_hz=8000, snr_db=40.0, duration_s=60.0, half_arc_deg=None)
    samples, _ = simulator.simulate(clock, np.random.default_rng(6))
    before, start, wall = _peak_mb(), time.process_time(), time.perf_counter()
    follower = Follower(clock.sample_hz, clock.beats_per_hour)
    for _ in range(minutes):
        follower.feed(samples)
    follower.close()
    heard = hear(follower, Expected(Uncertain(clock.beats_per_hour), "given"))
    return _cost(heard, 60.0 * minutes, before, start, wall)


def _cost(heard: Heard, seconds: float, before_mb: float, start: float, wall: float) -> dict[str, Any]:
    spent = time.process_time() - start
    return {
        "cpu_s": spent,
        "wall_s": time.perf_counter() - wall,
        "sound_s_per_cpu_s": seconds / spent,
        "accepted": heard.refusal is None,
        "beats_found_count": heard.beats_found_count,
        "rate_s_per_day": heard.rate_s_per_day,
        "peak_growth_mb": _peak_mb() - before_mb,
    }


def _peak_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0


def write_long(path: Path, clock: Ticking, duration_s: float) -> None:
    """Write a long recording a minute of sound at a time: one minute's whole number of beats, over and over, with fresh
    noise.
    """
    import soundfile

    rng = np.random.default_rng(5)
    quiet = replace(clock, duration_s=60.0, snr_db=160.0, rate_s_per_day=0.0, loudness_ratio=0.0)
    ticks, _ = simulator.simulate(quiet, rng)
    # The first and last beat of the minute are kept whole by starting where nothing sounds.
    sigma = clock.level / 10 ** (clock.snr_db / 20.0)
    with soundfile.SoundFile(str(path), "w", clock.sample_hz, 1, subtype="PCM_16", format="RF64") as out:
        for _ in range(math.ceil(duration_s / 60.0)):
            out.write((ticks + rng.normal(0.0, sigma, ticks.size).astype(np.float32)) * 10.0)


def _one(job: tuple[Ticking, int, bool]) -> dict[str, Any]:
    clock, seed, given = job
    rng = np.random.default_rng(seed)
    clock = replace(clock, rate_s_per_day=float(rng.uniform(-_RATE_SPREAD_S_PER_DAY, _RATE_SPREAD_S_PER_DAY)))
    samples, truth = simulator.simulate(clock, rng)
    heard = _heard(samples, clock, given)
    if heard.refusal is not None or heard.beats_per_hour is None or heard.fit is None:
        return {
            "accepted": False,
            "reason_id": heard.refusal.reason_id if heard.refusal else None,
            "bound": truth.rate_bound_s_per_day,
            "seed": seed,
        }
    error = (heard.beats_per_hour.value / truth.beats_per_hour - 1.0) * rate_fit.SECONDS_PER_DAY
    u = heard.parts_s_per_day[0] or 0.0
    half = rate_fit.half_width_95(heard.fit) / heard.fit.beat_s * rate_fit.SECONDS_PER_DAY
    # Three stated uncertainties of the fit alone: the recorder's share would hide a wrong fit.
    return {
        "accepted": True,
        "error": error,
        "u": u,
        "half": half,
        "bound": truth.rate_bound_s_per_day,
        "seed": seed,
        "wrong": bool(abs(error) > 3.0 * u or abs(heard.beats_per_hour.value / truth.beats_per_hour - 1.0) > 0.01),
    }


def _heard(samples: Any, clock: Ticking, given: bool) -> Heard:
    follower = Follower(clock.sample_hz, clock.beats_per_hour if given else None)
    follower.feed(samples)
    follower.close()
    return hear(follower, Expected(Uncertain(clock.beats_per_hour), "given") if given else Expected())


def _peers_on_one(job: tuple[Ticking, int]) -> dict[str, Any]:
    clock, seed = job
    rng = np.random.default_rng(seed)
    clock = replace(clock, rate_s_per_day=float(rng.uniform(-_RATE_SPREAD_S_PER_DAY, _RATE_SPREAD_S_PER_DAY)))
    samples, truth = simulator.simulate(clock, rng)
    errors: dict[str, float | None] = {}
    for given, who in ((True, "ours_given"), (False, "ours_blind")):
        heard = _heard(samples, clock, given)
        errors[who] = (
            (heard.beats_per_hour.value / truth.beats_per_hour - 1.0) * rate_fit.SECONDS_PER_DAY
            if heard.beats_per_hour and heard.refusal is None
            else None
        )
    for who, find in peers().items():
        beat = find(samples, clock.sample_hz, 3600.0 / clock.beats_per_hour)
        errors[who] = (3600.0 / beat / truth.beats_per_hour - 1.0) * rate_fit.SECONDS_PER_DAY if beat else None
    return {"errors": errors, "bound": truth.rate_bound_s_per_day}


def _rms(values: Any) -> float | None:
    return float(np.sqrt(np.mean(np.square(values)))) if len(values) else None


def _tables(answer: dict[str, Any]) -> str:
    lines: list[str] = []
    for part, rows in answer.items():
        lines += ["", part]
        if isinstance(rows, dict):
            rows = [
                {"what": key, **(value if isinstance(value, dict) else {"value": value})} for key, value in rows.items()
            ]
        for row in rows:
            lines.append("  " + "  ".join(f"{key}={_short(value)}" for key, value in row.items()))
    return "\n".join(lines)


def _short(value: Any) -> str:
    if isinstance(value, float):
        return f"{value:.3g}"
    if isinstance(value, dict):
        return "(" + " ".join(f"{key} {_short(one)}" for key, one in value.items()) + ")"
    return str(value)


if __name__ == "__main__":
    import sys

    sys.exit(main(sys.argv[1:]))

"""Draws a second of the compiled kernel, beside the NumPy version and a plain scalar loop, on one core.

    python3 dev.py bench kernel [--json]

Population: five-arbor balance clock (the 30-hour family), two positions, seven periodic loads, torques, friction and
tips spread so that a third of the upright clocks stop, rates at two hours. Times are those the thread spent on its
core, the best of several runs: what others do on the machine can only make the figures smaller. The scalar loop answers
less than the kernel (no stop beyond the first 75 minutes, no poise, beat, drag, ripple of the swing or free decay), one
draw at a time with branches, as one would write it in C, its periodic loads turned on by rotation.

The cost of an arbor is measured on clocks well away from the edge: how many of the others have to be stepped depends
on the train, and what a stepped one costs is printed by itself.
"""

from __future__ import annotations

import dataclasses
import json
import math
import sys
import time
from collections.abc import Callable
from typing import Any

import numpy as np
from numba import njit

from underdial.mechanics import energy_balance, kernel
from underdial.mechanics.parameters import Array, Layout, spread, tabulate
from underdial.mechanics.periodic_loads import terms
from underdial.movement.composition import compose
from underdial.trade.families import families

HOURS = (0.0, 24.0)
RUNS = 7
SIZES = (4_096, 16_384, 65_536, 262_144)


def population(draws_count: int, *, arbors_count: int = 5, edge: bool = True, seed: int = 1) -> tuple[Layout, Array]:
    """Clocks of one family, well and ill; with another number of arbors the train is lengthened or cut."""
    preset = dataclasses.asdict(families()["open_spring_balance_30h"])
    trains = {3: "72/8 80/8", 4: "72/12 64/8 60/8", 5: "72/12 64/8 60/8 48/6", 6: "72/12 64/8 60/8 48/8 36/6",
              7: "72/12 64/8 60/8 48/8 40/8 32/6", 8: "72/12 64/8 60/8 48/8 40/8 36/8 30/6"}  # fmt: skip
    changed = {} if arbors_count == 5 else {"train": trains[arbors_count], "beats_per_hour": 14400.0}
    layout, nominal = tabulate(compose(preset, changed), positions=("12_up", "dial_up"))
    rng = np.random.default_rng(seed)
    values = spread(nominal, draws_count=draws_count)
    # The great arbor of another train gets the torque that leaves the reserve as it was.
    reserve = energy_balance.predict(layout, values[:, :1]).reserve_ratio[0, 0]
    values[layout.row("full_torque_n_m")] *= (
        7.9 / reserve * np.exp(rng.normal(-0.6, 0.6, draws_count)) if edge else 30.0 / reserve
    )
    values[layout.rows("pivot_friction_ratio")] *= np.exp(rng.normal(0.3, 0.4, draws_count))
    values[layout.row("cone_tip_radius_m")] *= np.exp(rng.normal(0.5, 0.6, draws_count))
    values[layout.rows("arbor_ripple_ratio")] *= np.exp(rng.normal(0.0, 0.4, (layout.arbors_count, draws_count)))
    for place in (0, 1):
        values[layout.row("mesh_ripple_ratio", place)] = (
            0.06 * np.exp(rng.normal(0.0, 0.6, draws_count)) * (rng.uniform(size=draws_count) < 0.4)
        )
    for name in ("arbor_phase_rad", "mesh_phase_rad"):
        values[layout.rows(name)] = rng.uniform(0.0, 2.0 * math.pi, values[layout.rows(name)].shape)
    return layout, values


def best_s(work: Callable[[], object], runs: int = RUNS) -> float:
    """Shortest time of several runs."""
    times = []
    for _ in range(runs):
        begin = time.thread_time()
        work()
        times.append(time.thread_time() - begin)
    return min(times)


NAMES = (
    "full_torque_n_m",
    "pivot_friction_ratio",
    "pivot_radius_m",
    "force_per_torque_per_m",
    "arbor_weight_n",
    "mesh_efficiency_ratio",
    "stiffness_n_m_per_rad",
    "lever_inertia_ratio",
    "impulse_begins_rad",
    "impulse_ends_rad",
    "drop_ratio",
    "impulse_efficiency_ratio",
    "unlocking_ratio",
    "balance_friction_ratio",
    "oscillator_weight_n",
    "cone_tip_radius_m",
    "cone_flat_radius_m",
    "linear_q_ratio",
    "least_amplitude_rad",
    "end_torque_ratio",
    "start_amplitude_rad",
    "arbor_ripple_ratio",
    "arbor_phase_rad",
    "mesh_ripple_ratio",
    "mesh_phase_rad",
)


@njit(cache=True)
def _escape_torque(values, rows, d, torque, gearing):  # type: ignore[no-untyped-def]
    for j in range(len(gearing)):
        load = values[rows[3] + j, d] * torque
        net = torque - values[rows[1] + j, d] * values[rows[2] + j, d] * math.sqrt(
            load * load + values[rows[4] + j, d] ** 2
        )
        if net <= 0.0:
            return 0.0
        torque = net * values[rows[5] + j, d] * gearing[j] if j < len(gearing) - 1 else net
    return torque


@njit(cache=True)
def _main_torque(values, rows, d, needed, gearing):  # type: ignore[no-untyped-def]
    for j in range(len(gearing) - 1, -1, -1):
        f, p = values[rows[1] + j, d] * values[rows[2] + j, d], values[rows[3] + j, d]
        q = 1.0 - (f * p) ** 2
        if q <= 0.0:
            return math.inf
        needed = (needed + f * math.sqrt(values[rows[4] + j, d] ** 2 * q + (p * needed) ** 2)) / q
        if j > 0:
            needed /= values[rows[5] + j - 1, d] * gearing[j - 1]
    return needed


@njit(cache=True)
def _amplitude(l1, l2, back, energy):  # type: ignore[no-untyped-def]
    if energy <= 0.0:
        return 0.0
    total = energy + back
    A = 2.0 * total / (l1 + math.sqrt(l1 * l1 + 4.0 * l2 * total))
    for _ in range(12):
        step = ((l2 * A + l1) * A - total) / (2.0 * l2 * A + l1)
        A -= step
        if abs(step) < 1e-15:
            break
    return A


@njit(cache=True)
def _rate(A, energy, k, kappa, th1, th2):  # type: ignore[no-untyped-def]
    x1, x2 = th1 / A, th2 / A
    c1, c2 = math.sqrt(max(1.0 - x1 * x1, 0.0)), math.sqrt(max(1.0 - x2 * x2, 0.0))
    carried = kappa / (2.0 * math.pi) * (math.asin(min(x2, 1.0)) - math.asin(max(x1, -1.0)) - x2 * c2 + x1 * c1)
    return 86400.0 * (-energy / (th2 - th1) / (math.pi * k * A) * (c1 - c2) + kappa / math.pi * x1 * c1 - carried)


@njit(cache=True)
def scalar_loop(values, rows, gearing, teeth, period, size_rows, phase_rows, hours, omega, out):  # type: ignore[no-untyped-def]
    """One draw after the other: torques, swings, reserve, stop within 75 minutes, rates at the hours, in two
    positions.
    """
    turn = np.empty((len(period), 4))
    for d in range(values.shape[1]):
        torque = _escape_torque(values, rows, d, values[rows[0], d], gearing)
        end = _escape_torque(values, rows, d, values[rows[0], d] * values[rows[19], d], gearing)
        k, kappa, th1, th2 = values[rows[6], d], values[rows[7], d], values[rows[8], d], values[rows[9], d]
        gain = math.pi / teeth * ((1.0 - values[rows[10], d]) * values[rows[11], d] - values[rows[12], d])
        l2 = 0.5 * math.pi * k / values[rows[17], d] + 0.5 * kappa * k * (1.0 / (1.0 + kappa) + 1.0)
        back = 0.5 * kappa * k * (th1 * th1 / (1.0 + kappa) + th2 * th2)
        least, start = values[rows[18], d], values[rows[20], d]
        for p in range(2):
            l1 = (
                2.0
                * values[rows[13], d]
                * values[rows[14], d]
                * (values[rows[15], d] if p == 0 else values[rows[16], d] * 2.0 / 3.0)
            )
            needed = ((l2 * least + l1) * least - back) / gain
            out[p, 0, d] = _amplitude(l1, l2, back, torque * gain)
            out[p, 1, d] = _amplitude(l1, l2, back, end * gain)
            out[p, 2, d] = values[rows[0], d] / _main_torque(values, rows, d, needed, gearing)
            answer = math.pi * k * least / (omega * (2.0 * l2 * least + l1))
            peak = 0.0
            for t in range(len(period)):
                peak += values[size_rows[t], d] / math.sqrt(1.0 + (2.0 * math.pi * answer / period[t]) ** 2)
            stop = math.inf
            if torque / needed * (1.0 + peak) < 1.0:
                over = (l2 * start + l1) * start - back - torque * gain
                least_over = (l2 * least + l1) * least - back - torque * gain
                stop = answer * math.log(over / least_over)
            elif end / needed * (1.0 - peak) < 1.0:
                for t in range(len(period)):
                    lag = 2.0 * math.pi * answer / period[t]
                    size, phase = (
                        values[size_rows[t], d] / math.sqrt(1.0 + lag * lag),
                        values[phase_rows[t], d] - math.atan(lag),
                    )
                    turn[t, 0], turn[t, 1] = size * math.cos(phase), size * math.sin(phase)
                    turn[t, 2], turn[t, 3] = math.cos(20.0 * math.pi / period[t]), math.sin(20.0 * math.pi / period[t])
                for q in range(450):
                    ripple = 0.0
                    for t in range(len(period)):
                        ripple += turn[t, 0]
                        x = turn[t, 0] * turn[t, 2] - turn[t, 1] * turn[t, 3]
                        turn[t, 1] = turn[t, 0] * turn[t, 3] + turn[t, 1] * turn[t, 2]
                        turn[t, 0] = x
                    if torque / needed * (1.0 - ripple) < 1.0:
                        stop = 10.0 * q
                        break
            out[p, 3, d] = stop
        for h in range(len(hours)):
            energy = gain * _escape_torque(
                values, rows, d, values[rows[0], d] * (1.0 - (1.0 - values[rows[19], d]) * hours[h] / 30.0), gearing
            )
            for p in range(2):
                l1 = (
                    2.0
                    * values[rows[13], d]
                    * values[rows[14], d]
                    * (values[rows[15], d] if p == 0 else values[rows[16], d] * 2.0 / 3.0)
                )
                A = _amplitude(l1, l2, back, energy)
                out[p, 4 + 2 * h, d], out[p, 5 + 2 * h, d] = A, _rate(max(A, least), energy, k, kappa, th1, th2)


def scalar_work(layout: Layout, values: Array) -> tuple[Callable[[], None], Array]:
    """The scalar loop with its arguments laid ready, and where its answers go."""
    rows = np.array([layout.rows(name).start for name in NAMES])
    table = terms(layout)
    seven = [*range(layout.arbors_count), layout.arbors_count, layout.arbors_count + 1]
    out = np.empty((2, 4 + 2 * len(HOURS), values.shape[1]))
    gearing = np.array([*layout.gearing_ratio, 1.0])

    def work() -> None:
        scalar_loop(values, rows, gearing, float(layout.escape_count), table.period_s[seven], table.size_rows[seven],
                    table.phase_rows[seven], np.array(HOURS), layout.omega_rad_per_s, out)  # fmt: skip

    return work, out


def _stepped_ratio(layout: Layout, values: Array) -> float:
    """Share of draws and positions that neither bound settles: nearly those whose margin is below 1 yet run a while."""
    outcome = kernel.predict(layout, values)
    return float(((outcome.margin_ratio < 1.0) & (outcome.stop_s > 60.0)).mean())


def measure() -> dict[str, Any]:
    """All figures of the bench."""
    layout, values = population(SIZES[-1])
    sweep = []
    for size in SIZES:
        part = np.ascontiguousarray(values[:, :size])
        kernel.predict(layout, part[:, :64], hours_h=HOURS)
        sweep.append(best_s(lambda part=part: kernel.predict(layout, part, hours_h=HOURS)))
    exponent = float(np.polyfit(np.log(SIZES), np.log(sweep), 1)[0])
    plain = np.ascontiguousarray(values[:, :8192])
    numpy_s = best_s(lambda: energy_balance.predict(layout, plain, hours_h=HOURS), runs=3)
    some = np.ascontiguousarray(values[:, :65_536])
    work, answers = scalar_work(layout, some)
    work()
    # A rival that answered something else would be none.
    checked = kernel.predict(layout, some, hours_h=HOURS)
    assert np.allclose(answers[:, 0], checked.amplitude_full_rad, rtol=1e-9)
    assert np.allclose(answers[:, 2], checked.reserve_ratio, rtol=1e-9)
    scalar_s = best_s(work)
    arbors = list(range(3, 9))
    trains = [population(65_536, arbors_count=one, edge=False) for one in arbors]
    for one in trains:
        kernel.predict(*one, hours_h=HOURS)
    # Whole rounds over the lengths, so that a disturbance of some seconds falls on all of them.
    rounds = [
        [best_s(lambda one=one: kernel.predict(*one, hours_h=HOURS), runs=1) for one in trains] for _ in range(4 * RUNS)
    ]
    per_draw = [1e6 * min(column) / 65_536 for column in zip(*rounds, strict=True)]
    slope, start = np.polyfit(arbors, per_draw, 1)
    easy, hard = population(65_536, edge=False), population(65_536)
    stepped = _stepped_ratio(*hard)
    extra = best_s(lambda: kernel.predict(*hard)) - best_s(lambda: kernel.predict(*easy))
    outcome = kernel.predict(layout, values)
    return {
        "stepped_ratio": stepped,
        "us_per_stepped": 1e6 * extra / (65_536 * len(layout.positions) * stepped),
        "draws_per_s": SIZES[-1] / sweep[-1],
        "numpy_draws_per_s": 8192 / numpy_s,
        "scalar_draws_per_s": 65_536 / scalar_s,
        "exponent_draws": exponent,
        "us_per_arbor": float(slope),
        "us_by_arbors": dict(zip(map(str, arbors), per_draw, strict=True)),
        "off_the_line_ratio": float(np.max(np.abs(np.array(per_draw) - start - slope * np.array(arbors))) / slope),
        "start_us": float(start),
        "runs_full_ratio": [float(one) for one in outcome.runs_full.mean(axis=1)],
        "draws": list(SIZES),
        "seconds": sweep,
    }


def main(argv: list[str]) -> int:
    figures = measure()
    if "--json" in argv:
        print(json.dumps(figures))
        return 0
    fast, plain, scalar = (figures[one] for one in ("draws_per_s", "numpy_draws_per_s", "scalar_draws_per_s"))
    print(f"kernel          {fast:10,.0f} draws/s on one core, two positions, rates at two hours")
    print(f"scalar loop     {scalar:10,.0f} draws/s, kernel {fast / scalar:.1f} times as fast (the loop answers less)")
    print(f"NumPy version   {plain:10,.0f} draws/s, kernel {fast / plain:.1f} times as fast")
    print(f"exponent over {SIZES[0]} to {SIZES[-1]} draws: {figures['exponent_draws']:.3f}")
    print("us a draw by arbors: " + ", ".join(f"{n}: {us:.3f}" for n, us in figures["us_by_arbors"].items()))
    print(
        f"each added arbor {figures['us_per_arbor']:.3f} us; no length lies further off the line than "
        f"{100 * figures['off_the_line_ratio']:.0f} % of that"
    )
    print(
        f"a clock at the edge costs {figures['us_per_stepped']:.1f} us more in a position; "
        f"{100 * figures['stepped_ratio']:.0f} % are there"
    )
    print(
        "clocks that run their full time: "
        + ", ".join(f"{100 * one:.0f} %" for one in figures["runs_full_ratio"])
        + " (upright, dial up)"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

"""Sizes as the work left them, put where they act in the sums, and what they make of the finished clock.

Before the work a sound part is known only as sound parts differ. Once it is made and measured, its size takes the
place of that: a row of the table moves to the reading as far as the reading is sharper than what was known, a depth
acts by the teeth at that depth, and faults that the size is the measure of are no longer a matter of chance.

Limits: a size that no rule here names does not act; clearance moves a pivot by half of itself, no one knows which way.
What a shake does: laws of the faults it is the measure of. Source: docs/explanation/gauging.md.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import numpy as np

from underdial.diagnosis import effects
from underdial.diagnosis.case_file import Unused
from underdial.diagnosis.causes import Causes
from underdial.diagnosis.choices import MOST_SURE, with_cleaning
from underdial.diagnosis.complaint_model import rate_shift
from underdial.diagnosis.effects import Table
from underdial.diagnosis.fate import Fate, end_of_run, threads_for
from underdial.diagnosis.fault_draws import FaultDraws
from underdial.diagnosis.left_size import AsLeft, LeftSize, of_balance
from underdial.diagnosis.question import Question
from underdial.diagnosis.sampler import Posterior
from underdial.diagnosis.work_lines import CLEANED
from underdial.errors import OutOfRange
from underdial.mechanics.kernel import predict
from underdial.mechanics.mesh import mesh_action
from underdial.mechanics.parameters import Array
from underdial.trade.fault_laws import fault_laws

# Shake that a sound clock has: train 0.05 mm and more, balance 0.01 to 0.10 mm. [common practice]
_LEAST_TRAIN_SHAKE_M, _BALANCE_SHAKE_M = 5e-5, (1e-5, 1e-4)
# Clearance of a sound pivot: 4 in 100 of its diameter, 0.02 mm at the least. [common practice]
_USUAL_CLEARANCE_RATIO, _LEAST_CLEARANCE_M = 0.04, 2e-5
# One drop of the two was measured: the other may differ by this. [assumption]
_OTHER_DROP_U_RAD = math.radians(0.3)
_DEPTHS = tuple(round(-0.6 + 0.1 * k, 1) for k in range(19))
_HOLE_FAULTS, _DEPTH_FAULTS, _SHAKE_FAULTS = (
    ("TRN-01", "TRN-02", "TRN-03", "TRN-05"),
    ("TRN-04", "TRN-23", "TRN-24"),
    ("TRN-06", "TRN-25", "TRN-26"),
)
_LOCK_FAULTS, _BALANCE_SHAKE_FAULTS = ("ESC-02", "ESC-03", "ESC-10", "ESC-11", "LEV-04", "LEV-05"), ("BAL-10", "BAL-11")
_PALLET_SHAKE_FAULTS = ("ESC-21",)
_GREAT = ("great_wheel", "barrel", "barrel_arbor", "mainspring", "open_spring", "winding_square", "fusee", None)
_ACTS_ON = {
    "drop": "the share of the wheel's travel that is lost",
    "lock": "the swing that just unlocks, and what unlocking costs",
    "beat": "the beat",
    "end_shake": "drag, where the shake is too small",
    "clearance": "the depth with both mates",
    "bore": "the depth with both mates",
    "flat": "friction with the staff upright",
    "end_radius": "friction with the staff upright",
    "tip": "friction with the staff level",
    "runout": "the poise of the balance",
    "depth": "efficiency and ripple of the mesh",
    "centres": "efficiency and ripple of the mesh",
    "pivot": "friction of the arbor",
    "thickness": "the torque, against the spring before",
    "height": "the torque, against the spring before",
    "length": "the torque, against the spring before",
    "main_torque": "the torque at full wind",
    "turns": "how long a wind lasts",
}


@dataclass
class Finished:
    """The finished clock in the sums: the table that sizes act on, its draws, the random source; what each size did."""

    asked: Question
    table: Table
    draws: FaultDraws
    rng: np.random.Generator
    depth_modules: Array = field(init=False)
    used: list[LeftSize] = field(default_factory=list)
    unused: list[Unused] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.depth_modules = np.zeros((self.asked.bench.layout.arbors_count - 1, self.draws.count))

    def row(self, name: str, place: int | None = None) -> Array:
        """A row of the table, free to be changed."""
        found: Array = self.table.values[self.asked.bench.layout.row(name, place)]
        return found

    def place(self, size: LeftSize) -> int | None:
        """The place a size belongs to, by its `of` or its part: an arbor, or behind the train."""
        places = self.asked.bench.places
        return places.named(size.of) if size.of is not None else places.named(size.component)

    def arbor(self, size: LeftSize) -> int | None:
        """The same, where it is an arbor of the train."""
        found = self.place(size)
        return found if found is not None and found < self.asked.bench.places.count else None

    def read(self, size: LeftSize) -> Array:
        """The true size in every draw, by the reading alone."""
        return np.asarray(size.value + size.u * self.rng.standard_normal(self.draws.count))


def foresee(
    asked: Question, found: Posterior, causes: Causes, left: AsLeft, rng: np.random.Generator
) -> dict[str, Any]:
    """What the finished clock should do: works put right, sizes as they were left; and the same without the sizes."""
    draws = _put_right(asked, found, causes, left)
    table = effects.healthy(asked.bench, found.theta)
    effects.act(asked.bench, table, asked.suspicion.suspects, draws, sizes=asked.learned.sizes)
    before, _ = _end(asked, table, draws)
    one = finished(asked, found, causes, left, rng)
    what, drift = _end(asked, one.table, one.draws)
    runs = float(what.full.mean())
    count = 1.0 / (1.0 / draws.count + 1.0 / max(found.effective_count, 1.0))
    shrunk = (runs * count + 0.5) / (count + 1.0)
    spread = [float(q) for q in np.percentile(drift[what.full], [10, 90])] if what.full.any() else [None, None]
    return {
        "runs_full_probability": min(runs, MOST_SURE),
        "runs_full_u_probability": math.sqrt(shrunk * (1.0 - shrunk) / count),
        "amplitude_deg": _arcs(what),
        "rate_drift_s_per_day": spread,
        "without_sizes_amplitude_deg": _arcs(before),
        "used": [
            {
                "quantity": size.what,
                "of": size.of or size.component,
                "as_written": size.as_written,
                "acts_on": _ACTS_ON[size.what],
            }
            for size in one.used
        ],
        "unused": [{"what": row.what, "reason": row.reason} for row in (*left.unused, *one.unused)],
    }


def finished(asked: Question, found: Posterior, causes: Causes, left: AsLeft, rng: np.random.Generator) -> Finished:
    """The finished clocks: the works' faults put right, then every size that was left put where it acts."""
    draws = _put_right(asked, found, causes, left)
    table = effects.healthy(asked.bench, found.theta)
    one = Finished(asked, table, draws, rng)
    for size in left.sizes:
        _settle(one, size)
    effects.act(asked.bench, table, asked.suspicion.suspects, draws, sizes=asked.learned.sizes)
    for kind, act in _ACTS.items():
        those = [size for size in left.sizes if size.what in kind.split()]
        if those:
            act(one, those)
    _teeth_at_depth(one)
    return one


def _end(asked: Question, table: Table, draws: FaultDraws) -> tuple[Fate, Array]:
    hours = (0.0, 0.9 * asked.bench.layout.duration_s / 3600.0)
    outcome = predict(asked.bench.layout, table.values, hours_h=hours, threads_count=threads_for(draws.count))
    what = end_of_run(asked.bench, table, outcome, asked.suspicion.suspects, draws)
    return what, rate_shift(what, 1, 0) - rate_shift(what, 0, 0)


def _arcs(what: Fate) -> list[float]:
    return [float(one) for one in np.degrees(np.percentile(what.outcome.amplitude_full_rad[0], [10, 50, 90]))]


def _put_right(asked: Question, found: Posterior, causes: Causes, left: AsLeft) -> FaultDraws:
    """The draws with the faults of the works put right; all that were found when no work is told by its id."""
    suspects = asked.suspicion.suspects
    ids = {
        f"{m[1].upper()}-{m[2]}"
        for one in left.works
        if (m := re.match(r"([a-z]{3})[-_](\d\d)(?:[._]|$)", one.lower()))
    }
    chosen = tuple(k for k, one in enumerate(suspects) if (one.fault in ids if ids else bool(one.reports)))
    cured = set(with_cleaning(asked, chosen, causes))
    if not ids or any(one.startswith("overhaul") for one in left.works):
        cured |= {k for k, one in enumerate(suspects) if one.fault in CLEANED}
    draws = found.draws.chosen(np.arange(found.count))
    draws.severity[sorted(cured)] = 0.0
    return draws


def _settle(finished: Finished, size: LeftSize) -> None:
    """Take out of the draws the faults that this size is the measure of, at its place."""
    at = finished.arbor(size)
    faults: tuple[str, ...] = {
        "clearance": _HOLE_FAULTS,
        "bore": _HOLE_FAULTS,
        "depth": _DEPTH_FAULTS,
        "centres": _DEPTH_FAULTS,
        "lock": _LOCK_FAULTS,
    }.get(size.what, ())
    if size.what == "end_shake":
        faults = _BALANCE_SHAKE_FAULTS if of_balance(size) else _SHAKE_FAULTS
    if size.what == "end_shake" and finished.place(size) == finished.asked.bench.places.pallet_arbor:
        faults = _PALLET_SHAKE_FAULTS
    draws = finished.draws
    for k, suspect in enumerate(finished.asked.suspicion.suspects):
        if suspect.fault not in faults:
            continue
        if suspect.everywhere or not suspect.arbors:
            draws.severity[k] = 0.0 if at is None or not suspect.arbors else draws.severity[k]
        elif at is not None:
            draws.severity[k, draws.arbor[k] == at] = 0.0


def moved(row: Array, value: float, u: float, rng: np.random.Generator, *, known: bool) -> None:
    """Move a row to a reading, in place.

    What was known counts by its spread, or by how far the reading lies beyond it; a row nobody knew takes the reading
    as it is.
    """
    made = value + u * rng.standard_normal(len(row))
    spread, middle = float(row.std()), float(row.mean())
    if not known or spread == 0.0:
        row[:] = made
        return
    # A reading far outside what sound clocks have is believed: the spread is widened until it would be usual.
    wide = math.sqrt(max(spread**2, (value - middle) ** 2 - u**2))
    gain = wide**2 / (wide**2 + u**2)
    row[:] = middle + (row - middle) * wide / spread
    row += gain * (made - row)


def _moved_log(row: Array, value: float, u: float, rng: np.random.Generator, *, known: bool) -> None:
    logs = np.log(np.maximum(row, 1e-12))
    moved(logs, math.log(value), u / value, rng, known=known)
    row[:] = np.exp(logs)


def _drop(finished: Finished, sizes: list[LeftSize]) -> None:
    pitch = math.pi / finished.asked.bench.layout.escape_count
    value = sum(one.value for one in sizes) / len(sizes)
    u = math.hypot(*(one.u for one in sizes)) / len(sizes)
    u = math.hypot(u, _OTHER_DROP_U_RAD / 2.0) if len(sizes) == 1 else u
    if not 0.0 <= value < 0.9 * pitch:
        finished.unused += [
            Unused(
                one.as_written, f"a drop of the wheel lies between 0 and {math.degrees(pitch):.1f} deg, half its pitch"
            )
            for one in sizes
        ]
        return
    row = finished.row("drop_ratio")
    moved(row, value / pitch, u / pitch, finished.rng, known=True)
    np.clip(row, 0.0, 0.9, out=row)
    finished.used += sizes


def _lock(finished: Finished, sizes: list[LeftSize]) -> None:
    layout, nominal = finished.asked.bench.layout, finished.asked.bench.nominal
    value = sum(one.value for one in sizes) / len(sizes)
    u = math.hypot(*(one.u for one in sizes)) / len(sizes)
    targets = [one.target for one in sizes if one.target]
    begins = abs(float(nominal[layout.row("impulse_begins_rad")]))
    on_pendulum = layout.oscillator == "pendulum"
    usual = (
        sum(targets) / len(targets)
        if targets
        else (float(nominal[layout.row("least_amplitude_rad")]) - begins if on_pendulum else 0.0)
    )
    if value <= 0.0 or usual <= 0.0:
        why = (
            "no lock at all trips; set the depth again"
            if value <= 0.0
            else "with a lever the sums need the lock it was meant to have; keep a size to make"
        )
        finished.unused += [Unused(one.as_written, why) for one in sizes]
        return
    if on_pendulum:
        _moved_log(finished.row("least_amplitude_rad"), begins + value, u, finished.rng, known=True)
    made = np.maximum(value + u * finished.rng.standard_normal(finished.draws.count), 0.05 * usual)
    finished.row("unlocking_ratio")[:] *= np.minimum(made / usual, 5.0)
    finished.used += sizes


def _radii(finished: Finished, sizes: list[LeftSize]) -> None:
    for one in sizes:
        name, factor = {
            "tip": ("cone_tip_radius_m", 1.0),
            "flat": ("cone_flat_radius_m", 0.5),
            "end_radius": ("cone_flat_radius_m", 1.0),
        }[one.what]
        if finished.asked.bench.layout.oscillator != "balance" or one.value <= 0.0:
            finished.unused.append(Unused(one.as_written, "a tip acts at the staff of a balance, and is above 0"))
            continue
        _moved_log(finished.row(name), factor * one.value, factor * one.u, finished.rng, known=True)
        finished.used.append(one)


def _pivots(finished: Finished, sizes: list[LeftSize]) -> None:
    for one in sizes:
        at = finished.arbor(one)
        if at is None:
            finished.unused.append(Unused(one.as_written, "of which arbor is not said"))
            continue
        moved(finished.row("pivot_radius_m", at), one.value / 2.0, one.u / 2.0, finished.rng, known=False)
        np.maximum(finished.row("pivot_radius_m", at), 1e-6, out=finished.row("pivot_radius_m", at))
        finished.used.append(one)


def _staff(finished: Finished, sizes: list[LeftSize]) -> None:
    for one in sizes:
        if not of_balance(one):
            finished.unused.append(Unused(one.as_written, "run-out is used at the balance staff"))
            continue
        finished.row("staff_offset_m")[:] = np.abs(finished.read(one)) / 2.0
        finished.used.append(one)


def _beat(finished: Finished, sizes: list[LeftSize]) -> None:
    finished.row("beat_angle_rad")[:] = finished.read(sizes[-1])
    finished.used.append(sizes[-1])


def _clearances(finished: Finished, sizes: list[LeftSize]) -> None:
    """Clearance beyond the usual moves a pivot by half of itself, some way that nobody knows."""
    layout, arbors = finished.asked.bench.layout, finished.asked.movement.train.arbors
    for one in sizes:
        at = finished.arbor(one)
        pivot = (
            None
            if at is None
            else next(
                (other.value for other in sizes if other.what == "pivot" and finished.arbor(other) == at),
                2.0 * float(finished.row("pivot_radius_m", at).mean()),
            )
        )
        if one.what == "pivot":
            continue
        if (
            at is None
            or pivot is None
            or (
                one.what == "bore" and not any(other.what == "pivot" and finished.arbor(other) == at for other in sizes)
            )
        ):
            finished.unused.append(
                Unused(
                    one.as_written,
                    "of which arbor is not said"
                    if at is None
                    else "a bore says nothing without its pivot; write the clearance",
                )
            )
            continue
        clear = finished.read(one) - (pivot if one.what == "bore" else 0.0)
        if float(clear.mean()) <= 0.0:
            finished.unused.append(
                Unused(one.as_written, "a hole no larger than its pivot does not turn; read it again")
            )
            continue
        beyond = np.maximum(clear - max(_USUAL_CLEARANCE_RATIO * pivot, _LEAST_CLEARANCE_M), 0.0)
        apart = beyond / 2.0 * np.cos(2.0 * math.pi * finished.rng.random(finished.draws.count))
        for mesh, sign in ((at, 1.0), (at - 1, -1.0)):
            if 0 <= mesh < layout.arbors_count - 1:
                finished.depth_modules[mesh] += sign * apart / _module_m(finished, mesh)
        assert at < len(arbors)
        finished.used.append(one)


def _depths(finished: Finished, sizes: list[LeftSize]) -> None:
    for one in sizes:
        at = finished.arbor(one)
        if at is None or (one.what == "centres" and one.target is None):
            finished.unused.append(
                Unused(
                    one.as_written,
                    "of which wheel is not said"
                    if at is None
                    else "a centre distance counts against the one it was meant to have; keep a size to make",
                )
            )
            continue
        mesh = min(at, finished.asked.bench.layout.arbors_count - 2)
        error = finished.read(one) - (one.target or 0.0 if one.what == "centres" else 0.0)
        finished.depth_modules[mesh] += error / _module_m(finished, mesh)
        finished.used.append(one)


def _module_m(finished: Finished, mesh: int) -> float:
    train = finished.asked.movement.train
    return 2.0 * train.arbors[mesh].wheel_radius_m / train.meshes[mesh].wheel_count


def _teeth_at_depth(finished: Finished) -> None:
    """Efficiency and ripple of every mesh whose depth was left other than right."""
    for mesh, depths in enumerate(finished.depth_modules):
        if not depths.any():
            continue
        made = finished.asked.movement.train.meshes[mesh]
        passed, ripple = _by_depth(made.wheel_count, made.pinion_count)
        right = _DEPTHS.index(0.0)
        finished.row("mesh_efficiency_ratio", mesh)[:] *= np.interp(depths, _DEPTHS, passed) / passed[right]
        finished.row("mesh_ripple_ratio", mesh)[:] += np.maximum(
            np.interp(depths, _DEPTHS, ripple) - ripple[right], 0.0
        )


@cache
def _by_depth(wheel: int, pinion: int) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Efficiency and half the swing of the speed at each depth; beyond where the teeth act, as where they last do."""
    found: dict[float, tuple[float, float]] = {}
    for depth in sorted(_DEPTHS, key=abs):
        try:
            action = mesh_action(wheel, pinion, depth_error_modules=depth, steps_count=200)
            found[depth] = (
                action.efficiency_ratio,
                (action.greatest_velocity_ratio - action.least_velocity_ratio) / 2.0,
            )
        except OutOfRange:
            found[depth] = found[min(found, key=lambda near: abs(near - depth))]
    return tuple(found[one][0] for one in _DEPTHS), tuple(found[one][1] for one in _DEPTHS)


def _shakes(finished: Finished, sizes: list[LeftSize]) -> None:
    for one in sizes:
        shake = finished.read(one)
        if of_balance(one):
            low, high = _BALANCE_SHAKE_M
            tight, wide = np.clip(1.0 - shake / low, 0.0, 3.0), np.clip(shake / high - 1.0, 0.0, 3.0)
            for name in ("axis_horizontal_friction_ratio", "axis_vertical_friction_ratio"):
                finished.row(name)[:] *= 1.0 + _law("BAL-10", "oscillator_friction") * tight
            finished.row("impulse_efficiency_ratio")[:] *= np.exp(-_law("BAL-11", "impulse") * wide)
        elif finished.place(one) == finished.asked.bench.places.pallet_arbor:
            finished.row("linear_q_ratio")[:] /= 1.0 + _law("ESC-21", "quality") * np.clip(
                1.0 - shake / _LEAST_TRAIN_SHAKE_M, 0.0, 3.0
            )
        elif (at := finished.arbor(one)) is not None:
            tight = np.clip(1.0 - shake / _LEAST_TRAIN_SHAKE_M, 0.0, 3.0)
            row = finished.row("drag_share_ratio", at)
            row[:] = 1.0 - (1.0 - row) * np.exp(-_law("TRN-25", "drag_share") * tight)
        else:
            finished.unused.append(Unused(one.as_written, "of which arbor is not said"))
            continue
        finished.used.append(one)


def _law(fault: str, kind: str) -> float:
    """What a fault of moderate size does, by the trade's law of it."""
    return next(size for name, size in fault_laws()[fault].laws if name == kind)


def _springs(finished: Finished, sizes: list[LeftSize]) -> None:
    """A strip against the one before: torque goes with the cube of its thickness, its height, and against its
    length.
    """
    powers = {"thickness": 3.0, "height": 1.0, "length": -1.0}
    log_ratio, variance = 0.0, 0.0
    for one in sizes:
        if one.component not in ("mainspring", "open_spring") and one.of not in ("mainspring", "open_spring"):
            finished.unused.append(Unused(one.as_written, "no prediction of the sums answers to it"))
        elif not one.before or one.value <= 0.0:
            finished.unused.append(
                Unused(one.as_written, "a new spring counts against the one before; write its size before too")
            )
        else:
            log_ratio += powers[one.what] * math.log(one.value / one.before)
            variance += powers[one.what] ** 2 * ((one.u / one.value) ** 2 + (one.u / one.before) ** 2)
            finished.used.append(one)
    finished.row("full_torque_n_m")[:] *= np.exp(
        log_ratio + math.sqrt(variance) * finished.rng.standard_normal(finished.draws.count)
    )


def _power(finished: Finished, sizes: list[LeftSize]) -> None:
    for one in sizes:
        if (one.of or one.component) not in _GREAT or one.value <= 0.0:
            finished.unused.append(Unused(one.as_written, "torque and turns are used at the great wheel, above 0"))
        elif one.what == "main_torque":
            _moved_log(finished.row("full_torque_n_m"), one.value, one.u, finished.rng, known=True)
            finished.used.append(one)
        else:
            power = finished.asked.movement.power
            needed = power.main_turns_per_day * power.duration_s / 86400.0
            moved(finished.row("available_turns_ratio"), one.value / needed, one.u / needed, finished.rng, known=False)
            finished.used.append(one)


_ACTS: Mapping[str, Callable[[Finished, list[LeftSize]], None]] = {
    "drop": _drop,
    "lock": _lock,
    "tip flat end_radius": _radii,
    "pivot": _pivots,
    "runout": _staff,
    "beat": _beat,
    "clearance bore pivot": _clearances,
    "depth centres": _depths,
    "end_shake": _shakes,
    "thickness height length": _springs,
    "main_torque turns": _power,
}

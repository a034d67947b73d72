"""Loads that come and go with the turns of the arbors and the pitch of the teeth, stepped through a wind.

Each arbor turn and each tooth pitch is one term eps cos(phi + 2 pi t / T); the torque at the escape wheel is the mean
torque times (1 - sum of the terms). The swing answers with its time constant tau, so a term is filtered by
1/(1 + i 2 pi tau / T). How a term is stepped depends on its period alone:

    brief   T < 20 s              counted at its worst: it passes through it within two steps
    hourly  T up to a turn        10 s steps over 1.25 turns of the minute arbor; the train then repeats itself
    slow    longer than a turn    the same steps; then turn by turn, stepped wherever a bound leaves it open

Until the hand's push has all but died the swing itself is followed (`ring_down.after_push`). After that a clock stops
when the torque, with what is left of the push, no longer keeps the least swing.

Limits: minute arbor taken as one turn an hour; where the hands hang on a side branch the pattern repeats only nearly;
a wind of more than 512 turns is looked at 512 times, and terms shorter than two such strides count at their worst.
Source: docs/explanation/model.md, section 7; compared there with 10 s steps through whole winds.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from underdial.mechanics.parameters import TURN_S, Array, Layout

STEP_S = 10.0
FINE_TURNS = 1.25
MOST_LOOKS = 512
BRIEF, HOURLY, SLOW, SLOW_WORST = 0, 1, 2, 3


@dataclass(frozen=True)
class Terms:
    """The periodic terms of a layout: rows of size and phase, period, kind, and their cosines and sines at the
    steps.
    """

    size_rows: NDArray[np.int64]
    phase_rows: NDArray[np.int64]
    period_s: Array
    kind: NDArray[np.int64]
    cosines: Array
    sines: Array
    steps_in_turn: int
    stride_s: float


@lru_cache(maxsize=64)
def _terms(
    arbors: tuple[float, ...], pitches: tuple[float, ...], rows: tuple[int, int, int, int], duration_s: float
) -> Terms:
    n, m = len(arbors), len(pitches)
    period = np.array(arbors + pitches)
    size = np.concatenate((rows[0] + np.arange(n), rows[2] + np.arange(m))).astype(np.int64)
    phase = np.concatenate((rows[1] + np.arange(n), rows[3] + np.arange(m))).astype(np.int64)
    stride = TURN_S * math.ceil(max(duration_s / TURN_S, 1.0) / MOST_LOOKS)
    kind = np.where(period < 2.0 * STEP_S, BRIEF, np.where(period <= 1.001 * TURN_S, HOURLY, SLOW))
    kind = np.where((kind == SLOW) & (stride > TURN_S) & (period < 2.0 * stride), SLOW_WORST, kind)
    steps = int(min(FINE_TURNS * TURN_S, duration_s) / STEP_S)
    angle = 2.0 * math.pi * np.arange(steps) * STEP_S / period[:, None]
    return Terms(
        size,
        phase,
        period,
        kind.astype(np.int64),
        np.cos(angle),
        np.sin(angle),
        min(steps, int(TURN_S / STEP_S)),
        stride,
    )


def terms(layout: Layout) -> Terms:
    """The periodic terms of a layout, arbors first, then meshes."""
    rows = tuple(
        layout.rows(f"{place}_{what}").start for place in ("arbor", "mesh") for what in ("ripple_ratio", "phase_rad")
    )
    return _terms(layout.arbor_period_s, layout.pitch_period_s, rows, layout.duration_s)


def filtered(table: Terms, values: Array, tau_s: Array) -> tuple[Array, Array, Array]:
    """Cosine and sine weights of each term after the swing's own inertia, and their length; each (terms, draws)."""
    lag = 2.0 * math.pi * tau_s / table.period_s[:, None]
    size, phase = values[table.size_rows], values[table.phase_rows]
    share = size / (1.0 + lag**2)
    # The sum of a term and its lagging part, written as a cos(wt) + b sin(wt).
    a = share * (np.cos(phase) + lag * np.sin(phase))
    b = share * (lag * np.cos(phase) - np.sin(phase))
    return a, b, size / np.sqrt(1.0 + lag**2)


def first_stop_s(
    layout: Layout,
    table: Terms,
    weights: tuple[Array, Array, Array],
    *,
    full: Array,
    end: Array,
    after_s: Array,
    held: Array,
    tau_s: Array,
) -> Array:
    """First moment after a push was followed at which the torque falls below what is needed [s]; inf if it never does.

    `full` and `end` are the torque at the escape wheel over the least one, at the start and the end of the wind; at
    `after_s` the swing was worth the torque `held`, and what that is off the torque there is dies away with `tau_s`.
    """
    a, b, length = weights
    brief = length[table.kind == BRIEF].sum(axis=0)
    hourly, slow, not_brief = table.kind == HOURLY, table.kind >= SLOW, table.kind != BRIEF
    angle = 2.0 * math.pi * after_s / table.period_s[:, None]
    then = brief + ((a * np.cos(angle) + b * np.sin(angle))[not_brief]).sum(axis=0)
    push = held - (full + (end - full) * after_s / layout.duration_s) * (1.0 - then)
    times = np.arange(table.cosines.shape[1], dtype=np.float64) * STEP_S
    pattern = a[hourly].T @ table.cosines[hourly] + b[hourly].T @ table.sines[hourly] + brief[:, None]
    ripple = pattern + a[slow].T @ table.cosines[slow] + b[slow].T @ table.sines[slow]
    mean = full[:, None] + (end - full)[:, None] * times / layout.duration_s
    stop = _first_below(times, mean * (1.0 - ripple), after_s=after_s, held=held, push=push, tau_s=tau_s, looked_s=0.0)
    pattern = pattern[:, : table.steps_in_turn] + length[table.kind == SLOW_WORST].sum(axis=0)[:, None]
    open_ = np.isinf(stop)
    looks = int(layout.duration_s / table.stride_s)
    for n in range(1, looks + 1):
        chosen = np.flatnonzero(open_)
        if not len(chosen):
            break
        turn = _turn_left(
            layout,
            table,
            (a[:, chosen], b[:, chosen], length[:, chosen]),
            pattern[chosen],
            n * table.stride_s,
            full=full[chosen],
            end=end[chosen],
            after_s=after_s[chosen],
            held=held[chosen],
            push=push[chosen],
            tau_s=tau_s[chosen],
        )
        stop[chosen] = turn
        open_ = np.isinf(stop)
    return stop


def _first_below(
    times: Array, torque: Array, *, after_s: Array, held: Array, push: Array, tau_s: Array, looked_s: float
) -> Array:
    """When the torque, with what is left of the push, first falls below 1 at one of the times after `after_s` and not
    before `looked_s`, on the straight line from the time before.
    """
    late = times - after_s[:, None]
    left = torque + push[:, None] * np.exp(-np.maximum(late, 0.0) / tau_s[:, None])
    open_ = (late >= 0.0) & (times >= looked_s)
    below = open_ & (left < 1.0)
    at = below.argmax(axis=1)
    row = np.arange(len(left))
    before = np.maximum(at - 1, 0)
    # Before the first time looked at lies the end of the push, or what was seen to hold.
    first = (at == 0) | ~open_[row, before]
    from_push = after_s >= max(times[0], looked_s)
    since = np.where(first, np.where(from_push, after_s, times[at]), times[before])
    high = np.where(first, np.where(from_push, held, 1.0), left[row, before])
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (high - 1.0) / (high - left[row, at])
    return np.where(below.any(axis=1), since + share * (times[at] - since), np.inf)


def _turn_left(
    layout: Layout,
    table: Terms,
    weights: tuple[Array, Array, Array],
    pattern: Array,
    start_s: float,
    *,
    full: Array,
    end: Array,
    after_s: Array,
    held: Array,
    push: Array,
    tau_s: Array,
) -> Array:
    """First stop within the turn that begins at `start_s`: bounded first, stepped only where the bound leaves it
    open.
    """
    slow = table.kind == SLOW
    a, b, length = (one[slow] for one in weights)
    begin = 2.0 * math.pi * start_s / table.period_s[slow][:, None]
    half = math.pi * TURN_S / table.period_s[slow][:, None]
    cosine, sine = a * np.cos(begin) + b * np.sin(begin), b * np.cos(begin) - a * np.sin(begin)
    middle = cosine * np.cos(half) + sine * np.sin(half)
    off = np.abs(sine * np.cos(half) - cosine * np.sin(half))
    most = np.where(middle >= length * np.cos(half), length, middle * np.cos(half) + off * np.sin(half)).sum(axis=0)
    after = np.minimum(start_s + TURN_S, layout.duration_s)
    lowest = np.minimum(
        full + (end - full) * start_s / layout.duration_s, full + (end - full) * after / layout.duration_s
    )
    fading = push * np.exp(-np.maximum(start_s - after_s, 0.0) / tau_s)
    bound = lowest * (1.0 - pattern.max(axis=1) - most) + np.minimum(fading, 0.0)
    stop = np.full(len(full), np.inf)
    part = np.flatnonzero(bound < 1.0)
    steps = min(pattern.shape[1], int((layout.duration_s - start_s) / STEP_S) + 1)
    if len(part) and steps > 0:
        local = np.arange(steps) * STEP_S
        times = start_s + local
        ripple = (
            pattern[part, :steps]
            + cosine[:, part].T @ table.cosines[slow][:, :steps]
            + sine[:, part].T @ table.sines[slow][:, :steps]
        )
        mean = full[part, None] + (end - full)[part, None] * times / layout.duration_s
        stop[part] = _first_below(
            times, mean * (1.0 - ripple), after_s=after_s[part], held=held[part], push=push[part], tau_s=tau_s[part],
            looked_s=table.cosines.shape[1] * STEP_S,
        )  # fmt: skip
    return stop

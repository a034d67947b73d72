"""The compiled loops of `kernel`: blocks of 64 draws, no branch inside a loop over a block, so that LLVM can use
vector instructions. Imported by `kernel` alone, after it has said where numba keeps its code.

One function for each set of options (there is one set): two cached variants of one function would share an entry.
Rows of the table are reached through `first`, the first row of each parameter in the order of `PARAMETERS`; the
constants below are positions in that order, and a test compares them with it.

Limits and sources: those of train_power, swing_balance and periodic_loads, whose laws these are.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, TypeVar, cast

import numpy as np
from numba import njit
from numpy.typing import NDArray

Array = NDArray[np.float64]
Integers = NDArray[np.int64]
Booleans = NDArray[np.bool_]

B = 64
(
    FULL_TORQUE, END_TORQUE, AVAILABLE_TURNS, PIVOT_FRICTION, PIVOT_RADIUS, FORCE_PER_TORQUE, ARBOR_WEIGHT,
    DRAG_TORQUE, DRAG_SHARE, ARBOR_RIPPLE, ARBOR_PHASE, MESH_EFFICIENCY, MESH_RIPPLE, MESH_PHASE, DROP,
    IMPULSE_EFFICIENCY, UNLOCKING, LEVER_INERTIA, FRICTIONAL_REST, RECOIL, IMPULSE_BEGINS, IMPULSE_ENDS, STIFFNESS,
    OSCILLATOR_WEIGHT, BALANCE_FRICTION, CONE_TIP, CONE_FLAT, HORIZONTAL_FACTOR, VERTICAL_FACTOR, FRICTION_TORQUE,
    LINEAR_Q, QUADRATIC_AIR, LEAST_AMPLITUDE, BEAT_ANGLE, POISE_TORQUE, POISE_ANGLE, STAFF_OFFSET, STAFF_ANGLE,
    START_AMPLITUDE, RATE_OFFSET,
) = range(40)  # fmt: skip
# Rows of the scratch block that hold one position's loss terms.
(
    S_L1, S_L2, S_L3, S_BACK, S_GAIN, S_REST, S_TH2, S_LEAST, S_BEAT, S_HEAVY, S_MAIN, S_FULL, S_END, S_A, S_M, S_AFTER,
    S_HELD, S_NEEDED, S_PEAK, S_SQUARES, S_ANSWER, S_TERMS,
) = range(22)  # fmt: skip
# Rows of the block that holds the dying pushes: the swing's square and the least one, the step and its product with
# 2 omega / (pi k), losses, torque and its fall in a step, loads that come and go; then four rows for each of these.
(
    P_SQUARE, P_BOTTOM, P_STEP, P_SHARE, P_L1, P_L2, P_L3, P_BACK, P_PER_TORQUE, P_REST, P_TORQUE, P_FALL, P_STOP,
    P_RIPPLE, P_TERMS,
) = range(15)  # fmt: skip
# Steps in which a push is followed, and how many of them make the time constant at the least swing.
PUSH_STEPS, STEPS_IN_TAU = 30, 6
_Loop = TypeVar("_Loop", bound=Callable[..., Any])


def _compiled(loop: _Loop) -> _Loop:
    """Compile a loop, keep its code; rounding may fuse a product and a sum, nothing more is let go."""
    return cast(_Loop, njit(cache=True, nogil=True, error_model="numpy", fastmath={"contract", "nsz", "arcp"})(loop))


@_compiled
def _through_train(
    values: Array, first: Integers, gearing: Array, arbors: int, s: int, m: int, main: Array, out: Array
) -> None:
    """Torque at the escape wheel for the torque at the great arbor, one block."""
    for i in range(m):
        out[i] = main[i]
    for j in range(arbors):
        mu, r, p = (
            values[first[PIVOT_FRICTION] + j],
            values[first[PIVOT_RADIUS] + j],
            values[first[FORCE_PER_TORQUE] + j],
        )
        w, d, lost = values[first[ARBOR_WEIGHT] + j], values[first[DRAG_TORQUE] + j], values[first[DRAG_SHARE] + j]
        for i in range(m):
            e = s + i
            load = p[e] * out[i]
            out[i] = max(out[i] * (1.0 - lost[e]) - mu[e] * r[e] * math.sqrt(load * load + w[e] * w[e]) - d[e], 0.0)
        if j < arbors - 1:
            eta, g = values[first[MESH_EFFICIENCY] + j], gearing[j]
            for i in range(m):
                out[i] *= eta[s + i] * g


@_compiled
def _back_to_key(values: Array, first: Integers, gearing: Array, arbors: int, s: int, m: int, out: Array) -> None:
    """Torque at the great arbor for the torque at the escape wheel held in `out`, one block; infinite where it
    locks.
    """
    for j in range(arbors - 1, -1, -1):
        mu, r, p = (
            values[first[PIVOT_FRICTION] + j],
            values[first[PIVOT_RADIUS] + j],
            values[first[FORCE_PER_TORQUE] + j],
        )
        w, d, lost = values[first[ARBOR_WEIGHT] + j], values[first[DRAG_TORQUE] + j], values[first[DRAG_SHARE] + j]
        for i in range(m):
            e = s + i
            f, left = mu[e] * r[e], 1.0 - lost[e]
            c = out[i] + d[e]
            fp = f * p[e]
            q = left * left - fp * fp
            pc = p[e] * c
            torque = (left * c + f * math.sqrt(max(pc * pc + q * w[e] * w[e], 0.0))) / q
            out[i] = torque if (q > 0.0 and left > 0.0 and out[i] < math.inf) else math.inf
        if j > 0:
            eta, g = values[first[MESH_EFFICIENCY] + j - 1], gearing[j - 1]
            for i in range(m):
                out[i] /= eta[s + i] * g


@_compiled
def _loss_terms(
    values: Array, first: Integers, teeth: int, vertical: bool, down: float, s: int, m: int, b: Array
) -> None:
    """Fill the scratch block `b` with the loss terms of one position, one block."""
    for i in range(m):
        e = s + i
        k, kappa = values[first[STIFFNESS], e], values[first[LEVER_INERTIA], e]
        th1, th2 = values[first[IMPULSE_BEGINS], e], values[first[IMPULSE_ENDS], e]
        carried = 1.0 / (1.0 + kappa)
        b[S_L2, i] = 0.5 * math.pi * k / values[first[LINEAR_Q], e] + 0.5 * kappa * k * (carried + 1.0)
        b[S_L3, i] = values[first[QUADRATIC_AIR], e] * k
        b[S_BACK, i] = 0.5 * kappa * k * (th1 * th1 * carried + th2 * th2)
        gain = (1.0 - values[first[DROP], e]) * values[first[IMPULSE_EFFICIENCY], e] - values[first[UNLOCKING], e]
        b[S_GAIN, i] = math.pi / teeth * gain
        b[S_REST, i] = 2.0 * values[first[FRICTIONAL_REST], e]
        b[S_TH2, i] = th2
    if vertical:
        for i in range(m):
            e = s + i
            rub = 2.0 / 3.0 * values[first[CONE_FLAT], e] * values[first[VERTICAL_FACTOR], e]
            rub *= values[first[BALANCE_FRICTION], e] * values[first[OSCILLATOR_WEIGHT], e]
            b[S_L1, i] = 2.0 * (rub + values[first[FRICTION_TORQUE], e])
            b[S_HEAVY, i] = 0.0
            b[S_BEAT, i] = values[first[BEAT_ANGLE], e]
            b[S_LEAST, i] = values[first[LEAST_AMPLITUDE], e] + abs(b[S_BEAT, i])
    else:
        for i in range(m):
            e = s + i
            weight = values[first[OSCILLATOR_WEIGHT], e]
            rub = values[first[CONE_TIP], e] * values[first[HORIZONTAL_FACTOR], e]
            rub *= values[first[BALANCE_FRICTION], e] * weight
            b[S_L1, i] = 2.0 * (rub + values[first[FRICTION_TORQUE], e])
            poise, staff = values[first[POISE_TORQUE], e], weight * values[first[STAFF_OFFSET], e]
            at_poise, at_staff = values[first[POISE_ANGLE], e] - down, values[first[STAFF_ANGLE], e] - down
            b[S_HEAVY, i] = poise * math.cos(at_poise) + staff * math.cos(at_staff)
            across = poise * math.sin(at_poise) + staff * math.sin(at_staff)
            b[S_BEAT, i] = values[first[BEAT_ANGLE], e] - across / values[first[STIFFNESS], e]
            b[S_LEAST, i] = values[first[LEAST_AMPLITUDE], e] + abs(b[S_BEAT, i])


@_compiled
def _steady(b: Array, torque: Array, m: int, out: Array) -> None:
    """Steady swing at a torque: root without air drag, then Newton from above, one block."""
    for i in range(m):
        l1 = b[S_L1, i] + b[S_REST, i] * torque[i]
        energy = torque[i] * (b[S_GAIN, i] + b[S_REST, i] * b[S_TH2, i]) + b[S_BACK, i]
        l2, l3 = b[S_L2, i], b[S_L3, i]
        A = 2.0 * energy / (l1 + math.sqrt(l1 * l1 + 4.0 * l2 * energy))
        for _ in range(12):
            A -= (((l3 * A + l2) * A + l1) * A - energy) / ((3.0 * l3 * A + 2.0 * l2) * A + l1)
        out[i] = A if (torque[i] > 0.0 and b[S_GAIN, i] > 0.0) else 0.0


@_compiled
def _rates(
    values: Array, first: Integers, pendulum: bool, s: int, m: int, b: Array, torque: Array, amplitude: Array,
    out: Array,
) -> None:  # fmt: skip
    """Rate of one position at a torque and swing, one block."""
    for i in range(m):
        e = s + i
        k, kappa = values[first[STIFFNESS], e], values[first[LEVER_INERTIA], e]
        th1, th2 = values[first[IMPULSE_BEGINS], e], b[S_TH2, i]
        A = max(amplitude[i], b[S_LEAST, i])
        x1, x2 = min(max(th1 / A, -1.0), 1.0), min(max(th2 / A, -1.0), 1.0)
        c1, c2 = math.sqrt(1.0 - x1 * x1), math.sqrt(1.0 - x2 * x2)
        pull = torque[i] / (math.pi * k * A)
        shift = -pull * b[S_GAIN, i] / (th2 - th1) * (c1 - c2) + kappa / math.pi * x1 * c1
        shift -= kappa / (2.0 * math.pi) * (math.asin(x2) - math.asin(x1) - x2 * c2 + x1 * c1)
        q = values[first[LINEAR_Q], e]
        shift += 2.0 * values[first[RECOIL], e] * pull * c2 - 0.125 / (q * q)
        # J1(A)/A by its series; 20 terms leave 1e-17 up to 6.3 rad.
        z = -0.25 * A * A
        term, bessel = 0.5, 0.5
        for n in range(1, 21):
            term *= z / (n * (n + 1.0))
            bessel += term
        shift += b[S_HEAVY, i] / k * bessel
        if pendulum:
            # (pi/2)/K(sin^2(A/2)) is the arithmetic-geometric mean of 1 and cos(A/2).
            x, y = 1.0, math.cos(0.5 * A)
            for _ in range(5):
                x, y = 0.5 * (x + y), math.sqrt(x * y)
            shift += x - 1.0
        out[i] = values[first[RATE_OFFSET], e] + 86400.0 * shift


@_compiled
def _need_and_ripple(
    values: Array, first: Integers, omega: float, size_rows: Integers, period_s: Array, s: int, m: int, b: Array,
    swing: Array,
) -> None:  # fmt: skip
    """Needed torque, and length of every periodic term after the swing's inertia, one block."""
    for i in range(m):
        k = values[first[STIFFNESS], s + i]
        l1, l2, l3 = b[S_L1, i], b[S_L2, i], b[S_L3, i]
        least, M = b[S_LEAST, i], b[S_FULL, i]
        at_least = ((l3 * least + l2) * least + l1) * least - b[S_BACK, i]
        per_torque = b[S_GAIN, i] - b[S_REST, i] * (least - b[S_TH2, i])
        b[S_NEEDED, i] = at_least / per_torque if per_torque > 0.0 else math.inf
        b[S_PEAK, i] = 0.0
        b[S_SQUARES, i] = 0.0
        A = max(swing[i], 1e-9)
        rub = l1 + b[S_REST, i] * M
        b[S_ANSWER, i] = math.pi * k * least / (omega * ((3.0 * l3 * least + 2.0 * l2) * least + rub))
        b[S_M, i] = math.pi * k * A / (omega * ((3.0 * l3 * A + 2.0 * l2) * A + rub))
    for t in range(len(period_s)):
        size = values[size_rows[t]]
        w = 2.0 * math.pi / period_s[t]
        for i in range(m):
            lag, lag_full = w * b[S_ANSWER, i], w * b[S_M, i]
            length = size[s + i] / math.sqrt(1.0 + lag * lag)
            b[S_TERMS + t, i] = length
            b[S_PEAK, i] += length
            b[S_SQUARES, i] += size[s + i] * size[s + i] / (1.0 + lag_full * lag_full)


@_compiled
def _pushes(
    values: Array, first: Integers, omega: float, duration: float, size_rows: Integers, phase_rows: Integers,
    period_s: Array, s: int, m: int, b: Array, stop: Array, chosen: Integers, w: Array,
) -> None:  # fmt: skip
    """Follow the dying push of the draws of one block that may stop, those with a stop time of -1: their stop time
    where the push does not last, else what the swing is worth when it has all but died.
    """
    n = 0
    for i in range(m):
        if stop[s + i] == -1.0:
            chosen[n] = i
            n += 1
    if n == 0:
        return
    for j in range(n):
        i = chosen[j]
        e, least = s + i, b[S_LEAST, i]
        start = max(values[first[START_AMPLITUDE], e], 1.001 * least)
        share = 1.0 / (STEPS_IN_TAU * (b[S_L2, i] + 0.5 * b[S_L1, i] / least + 1.5 * b[S_L3, i] * least))
        step = 0.5 * math.pi * values[first[STIFFNESS], e] * share / omega
        w[P_SQUARE, j], w[P_BOTTOM, j], w[P_STEP, j], w[P_SHARE, j] = start * start, least * least, step, share
        w[P_L1, j], w[P_L2, j], w[P_L3, j], w[P_BACK, j] = b[S_L1, i], b[S_L2, i], b[S_L3, i], b[S_BACK, i]
        w[P_PER_TORQUE, j], w[P_REST, j] = b[S_GAIN, i] + b[S_REST, i] * b[S_TH2, i], b[S_REST, i]
        w[P_FALL, j] = (b[S_END, i] - b[S_FULL, i]) / duration * step
        w[P_TORQUE, j] = b[S_FULL, i] + 0.5 * w[P_FALL, j]
        w[P_STOP, j] = math.inf
    terms = _turned_terms(values, size_rows, phase_rows, period_s, s, n, chosen, w)
    for q in range(PUSH_STEPS):
        if q % 5 == 0:
            going = 0
            for j in range(n):
                going += 1 if w[P_STOP, j] == math.inf else 0
            if going == 0:
                break
        _push_step(q, n, terms, w)
    for j in range(n):
        i = chosen[j]
        if w[P_STOP, j] < math.inf:
            stop[s + i] = w[P_STOP, j]
            continue
        A, least = math.sqrt(w[P_SQUARE, j]), b[S_LEAST, i]
        l1, l2, l3, back = b[S_L1, i], b[S_L2, i], b[S_L3, i], b[S_BACK, i]
        b[S_HELD, i] = (((l3 * A + l2) * A + l1) * A - back) / (((l3 * least + l2) * least + l1) * least - back)
        b[S_AFTER, i] = PUSH_STEPS * w[P_STEP, j]


@_compiled
def _turned_terms(
    values: Array, size_rows: Integers, phase_rows: Integers, period_s: Array, s: int, n: int, chosen: Integers,
    w: Array,
) -> int:  # fmt: skip
    """Lay each periodic term, at its mean of the first step, beside the turn it makes in a step; how many there are."""
    count = 0
    for t in range(len(period_s)):
        size, phase = values[size_rows[t]], values[phase_rows[t]]
        there = False
        for j in range(n):
            there |= size[s + chosen[j]] != 0.0
        if not there:
            continue
        row = P_TERMS + 4 * count
        for j in range(n):
            e, half = s + chosen[j], math.pi * w[P_STEP, j] / period_s[t]
            c, d = math.cos(half), math.sin(half)
            x, y = math.cos(phase[e]), math.sin(phase[e])
            length = size[e] * d / half
            w[row, j], w[row + 1, j] = length * (x * c - y * d), length * (x * d + y * c)
            w[row + 2, j], w[row + 3, j] = 1.0 - 2.0 * d * d, 2.0 * c * d
        count += 1
    return count


@_compiled
def _push_step(q: int, n: int, terms: int, w: Array) -> None:
    """One step of the dying pushes laid in `w`."""
    ripple = w[P_RIPPLE]
    for j in range(n):
        ripple[j] = 0.0
    for t in range(terms):
        x, y, c, d = w[P_TERMS + 4 * t], w[P_TERMS + 4 * t + 1], w[P_TERMS + 4 * t + 2], w[P_TERMS + 4 * t + 3]
        for j in range(n):
            ripple[j] += x[j]
            x[j], y[j] = x[j] * c[j] - y[j] * d[j], x[j] * d[j] + y[j] * c[j]
    square, bottom, share, step, stop = w[P_SQUARE], w[P_BOTTOM], w[P_SHARE], w[P_STEP], w[P_STOP]
    l1, l2, l3, back = w[P_L1], w[P_L2], w[P_L3], w[P_BACK]
    per_torque, rest, torque, fall = w[P_PER_TORQUE], w[P_REST], w[P_TORQUE], w[P_FALL]
    for j in range(n):
        M = (torque[j] + q * fall[j]) * (1.0 - ripple[j])
        A = math.sqrt(square[j])
        rub = l1[j] + rest[j] * M
        over = ((l3[j] * A + l2[j]) * A + rub) * A - back[j] - M * per_torque[j]
        z = share[j] * (1.5 * l3[j] * A + l2[j] + 0.5 * rub / A)
        after = max(square[j] - share[j] * over / (1.0 + z * (0.5 + z / 12.0)), 0.01 * bottom[j])
        part = (square[j] - bottom[j]) / (square[j] - after)
        here = step[j] * (q + part * (1.0 - 0.5 * z * (1.0 - part)))
        stop[j] = here if (after < bottom[j] and stop[j] == math.inf) else stop[j]
        square[j] = after


@_compiled
def _first_below(
    torque: Array, steps: int, begin: float, skipped: int, push: float, fade: float, since: float, held: float
) -> float:
    """When the torque, with the fading push, first falls below the need, between two steps; infinite if never.

    Steps before `skipped` are not looked at; `push` is that at the first one looked at, before which the torque was
    `held` at `since`.
    """
    q, before = skipped, held
    while q < steps and abs(push) > 1e-17:
        now, time = torque[q] + push, begin + 10.0 * q
        if now < 1.0:
            return float(since + (time - since) * (before - 1.0) / (before - now))
        since, before = time, now
        push *= fade
        q += 1
    # The push is gone: whole spans are looked at first, which needs no branch.
    without_push = q
    while q < steps:
        last = min(q + B, steps)
        below = 0
        for i in range(q, last):
            below += 1 if torque[i] < 1.0 else 0
        if below > 0:
            for i in range(q, last):
                if torque[i] < 1.0:
                    if i > without_push:
                        since, before = begin + 10.0 * (i - 1), torque[i - 1]
                    return float(since + (begin + 10.0 * i - since) * (before - 1.0) / (before - torque[i]))
        q = last
    return math.inf


@_compiled
def _looked_at(
    torque: Array, steps: int, begin: float, looked: float, after: float, held: float, push: float, answer: float
) -> float:
    """The first step below the need among those of a turn that lie after the followed push and after `looked`."""
    known = after >= max(begin, looked)
    skipped = math.ceil((max(begin, looked, after) - begin) / 10.0)
    first = begin + 10.0 * skipped
    left = push * math.exp((after - first) / answer)
    return float(_first_below(torque, steps, begin, skipped, left, math.exp(-10.0 / answer),
                              after if known else first, held if known else 1.0))  # fmt: skip


@_compiled
def _stepped(
    values: Array, e: int, steps_in_turn: int, duration: float, stride: float, phase_rows: Integers,
    size_rows: Integers, period_s: Array, kind: Integers, cosines: Array, sines: Array, b: Array, i: int, y: Array,
) -> float:  # fmt: skip
    """First stop of one draw by exact stepping; infinite if there is none. `y` is scratch of the steps."""
    full, end = b[S_FULL, i] / b[S_NEEDED, i], b[S_END, i] / b[S_NEEDED, i]
    after, held, answer = b[S_AFTER, i], b[S_HELD, i], b[S_ANSWER, i]
    steps = cosines.shape[1]
    brief, slow_worst, then = 0.0, 0.0, 0.0
    for q in range(steps):
        y[0, q] = 0.0
        y[1, q] = 0.0
    for t in range(len(period_s)):
        length = b[S_TERMS + t, i]
        if length == 0.0:
            continue
        if kind[t] == 0:
            brief += length
            continue
        lag = 2.0 * math.pi * answer / period_s[t]
        share = values[size_rows[t], e] / (1.0 + lag * lag)
        phase = values[phase_rows[t], e]
        a = share * (math.cos(phase) + lag * math.sin(phase))
        c = share * (lag * math.cos(phase) - math.sin(phase))
        row = 0 if kind[t] == 1 else 1
        slow_worst += length if kind[t] == 3 else 0.0
        angle = 2.0 * math.pi * after / period_s[t]
        then += a * math.cos(angle) + c * math.sin(angle)
        ct, st, yr = cosines[t], sines[t], y[row]
        for q in range(steps):
            yr[q] += a * ct[q] + c * st[q]
    fall, worst = (end - full) * 10.0 / duration, -math.inf
    for q in range(steps):
        y[1, q] = (full + fall * q) * (1.0 - brief - y[0, q] - y[1, q])
    push = held - (full + 0.1 * fall * after) * (1.0 - brief - then)
    stop = _looked_at(y[1], steps, 0.0, 0.0, after, held, push, answer)
    if stop < math.inf:
        return stop
    for q in range(steps_in_turn):
        y[0, q] += brief + slow_worst
        worst = max(worst, y[0, q])
    return _later(
        values, e, worst, steps_in_turn, duration, stride, phase_rows, size_rows, period_s, kind, cosines, sines,
        full, end, after, held, push, answer, y,
    )  # fmt: skip


@_compiled
def _later(
    values: Array, e: int, worst: float, steps_in_turn: int, duration: float, stride: float, phase_rows: Integers,
    size_rows: Integers, period_s: Array, kind: Integers, cosines: Array, sines: Array, full: float, end: float,
    after: float, held: float, push: float, answer: float, y: Array,
) -> float:  # fmt: skip
    """Turn by turn: a bound on the slow terms over the turn, and steps wherever it leaves a stop open."""
    count = 0
    term = np.empty(len(period_s), dtype=np.int64)
    slow = np.empty((len(period_s), 7))
    for t in range(len(period_s)):
        if kind[t] != 2 or values[size_rows[t], e] == 0.0:
            continue
        lag = 2.0 * math.pi * answer / period_s[t]
        length = values[size_rows[t], e] / math.sqrt(1.0 + lag * lag)
        angle = values[phase_rows[t], e] - math.atan(lag)
        turn, half = 2.0 * math.pi * stride / period_s[t], math.pi * 3600.0 / period_s[t]
        term[count] = t
        one = slow[count]
        # x and y of the term at the start of a turn, its length, and the rotations from turn to turn and to mid-turn.
        one[0], one[1], one[2] = length * math.cos(angle), length * math.sin(angle), length
        one[3], one[4], one[5], one[6] = math.cos(turn), math.sin(turn), math.cos(half), math.sin(half)
        count += 1
    fall, looked = (end - full) / duration, 10.0 * cosines.shape[1]
    for n in range(1, int(duration / stride) + 1):
        begin = n * stride
        most = worst
        for c in range(count):
            one = slow[c]
            one[0], one[1] = one[0] * one[3] - one[1] * one[4], one[0] * one[4] + one[1] * one[3]
            middle, off = one[0] * one[5] - one[1] * one[6], abs(one[0] * one[6] + one[1] * one[5])
            most += one[2] if middle >= one[2] * one[5] else middle * one[5] + off * one[6]
        fading = push * math.exp(-max(begin - after, 0.0) / answer) if push < 0.0 else 0.0
        low = min(full + fall * begin, full + fall * min(begin + 3600.0, duration))
        if low * (1.0 - most) + fading < 1.0:
            steps = min(steps_in_turn, int((duration - begin) / 10.0) + 1)
            yr = y[1]
            for q in range(steps):
                yr[q] = y[0, q]
            for c in range(count):
                re, im, ct, st = slow[c, 0], slow[c, 1], cosines[term[c]], sines[term[c]]
                for q in range(steps):
                    yr[q] += re * ct[q] - im * st[q]
            for q in range(steps):
                yr[q] = (full + fall * (begin + 10.0 * q)) * (1.0 - yr[q])
            stop = _looked_at(yr, steps, begin, looked, after, held, push, answer)
            if stop < math.inf:
                return stop
    return math.inf


@_compiled
def run(
    values: Array, start: int, stop: int, first: Integers, counts: Integers, scales: Array, gearing: Array,
    vertical: Booleans, down: Array, times_s: Array, size_rows: Integers, phase_rows: Integers, period_s: Array,
    kind: Integers, cosines: Array, sines: Array, both: Array, per_position: Array, torques: Array, at: Array,
) -> None:  # fmt: skip
    """All draws from `start` to `stop`: fills torques at full wind, the answer of each position, and the states asked
    for.
    """
    arbors, teeth, pendulum, steps_in_turn = counts[0], counts[1], counts[2] == 1, counts[3]
    omega, duration, stride = scales[0], scales[1], scales[2]
    b = np.empty((S_TERMS + len(period_s), B))
    y = np.empty((2, cosines.shape[1]))
    chosen, w = np.empty(B, dtype=np.int64), np.empty((P_TERMS + 4 * len(period_s), B))
    for s in range(start, stop, B):
        m = min(B, stop - s)
        main, full, end = values[first[FULL_TORQUE]], b[S_FULL], b[S_END]
        last = values[first[END_TORQUE]]
        for i in range(m):
            both[1, s + i] = main[s + i] if values[first[AVAILABLE_TURNS], s + i] >= 0.0 else 0.0
            b[S_MAIN, i] = main[s + i] * last[s + i]
        _through_train(values, first, gearing, arbors, s, m, both[1, s : s + m], full)
        _through_train(values, first, gearing, arbors, s, m, b[S_MAIN], end)
        for i in range(m):
            both[0, s + i] = full[i]
        for h in range(len(times_s)):
            x = times_s[h] / duration
            for i in range(m):
                torque = max(main[s + i] * (1.0 - (1.0 - last[s + i]) * x), 0.0)
                torques[h, 1, s + i] = torque if x <= values[first[AVAILABLE_TURNS], s + i] else 0.0
            _through_train(values, first, gearing, arbors, s, m, torques[h, 1, s : s + m], torques[h, 0, s : s + m])
        for p in range(len(vertical)):
            answer = per_position[p]
            _loss_terms(values, first, teeth, vertical[p], down[p], s, m, b)
            for h in range(len(times_s)):
                swing = at[h, p, 0, s : s + m]
                _steady(b, torques[h, 0, s : s + m], m, swing)
                _rates(values, first, pendulum, s, m, b, torques[h, 0, s : s + m], swing, at[h, p, 1, s : s + m])
            _steady(b, end, m, answer[1, s : s + m])
            _steady(b, full, m, answer[0, s : s + m])
            _need_and_ripple(values, first, omega, size_rows, period_s, s, m, b, answer[0, s : s + m])
            for i in range(m):
                b[S_M, i] = b[S_NEEDED, i]
            _back_to_key(values, first, gearing, arbors, s, m, b[S_M])
            _finish(values, first, s, m, b, both, answer)
            _pushes(values, first, omega, duration, size_rows, phase_rows, period_s, s, m, b, answer[5], chosen, w)
            for i in range(m):
                if answer[5, s + i] < 0.0:
                    answer[5, s + i] = _stepped(values, s + i, steps_in_turn, duration, stride, phase_rows, size_rows,
                                                period_s, kind, cosines, sines, b, i, y)  # fmt: skip
            _close(values, first, duration, s, m, b, answer)


@_compiled
def _finish(values: Array, first: Integers, s: int, m: int, b: Array, both: Array, answer: Array) -> None:
    """Reserve, margin, free decay, ripple of the swing; stop time inf, or -1 where steps must be taken."""
    for i in range(m):
        e = s + i
        answer[2, e] = both[1, e] / b[S_M, i]
        full, end = b[S_FULL, i] / b[S_NEEDED, i], b[S_END, i] / b[S_NEEDED, i]
        peak = b[S_PEAK, i]
        low = min(full, end)
        answer[3, e] = low * (1.0 - peak)
        k = values[first[STIFFNESS], e]
        A = math.sqrt(values[first[START_AMPLITUDE], e] * b[S_LEAST, i])
        free = 0.5 * math.pi * k
        answer[6, e] = free * A / (b[S_L1, i] + (free / values[first[LINEAR_Q], e] + b[S_L3, i] * A) * A)
        answer[7, e] = b[S_BEAT, i]
        A = answer[0, e]
        M = b[S_FULL, i]
        per_torque = b[S_GAIN, i] - b[S_REST, i] * (A - b[S_TH2, i])
        slope = (3.0 * b[S_L3, i] * A + 2.0 * b[S_L2, i]) * A + b[S_L1, i] + b[S_REST, i] * M
        swing = M * per_torque / (max(A, 1e-9) * max(slope, 1e-300))
        answer[8, e] = swing * math.sqrt(0.5 * b[S_SQUARES, i]) if A > 0.0 else 0.0
        stop = math.inf if low * (1.0 - peak) >= 1.0 else -1.0
        answer[5, e] = stop if (M > 0.0 and values[first[AVAILABLE_TURNS], e] > 0.0) else 0.0


@_compiled
def _close(values: Array, first: Integers, duration: float, s: int, m: int, b: Array, answer: Array) -> None:
    """Whether it runs its full time, and how long it goes when it does."""
    for i in range(m):
        e = s + i
        available = values[first[AVAILABLE_TURNS], e]
        full, end = b[S_FULL, i] / b[S_NEEDED, i], b[S_END, i] / b[S_NEEDED, i]
        goes_on = answer[5, e] == math.inf
        beyond = (full - 1.0 / max(1.0 - b[S_PEAK, i], 1e-9)) / (full - end) if full > end else math.inf
        last = min(max(beyond, 1.0), available) * duration
        answer[4, e] = 1.0 if (goes_on and available >= 1.0) else 0.0
        answer[5, e] = last if goes_on else min(answer[5, e], available * duration)

"""Counts that are lost: every whole number that fits, weighed by what was measured.

Between the hour arbor and the escape wheel the counts multiply to the beats; from the great wheel to the hour arbor
they multiply to the going time. Every combination within three standard uncertainties is found (sorted halves, so
that two hundred million combinations take a second) and weighed:

* how near its beats or its going time come to the measured ones (normal law);
* centre distance and outside diameter, where given, by the sizes the counts would have (module free, teeth 0.95 of the
  pointed height, a quarter module of play for how makers cut them; the module within a quarter of its neighbours');
* leaf and tooth counts that makers used [common practice]: 6, 7, 8, 10, 12 leaves before others, leaves that the
  train already has before others, tooth counts that small dividing plates had before primes, ratios near 7.5, escape
  wheels of 30 and 15.

Limits: the weights of practice are our judgement, no statistics; a maker's odd choice gets a small chance, not none.
Sources: arithmetic [Derham1696]_ ch. II; sizes as in `gear_sizes` and `tooth_form`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from underdial.errors import BadInput, OutOfRange
from underdial.movement.tooth_form import addendum_ratio
from underdial.uncertain import Uncertain

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
SETTLED = 0.95
MOST_HALF = 6_000_000
MOST_FITTING = 60_000_000
CHUNK = 400_000
# How often makers used a leaf count, against eight. [common practice]
_LEAVES = {
    5: 0.1,
    6: 0.8,
    7: 0.8,
    8: 1.0,
    9: 0.15,
    10: 0.6,
    11: 0.05,
    12: 0.6,
    14: 0.2,
    15: 0.05,
    16: 0.2,
    18: 0.05,
    20: 0.1,
}
_LEAVES_ELSE, _ALREADY_THERE = 0.03, 2.5
_PRIME_TEETH = 0.15
_RATIO, _RATIO_SPREAD = 7.5, 0.3
_ESCAPE, _ESCAPE_ELSE = {30: 1.0, 15: 0.5}, 0.12
_MODULE_M, _MODULE_SPREAD, _NEIGHBOUR_SPREAD = 0.4e-3, 0.7, 0.25
# By how many modules outside diameters differ from maker to maker (teeth from 0.85 of the pointed height to pointed).
_WHEEL_PLAY, _PINION_PLAY = 0.25, 0.2


@dataclass(frozen=True, slots=True)
class Ranges:
    """Counts that are tried where one is lost, both ends included; `leaves` keeps to counts that are to be had."""

    wheel: tuple[int, int] = (20, 144)
    pinion: tuple[int, int] = (5, 20)
    escape: tuple[int, int] = (12, 60)
    leaves: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Lost:
    """A train with counts that are lost (None), and what was measured.

    `centre_distance_m` is by mesh (1 is great wheel with second pinion), `wheel_diameter_m` and `pinion_diameter_m`
    by arbor (1 is the great wheel's); outside diameters, all in metres. `hours_per_great_turn` comes from going time
    and turns.
    """

    wheels: tuple[int | None, ...]
    pinions: tuple[int | None, ...]
    escape_count: int | None
    beats_per_hour: Uncertain | None
    hour_arbor: int = 2
    hours_per_great_turn: Uncertain | None = None
    centre_distance_m: Mapping[int, Uncertain] = field(default_factory=dict)
    wheel_diameter_m: Mapping[int, Uncertain] = field(default_factory=dict)
    pinion_diameter_m: Mapping[int, Uncertain] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Candidate:
    """One way to fill the gaps; error_ratio is its beats against the measured ones, None when no beats were given."""

    wheels: tuple[int, ...]
    pinions: tuple[int, ...]
    escape_count: int
    beats_per_hour: float
    error_ratio: float | None
    probability: float


@dataclass(frozen=True, slots=True)
class Search:
    """The likeliest candidates, how many were tried and fit, whether it is settled, and what to do next."""

    candidates: tuple[Candidate, ...]
    searched_count: int
    fitting_count: int
    settled: bool
    advice: str


def search(lost: Lost, *, ranges: Ranges | None = None, limit: int = 20) -> Search:
    """Find every set of counts that fits within three standard uncertainties, and weigh them.

    Raises BadInput when nothing is lost or nothing was measured that could tell; OutOfRange when the ranges are so
    wide that the search would not end. An empty list of candidates means that none fits.
    """
    ranges = ranges or Ranges()
    _check(lost, ranges)
    meshes = [_mesh_items(lost, ranges, j) for j in range(len(lost.wheels))]
    empty = [j + 1 for j, one in enumerate(meshes) if len(one.weight) == 0]
    if empty:
        return Search((), 0, 0, False, _at_odds(lost, ranges, empty[0]))
    before, after = meshes[: lost.hour_arbor - 1], [*meshes[lost.hour_arbor - 1 :], _escape_items(lost, ranges)]
    beats = (
        None if lost.beats_per_hour is None else Uncertain(lost.beats_per_hour.value / 2.0, lost.beats_per_hour.u / 2.0)
    )
    # A hundred or so more than are shown, so that the advice can see what would part them.
    keep = max(limit, 200)
    first, second = _fits(before, lost.hours_per_great_turn, keep), _fits(after, beats, keep)
    searched = math.prod(len(one.weight) for one in (*before, *after))
    if first.count == 0 or second.count == 0:
        return Search(
            (),
            searched,
            0,
            False,
            "No set of counts in these ranges fits what was measured; widen a range, or look again at what was "
            "measured.",
        )
    pairs = sorted(
        ((a * b, i, j) for i, a in enumerate(first.weights) for j, b in enumerate(second.weights)), reverse=True
    )[:keep]
    whole = first.total * second.total
    found = [_candidate(lost, first.counts[i] + second.counts[j], weight / whole) for weight, i, j in pairs]
    settled = found[0].probability >= SETTLED
    return Search(tuple(found[:limit]), searched, first.count * second.count, settled, _advice(lost, found, settled))


@dataclass(frozen=True, slots=True)
class _Items:
    """Ways to fill one mesh or the escape wheel: the counts, the ratio they give, and their weight."""

    counts: IntArray
    log_ratio: FloatArray
    weight: FloatArray


@dataclass(frozen=True, slots=True)
class _Fits:
    """The weightiest combinations, how many fit in all, and the weight of all that fit."""

    counts: list[tuple[int, ...]]
    weights: list[float]
    count: int
    total: float


def _fits(parts: Sequence[_Items], target: Uncertain | None, keep: int) -> _Fits:
    """All combinations whose ratios multiply to the target within three u; all of them when there is no target."""
    if not parts:
        return _Fits([()], [1.0], 1, 1.0)
    left, right = _halves(parts)
    order = np.argsort(left.log_ratio, kind="stable")
    ordered = left.log_ratio[order]
    if target is None:
        low, high = np.zeros(len(right.weight), dtype=np.int64), np.full(len(right.weight), len(order), dtype=np.int64)
    else:
        span = max(3.0 * target.u, 1e-9 * target.value)
        floor = math.log(max(target.value - span, 1e-12 * target.value))
        low = np.searchsorted(ordered, floor - right.log_ratio - 1e-12, side="left")
        high = np.searchsorted(ordered, math.log(target.value + span) - right.log_ratio + 1e-12, side="right")
    count = int(np.sum(high - low))
    if count > MOST_FITTING:
        raise OutOfRange("ranges", float(count), 1.0, float(MOST_FITTING), "fitting combinations")
    total, best = 0.0, (np.empty(0), np.empty((0, 2), dtype=np.int64))
    for rows, columns in _chunks(low, high):
        taken = order[rows]
        weight = left.weight[taken] * right.weight[columns]
        if target is not None and target.u > 0.0:
            off = (np.exp(left.log_ratio[taken] + right.log_ratio[columns]) - target.value) / target.u
            weight = weight * np.exp(-0.5 * off * off)
        total += float(np.sum(weight))
        best = _keep_best(best, weight, np.column_stack((taken, columns)), keep)
    counts = [tuple(int(one) for one in (*left.counts[a], *right.counts[b])) for a, b in best[1]]
    return _Fits(counts, [float(one) for one in best[0]], count, total)


def _chunks(low: IntArray, high: IntArray) -> Iterator[tuple[IntArray, IntArray]]:
    """Pairs (row of the sorted half, column of the other), some hundred thousand at a time, so that memory is
    bounded.
    """
    sizes = np.maximum(0, high - low)
    ends = np.cumsum(sizes)
    whole = int(ends[-1])
    for start in range(0, whole, CHUNK):
        index = np.arange(start, min(whole, start + CHUNK))
        columns = np.searchsorted(ends, index, side="right")
        yield low[columns] + index - (ends[columns] - sizes[columns]), columns


def _keep_best(
    best: tuple[FloatArray, IntArray], weight: FloatArray, where: IntArray, keep: int
) -> tuple[FloatArray, IntArray]:
    if len(weight) > keep:
        top = np.argpartition(weight, -keep)[-keep:]
        weight, where = weight[top], where[top]
    weights, places = np.concatenate((best[0], weight)), np.vstack((best[1], where))
    order = np.argsort(-weights, kind="stable")[:keep]
    return weights[order], places[order]


def _halves(parts: Sequence[_Items]) -> tuple[_Items, _Items]:
    """Join the parts, in their order, into two halves of a size that can be sorted."""
    sizes = [len(one.weight) for one in parts]
    cuts = [max(math.prod(sizes[:cut]), math.prod(sizes[cut:])) for cut in range(1, len(parts))]
    if not cuts:
        nothing = _Items(np.zeros((1, 0), dtype=np.int64), np.zeros(1), np.ones(1))
        return parts[0], nothing
    if min(cuts) > MOST_HALF:
        raise OutOfRange("ranges", float(math.prod(sizes)), 1.0, float(MOST_HALF) ** 2, "combinations")
    cut = 1 + cuts.index(min(cuts))
    return _join(parts[:cut]), _join(parts[cut:])


def _join(parts: Sequence[_Items]) -> _Items:
    joined = parts[0]
    for one in parts[1:]:
        n, m = len(joined.weight), len(one.weight)
        joined = _Items(
            np.hstack((np.repeat(joined.counts, m, axis=0), np.tile(one.counts, (n, 1)))),
            np.add.outer(joined.log_ratio, one.log_ratio).ravel(),
            np.multiply.outer(joined.weight, one.weight).ravel(),
        )
    return joined


def _mesh_items(lost: Lost, ranges: Ranges, mesh: int) -> _Items:
    """Every wheel and pinion of one mesh (counted from nought) with the weight of practice and of sizes."""
    wheel, pinion = lost.wheels[mesh], lost.pinions[mesh]
    wheels = np.array([wheel]) if wheel is not None else np.arange(ranges.wheel[0], ranges.wheel[1] + 1)
    leaves = ranges.leaves or tuple(range(ranges.pinion[0], ranges.pinion[1] + 1))
    pinions = np.array([pinion]) if pinion is not None else np.array(sorted(set(leaves)))
    z, p = (one.ravel() for one in np.meshgrid(wheels, pinions, indexing="ij"))
    weight = np.ones(len(z))
    if wheel is None:
        weight = weight * np.array([_teeth_weight(int(one)) for one in z])
    if pinion is None:
        there = {one for one in lost.pinions if one is not None}
        weight = weight * np.array(
            [_LEAVES.get(int(one), _LEAVES_ELSE) * (_ALREADY_THERE if int(one) in there else 1.0) for one in p]
        )
    if wheel is None or pinion is None:
        # Makers kept ratios near seven and a half; a mesh of three or of eighteen is rare. [common practice]
        weight = weight * np.exp(-0.5 * (np.log(z / p / _RATIO) / _RATIO_SPREAD) ** 2)
        sizes, agree = _size_weight(lost, mesh, z.astype(float), p.astype(float))
        z, p, weight = z[agree], p[agree], (weight * sizes)[agree]
    return _Items(np.column_stack((z, p)).astype(np.int64), np.log(z / p), weight)


def _escape_items(lost: Lost, ranges: Ranges) -> _Items:
    counts = (
        np.array([lost.escape_count])
        if lost.escape_count is not None
        else np.arange(ranges.escape[0], ranges.escape[1] + 1)
    )
    weight = (
        np.ones(len(counts))
        if lost.escape_count is not None
        else np.array([_teeth_weight(int(one)) * _ESCAPE.get(int(one), _ESCAPE_ELSE) for one in counts])
    )
    return _Items(counts[:, None].astype(np.int64), np.log(counts.astype(float)), weight)


def _teeth_weight(count: int) -> float:
    """Primes beyond 7 in a count need a plate of their own. [common practice]"""
    rest = count
    for prime in (2, 3, 5, 7):
        while rest % prime == 0:
            rest //= prime
    return 1.0 if rest == 1 else (0.5 if rest in (11, 13) else _PRIME_TEETH)


def _size_weight(lost: Lost, mesh: int, z: FloatArray, p: FloatArray) -> tuple[FloatArray, npt.NDArray[np.bool_]]:
    """How well counts agree with centre distance and outside diameters of their mesh, and which do within three u."""
    readings = (
        lost.centre_distance_m.get(mesh + 1),
        lost.wheel_diameter_m.get(mesh + 1),
        lost.pinion_diameter_m.get(mesh + 2),
    )
    if all(one is None for one in readings):
        return np.ones(len(z)), np.ones(len(z), dtype=np.bool_)
    over_wheel = z + 2.0 * _practical_addendum(z, p) if readings[1] else z
    over_pinion = p + np.where(p <= 10, 1.05, 1.25)
    # What each reading is in modules, and by how many modules makers differ there.
    expected = ((z + p) / 2.0, 0.0), (over_wheel, _WHEEL_PLAY), (over_pinion, _PINION_PLAY)
    logs, spread = (
        np.array(rows)
        for rows in zip(
            *(
                (np.log(reading.value / modules), np.maximum(1e-4, np.hypot(reading.u / reading.value, play / modules)))
                for reading, (modules, play) in zip(readings, expected, strict=True)
                if reading is not None
            ),
            strict=True,
        )
    )
    # Each reading gives a module; they have to agree with one another, and loosely with the clock's other meshes.
    inverse = 1.0 / spread**2
    mean = (inverse * logs).sum(axis=0) / inverse.sum(axis=0)
    apart = (inverse * (logs - mean) ** 2).sum(axis=0)
    centre, width = _module_of_others(lost, mesh)
    likely = np.exp(-0.5 * apart) * np.exp(-0.5 * (mean - centre) ** 2 / (width**2 + 1.0 / inverse.sum(axis=0)))
    return np.asarray(likely, dtype=np.float64), np.asarray(apart <= 9.0 * max(1, len(logs) - 1), dtype=np.bool_)


def _at_odds(lost: Lost, ranges: Ranges, mesh: int) -> str:
    """Why no counts of a mesh (from one) agree with its sizes: what its centres ask of the wheel, beside what was
    read.
    """
    reason = (
        f"The centre distance {mesh}-{mesh + 1} and the outside diameters given for it agree with no counts in "
        "these ranges; look again at them."
    )
    apart, over = lost.centre_distance_m.get(mesh), lost.wheel_diameter_m.get(mesh)
    if apart is None or over is None:
        return reason
    wheel, leaves = lost.wheels[mesh - 1], lost.pinions[mesh - 1]
    wheels = np.arange(ranges.wheel[0], ranges.wheel[1] + 1) if wheel is None else np.array([wheel])
    pinions = (
        np.array(ranges.leaves or tuple(range(ranges.pinion[0], ranges.pinion[1] + 1)))
        if leaves is None
        else np.array([leaves])
    )
    z, p = (one.ravel().astype(float) for one in np.meshgrid(wheels, pinions, indexing="ij"))
    asked_mm = 1e3 * apart.value * 2.0 / (z + p) * (z + 2.0 * _practical_addendum(z, p))
    return (
        f"Centres {mesh}-{mesh + 1}, {1e3 * apart.value:.4g} mm apart, ask for a wheel of {asked_mm.min():.3g} to "
        f"{asked_mm.max():.3g} mm over its teeth in these ranges, "
        f"and {1e3 * over.value:.3g} mm was read: one of the two is wrong, or the wheel is not of this mesh."
    )


def _module_of_others(lost: Lost, mesh: int) -> tuple[float, float]:
    """Log module to be expected and its spread, from the meshes whose counts and centre distance are both known."""
    known = []
    for j, apart_m in lost.centre_distance_m.items():
        wheel_count, pinion_count = lost.wheels[j - 1], lost.pinions[j - 1]
        if j - 1 != mesh and wheel_count is not None and pinion_count is not None:
            known.append(math.log(2.0 * apart_m.value / (wheel_count + pinion_count)))
    return (sum(known) / len(known), _NEIGHBOUR_SPREAD) if known else (math.log(_MODULE_M), _MODULE_SPREAD)


def _practical_addendum(z: FloatArray, p: FloatArray) -> FloatArray:
    """Height of the wheel's teeth in modules; nearly straight in 1/z, so a few exact values carry it (error 0.002)."""
    marks = np.array([max(8.0, z.min()), 30.0, 60.0, 120.0, max(160.0, z.max())])
    found = np.empty(len(z))
    for count in np.unique(p):
        exact = [
            addendum_ratio(wheel_count=float(one), pinion_count=float(count)) for one in sorted(marks, reverse=True)
        ]
        own = p == count
        found[own] = np.interp(1.0 / z[own], 1.0 / np.sort(marks)[::-1], exact)
    return found


def _candidate(lost: Lost, counts: tuple[int, ...], probability: float) -> Candidate:
    wheels, pinions, escape = counts[0:-1:2], counts[1:-1:2], counts[-1]
    start = lost.hour_arbor - 1
    beats = 2.0 * escape * math.prod(wheels[start:]) / math.prod(pinions[start:])
    error = None if lost.beats_per_hour is None else beats / lost.beats_per_hour.value - 1.0
    return Candidate(wheels, pinions, escape, beats, error, probability)


def _advice(lost: Lost, found: Sequence[Candidate], settled: bool) -> str:
    """Which reading would part the candidates best: the one after which the best stands highest on average."""
    if settled:
        return "What was measured settles it; hold the counts against the worn parts before cutting."
    ways: dict[str, dict[object, float]] = {}
    for one in found:
        for name, value in _would_read(lost, one):
            best = ways.setdefault(name, {})
            best[value] = max(best.get(value, 0.0), one.probability)
    if not ways:
        return "The counts alone do not settle it, and no further reading of this train would."
    # What stands in the movement can be measured; a piece of what is lost may not be there, so it has to tell more.
    name, best = max(
        ways.items(), key=lambda item: sum(item[1].values()) * (0.85 if item[0].startswith("A piece") else 1.0)
    )
    after = min(1.0, sum(best.values()))
    return (
        f"These figures do not settle it: the likeliest has {_in_ten(found[0].probability)}. "
        f"{name} would tell most (the likeliest would then have about {_in_ten(after)})."
    )


def _would_read(lost: Lost, one: Candidate) -> list[tuple[str, object]]:
    """What further readings would show for a candidate, rounded to what they can tell apart."""
    names = (
        "great wheel",
        "second wheel",
        "third wheel",
        "fourth wheel",
        "fifth wheel",
        "sixth wheel",
        "seventh wheel",
        "eighth wheel",
    )
    reads: list[tuple[str, object]] = []
    followers = [
        "escape pinion" if j + 1 == len(lost.wheels) else f"pinion of the {names[j + 1]}"
        for j in range(len(lost.wheels))
    ]
    for j in range(len(lost.wheels)):
        z, p = one.wheels[j], one.pinions[j]
        # What stands in the movement can always be measured: the centres, and the diameter of the part that is there.
        if (
            lost.wheels[j] is not None
            and lost.pinions[j] is None
            and not (j + 1 in lost.centre_distance_m and j + 1 in lost.wheel_diameter_m)
        ):
            reads.append(
                (
                    f"The centre distance {j + 1}-{j + 2} with the outside diameter of the {names[j]}",
                    round(math.log((z + 2.8) / (z + p)) / 0.01),
                )
            )
        if (
            lost.wheels[j] is None
            and lost.pinions[j] is not None
            and not (j + 1 in lost.centre_distance_m and j + 2 in lost.pinion_diameter_m)
        ):
            reads.append(
                (
                    f"The centre distance {j + 1}-{j + 2} with the outside diameter of the {followers[j]}",
                    round(math.log((p + 1.05) / (z + p)) / 0.02),
                )
            )
    for j in range(len(lost.wheels)):
        if lost.pinions[j] is None:
            reads.append((f"A piece of the {followers[j]}, to count or gauge its leaves,", one.pinions[j]))
        if lost.wheels[j] is None:
            reads.append((f"A piece of the {names[j]}, to gauge its teeth,", one.wheels[j]))
    if lost.escape_count is None:
        reads.append(("The span of the pallets in teeth of the escape wheel", one.escape_count))
    return reads


def _in_ten(probability: float) -> str:
    tenths = round(10.0 * probability)
    return (
        "less than 1 chance in 10"
        if tenths == 0
        else f"{min(tenths, 9)} chances in 10"
        if tenths > 1
        else "1 chance in 10"
    )


def _check(lost: Lost, ranges: Ranges) -> None:
    if lost.escape_count is not None and all(one is not None for one in (*lost.wheels, *lost.pinions)):
        raise BadInput(
            "train",
            "no count is lost",
            "a ? in place of each lost count",
            "train: no count is lost; put a ? in place of each that is",
        )
    if lost.beats_per_hour is None and lost.hours_per_great_turn is None:
        raise BadInput(
            "beats-per-hour",
            "(nothing)",
            "--pendulum, --beats-per-hour, or --going-time with --turns",
            "beats-per-hour: nothing measured can tell; give --pendulum, --beats-per-hour, or --going-time with "
            "--turns",
        )
    if not 1 <= lost.hour_arbor <= len(lost.wheels) + 1:
        raise BadInput("hour-arbor", lost.hour_arbor, f"1 to {len(lost.wheels) + 1}")
    for name, (low, high), most in (
        ("wheel-range", ranges.wheel, 2000),
        ("pinion-range", ranges.pinion, 2000),
        ("escape-range", ranges.escape, 500),
    ):
        if not 1 <= low <= high <= most:
            raise BadInput(name, f"{low}-{high}", f"two counts from 1 to {most}, the lower first")
    for j in lost.centre_distance_m:
        if not 1 <= j <= len(lost.wheels):
            raise BadInput("centre-distance", f"{j}-{j + 1}", f"neighbouring arbors from 1 to {len(lost.wheels) + 1}")
    # The escape wheel stands on the last arbor and has no pinion of its own to be measured against; arbor 1 has no
    # pinion.
    for letter, sizes, first, last in (
        ("w", lost.wheel_diameter_m, 1, len(lost.wheels)),
        ("p", lost.pinion_diameter_m, 2, len(lost.wheels) + 1),
    ):
        for arbor in sizes:
            if not first <= arbor <= last:
                raise BadInput(
                    "outside-diameter", f"{arbor}{letter}", f"{first}{letter} to {last}{letter} in this train"
                )

"""The going train: counts to beats, periods and going time, and back again.

A mesh is a wheel driving a pinion. A train runs from the great wheel to the escape wheel; the arbor that turns once
an hour is on it, or is driven from it as a side branch. Counts are whole numbers, so everything here is exact; the
only error made is the rounding of a float.

Sources: the arithmetic is that of [Derham1696]_ ch. II and [Goodrich1905]_ ch. XIV; symbols are ours.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from underdial.errors import BadInput
from underdial.formula import formula

NAMES = (
    "great_wheel",
    "second_wheel",
    "third_wheel",
    "fourth_wheel",
    "fifth_wheel",
    "sixth_wheel",
    "seventh_wheel",
    "eighth_wheel",
)


@dataclass(frozen=True, slots=True)
class Arbor:
    """An arbor with its vocabulary id, the time of one turn, and whether it carries the minute hand."""

    name: str
    period_s: float
    hour: bool


@dataclass(frozen=True, slots=True)
class Mesh:
    """A wheel driving a pinion, the arbors they sit on, and the time one tooth takes to pass."""

    wheel_count: int
    pinion_count: int
    driver: str
    driven: str
    period_s: float


@dataclass(frozen=True, slots=True)
class GoingTrain:
    """A train reckoned out: every arbor and every mesh with its period."""

    wheels: tuple[int, ...]
    pinions: tuple[int, ...]
    escape_count: int
    beats_per_hour: float
    escape_rev_per_hour: float
    arbors: tuple[Arbor, ...]
    meshes: tuple[Mesh, ...]
    hours_per_great_turn: float


def parse_counts(text: str, *, field: str = "train") -> tuple[tuple[int | None, ...], tuple[int | None, ...]]:
    """Read `96/8 64/? ?/8`: wheels and pinions in the order of the train, None for a count that is lost.

    Raises BadInput naming the field when a pair is not two counts of 1 to 2000 (or `?`) with a stroke between.
    """
    wheels: list[int | None] = []
    pinions: list[int | None] = []
    for pair in text.replace(",", " ").split():
        match = re.fullmatch(r"(\d{1,4}|\?)/(\d{1,4}|\?)", pair)
        if match is None:
            raise BadInput(
                field,
                pair,
                "wheel/pinion pairs such as 96/8 64/8 60/8",
                f"{field}: {pair} is not a wheel over a pinion, such as 96/8",
            )
        for side, into in zip(match.groups(), (wheels, pinions), strict=True):
            count = None if side == "?" else int(side)
            if count is not None and not 1 <= count <= 2000:
                raise BadInput(field, pair, "counts of 1 to 2000", f"{field}: {pair} holds a count outside 1 to 2000")
            into.append(count)
    if not 1 <= len(wheels) <= 8:
        raise BadInput(field, text.strip() or "(nothing)", "1 to 8 wheel/pinion pairs, such as 96/8 64/8 60/8")
    return tuple(wheels), tuple(pinions)


def reckon(
    wheels: Sequence[int],
    pinions: Sequence[int],
    *,
    escape_count: int,
    hour_arbor: int = 2,
    side_branch: tuple[int, int, int] | None = None,
    beats_per_tooth: float = 2.0,
) -> GoingTrain:
    """Reckon a train out from its counts.

    `hour_arbor` counts from the great wheel, which is 1; with 0 the minute hand's arbor is driven by `side_branch`
    (arbor that carries the wheel, wheel, pinion). Raises BadInput when the hour arbor or the branch is not there.
    """
    rev_per_hour = [1.0]
    for wheel, pinion in zip(wheels, pinions, strict=True):
        rev_per_hour.append(rev_per_hour[-1] * wheel / pinion)
    names = (*NAMES[: len(wheels)], "escape_wheel")
    if hour_arbor == 0:
        if side_branch is None:
            raise BadInput(
                "side-branch",
                "(nothing)",
                "arbor:wheel/pinion, such as 2:60/30",
                "side-branch: with --hour-arbor 0 say which wheel drives the centre pinion, such as 2:60/30",
            )
        arbor, wheel, pinion = side_branch
        _arbor_there("side-branch", arbor, len(names))
        scale = pinion / (wheel * rev_per_hour[arbor - 1])
    else:
        _arbor_there("hour-arbor", hour_arbor, len(names))
        scale = 1.0 / rev_per_hour[hour_arbor - 1]
    rates = [one * scale for one in rev_per_hour]
    arbors = [
        Arbor(name, 3600.0 / rate, j + 1 == hour_arbor) for j, (name, rate) in enumerate(zip(names, rates, strict=True))
    ]
    meshes = [
        Mesh(w, p, names[j], names[j + 1], 3600.0 / (rates[j] * w))
        for j, (w, p) in enumerate(zip(wheels, pinions, strict=True))
    ]
    if hour_arbor == 0 and side_branch is not None:
        arbor, wheel, pinion = side_branch
        arbors.append(Arbor("centre_wheel", 3600.0, True))
        meshes.append(Mesh(wheel, pinion, names[arbor - 1], "centre_wheel", 3600.0 / (rates[arbor - 1] * wheel)))
    return GoingTrain(
        tuple(wheels),
        tuple(pinions),
        escape_count,
        beats_per_tooth * escape_count * rates[-1],
        rates[-1],
        tuple(arbors),
        tuple(meshes),
        1.0 / rates[0],
    )


@formula("train_ratio")
def train_ratio(wheels: Sequence[int], pinions: Sequence[int]) -> float:
    """Turns of the last pinion for one turn of the first wheel.

    Parameters
    ----------
    wheels : list of int
        Teeth of the driving wheels, 1 to 2000.
    pinions : list of int
        Leaves of the pinions they drive, 1 to 2000.

    Returns
    -------
    float
        Ratio of speeds.

    Raises
    ------
    BadInput
        There are not as many wheels as pinions.

    Notes
    -----
    Exact. Source: [Derham1696]_ ch. II.
    """
    if len(wheels) != len(pinions):
        raise BadInput(
            "pinions",
            len(pinions),
            f"as many as there are wheels, {len(wheels)}",
            f"pinions: {len(pinions)} were given for {len(wheels)} wheels; each wheel drives one pinion",
        )
    return math.prod(wheels) / math.prod(pinions)


@formula("beats_per_hour")
def beats_per_hour(
    wheels: Sequence[int],
    pinions: Sequence[int],
    escape_count: int,
    *,
    beats_per_tooth: float = 2.0,
    first_wheel_period_h: float = 1.0,
) -> float:
    """Beats in an hour of a train whose first wheel turns once an hour.

    Parameters
    ----------
    wheels : list of int
        Teeth of the wheels from the hour wheel of the train onward, 1 to 2000.
    pinions : list of int
        Leaves of the pinions they drive, 1 to 2000.
    escape_count : int
        Teeth of the escape wheel, 1 to 500.
    beats_per_tooth : float
        Beats for each tooth of the escape wheel, 0.5 to 4; 1 counts whole oscillations.
    first_wheel_period_h : float
        Time of one turn of the first wheel [h], 0.001 to 100000.

    Returns
    -------
    float
        Beats in an hour [1/h].

    Notes
    -----
    Exact. Source: [Derham1696]_ ch. II s. 6; [Goodrich1905]_ ch. XIV.
    """
    return beats_per_tooth * escape_count * train_ratio(wheels, pinions) / first_wheel_period_h


@formula("wheel_for_beats")
def wheel_for_beats(
    *,
    beats_per_hour: float,
    wheels: Sequence[int],
    pinions: Sequence[int],
    escape_count: int,
    beats_per_tooth: float = 2.0,
) -> float:
    """Teeth of the one wheel that is missing between the hour arbor and the escape wheel.

    Parameters
    ----------
    beats_per_hour : float
        Beats in an hour that are wanted [1/h], 1 to 200000.
    wheels : list of int
        Teeth of the wheels that are there, 1 to 2000.
    pinions : list of int
        Leaves of all the pinions, 1 to 2000.
    escape_count : int
        Teeth of the escape wheel, 1 to 500.
    beats_per_tooth : float
        Beats for each tooth of the escape wheel, 0.5 to 4.

    Returns
    -------
    float
        Teeth; a whole number when the other counts and the beats belong together.

    Notes
    -----
    The forward rule solved for one wheel; exact. Source: [Goodrich1905]_ ch. XIV.
    """
    return beats_per_hour * math.prod(pinions) / (beats_per_tooth * escape_count * math.prod(wheels))


@formula("turns_in_time")
def turns_in_time(*, rev_per_hour: float, duration_s: float) -> float:
    """Turns an arbor makes in a given time.

    Parameters
    ----------
    rev_per_hour : float
        Turns in an hour [1/h], 0 to 1e6.
    duration_s : float
        Time [s], 0 to 1e9.

    Returns
    -------
    float
        Turns.

    Notes
    -----
    Exact. Source: definition of the units.
    """
    return rev_per_hour * duration_s / 3600.0


def _arbor_there(field: str, arbor: int, count: int) -> None:
    if not 1 <= arbor <= count:
        raise BadInput(
            field,
            arbor,
            f"1 (great wheel) to {count} (escape wheel)",
            f"{field}: arbor {arbor} is not in this train; 1 is the great wheel, {count} the escape wheel",
        )

"""The forms of the sums on trains and strikes, and the whole list of bench sums in the order of the job."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from underdial.bench.sums.figures import chance_words
from underdial.bench.sums.filling import Field, Sum
from underdial.bench.sums.forms_of_gauging import BUSH, CONE, METAL, POISE, RUNOUT
from underdial.bench.sums.forms_of_making import HAIRSPRING, PALLETS, PENDULUM, SPRING, TEETH
from underdial.errors import BadInput, NotFound

_Answer = tuple[Mapping[str, Any], Sequence[str]]


def _train(given: dict[str, Any]) -> _Answer:
    from underdial.bench.sums.said_of_trains import train_lines
    from underdial.bench.sums.trains import reckon_train

    weight = (given.pop("weight_drop", None), given.pop("drum", None), given.pop("falls", 1.0), given.pop("line", None))
    result = reckon_train(given.pop("train"), weight=weight, **given)
    return result, train_lines(result)


def _missing(given: dict[str, Any]) -> _Answer:
    from underdial.bench.sums.said_of_trains import missing_lines
    from underdial.bench.sums.trains import find_missing

    result = find_missing(given.pop("train"), **given)
    lines = missing_lines(result)
    best = result["candidates"][0] if result["candidates"] else None
    head = (
        [f"Most likely {best['train']} with an escape wheel of {best['escape']}: {chance_words(best['probability'])}."]
        if best
        else []
    )
    return result, [*head, *lines]


def _strike(given: dict[str, Any]) -> _Answer:
    from underdial.bench.sums.said_of_trains import rack_lines, strike_lines
    from underdial.bench.sums.trains import read_rack, reckon_strike

    snail, tail, tooth = given.pop("file", None), given.pop("tail", None), given.pop("tooth_angle", None)
    if snail is not None:
        if tail is None or tooth is None:
            name = "tail" if tail is None else "tooth-angle"
            raise BadInput(
                name,
                "nothing",
                "a value",
                f"{name}: steps of a snail need it; write it, such as {'30mm' if tail is None else '2deg'}.",
            )
        result = read_rack(snail, tail=tail, tooth_angle=tooth)
        return result, rack_lines(result)
    if "train" not in given or "pins_count" not in given:
        name = "train" if "train" not in given else "pins"
        raise BadInput(
            name,
            "nothing",
            "train and pins, or the steps of a snail",
            f"{name}: give a train with its pins, or the steps of a snail.",
        )
    given["halves"] = given.get("halves") == "yes"
    result = reckon_strike(given.pop("train"), **given)
    return result, strike_lines(result)


_HOUR_ARBOR = Field(
    name="hour-arbor",
    label="Arbor that turns once an hour",
    kind="count",
    like="2",
    without="2, the great wheel being 1; 0 for a side branch",
    group="The hands",
)
_PLACE = (
    Field(
        name="gravity",
        label="Gravity of the place",
        kind="acceleration",
        like="9.81m/s2",
        without="9.80665m/s2",
        to="gravity_given",
        group="The place",
    ),
    Field(name="latitude", label="Latitude, in place of gravity", kind="angle", like="51.5deg", group="The place"),
)

TRAIN = Sum(
    name="train",
    makes=False,
    title="A going train",
    sentence="Counts give the beats, the turn of every arbor, the going time and the pendulum.",
    compute=_train,
    fields=(
        Field(
            name="train",
            label="Wheels over pinions, from the great wheel",
            kind="text",
            like="96/8 64/8 60/8",
            wanted=True,
        ),
        Field(
            name="escape", label="Teeth of the escape wheel", kind="count", like="30", wanted=True, to="escape_count"
        ),
        Field(name="turns", label="Turns of the great wheel in a wind", kind="plain", like="16"),
        Field(
            name="oscillator",
            label="It drives",
            kind="pick",
            picks=(("pendulum", "a pendulum"), ("balance", "a balance")),
            without="a pendulum",
        ),
        Field(
            name="weight-drop",
            label="Fall of the weight",
            kind="length",
            like="1500mm",
            without="turns, above",
            group="By a weight",
        ),
        Field(name="drum", label="Diameter of the drum", kind="length", like="45mm", group="By a weight"),
        Field(
            name="falls", label="Parts of line that carry it", kind="plain", like="2", without="1", group="By a weight"
        ),
        Field(
            name="line", label="Diameter of the line", kind="length", like="1mm", without="nothing", group="By a weight"
        ),
        _HOUR_ARBOR,
        Field(
            name="side-branch",
            label="Wheel that drives the centre pinion",
            kind="text",
            like="2:60/30",
            group="The hands",
        ),
        Field(
            name="beats-per-tooth",
            label="Beats for a tooth of the escape wheel",
            kind="plain",
            like="2",
            without="2",
            group="The hands",
        ),
        *_PLACE,
    ),
    example={"train": "96/8 64/8 60/8", "escape": "30", "turns": "16"},
)

MISSING = Sum(
    name="missing",
    makes=False,
    title="Lost counts",
    sentence="What is left of a train, and what can be measured, give every set of counts that fits, with its chance.",
    compute=_missing,
    fields=(
        Field(name="train", label="The train, ? for a lost count", kind="text", like="96/8 64/? ?/8", wanted=True),
        Field(
            name="escape",
            label="Teeth of the escape wheel",
            kind="count",
            like="30",
            without="lost too",
            to="escape_count",
        ),
        Field(name="pendulum", label="Length of the pendulum", kind="length", like="994+-4mm", to="pendulum_length"),
        Field(name="beats-per-hour", label="Beats in an hour, in place of it", kind="number", like="3600", to="beats"),
        Field(
            name="centre-distance",
            label="Between neighbouring arbors",
            kind="texts",
            like="3-4=24.1+-0.1mm",
            without="divide several with ;",
            to="centre_distances",
        ),
        Field(
            name="outside-diameter",
            label="Over the teeth: 3w its wheel, 3p its pinion",
            kind="texts",
            like="3w=44.6mm",
            without="divide several with ;",
            to="outside_diameters",
        ),
        Field(name="going-time", label="Going time", kind="time", like="8d", to="going", group="Before the hour arbor"),
        Field(
            name="turns",
            label="Turns of the great wheel in it",
            kind="number",
            like="16",
            group="Before the hour arbor",
        ),
        Field(
            name="leaves",
            label="Leaf counts to keep to",
            kind="counts",
            like="6,7,8",
            without="any",
            group="What is tried",
        ),
        Field(
            name="wheel-range",
            label="Teeth tried for a wheel",
            kind="range",
            like="20-144",
            without="20-144",
            group="What is tried",
        ),
        Field(
            name="pinion-range",
            label="Leaves tried for a pinion",
            kind="range",
            like="5-20",
            without="5-20",
            group="What is tried",
        ),
        Field(
            name="escape-range",
            label="Teeth tried for the escape wheel",
            kind="range",
            like="12-60",
            without="12-60",
            group="What is tried",
        ),
        Field(name="limit", label="Sets to show", kind="count", like="20", without="20", group="What is tried"),
        _HOUR_ARBOR,
        *_PLACE,
    ),
    example={"train": "96/8 64/? ?/8", "escape": "30", "pendulum": "994+-4mm", "leaves": "6,7,8"},
)

STRIKE = Sum(
    name="strike",
    makes=False,
    title="Strike and rack",
    sentence="Counts and pins give the blows and the going time; the steps of a snail give the blows at each hour.",
    compute=_strike,
    fields=(
        Field(name="train", label="Wheels over pinions, from the great wheel", kind="text", like="78/8 64/8"),
        Field(name="pins", label="Pins on the pin wheel", kind="count", like="8", to="pins_count"),
        Field(
            name="pin-arbor",
            label="Arbor that carries the pins",
            kind="count",
            like="2",
            without="2, the great wheel being 1",
        ),
        Field(name="turns", label="Turns of the great wheel in a wind", kind="plain", like="16"),
        Field(
            name="halves",
            label="One blow at each half hour",
            kind="pick",
            picks=(("no", "no"), ("yes", "yes")),
            without="no",
        ),
        Field(
            name="file",
            label="Steps of the snail",
            kind="readings",
            like="hour,snail_radius_mm",
            without="One line for each hour: hour,snail_radius_mm",
            group="Rack and snail, in place of a train",
        ),
        Field(
            name="tail",
            label="Rack tail from its pivot",
            kind="length",
            like="30mm",
            group="Rack and snail, in place of a train",
        ),
        Field(
            name="tooth-angle",
            label="Angle of one tooth of the rack",
            kind="angle",
            like="2deg",
            group="Rack and snail, in place of a train",
        ),
    ),
    example={"train": "78/8 64/8", "pins": "8", "turns": "16"},
)

# In the order of the job: gauge what is there, size what is made, reckon the trains.
SUMS: dict[str, Sum] = {
    one.name: one
    for one in (RUNOUT, POISE, METAL, BUSH, CONE, SPRING, HAIRSPRING, PENDULUM, TEETH, PALLETS, TRAIN, MISSING, STRIKE)
}


def sum_named(name: str) -> Sum:
    """The bench sum of a name; NotFound when there is none."""
    if name not in SUMS:
        raise NotFound("sum", name, ", ".join(SUMS), "sum: there is no such bench sum; take one from the list.")
    return SUMS[name]

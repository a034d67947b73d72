"""`train`, `strike`, `missing`: counts to beats and blows, and counts that are lost."""

from __future__ import annotations

import re
from typing import Any

import click

from underdial.cli.frame import Number, Value, answer, read_text, said, shared_options
from underdial.errors import BadInput
from underdial.units import Quantity


class Range(click.ParamType[tuple[int, int]]):
    """Two counts with a stroke between, such as 20-144."""

    name = "range"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> tuple[int, int]:
        if isinstance(value, tuple):
            return value
        match = re.fullmatch(r"\s*(\d{1,4})\s*-\s*(\d{1,4})\s*", str(value))
        if match is None:
            field = (param.name or "range").replace("_", "-") if param else "range"
            raise BadInput(field, value, "two counts, such as 20-144")
        return int(match[1]), int(match[2])


def place_options(command: Any) -> Any:
    """Give a command `--gravity` and `--latitude`."""
    command = click.option(
        "--gravity", "gravity_given", type=Value("acceleration"), help="Gravity of the place; 9.80665m/s2 without."
    )(command)
    return click.option("--latitude", type=Value("angle"), help="Latitude of the place, in place of --gravity.")(
        command
    )


@click.command("train")
@click.argument("train")
@click.option("--escape", "escape_count", type=int, required=True, help="Teeth of the escape wheel.")
@click.option("--turns", type=float, help="Turns of the great wheel from wound to down.")
@click.option(
    "--hour-arbor",
    type=int,
    default=2,
    show_default=True,
    help="Arbor that turns once an hour, the great wheel being 1; 0: see --side-branch.",
)
@click.option(
    "--side-branch", help="With --hour-arbor 0: arbor:wheel/pinion that drives the centre arbor, such as 2:60/30."
)
@click.option(
    "--beats-per-tooth", type=float, default=2.0, show_default=True, help="Beats for each tooth of the escape wheel."
)
@click.option("--weight-drop", type=Value("length"), help="Fall of the weight, in place of --turns.")
@click.option("--drum", type=Value("length"), help="Diameter of the drum.")
@click.option("--falls", type=float, default=1.0, show_default=True, help="Parts of line that carry the weight.")
@click.option("--line", type=Value("length"), help="Diameter of the line.")
@click.option(
    "--oscillator",
    type=click.Choice(["pendulum", "balance"]),
    default="pendulum",
    show_default=True,
    help="What it drives; a balance has no length.",
)
@place_options
@shared_options
def train_command(
    weight_drop: Quantity | None, drum: Quantity | None, falls: float, line: Quantity | None, **given: Any
) -> None:
    """Beats, periods, going time and pendulum length of a TRAIN such as "96/8 64/8 60/8".

    Wheel over pinion, from the great wheel on; the escape wheel is given apart.
    """
    from underdial.bench.sums.said_of_trains import train_lines
    from underdial.bench.sums.trains import reckon_train

    result = reckon_train(weight=(weight_drop, drum, falls, line), **given)
    answer(result, said(train_lines(result), result))


@click.command("strike")
@click.argument("train")
@click.argument("file", required=False)
@click.option("--pins", "pins_count", type=int, help="Pins on the pin wheel.")
@click.option(
    "--pin-arbor", type=int, default=2, show_default=True, help="Arbor that carries the pins, the great wheel being 1."
)
@click.option("--turns", type=float, help="Turns of the great wheel from wound to down.")
@click.option("--halves", is_flag=True, help="One blow at each half hour.")
@click.option("--tail", type=Value("length"), help="rack: length of the rack tail from its pivot.")
@click.option("--tooth-angle", type=Value("angle"), help="rack: angle of one tooth of the rack at its pivot.")
@shared_options
def strike_command(
    train: str,
    file: str | None,
    pins_count: int | None,
    pin_arbor: int,
    turns: float | None,
    halves: bool,
    tail: Quantity | None,
    tooth_angle: Quantity | None,
) -> None:
    """Blows and going time of a strike TRAIN, or `strike rack FILE.csv`: blows from the steps of a snail.

    FILE has the columns hour,snail_radius_mm and a row for each hour.
    """
    from underdial.bench.sums.said_of_trains import rack_lines, strike_lines
    from underdial.bench.sums.trains import read_rack, reckon_strike

    if train == "rack":
        if file is None or tail is None or tooth_angle is None:
            field = "file" if file is None else "tail" if tail is None else "tooth-angle"
            raise BadInput(
                field,
                "(nothing)",
                "strike rack FILE.csv --tail 30mm --tooth-angle 2deg",
                f"{field}: a rack needs FILE, --tail and --tooth-angle, such as strike rack FILE.csv --tail 30mm "
                "--tooth-angle 2deg",
            )
        result = read_rack(read_text(file), tail=tail, tooth_angle=tooth_angle)
        return answer(result, said(rack_lines(result), result))
    if file is not None:
        raise BadInput(
            "file",
            file,
            "a file after rack only",
            f"file: {file} is given after a train; write the whole train in one pair of quotes",
        )
    if pins_count is None:
        raise BadInput(
            "pins",
            "(nothing)",
            "the number of pins on the pin wheel, such as --pins 8",
            "pins: say how many pins lift the hammer, such as --pins 8",
        )
    result = reckon_strike(train, pins_count=pins_count, pin_arbor=pin_arbor, turns=turns, halves=halves)
    return answer(result, said(strike_lines(result), result))


@click.command("missing")
@click.argument("train")
@click.option("--escape", "escape_count", type=int, help="Teeth of the escape wheel; lost without.")
@click.option(
    "--pendulum",
    "pendulum_length",
    type=Value("length"),
    help="Length of the pendulum to its centre of oscillation, such as 994+-4mm.",
)
@click.option("--beats-per-hour", "beats", type=Number(), help="Beats in an hour, such as 3600 or 9778+-20.")
@click.option(
    "--going-time", "going", type=Value("time"), help="Going time, with --turns, for counts before the hour arbor."
)
@click.option("--turns", type=Number(), help="Turns of the great wheel in the going time.")
@click.option(
    "--centre-distance",
    "centre_distances",
    multiple=True,
    help="Between two arbors, such as 3-4=24.1+-0.1mm; may be given again.",
)
@click.option(
    "--outside-diameter",
    "outside_diameters",
    multiple=True,
    help="Of a wheel (3w=44.6mm) or pinion (3p=…) by its arbor; may be given again.",
)
@click.option("--leaves", help="Leaf counts to keep to, such as 6,7,8.")
@click.option("--wheel-range", type=Range(), default="20-144", show_default=True, help="Teeth tried for a lost wheel.")
@click.option("--pinion-range", type=Range(), default="5-20", show_default=True, help="Leaves tried for a lost pinion.")
@click.option(
    "--escape-range", type=Range(), default="12-60", show_default=True, help="Teeth tried for a lost escape wheel."
)
@click.option(
    "--hour-arbor",
    type=int,
    default=2,
    show_default=True,
    help="Arbor that turns once an hour, the great wheel being 1.",
)
@click.option("--limit", type=int, default=20, show_default=True, help="Candidates to show.")
@place_options
@shared_options
def missing_command(
    leaves: str | None,
    wheel_range: tuple[int, int],
    pinion_range: tuple[int, int],
    escape_range: tuple[int, int],
    **given: Any,
) -> None:
    """Counts that are lost in a TRAIN such as "96/8 64/? ?/8": every candidate with its probability.

    Exit 1 when no set of counts fits what was measured.
    """
    from underdial.bench.sums.said_of_trains import missing_lines
    from underdial.bench.sums.trains import find_missing

    result = find_missing(
        wheel_range=wheel_range,
        pinion_range=pinion_range,
        escape_range=escape_range,
        leaves=_leaves(leaves) if leaves else (),
        **given,
    )
    answer(result, "\n".join(missing_lines(result)))


def _leaves(text: str) -> tuple[int, ...]:
    parts = [one.strip() for one in text.split(",") if one.strip()]
    if not parts or not all(re.fullmatch(r"\d{1,3}", one) and int(one) > 0 for one in parts):
        raise BadInput("leaves", text, "counts with commas between, such as 6,7,8")
    return tuple(int(one) for one in parts)

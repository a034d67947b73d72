"""What the answers on trains and strikes say in bench words: one list of lines for the command and for the page.

Warnings are not among them; whoever shows the lines shows the warnings beside them.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from underdial.units import shown


def train_lines(result: Mapping[str, Any]) -> list[str]:
    """Beats, the turn of each arbor, going time and the pendulum's length."""
    lines = [
        f"{result['beats_per_hour']:g} beats an hour; the escape wheel turns {result['escape_rev_per_hour']:g} times "
        "an hour."
    ]
    lines += [
        f"  {one['name'].replace('_', ' ')}: one turn in "
        f"{_time(one['period_s'])}{', the hour arbor' if one['hour'] else ''}"
        for one in result["arbors"]
    ]
    if result["going_time_h"] is not None:
        lines.append(
            f"It goes {result['going_time_h']:.4g} h ({result['going_time_h'] / 24:.3g} days) on "
            f"{result['turns']:.4g} turns."
        )
    if result["pendulum_length_m"] is not None:
        lines.append(f"Pendulum: {shown(result['pendulum_length_m'], 'mm', digits=5)} to the centre of oscillation.")
    return lines


def missing_lines(result: Mapping[str, Any]) -> list[str]:
    """How many sets of counts fit, each with its chance, and what would tell more."""
    if not result["searched_count"]:
        return [str(result["advice"])]
    lines = [f"{result['fitting_count']} of {result['searched_count']} sets of counts fit."]
    lines += [
        f"  {one['train']} x {one['escape']}: {one['beats_per_hour']:.6g} beats an hour, probability "
        f"{one['probability']:.2f}"
        for one in result["candidates"]
    ]
    lines += [
        f"To draw them: teeth {one['wheel_count']}/{one['pinion_count']} at a module of {one['module_m'] * 1e3:.3f} mm."
        if one["module_m"] is not None
        else f"To draw {one['wheel_count']}/{one['pinion_count']}: measure between arbors {one['arbor_count']} and "
        f"{one['arbor_count'] + 1}; that gives the module."
        for one in result["to_make"]
    ]
    return [*lines, str(result["advice"])]


def strike_lines(result: Mapping[str, Any]) -> list[str]:
    """Blows in twelve hours, in a turn and in a wind."""
    words = (
        f"{result['blows_per_12h_count']:g} blows in twelve hours, {result['blows_per_great_turn_count']:g} to a "
        "turn of the great wheel."
    )
    if result["going_time_h"] is not None:
        words += f" One wind strikes {result['blows_per_wind_count']:g} blows: {result['going_time_h']:.4g} h."
    return [words]


def rack_lines(result: Mapping[str, Any]) -> list[str]:
    """Whether every hour strikes its number, and what each strikes."""
    head = "Every hour strikes its number." if result["verdict"] == "sound" else f"Wrong: {result['reason']}."
    return [
        head,
        *(
            f"  {one['hour']:>2}: {one['blows_count']} blow{'' if one['blows_count'] == 1 else 's'}"
            for one in result["hours"]
        ),
    ]


def _time(seconds: float) -> str:
    if seconds >= 7200:
        return f"{seconds / 3600:.4g} h"
    return f"{seconds / 60:.4g} min" if seconds >= 120 else f"{seconds:.4g} s"

#!/usr/bin/env python3
"""Write the figures and the table of docs/explanation/model.md anew.

    python3 scripts/make_model_figures.py [--out FOLDER]

Run by hand after a change of the energy balance (some two minutes). From: the families of the package, the energy
balance (underdial.mechanics) and the direct integration of half swings (underdial.mechanics.time_domain). Writes
agreement.csv, agreement.svg, power.svg and ring_down.svg.
"""

from __future__ import annotations

import csv
import dataclasses
import math
import sys
from pathlib import Path

import matplotlib as mpl

mpl.use("svg")
import matplotlib.pyplot as plt
import numpy as np

from underdial.mechanics.energy_balance import predict
from underdial.mechanics.parameters import Array, Layout, spread, tabulate
from underdial.mechanics.ring_down import ring_down_s, swing_over_time_rad
from underdial.mechanics.swing_balance import least_escape_torque_n_m, steady_amplitude_rad, swing
from underdial.mechanics.swing_rate import rate_s_per_day
from underdial.mechanics.time_domain import body_of, steady, swings
from underdial.mechanics.train_power import power_through
from underdial.movement.composition import compose
from underdial.trade.families import families

OUT = Path(__file__).resolve().parents[1] / "docs" / "explanation" / "model"
INK, BRASS, FAINT = "#2b2723", "#8a6d2f", "#b8ad9c"
STYLE = {
    "font.size": 9,
    "font.family": "sans-serif",
    "axes.edgecolor": INK,
    "axes.labelcolor": INK,
    "xtick.color": INK,
    "ytick.color": INK,
    "text.color": INK,
    "axes.linewidth": 0.6,
    "lines.linewidth": 1.0,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "svg.fonttype": "path",
    "svg.hashsalt": "underdial",
    "figure.facecolor": "#fbf8f2",
    "axes.facecolor": "#fbf8f2",
}


def table(name: str, *, draws_count: int = 1) -> tuple[Layout, Array]:
    """Layout and nominal values of a family."""
    layout, nominal = tabulate(compose(dataclasses.asdict(families()[name])))
    return layout, spread(nominal, draws_count=draws_count)


def agreement() -> list[dict[str, object]]:
    """Swing and rate by the balance and by direct integration, every family at three torques."""
    rows: list[dict[str, object]] = []
    for name in sorted(families()):
        layout, values = table(name)
        one = swing(layout, values, layout.positions[0])
        full = float(predict(layout, values).escape_torque_n_m[0])
        edge = 1.05 * float(least_escape_torque_n_m(one)[0])
        for torque in (full, math.sqrt(full * edge), edge):
            at = np.array([torque])
            ours = steady_amplitude_rad(one, at)
            rate = rate_s_per_day(layout, values, one, escape_torque_n_m=at, amplitude_rad=ours)
            direct, direct_rate = steady(body_of(layout, values[:, 0], layout.positions[0]), escape_torque_n_m=torque)
            rows.append(
                {
                    "family": name,
                    "torque_over_least_ratio": round(1.05 * torque / edge, 3),
                    "half_arc_deg": round(math.degrees(float(ours[0])), 3),
                    "half_arc_direct_deg": round(math.degrees(direct), 3),
                    "half_arc_error_percent": round(100.0 * (float(ours[0]) / direct - 1.0), 3),
                    "rate_s_per_day": round(float(rate[0]), 2),
                    "rate_direct_s_per_day": round(direct_rate, 2),
                }
            )
    return rows


def draw_agreement(rows: list[dict[str, object]], path: Path) -> None:
    figure, axes = plt.subplots(figsize=(6.4, 3.6), layout="constrained")
    names = list(dict.fromkeys(str(row["family"]) for row in rows))
    for row in rows:
        y = names.index(str(row["family"]))
        axes.plot(
            float(str(row["half_arc_error_percent"])), y, marker="|", markersize=11, color=INK, markeredgewidth=1.4
        )
    axes.axvline(0.0, color=FAINT, linewidth=0.6)
    axes.set_yticks(range(len(names)), [name.replace("_", " ") for name in names])
    axes.tick_params(axis="y", length=0)
    axes.invert_yaxis()
    axes.set_xlabel("swing by the balance over that by integration, less 1, in %")
    save(figure, path)


def draw_ring_down(path: Path) -> None:
    figure, axes = plt.subplots(figsize=(6.4, 3.2), layout="constrained")
    layout, values = table("english_longcase")
    one = swing(layout, values, layout.positions[0])
    full, least = float(predict(layout, values).escape_torque_n_m[0]), math.degrees(float(one.least_rad[0]))
    start = values[layout.row("start_amplitude_rad")]
    for share, colour in ((0.3, INK), (0.4, BRASS)):
        torque = np.array([share * full])
        stop = float(ring_down_s(layout, values, one, torque)[0])
        times = np.linspace(0.0, stop, 60)
        path_rad = swing_over_time_rad(layout, values, one, escape_torque_n_m=torque, start_rad=start, times_s=times)[
            :, 0
        ]
        at, reached = swings(
            body_of(layout, values[:, 0], layout.positions[0]),
            start_rad=float(start[0]),
            longest_s=stop,
            torque_n_m=lambda _, torque=torque: float(torque[0]),
        )
        axes.plot(times / 60.0, np.degrees(path_rad), color=colour)
        axes.plot(
            at[::120] / 60.0,
            np.degrees(reached[::120]),
            linestyle="none",
            marker="o",
            markersize=3.5,
            markerfacecolor="none",
            color=colour,
        )
        place = (0.6, 1.82) if share == 0.3 else (21.0, 2.2)
        axes.annotate(f"{share:g} of the torque: stops after {stop / 60.0:.1f} min", place, color=colour)
    axes.axhline(least, color=FAINT, linewidth=0.6)
    axes.annotate("least arc", (0.3, least), textcoords="offset points", xytext=(0, -11), color=INK)
    axes.set_xlabel("minutes after the push")
    axes.set_ylabel("half arc, degrees")
    axes.set_ylim(1.4, 4.1)
    axes.set_xlim(0.0, None)
    save(figure, path)


def draw_power(path: Path) -> None:
    """Where the power of a French movement goes, arbor by arbor, healthy."""
    figure, axes = plt.subplots(figsize=(6.4, 3.0), layout="constrained")
    layout, values = table("french_round_pendulum")
    power = power_through(layout, values, values[layout.row("full_torque_n_m")])
    names = [name.replace("_", " ") for name in layout.arbor_names]
    for j, name in enumerate(names):
        left = float(power.arriving_ratio[j, 0])
        axes.bar(j, left, width=0.56, color=BRASS, edgecolor=INK, linewidth=0.6)
        axes.annotate(f"{100 * left:.0f}", (j, left), textcoords="offset points", xytext=(0, 3), ha="center", color=INK)
        del name
    reached = float(power.escape_ratio[0])
    axes.bar(len(names), reached, width=0.56, color=FAINT, edgecolor=INK, linewidth=0.6)
    axes.annotate(
        f"{100 * reached:.0f}", (len(names), reached), textcoords="offset points", xytext=(0, 3), ha="center", color=INK
    )
    axes.set_xticks(range(len(names) + 1), [*names, "left for\nthe pallets"])
    axes.set_yticks([0.0, 0.5, 1.0], ["0", "50", "100"])
    axes.set_ylabel("power arriving, %")
    save(figure, path)


def save(figure: plt.Figure, path: Path) -> None:
    """Write a figure without its date, so that the same figures make the same file."""
    figure.savefig(path, metadata={"Date": None})
    plt.close(figure)


def main(argv: list[str]) -> int:
    out = Path(argv[1]) if argv[:1] == ["--out"] else OUT
    out.mkdir(parents=True, exist_ok=True)
    with mpl.rc_context(STYLE):
        rows = agreement()
        with (out / "agreement.csv").open("w", newline="", encoding="utf-8") as file:
            writer = csv.DictWriter(file, fieldnames=list(rows[0]), lineterminator="\n")
            writer.writeheader()
            writer.writerows(rows)
        draw_agreement(rows, out / "agreement.svg")
        draw_power(out / "power.svg")
        draw_ring_down(out / "ring_down.svg")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

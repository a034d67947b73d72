"""Printed tables, row by row: what agrees to the last printed figure, and every misprint by name."""

from __future__ import annotations

import csv
from typing import Any

import pytest

from underdial.mechanics import density, line_fit, pendulum, pendulum_regulation, seconds_pendulum
from underdial.movement import going_train

from .convert import shop, si
from .rows import DATA

# Source: Goodrich 1905 takes 39.14 in for the seconds pendulum; Derham 1696 takes 39.2 in.
GOODRICH_M, DERHAM_M = si(39.14, "in"), si(39.2, "in")
# Source: the gravity that reproduces Gourdin's table best (993.85 mm at 3600 an hour).
GOURDIN_G = 9.80894


def _table(name: str) -> list[dict[str, Any]]:
    with (DATA / "tables" / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


def test_every_length_of_gourdins_table_agrees_but_the_five_misprints() -> None:
    wrong = []
    for row in _table("gourdin_pendulum.csv"):
        beats, printed_mm = float(row["osc_per_hour"]), float(row["length_mm_book"])
        ours_mm = shop(pendulum.length_m(beats_per_hour=beats, g_m_per_s2=GOURDIN_G), "mm")
        # Printed to 0.1 mm down to 2000 an hour, a little carelessly; to 1 mm below; below 100 to six figures.
        if abs(ours_mm - printed_mm) > (
            min(0.2, 0.0028 * printed_mm) if beats >= 2000 else max(1.0, 5e-7 * printed_mm)
        ):
            wrong.append(int(beats))

    # Source: the misprints of the table, by name (lengths that do not lie between their neighbours).
    assert sorted(wrong, reverse=True) == [17400, 16000, 8600, 5400, 3700]


@pytest.mark.parametrize(
    "row", [row for row in _table("gourdin_pendulum.csv") if 2000 <= float(row["osc_per_hour"]) <= 20000][::10]
)
def test_gourdins_change_for_a_minute_a_day_lies_between_first_order_and_the_right_length(row: dict[str, Any]) -> None:
    length_m = pendulum.length_m(beats_per_hour=float(row["osc_per_hour"]), g_m_per_s2=GOURDIN_G)
    loss_mm = shop(pendulum_regulation.length_change_m(length_m=length_m, rate_s_per_day=-60), "mm")
    gain_mm = -shop(pendulum_regulation.length_change_m(length_m=length_m, rate_s_per_day=60), "mm")

    # Derived: the table's own recomputed columns, four decimals.
    assert loss_mm == pytest.approx(float(row["loss_calc_mm"]), abs=1e-4)
    assert gain_mm == pytest.approx(float(row["gain_calc_mm"]), abs=1e-4)


def test_derhams_table_agrees_but_for_three_rows() -> None:
    wrong = []
    for row in _table("derham_pendulum.csv"):
        beats = seconds_pendulum.beats_by_rule_per_hour(
            length_m=si(float(row["length_in"]), "in"), seconds_pendulum_m=DERHAM_M
        )
        per_minute, printed = shop(beats, "bpm"), float(row["vib_min_book"])
        # Half a unit of the last printed figure; and sixty times it for the hour.
        if abs(per_minute - printed) > 0.0501 or abs(float(row["vib_hour_book"]) - 60 * printed) > 0.5:
            wrong.append(row["length_in"])

    # Source: 6 in (153.3 for 153.36), 40 in (3264 for 3564), 100 in (37.5 for 37.57).
    assert wrong == ["6", "40", "100"]


def _train(row: dict[str, Any]) -> tuple[list[int], list[int]]:
    wheels = [int(one) for one in row["wheels"].split()]
    pinions = [int(one) for one in row["pinions"].replace("&", " ").split()]
    # One pinion printed means the same for every wheel.
    return wheels, pinions if len(pinions) == len(wheels) else pinions * len(wheels)


def test_goodrichs_trains_give_his_beats_and_lengths() -> None:
    off = []
    for row in _table("goodrich_trains.csv"):
        if not row["escape"].isdigit():
            continue  # The two turret trains with double three-legged escapements are rows train-14 and train-15.
        wheels, pinions = _train(row)
        beats = going_train.beats_per_hour(wheels, pinions, int(row["escape"]))
        length_in = shop(
            seconds_pendulum.length_by_rule_for_beats_m(beats_per_hour=beats, seconds_pendulum_m=GOODRICH_M), "in"
        )
        # He cuts decimals rather than round them, and lengths of the quickest trains are out by up to 0.7 %.
        if (
            abs(shop(beats, "bpm") - float(row["vib_min_book"])) > 0.1
            or abs(length_in - float(row["L_in_book"])) > 0.007 * length_in + 0.005
        ):
            off.append((row["wheels"], row["pinions"], row["escape"]))

    assert off == []


@pytest.mark.parametrize(("metal", "lb_per_in3"), [("lead_lb", 0.41), ("zinc_lb", 0.253), ("iron_lb", 0.26)])
def test_goodrichs_cylinders_weigh_what_he_prints_but_for_the_misprints(metal: str, lb_per_in3: float) -> None:
    wrong = []
    for row in _table("goodrich_cylinders.csv"):
        mass = density.bored_cylinder_kg(
            density_kg_per_m3=si(lb_per_in3, "lb/in3"),
            diameter_m=si(float(row["diameter_in"]), "in"),
            length_m=si(1, "in"),
        )
        # He rounds and truncates within 1 % and two thousandths of a pound.
        if abs(shop(mass, "lb") - float(row[metal])) > 0.01 * float(row[metal]) + 0.002:
            wrong.append(row["diameter_in"])

    # Source: misprints at 2.5 in (zinc 2.239 for 1.242), 4.5 in (zinc 3.922 for 4.024), 5.5 in (iron 5.175 for 6.175).
    assert wrong == {"lead_lb": [], "zinc_lb": ["2.5", "4.5"], "iron_lb": ["5.5"]}[metal]


@pytest.mark.parametrize("row", _table("henley_tin_lead.csv"))
def test_henleys_alloys_of_tin_and_lead_mix_ideally(row: dict[str, Any]) -> None:
    part = float(row["pct_lead_by_mass"])
    ours = shop(density.mixture_density_kg_per_m3(si([7.29, 11.37], "g/cm3"), mass_parts=[100 - part, part]), "g/cm3")

    # Source: Henley 1907, table of tin and lead; three printed decimals, and 11.37 for lead.
    assert ours == pytest.approx(float(row["sg_book"]), abs=0.0016)


def test_the_observatory_clock_of_1887_loses_with_warmth() -> None:
    table = _table("hk_observatory_clock_1887.csv")
    found = line_fit.line_fit([float(row["temp_F"]) for row in table], [float(row["rate_s_per_day"]) for row in table])

    # Source: Hong Kong Observatory report for 1887, table I; the slope's own uncertainty is 0.0040.
    assert found.slope == pytest.approx(-0.083, abs=0.0005)
    assert found.slope_u == pytest.approx(0.0040, abs=0.00005)

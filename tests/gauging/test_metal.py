"""Which metal: weighing, magnet, colour; what it forbids; what to try next."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial.gauging.metal import Clues, estimate_metal, weighed_density
from underdial.mechanics.air_and_water import water_density_kg_per_m3
from underdial.mechanics.density import density_kg_per_m3
from underdial.trade.materials import metals
from underdial.uncertain import Uncertain

WORDS = st.sampled_from(["yes", "no", "unknown"])


def _weighed() -> Uncertain:
    return weighed_density(
        air_kg=Uncertain(0.023418, 5e-6),
        water_kg=Uncertain(0.020655, 5e-6),
        water_kg_per_m3=Uncertain(water_density_kg_per_m3(temperature_deg_c=20.0)),
    )


def test_the_weighed_example_is_8451_give_or_take_20() -> None:
    density = _weighed()

    assert density.value == pytest.approx(8451.0, abs=0.5)  # Derived: docs/explanation/gauging.md, metal, by hand
    assert density.u == pytest.approx(20.0, abs=0.5)  # Derived: the same


def test_the_error_of_a_weighing_agrees_with_draws() -> None:
    rng = np.random.default_rng(1)
    air, water = 0.023418 + rng.normal(0.0, 5e-6, 20000), 0.020655 + rng.normal(0.0, 5e-6, 20000)
    drawn = [density_kg_per_m3(air_kg=a, water_kg=w, water_kg_per_m3=998.2) for a, w in zip(air, water, strict=True)]

    assert float(np.std(drawn)) == pytest.approx(_weighed().u, rel=0.03)  # Derived: Monte Carlo, deviation 0.5 %


def test_that_density_without_a_magnet_is_brass_and_forbids_ammonia() -> None:
    found = estimate_metal(Clues(_weighed(), "no", "yellow"))

    assert found.probabilities[0][0] == "brass"
    # Derived: only nickel silver shares the density, at a fifteenth of the share and half the colour
    assert found.probabilities[0][1] > 0.97
    assert "ammonia_cleaning" in [row[0] for row in found.forbids]
    assert found.next_test is None


def test_a_light_grey_casting_is_spelter_and_never_soldered() -> None:
    found = estimate_metal(Clues(Uncertain(6900.0, 60.0), "no", "grey"))

    assert found.probabilities[0][0] == "spelter"
    assert found.forbids[0][0] == "torch_soldering"


def test_a_plated_skin_makes_colour_tell_less() -> None:
    bare = dict(estimate_metal(Clues(magnet="no", colour="yellow", plated="no")).probabilities)
    plated = dict(estimate_metal(Clues(magnet="no", colour="yellow", plated="yes")).probabilities)

    assert bare["spelter"] < 0.3 * plated["spelter"]  # Derived: colour lies 3 in 100 bare, 70 in 100 plated


def test_the_least_invasive_test_comes_first() -> None:
    assert estimate_metal(Clues()).next_test == "magnet"
    assert estimate_metal(Clues(magnet="no")).next_test == "weigh_in_air_and_water"
    assert estimate_metal(Clues(magnet="no", hollow="yes")).next_test == "colour_at_existing_wear"
    assert (
        estimate_metal(Clues(magnet="no", hollow="yes", colour="grey", plated="yes")).next_test == "x_ray_fluorescence"
    )


@given(
    density=st.floats(1500.0, 12000.0),
    u=st.floats(1.0, 300.0),
    magnet=WORDS,
    hollow=WORDS,
    plated=WORDS,
    colour=st.sampled_from(["yellow", "red", "grey", "white", "unknown"]),
)
def test_chances_always_sum_to_one_and_name_every_metal(
    density: float, u: float, magnet: str, hollow: str, plated: str, colour: str
) -> None:
    found = estimate_metal(Clues(Uncertain(density, u), magnet, colour, hollow, plated))

    assert math.fsum(p for _, p in found.probabilities) == pytest.approx(1.0, abs=1e-12)  # Derived: chances
    assert {name for name, _ in found.probabilities} == set(metals())


def test_a_metal_drawn_from_its_range_gets_its_chance_often_enough() -> None:
    # Derived: in draws from the model itself, of answers that say 80 to 100 % about as many are right as they say.
    rng = np.random.default_rng(5)
    names = list(metals())
    shares = np.array([metals()[name].share_ratio for name in names])
    right, said = [], []
    for _ in range(3000):
        name = names[int(rng.choice(len(names), p=shares))]
        metal = metals()[name]
        value = (
            rng.uniform(2000.0, 11300.0)
            if name != "other" and rng.random() < 0.1
            else rng.uniform(metal.density_low_kg_per_m3, metal.density_high_kg_per_m3)
        )
        top, chance = estimate_metal(Clues(Uncertain(value + rng.normal(0.0, 30.0), 30.0))).probabilities[0]
        if chance >= 0.8:
            right.append(top == name)
            said.append(chance)

    assert np.mean(right) == pytest.approx(np.mean(said), abs=0.03)  # Derived: calibrated; deviation about 0.008

"""Every formula at the corners of its ranges: a finite answer or a refusal that names the field, never a crash."""

from __future__ import annotations

import math
import random
from typing import Any

import pytest

from underdial.bench.shown.handbook import pages
from underdial.errors import UnderdialError
from underdial.formula import Formula, Parameter

DRAWS = 25


def drawn(parameter: Parameter, rng: random.Random) -> Any:
    """A number of the range, often an end of it."""
    assert parameter.low is not None
    assert parameter.high is not None
    low, high = parameter.low, parameter.high
    value = rng.choice((low, high, rng.uniform(low, high), math.sqrt(low * high) if low > 0.0 else 0.5 * (low + high)))
    if "int" in parameter.takes:
        value = min(max(round(value), math.ceil(low)), math.floor(high))
    return [value] * rng.randint(1, 3) if parameter.takes.startswith(("list", "Sequence")) else value


def plain(page: Formula) -> bool:
    """Whether all that must be given are numbers with a range."""
    return all(one.low is not None and one.high is not None for one in page.parameters if one.default is None)


@pytest.mark.parametrize("name", [name for name, page in pages().items() if plain(page)])
def test_no_number_of_its_ranges_breaks_a_formula(name: str) -> None:
    page = pages()[name]
    rng = random.Random(f"corners of {name}")
    fields = []
    for _ in range(DRAWS):
        given = {one.name: drawn(one, rng) for one in page.parameters if one.default is None}
        try:
            found = page.function(**given)
        except UnderdialError as refused:
            fields.append(refused.field)
            continue
        for value in found if isinstance(found, tuple | list) else (found,):
            if isinstance(value, float | int):
                assert not math.isnan(value), given
    assert all(fields)

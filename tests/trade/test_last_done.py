"""What an owner says was done before is known by its words, the longer name before the shorter."""

from __future__ import annotations

from typing import Any

import pytest

from underdial.errors import BadInput
from underdial.trade.last_done import earlier_works, heard_works, read_last_done

from .conftest import Break


@pytest.mark.parametrize(("said", "works"), [
    ("new mainspring fitted last autumn", ["mainspring"]),
    ("suspension spring replaced", ["suspension"]),
    ("Hairspring trued by a friend", ["hairspring"]),
    ("click spring and two bushes", ["click_spring", "bushing"]),
    ("cleaned and oiled in 1998", ["cleaning", "oiling"]),
    ("never been serviced", []),
    ("it was my aunt's", []),
])  # fmt: skip
def test_a_sentence_tells_its_works(said: str, works: list[str]) -> None:
    assert [one.work for one in heard_works(said)] == works


def test_a_new_spring_makes_a_wrong_one_likelier_and_a_tired_one_less() -> None:
    spring = next(one for one in earlier_works() if one.work == "mainspring")

    assert spring.odds["PWR-07"] > 1 > spring.odds["PWR-01"]  # Derived: odds of 1 change nothing


@pytest.mark.parametrize(("fault", "odds"), [("XYZ-99", 2.0), ("PWR-07", 0.0), ("PWR-07", -1.0)])
def test_odds_of_no_known_fault_or_of_nought_are_refused(break_file: Break, fault: str, odds: float) -> None:
    def spoil(held: Any) -> None:
        next(one for one in held if one["work"] == "mainspring")["odds"][fault] = odds

    with pytest.raises(BadInput, match=fault):
        read_last_done(break_file("last_done.json", spoil))


def test_small_odds_are_odds(break_file: Break) -> None:
    def spoil(held: Any) -> None:
        next(one for one in held if one["work"] == "mainspring")["odds"]["PWR-07"] = 0.05

    read = read_last_done(break_file("last_done.json", spoil))

    assert next(one for one in read if one.work == "mainspring").odds["PWR-07"] == 0.05  # Derived: as put in

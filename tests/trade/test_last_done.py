"""What an owner says was done before is known by its words, the longer name before the shorter."""

from __future__ import annotations

import pytest

from underdial.trade.last_done import earlier_works, heard_works


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

"""A caution that waits for a step is shown by nobody when no page, paper or sum opens that step: each is opened, or
listed with the reason.
"""

from __future__ import annotations

import re

from underdial.trade.cautions import triggers

from .conftest import PACKAGE

# Step that nothing opens -> why the program cannot know when it begins.
NOT_OPENED = {
    "step:let-down of a large spring": "nothing in the record says how large a spring is, nor who is tired",
    "step:old bottle or tin found": "what lies about in a shop is not in the record of a clock",
    "step:old mat, lagging or cloth found": "what lies about in a shop is not in the record of a clock",
    "step:site visit": "a visit to a house or tower has no page; the clock is written down in the shop",
    "step:installation at home": "setting up at the owner's has no page; the care sheet has its own sentences",
    "step:export": "on the command line, where nobody reads a caution; the archive is the shop's own",
    "step:film handed on": "films stay in the shop's folder; the program hands none on",
    "step:shipping": "no page sends a clock away; the shop's own law stands in its settings",
    "step:sale": "no page sells a clock; the shop's own law stands in its settings",
}


def _opened() -> set[str]:
    named = {
        found
        for path in PACKAGE.rglob("*.py")
        if path.name != "cautions.py"
        for found in re.findall(r'"(step:[^"]+)"', path.read_text(encoding="utf-8"))
    }
    return named & triggers()


def _steps() -> set[str]:
    return {one for one in triggers() if one.startswith("step:")}


def test_every_step_of_a_caution_is_opened_or_listed_with_its_reason() -> None:
    assert sorted(_steps() - _opened() - NOT_OPENED.keys()) == []


def test_a_step_listed_as_not_opened_is_one_of_the_list_and_opened_by_nobody() -> None:
    assert sorted(NOT_OPENED.keys() - _steps()) == []
    assert sorted(NOT_OPENED.keys() & _opened()) == []
    assert all(NOT_OPENED.values())

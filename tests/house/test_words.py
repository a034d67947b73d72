"""No screen and no paper carries a forbidden word."""

from __future__ import annotations

import pytest

from .conftest import PACKAGE, Tree
from .rules.words import word_problems


def test_no_screen_and_no_paper_carries_a_forbidden_word() -> None:
    assert word_problems(PACKAGE) == []


@pytest.mark.parametrize(
    ("file", "text"),
    [
        ("web/templates/page.html", "<p>Something invalid here</p>"),
        ("web/templates/page.html", '<button title="Please wait">Go</button>'),
        ("web/templates/page.html", '{{ "an error came" if x }}'),
        ("web/pages.py", 'TEXT = "Oops, that went wrong"'),
        ("web/static/own.js", 'say("Please wait a while");'),
        ("papers/letter.py", 'TEXT = f"It is safe to wind {clock}"'),
        ("papers/letter.typ", "#let end = [It will run as new.]"),
        ("papers/letter.typ", "= Your clock is safe"),
        ("papers/letter.py", 'TEXT = "A bodged hole was found"'),
    ],
)
def test_a_forbidden_word_is_seen_wherever_somebody_would_read_it(tree: Tree, file: str, text: str) -> None:
    problems = word_problems(tree({file: text}))

    assert problems
    assert all(one.startswith(file) for one in problems)


@pytest.mark.parametrize(
    ("file", "text"),
    [
        (
            "web/templates/page.html",
            '{# an error in a comment #}<p class="error invalid" data-x="score">Not read: {{ error.message }}</p>',
        ),
        ("web/pages.py", '"""An error becomes a page."""\nKEY = "error"\nKIND = "application/error"'),
        ("web/static/vendor/lib.js", 'throw "invalid argument given";'),
        ("papers/letter.typ", '// safe\n#let x = json("error.json")'),
        ("papers/letter.py", "# safe to cut here\nx = 1"),
        ("record/rules.py", 'TEXT = "an invalid rule"'),
    ],
)
def test_what_nobody_reads_is_let_through(tree: Tree, file: str, text: str) -> None:
    assert word_problems(tree({file: text})) == []

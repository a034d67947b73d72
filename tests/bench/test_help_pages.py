"""The app's help: the how-to pages of the documentation, less those for whoever changes the program."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from underdial.bench.shown import help_pages
from underdial.bench.shown.help_pages import help_page, help_titles
from underdial.errors import NotFound

ROOT = Path(__file__).resolve().parents[2]


def test_the_help_lists_every_how_to_page_but_those_for_developers() -> None:
    written = {path.stem for path in (ROOT / "docs" / "how-to").glob("*.md")}

    assert {name for name, _ in help_titles()} == written - {"teach-the-reader"}
    assert "teach-the-reader" in written


def test_a_page_that_is_not_the_benchs_is_not_there() -> None:
    with pytest.raises(NotFound, match="no such page"):
        help_page("teach-the-reader")


def test_a_page_comes_with_its_title_and_as_html() -> None:
    title, body = help_page("several-benches")

    assert title == "Share a shop between benches"
    assert "<strong>Anyone on that network" in body


def test_the_wheel_puts_the_pages_where_the_help_looks_first() -> None:
    wheel = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["hatch"]["build"]["targets"][
        "wheel"
    ]
    first = help_pages._PLACES[0].relative_to(help_pages._PACKAGE.parent)

    assert wheel["force-include"] == {"docs/how-to": str(first)}

"""Help shown in the program: the how-to pages of the documentation, read from their one place and set as HTML."""

from __future__ import annotations

import functools
from pathlib import Path

from underdial.errors import NotFound

_PACKAGE = Path(__file__).parents[1]
# In a checkout the pages stand in docs/; in an installed package beside the code (pyproject.toml copies them).
_PLACES = (_PACKAGE / "how_to", _PACKAGE.parents[1] / "docs" / "how-to")


def help_titles() -> list[tuple[str, str]]:
    """Names and titles of the how-to pages, by title."""
    return sorted(((path.stem, _title(path)) for path in _pages()), key=lambda pair: pair[1].casefold())


def help_page(name: str) -> tuple[str, str]:
    """Title and HTML of a page; NotFound when there is none of that name."""
    from markdown_it import MarkdownIt

    path = next((one for one in _pages() if one.stem == name), None)
    if path is None:
        raise NotFound("help", name, ", ".join(one for one, _ in help_titles()), "help: there is no such page.")
    body = path.read_text(encoding="utf-8").split("\n", 1)[1]
    return _title(path), MarkdownIt("commonmark", {"html": False}).enable("table").render(body)


@functools.cache
def _pages() -> tuple[Path, ...]:
    place = next((one for one in _PLACES if one.is_dir()), None)
    return tuple(sorted(place.glob("*.md"))) if place else ()


def _title(path: Path) -> str:
    return path.read_text(encoding="utf-8").split("\n", 1)[0].lstrip("# ").strip()

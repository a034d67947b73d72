"""Help shown in the program: the how-to pages of the documentation, read from their one place and set as HTML."""

from __future__ import annotations

import functools
from pathlib import Path

from underdial.errors import NotFound

_PACKAGE = Path(__file__).parents[2]
# In an installed package the pages stand beside the code, where the building of the wheel puts them (pyproject.toml);
# in a checkout in docs/.
_PLACES = (_PACKAGE / "how_to", _PACKAGE.parents[1] / "docs" / "how-to")
# Pages among them that are for whoever changes the program, not for the bench.
_FOR_DEVELOPERS = frozenset({"teach-the-reader"})


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
    return tuple(path for path in sorted(place.glob("*.md")) if path.stem not in _FOR_DEVELOPERS) if place else ()


def _title(path: Path) -> str:
    return path.read_text(encoding="utf-8").split("\n", 1)[0].lstrip("# ").strip()

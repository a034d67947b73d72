"""Where a statement of the trade comes from: a mark of how sure it is, and the text it was read in.

Marks: `seen` read in a named text (often an excerpt), `memory` textbook knowledge not read again,
`common_practice` what the trade does, `computed` worked out here, `assumption` a guess to be replaced,
`constructed` chosen so that a whole hangs together.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

from underdial.trade.files import DATA, Strict, broken, keyed, read_record

Mark = Literal["seen", "memory", "common_practice", "computed", "assumption", "constructed"]


@dataclass(frozen=True, slots=True)
class Source(Strict):
    """One ground of a statement; `key` names the text when it was seen, `about` the field it speaks of."""

    mark: Mark
    key: str | None = None
    says: str = ""
    about: str | None = None


@dataclass(frozen=True, slots=True)
class Text(Strict):
    """A text that was read, and where. `author` and `year` are None where they are not known."""

    key: str
    author: str | None
    title: str
    year: int | None
    place: str


@cache
def texts() -> Mapping[str, Text]:
    """Every text the data were read in, by its key."""
    return read_texts(DATA)


@cache
def read_texts(folder: Path) -> Mapping[str, Text]:
    """The texts of a data folder, by key; BadInput when a key stands twice."""
    path = folder / "sources.json"
    return keyed(path, read_record(path, tuple[Text, ...]), lambda text: text.key)


def check_sources(path: Path, owner: str, sources: tuple[Source, ...], known: Mapping[str, Text]) -> None:
    """BadInput when a statement has no source, or one that was seen names no text of `sources.json`."""
    if not sources:
        raise broken(path, f"[{owner}].sources", "nothing", "one source at least")
    for source in sources:
        if (source.mark == "seen") != (source.key is not None):
            raise broken(path, f"[{owner}].sources", source.mark, "a key with the mark seen, and with no other")
        if source.key is not None and source.key not in known:
            raise broken(path, f"[{owner}].sources", source.key, "a key of sources.json")

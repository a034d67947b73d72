"""Lists of parts that share one verdict: "the click, its spring and the ratchet are good".

A list is a run of names with nothing between them but commas, "and", "or" and small words. Where a recogniser wrote no
commas, names beside each other are a list when an "and" stands before the last.

Never here: what is said of the list.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from underdial.telling.sentences.items import Item
from underdial.telling.speech.words import Word, listed

_JOINS = listed("and or nor plus also")
_SMALL = listed(
    """
        the a an its his her their that this these those both all each every either neither two three four old little
        big main other one
    """
)
_LINKS = listed("of on in for at to")
_NAMING = ("part", "wheel", "shared")
_BESIDE = ("place", "train", "quant", "aspect")
# What is said behind a list of all that stand in it.
_OF_SEVERAL = listed("are were have both all any either neither each every them none")
_BEHIND_COUNT = 6


@dataclass(frozen=True)
class Member:
    """One name of a list: words `first` to `last` of the look-over, of which `head` names the part; what it names,
    as it is tagged.
    """

    first: int
    last: int
    head: int
    name: str


@dataclass(frozen=True)
class PartList:
    """Two members at least; `several`: an "and" joins them or the verdict speaks of several ("are", "both")."""

    members: tuple[Member, ...]
    several: bool

    def covers(self, word: int) -> bool:
        """Whether a word stands within the list."""
        return self.members[0].first <= word <= self.members[-1].last


@dataclass
class _Run:
    """What was gathered of a list so far: whole members, the items of the one being read, whether an "and" was
    heard.
    """

    members: list[Member] = field(default_factory=list)
    open: list[Item] = field(default_factory=list)
    linked_at: int | None = None
    joined: bool = False
    # Some names stand beside each other with no stop between.
    side_by_side: bool = False


def part_lists(sentences: Sequence[Sequence[Word]], tagged: Sequence[Sequence[Item]], *, rough: bool) -> list[PartList]:
    """All lists of parts in order; `rough`: a recogniser wrote no stops."""
    found: list[PartList] = []
    begin = 0
    for sentence, items in zip(sentences, tagged, strict=True):
        run = _Run()
        for item in items:
            if not _take(run, item, begin, sentence, rough=rough):
                _close(run, found, begin, sentence)
        _close(run, found, begin, sentence)
        begin += len(sentence)
    return found


def _take(run: _Run, item: Item, begin: int, sentence: Sequence[Word], *, rough: bool) -> bool:
    """Take an item into the list; False when it ends the list."""
    text = sentence[item.start].text if item.kind == "word" else ""
    if text in _JOINS:
        _end_member(run, begin)
        run.joined = run.joined or bool(run.members)
    elif text in _LINKS:
        # "On the strike, the rack ...": where a list begins so, it is no name yet.
        run.linked_at = len(run.open) if any(one.kind in _NAMING for one in run.open) else -1
    elif item.kind in _NAMING or item.kind in _BESIDE:
        if (
            rough
            and item.kind in ("part", "shared")
            and run.linked_at is None
            and any(one.kind in ("part", "shared") for one in run.open)
        ):
            _end_member(run, begin)
            run.side_by_side = True
        run.open.append(item)
    elif text not in _SMALL:
        return False
    if sentence[item.end - 1].stop in (",", ";"):
        _end_member(run, begin)
    return True


def _end_member(run: _Run, begin: int) -> None:
    """Make a member of the items gathered, when they name a part."""
    items, linked_at = run.open, run.linked_at
    run.open, run.linked_at = [], None
    if linked_at == -1:
        return
    heads = [one for one in items[:linked_at] if one.kind in _NAMING]
    if not heads:
        return
    said_twice = len(items) == 1 and bool(run.members) and run.members[-1].name == heads[-1].value
    if not said_twice:
        run.members.append(
            Member(begin + items[0].start, begin + items[-1].end - 1, begin + heads[-1].end - 1, heads[-1].value)
        )


def _close(run: _Run, found: list[PartList], begin: int, sentence: Sequence[Word]) -> None:
    """End the list; it is kept when it has several members."""
    _end_member(run, begin)
    if len(run.members) > 1 and (run.joined or not run.side_by_side):
        end = run.members[-1].last + 1 - begin
        behind = {word.text for word in sentence[end : end + _BEHIND_COUNT]}
        found.append(PartList(tuple(run.members), run.joined or bool(behind & _OF_SEVERAL)))
    run.members, run.joined, run.side_by_side = [], False, False

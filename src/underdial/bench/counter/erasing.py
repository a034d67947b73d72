"""Erasing a person who asks for it: what is known of them, what would go and what stays, and the erasing itself.

It is asked for twice: first it is said what would go, then the whole name is typed. What the law lets somebody ask for
ends where other law says that it is kept: an issued invoice stays, and nobody is erased while their clock is here or a
dispute is open. Never here: whether somebody has the right to ask.
"""

from __future__ import annotations

import shutil
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from zoneinfo import ZoneInfo

import sqlalchemy as sa

from underdial.bench.shop import Shop
from underdial.errors import BadInput, NotFound, RuleBroken
from underdial.papers.sentences import clock_words
from underdial.record.clock import Attachment
from underdial.record.people import PartToPlay, Person
from underdial.store import clocks, erasing
from underdial.store.database import reading
from underdial.store.records import Writer, read, read_all

# Files that may hold a person: their voice, their face, their hand.
_MAY_HOLD = frozenset({"film", "sound", "picture", "paper", "captions", "other"})
# Words shorter than this would strike half of the record.
_LEAST_LETTERS = 3


@dataclass(frozen=True, slots=True)
class ClockOfPerson:
    """A clock of somebody: its ticket and name, what they do or did for it, and whether it is in the shop."""

    tag: str
    name: str
    parts: tuple[str, ...]
    here: bool


@dataclass(frozen=True, slots=True)
class FileOfClock:
    """A file kept with a clock of somebody: its name for the erasing (`31/attachment-2`), and what it is in words."""

    named: str
    words: str


@dataclass(frozen=True, slots=True)
class KnownOf:
    """Somebody the shop knows, with their clocks."""

    person: Person
    clocks: tuple[ClockOfPerson, ...]


@dataclass(frozen=True, slots=True)
class WhatGoes:
    """What erasing somebody would come to: the words struck out with the number of records each stands in, the files of
    their clocks to choose from, the invoices that stay, other clocks that have the same words, and what stands against
    it.
    """

    known: KnownOf
    words: tuple[tuple[str, int], ...]
    files: tuple[FileOfClock, ...]
    invoices: tuple[str, ...]
    elsewhere: tuple[str, ...]
    against: tuple[str, ...]


def known_of(shop: Shop, person_id: str) -> KnownOf:
    """Somebody by their id, with their clocks. Raises NotFound."""
    with reading(shop.engine) as connection:
        return _known_of(connection, person_id)


def person_named(shop: Shop, named: str) -> Person:
    """The person with this id or whole name. Raises NotFound, and BadInput when several have the name."""
    with reading(shop.engine) as connection:
        try:
            found: Person = read(connection, "person", named).record
            return found
        except NotFound:
            alike = [
                one
                for one in clocks.find_people(connection, named, most_count=1000)
                if one.name.casefold() == named.strip().casefold()
            ]
    if not alike:
        raise NotFound(
            "person", named, "the whole name or the id of somebody", f"person: nobody here is called {named}."
        )
    if len(alike) > 1:
        told = "; ".join(f"{one.id} ({one.telephone or one.email or one.address or 'no address'})" for one in alike)
        raise BadInput(
            "person", named, told, f"person: {len(alike)} people are called {named}; name one by id: {told}."
        )
    return alike[0]


def what_goes(shop: Shop, person_id: str, also: Iterable[str] = ()) -> WhatGoes:
    """What erasing somebody would come to, with these words more to be struck out. Nothing is changed."""
    with reading(shop.engine) as connection:
        known = _known_of(connection, person_id)
        words = _words_of(known.person, also)
        ids = erasing.clocks_of_person(connection, person_id)
        written = erasing.where_written(connection, words, ids)
        return WhatGoes(
            known=known,
            words=tuple(written.items()),
            files=tuple(one for clock_id in ids for one in _files(connection, shop, clock_id)),
            invoices=tuple(one for clock_id in ids for one in _invoices(connection, clock_id)),
            elsewhere=erasing.clocks_elsewhere(connection, words, ids),
            against=_against(connection, known, ids),
        )


def erase_person(
    shop: Shop,
    person_id: str,
    *,
    name: str,
    why: str,
    also: Iterable[str] = (),
    files: Collection[str] = (),
    by: str = "repairer",
) -> list[str]:
    """Erase somebody for good; what was done and what remains, in sentences.

    `name` is their whole name, typed once more; `files` are named as `what_goes` names them. RuleBroken while a clock
    of theirs is here, a hold stands, or the name is another. Somebody erased before is only cleared off the disk again.
    """
    with reading(shop.engine) as connection:
        known = _known_of(connection, person_id)
        ids = {
            read(connection, "clock", one).record.tag: one for one in erasing.clocks_of_person(connection, person_id)
        }
        invoices = tuple(one for clock_id in ids.values() for one in _invoices(connection, clock_id))
        chosen = tuple(_file_named(connection, ids, one) for one in dict.fromkeys(files))
    if known.person.erased_at is None and name.split() != known.person.name.split():
        raise RuleBroken(
            "name",
            name or "nothing",
            "their whole name",
            "name: what is typed is not the name of whom it is about; nothing was erased.",
        )
    if not why.strip():
        raise BadInput("why", "nothing", "who asked for it, how and when", "why: nothing is written there.")
    also = tuple(" ".join(one.split()) for one in also if one.strip())
    words = () if known.person.erased_at else _words_of(known.person, also)
    short = next((one for one in also if len(one) < _LEAST_LETTERS), None)
    if short is not None:
        raise BadInput(
            "also",
            short,
            f"words of {_LEAST_LETTERS} letters and more",
            f"also: {short} is too short to be struck out.",
        )
    reason = why.strip()
    if any(word.casefold() in reason.casefold() for word in words):
        raise BadInput(
            "why",
            "their name",
            "words without their name",
            "why: it holds a word that is to be erased; say it without.",
        )
    kept = f"kept: {', '.join(invoices)}" if invoices else "no invoice was issued"
    writer = Writer(by=by, at=shop.now(), why=f"{reason} ({kept})")
    done = erasing.erase_person(
        shop.engine,
        shop.attachments,
        person_id,
        writer,
        words=words,
        files=chosen,
        may=lambda connection: _check(connection, person_id),
    )
    # Worked out from what was read in the records; it can be worked out again.
    shutil.rmtree(shop.folder / "worked_out", ignore_errors=True)
    return [
        f"Erased: the name and where they are reached; {done.records_count} records and {done.events_count} events of "
        f"the history are without them; {done.files_count} file{'s' if done.files_count != 1 else ''} off the disk.",
        *remains(shop, person_id, invoices),
    ]


def remains(shop: Shop, person_id: str, invoices: Iterable[str]) -> list[str]:
    """What is left of somebody where the program does not reach or may not go, in sentences."""
    kept = ", ".join(invoices)
    copies = sorted(one.name for one in shop.folder.glob("*.before-*"))
    shared = shop.engine.dialect.name == "postgresql"
    return [
        f"Kept as the law of tax asks: {kept}, with name and address." if kept else "No invoice names them.",
        "Kept without them: the condition of their clocks, the work, readings and pictures that were not chosen.",
        "Backups and exported clocks of before still hold them. Write new ones and destroy the old ones; where an old "
        f"backup is restored, erase again, by this number: {person_id}.",
        *([f"In the shop's folder lies {', '.join(copies)}, a copy of before; delete it."] if copies else []),
        *(
            ["The database server keeps what was written in its own log until that is used up, and in its own backups."]
            if shared
            else []
        ),
        "Papers that were printed or sent, and what somebody typed of them in other words, are not reached.",
    ]


def _known_of(connection: sa.Connection, person_id: str) -> KnownOf:
    person: Person = read(connection, "person", person_id).record
    found = []
    for clock_id in erasing.clocks_of_person(connection, person_id):
        clock = read(connection, "clock", clock_id).record
        visits = [one.record for one in read_all(connection, "visit", clock_id=clock_id)]
        parts: list[PartToPlay] = [one.record for one in read_all(connection, "part", clock_id=clock_id)]
        played = tuple(dict.fromkeys(one.part for one in parts if one.person_id == person_id))
        here = any(one.stage != "gone" and one.received_in_error is None for one in visits)
        found.append(ClockOfPerson(clock.tag, clock.name, played, here))
    return KnownOf(person, tuple(found))


def _words_of(person: Person, also: Iterable[str]) -> tuple[str, ...]:
    """What is struck out: whole name, telephone, addresses and their lines that have a figure in them (a house, a post
    code), and the words that were given; the longest first. Of what is very short only the name itself.
    """
    lines = (line for line in (person.address or "").splitlines() if any(one.isdigit() for one in line))
    told = (person.telephone, person.email, person.address, *lines, *also)
    words = {" ".join(one.split()) for one in told if one and len(one.strip()) >= _LEAST_LETTERS}
    return tuple(sorted(words | {" ".join(person.name.split())}, key=lambda one: -len(one)))


def _files(connection: sa.Connection, shop: Shop, clock_id: str) -> list[FileOfClock]:
    zone = ZoneInfo(shop.settings.zone)
    tag = read(connection, "clock", clock_id).record.tag
    lasts = {
        one.record.attachment_id: one.record.lasts_s for one in read_all(connection, "look_over", clock_id=clock_id)
    }
    found = []
    for stored in read_all(connection, "attachment", clock_id=clock_id):
        one: Attachment = stored.record
        if one.kind in _MAY_HOLD and one.name != erasing.STRUCK and not _is_issued(connection, clock_id, one):
            when = f", {one.taken_at.astimezone(zone):%-d %B %Y}" if one.taken_at else ""
            length = f", {clock_words(lasts[one.id])} long" if lasts.get(one.id) else ""
            found.append(
                FileOfClock(f"{tag}/{one.id}", f"{one.kind} of ticket {tag}: {one.caption or one.name}{when}{length}")
            )
    return found


def _invoices(connection: sa.Connection, clock_id: str) -> list[str]:
    return [words + (" of another shop" if elsewhere else "") for words, elsewhere in _issued(connection, clock_id)]


def _issued(connection: sa.Connection, clock_id: str) -> list[tuple[str, bool]]:
    """Each invoice and credit note as its kept file is called too, and whether it is of another shop."""
    return [
        (f"{words} {one.record.number_count}", one.record.from_elsewhere)
        for kind, words in (("bill", "invoice"), ("credit", "credit note"))
        for one in read_all(connection, kind, clock_id=clock_id)
    ]


def _is_issued(connection: sa.Connection, clock_id: str, file: Attachment) -> bool:
    """Whether it is the kept file of an invoice or credit note."""
    return file.kind == "paper" and file.caption in {words for words, _ in _issued(connection, clock_id)}


def _file_named(connection: sa.Connection, ids: dict[str, str], named: str) -> tuple[str, str]:
    tag, _, name = named.rpartition("/")
    if tag not in ids:
        raise BadInput(
            "file", named, "a file of a clock of this person", f"file: {named} is no file of a clock of this person."
        )
    file: Attachment = read(connection, "attachment", name, clock_id=ids[tag]).record
    if _is_issued(connection, ids[tag], file):
        raise BadInput(
            "file", named, "a file other than an invoice", f"file: {named} is an issued {file.caption}, which is kept."
        )
    return ids[tag], name


def _check(connection: sa.Connection, person_id: str) -> None:
    known = _known_of(connection, person_id)
    against = _against(connection, known, erasing.clocks_of_person(connection, person_id))
    if against:
        raise RuleBroken("person", person_id, "somebody with nothing open", f"person: {' '.join(against)}")


def _against(connection: sa.Connection, known: KnownOf, ids: Iterable[str]) -> tuple[str, ...]:
    """Why somebody cannot be erased now, in sentences."""
    here = [one.tag for one in known.clocks if one.here]
    held = [
        read(connection, "clock", clock_id).record.tag
        for clock_id in ids
        if any(one.record.lifted_at is None for one in read_all(connection, "hold", clock_id=clock_id))
    ]
    out = [f"Their clock is here (ticket {', '.join(here)}); give it out first."] if here else []
    out += [f"A hold stands at ticket {', '.join(held)}; a claim that is open needs its record."] if held else []
    return tuple(out)

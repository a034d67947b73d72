"""A shop: its folder, its settings, the list of what is in it, and everything about one clock on one page."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from underdial.bench.settings import Settings, read_settings, usual_folder
from underdial.errors import NotFound
from underdial.record.bill import Bill
from underdial.record.choice import Choice
from underdial.record.clock import Attachment, Clock
from underdial.record.codec import to_text
from underdial.record.consent import Consent
from underdial.record.credit import Credit
from underdial.record.custody import CustodyLine
from underdial.record.finding import Finding
from underdial.record.history import Event
from underdial.record.hold import Hold, holds_at
from underdial.record.hours import Hours
from underdial.record.look_over import LookOver
from underdial.record.looked_over import that_hold
from underdial.record.measurement import Measurement
from underdial.record.people import PartToPlay, Person
from underdial.record.proof import Proof
from underdial.record.visit import Round, Visit, check_in_shop
from underdial.record.work import Work
from underdial.store import clocks
from underdial.store.backup import ATTACHMENTS_NAME, DATABASE_NAME, SETTINGS_NAME
from underdial.store.clocks import Page, find_clock, people_of
from underdial.store.database import open_database, reading, writing
from underdial.store.files import disk_worded
from underdial.store.migrate import bring_up_to_date
from underdial.store.records import Stored, Writer, add, change, read, read_all, read_history
from underdial.store.schema import GONE, HERE, IN_ERROR


@dataclass(frozen=True, slots=True, kw_only=True)
class Shop:
    """An open shop. `now` tells the time; tests hand in their own.

    `done_at` is when a deed was done that comes late, from a tablet that did not reach the shop: it counts at the visit
    of then, though the clock has gone home meanwhile.
    """

    folder: Path
    engine: sa.Engine
    settings: Settings
    now: Callable[[], datetime]
    done_at: datetime | None = None

    @property
    def attachments(self) -> Path:
        """The folder of kept files."""
        return self.folder / ATTACHMENTS_NAME


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockPage:
    """One clock at one visit, with everything the record holds of it.

    `versions` gives each record's version by its id.
    """

    clock: Clock
    visit: Visit
    visits: tuple[Visit, ...]
    people: Mapping[str, Person]
    parts: tuple[PartToPlay, ...] = ()
    holds: tuple[Hold, ...] = ()
    custody: tuple[CustodyLine, ...] = ()
    attachments: tuple[Attachment, ...] = ()
    look_overs: tuple[LookOver, ...] = ()
    rounds: tuple[Round, ...] = ()
    findings: tuple[Finding, ...] = ()
    measurements: tuple[Measurement, ...] = ()
    choices: tuple[Choice, ...] = ()
    consents: tuple[Consent, ...] = ()
    works: tuple[Work, ...] = ()
    proofs: tuple[Proof, ...] = ()
    bills: tuple[Bill, ...] = ()
    credits: tuple[Credit, ...] = ()
    hours: tuple[Hours, ...] = ()
    versions: Mapping[str, int] = field(default_factory=dict)
    record_sha256: str = ""

    @property
    def holding(self) -> tuple[Finding, ...]:
        """The findings without those whose place another look-over took."""
        return that_hold(self.findings, self.look_overs, self.works)


@dataclass(frozen=True, slots=True)
class Job:
    """A clock under somebody's hands, inside one writing transaction: reads and writes its records."""

    connection: sa.Connection
    clock_id: str
    visit_id: str
    writer: Writer

    def add(self, record: Any) -> Any:
        """Keep a new record of this clock; the same with its id."""
        return add(self.connection, record, self.writer, clock_id=self.clock_id)

    def change(self, record: Any, *, version_count: int | None = None, deed: str = "changed") -> Any:
        """Keep a changed record; what is kept now."""
        return change(
            self.connection, record, self.writer, clock_id=self.clock_id, version_count=version_count, deed=deed
        ).record

    def read(self, kind: str, record_id: str) -> Any:
        """One record of this clock."""
        return read(self.connection, kind, record_id, clock_id=self.clock_id).record

    def all(self, kind: str) -> tuple[Any, ...]:
        """All records of a kind at this visit, as they stand; holds of every visit, for a hold outlives it."""
        visit_id = None if kind == "hold" else self.visit_id
        return tuple(one.record for one in read_all(self.connection, kind, clock_id=self.clock_id, visit_id=visit_id))

    def every(self, kind: str) -> tuple[Any, ...]:
        """All records of a kind of this clock, at whatever visit."""
        return tuple(one.record for one in read_all(self.connection, kind, clock_id=self.clock_id))

    def read_clock(self) -> Clock:
        """The clock itself."""
        found = read(self.connection, "clock", self.clock_id).record
        assert isinstance(found, Clock)
        return found

    @property
    def visit(self) -> Visit:
        """The visit the clock is in the shop for."""
        found = self.read("visit", self.visit_id)
        assert isinstance(found, Visit)
        return found


def open_shop(
    folder: Path | None = None, *, now: Callable[[], datetime] | None = None, must_exist: bool = False
) -> Shop:
    """Open the shop in a folder (made when it is not there), or in the user's data folder when none is given.

    Raises NotFound when it must exist and does not, BadInput for settings that cannot be read, MachineRefused when the
    folder or database cannot be written.
    """
    if folder is None:
        folder = usual_folder()
    if must_exist and not any((folder / name).exists() for name in (DATABASE_NAME, SETTINGS_NAME)):
        raise NotFound(
            "shop",
            str(folder),
            "the folder of a shop",
            f"shop: there is no shop in {folder}; give its folder with --shop.",
        )
    with disk_worded(folder):
        (folder / ATTACHMENTS_NAME).mkdir(parents=True, exist_ok=True)
        settings = read_settings(folder / SETTINGS_NAME)
    engine = open_database(settings.database or folder / DATABASE_NAME)
    bring_up_to_date(engine)
    return Shop(folder=folder, engine=engine, settings=settings, now=now or (lambda: datetime.now(UTC)))


@contextmanager
def job(
    shop: Shop, clock: str, *, by: str, why: str | None = None, visit_id: str | None = None, gone_too: bool = False
) -> Iterator[Job]:
    """A clock (by tag or id) in a writing transaction: all that is done inside is kept, or none of it.

    RuleBroken when the clock has gone home, unless `gone_too`: for taking it in again, and for what is written of the
    object, its people and its holds, or was begun before it went
    (docs/decisions/0106-a-clock-that-went-home-is-closed.md). A named visit takes what was begun at it.
    """
    with writing(shop.engine) as connection:
        clock_id = find_clock(connection, clock)
        if visit_id is None:
            visit = _visit_of(shop, _visits(connection, clock_id))
            if not gone_too and not _done_before(shop, visit):
                check_in_shop(visit)
            visit_id = visit.id
        yield Job(connection, clock_id, visit_id, Writer(by=by, at=shop.now(), why=why))


def in_the_shop(
    shop: Shop,
    *,
    search: str = "",
    stage: str | None = None,
    gone: bool = False,
    in_error: bool = False,
    first_count: int = 0,
    most_count: int = 50,
) -> Page:
    """A page of the list In the shop, the earliest needed first; with `gone` of Gone home, with `in_error` of what was
    received by mistake.
    """
    with reading(shop.engine) as connection:
        return clocks.in_the_shop(
            connection,
            search=search,
            stage=stage,
            standing=IN_ERROR if in_error else GONE if gone else HERE,
            first_count=first_count,
            most_count=most_count,
        )


def clock_page(shop: Shop, clock: str, *, visit_id: str | None = None) -> ClockPage:
    """All that is known of a clock (by tag or id) at its newest visit, or at the one named."""
    with reading(shop.engine) as connection:
        clock_id = find_clock(connection, clock)
        itself, visits = read(connection, "clock", clock_id), _visits(connection, clock_id)
        chosen = next((one for one in visits if one.record.id == visit_id), None) if visit_id else _newest(visits)
        if chosen is None:
            raise NotFound("visit", visit_id, ", ".join(one.record.id for one in visits))
        kinds = {
            "parts": "part",
            "custody": "custody",
            "attachments": "attachment",
            "look_overs": "look_over",
            "rounds": "round",
            "findings": "finding",
            "measurements": "measurement",
            "choices": "choice",
            "consents": "consent",
            "works": "work",
            "proofs": "proof",
            "bills": "bill",
            "credits": "credit",
            "hours": "hours",
        }
        found = {
            name: read_all(connection, kind, clock_id=clock_id, visit_id=chosen.record.id)
            for name, kind in kinds.items()
        }
        found["holds"] = _holds(connection, clock_id, chosen.record, visits)
        people = people_of(connection, clock_id)
        persons = tuple(read(connection, "person", one) for one in people)
    every = (itself, *visits, *(one for many in found.values() for one in many))
    return ClockPage(
        clock=itself.record,
        visit=chosen.record,
        visits=tuple(one.record for one in visits),
        people=people,
        versions={one.record.id: one.version_count for one in (*every, *persons)},
        record_sha256=_sha256(every, people),
        **{name: tuple(one.record for one in many) for name, many in found.items()},
    )


def history_of(shop: Shop, clock: str, *, record_id: str | None = None) -> tuple[Event, ...]:
    """What happened to a clock's record, or to one part of it, oldest first: who, when, before, after, why."""
    with reading(shop.engine) as connection:
        return read_history(connection, clock_id=find_clock(connection, clock), record_id=record_id)


def _visit_of(shop: Shop, visits: tuple[Stored, ...]) -> Visit:
    """The newest visit that was none by mistake, or for a deed that comes late the newest of when it was done."""
    then = tuple(one for one in visits if shop.done_at is not None and one.record.received_at <= shop.done_at)
    found = _newest(then or visits).record
    assert isinstance(found, Visit)
    return found


def _done_before(shop: Shop, visit: Visit) -> bool:
    """That a deed was done before the clock went home."""
    return shop.done_at is not None and visit.gone_at is not None and shop.done_at < visit.gone_at


def _visits(connection: sa.Connection, clock_id: str) -> tuple[Stored, ...]:
    visits = read_all(connection, "visit", clock_id=clock_id)
    if not visits:
        raise NotFound(
            "visit", clock_id, "a clock that was received", "visit: this clock was never received; receive it first."
        )
    return visits


def _holds(connection: sa.Connection, clock_id: str, visit: Visit, visits: tuple[Stored, ...]) -> tuple[Stored, ...]:
    ids = [one.record.id for one in visits]
    all_holds = read_all(connection, "hold", clock_id=clock_id)
    mine = holds_at((one.record for one in all_holds), visit, earlier=ids[: ids.index(visit.id)])
    return tuple(one for one in all_holds if one.record in mine)


def _newest(visits: tuple[Stored, ...]) -> Stored:
    """The newest visit that was none by mistake; the newest of all where there is no other."""
    return next((one for one in reversed(visits) if one.record.received_in_error is None), visits[-1])


def _sha256(every: tuple[Stored, ...], people: Mapping[str, Person]) -> str:
    found = hashlib.sha256()
    for record in (*(one.record for one in every), *people.values()):
        found.update(to_text(record).encode())
        found.update(b"\n")
    return found.hexdigest()

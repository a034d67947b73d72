"""The tables of a shop: what is a column and what stays inside the record's own text.

Each record is kept whole, as the text the codec makes of it, in `body`: that is the truth. What is looked for,
joined or guarded stands in columns beside it, written by one function (`columns_of`) and compared with the body
by `check`. So a field added to a record needs no migration unless the database has to look for it.

Limits: no class is mapped to a table; functions take a connection.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import sqlalchemy as sa

from underdial.record.bill import Bill
from underdial.record.clock import Attachment, Clock
from underdial.record.consent import Consent
from underdial.record.credit import Credit
from underdial.record.custody import CustodyLine
from underdial.record.finding import Finding
from underdial.record.hold import Hold
from underdial.record.lesson import Lesson
from underdial.record.measurement import Measurement
from underdial.record.people import PartToPlay, Person
from underdial.record.recorder import Recorder
from underdial.record.visit import Visit
from underdial.record.work import Work

# The newest migration of this program; a test sees that it is the head of the migrations folder.
REVISION = "0006"
METADATA = sa.MetaData()

_REAL_COUNT = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def _text(name: str, *more: Any, nullable: bool = True) -> sa.Column[Any]:
    return sa.Column(name, sa.Text, *more, nullable=nullable)


def _count(name: str, *, nullable: bool = False) -> sa.Column[Any]:
    return sa.Column(name, _REAL_COUNT, nullable=nullable)


def _of_shop(name: str, *more: Any) -> sa.Table:
    """A table whose rows belong to the shop: the id is theirs alone."""
    return sa.Table(
        name,
        METADATA,
        sa.Column("id", sa.Text, primary_key=True, nullable=False),
        _count("version"),
        _text("body", nullable=False),
        *more,
        sqlite_strict=True,
    )


def _of_clock(name: str, *more: Any, visit: bool = True) -> sa.Table:
    """A table whose rows belong to a clock and mostly to one of its visits: the id is theirs within the clock."""
    parts: list[Any] = [
        sa.Column("clock_id", sa.Text, sa.ForeignKey("clock.id"), primary_key=True, nullable=False),
        sa.Column("id", sa.Text, primary_key=True, nullable=False),
        _count("number"),
        _count("version"),
        _text("body", nullable=False),
        sa.UniqueConstraint("clock_id", "number", name=f"uq_{name}_number"),
    ]
    if visit:
        parts += [
            _text("visit_id"),
            sa.ForeignKeyConstraint(["clock_id", "visit_id"], ["visit.clock_id", "visit.id"], name=f"fk_{name}_visit"),
        ]
    return sa.Table(name, METADATA, *parts, *more, sqlite_strict=True)


def _in_round(table: str) -> tuple[Any, ...]:
    return (
        _text("round_id"),
        sa.ForeignKeyConstraint(["clock_id", "round_id"], ["round.clock_id", "round.id"], name=f"fk_{table}_round"),
    )


FILE = sa.Table(
    "file",
    METADATA,
    sa.Column("sha256", sa.Text, primary_key=True, nullable=False),
    _count("size_bytes"),
    sqlite_strict=True,
)
TABLES: dict[str, sa.Table] = {
    "clock": _of_shop(
        "clock",
        _text("tag", nullable=False),
        _text("name", nullable=False),
        _text("family"),
        _text("search", nullable=False),
        sa.UniqueConstraint("tag", name="uq_clock_tag"),
        sa.Index("ix_clock_search", "search", "id"),
    ),
    "person": _of_shop(
        "person",
        _text("name", nullable=False),
        _text("search", nullable=False),
        sa.Index("ix_person_search", "search", "id"),
    ),
    "visit": _of_clock(
        "visit",
        _text("stage", nullable=False),
        _count("gone"),
        _text("received_at", nullable=False),
        _text("needed_by", nullable=False),
        sa.Index("ix_visit_in_shop", "gone", "needed_by", "received_at"),
        visit=False,
    ),
    "part": _of_clock(
        "part",
        _text("person_id", sa.ForeignKey("person.id"), nullable=False),
        _text("part", nullable=False),
        _count("ended"),
        sa.Index("ix_part_person", "person_id", "clock_id"),
        sa.Index("ix_part_visit", "clock_id", "visit_id"),
    ),
    "hold": _of_clock("hold", _count("lifted"), sa.Index("ix_hold_standing", "lifted", "clock_id")),
    "custody": _of_clock(
        "custody",
        _text("kind", nullable=False),
        _count("back"),
        _text("due"),
        sa.Index("ix_custody_out", "back", "kind", "due"),
    ),
    "attachment": _of_clock(
        "attachment",
        _text("sha256", sa.ForeignKey("file.sha256"), nullable=False),
        sa.Index("ix_attachment_sha256", "sha256"),
    ),
    "look_over": _of_clock("look_over"),
    "round": _of_clock("round"),
    "finding": _of_clock(
        "finding",
        _text("component", nullable=False),
        _text("condition", nullable=False),
        _text("belongs_to"),
        _text("state", nullable=False),
        _text("standing", nullable=False),
        *_in_round("finding"),
        sa.Index("ix_finding_part", "component", "condition", "state"),
    ),
    "measurement": _of_clock("measurement", _text("quantity", nullable=False), *_in_round("measurement")),
    "choice": _of_clock("choice"),
    "consent": _of_clock(
        "consent",
        _text("choice_id", nullable=False),
        _text("person_id", sa.ForeignKey("person.id"), nullable=False),
        sa.ForeignKeyConstraint(["clock_id", "choice_id"], ["choice.clock_id", "choice.id"], name="fk_consent_choice"),
    ),
    "work": _of_clock("work", _text("work", nullable=False), _text("component", nullable=False), *_in_round("work")),
    "proof": _of_clock("proof"),
    "bill": _of_clock(
        "bill", _count("own_number", nullable=True), sa.UniqueConstraint("own_number", name="uq_bill_own_number")
    ),
    "credit": _of_clock(
        "credit",
        _count("own_number", nullable=True),
        _text("bill_id", nullable=False),
        sa.UniqueConstraint("own_number", name="uq_credit_own_number"),
        sa.ForeignKeyConstraint(["clock_id", "bill_id"], ["bill.clock_id", "bill.id"], name="fk_credit_bill"),
    ),
    "hours": _of_clock("hours"),
    "lesson": _of_shop("lesson", _count("number"), sa.UniqueConstraint("number", name="uq_lesson_number")),
    "recorder": _of_shop(
        "recorder",
        _text("device", nullable=False),
        _text("made_at", nullable=False),
        sa.Index("ix_recorder_device", "device", "made_at"),
    ),
}
HISTORY = sa.Table(
    "history",
    METADATA,
    sa.Column("number", _REAL_COUNT, primary_key=True, autoincrement=True),
    _text("clock_id", sa.ForeignKey("clock.id")),
    _text("at", nullable=False),
    _text("by", nullable=False),
    _text("deed", nullable=False),
    _text("record", nullable=False),
    _text("record_id", nullable=False),
    _text("before"),
    _text("after"),
    _text("why"),
    sa.Index("ix_history_clock", "clock_id", "number"),
    sqlite_strict=True,
)


def columns_of(record: object) -> dict[str, Any]:
    """The searched columns of a record, beside its keys and its body."""
    found: dict[str, Any] = {}
    for name in ("visit_id", "round_id"):
        if hasattr(record, name):
            found[name] = getattr(record, name) or None
    match record:
        case Clock():
            found |= {
                "tag": record.tag,
                "name": record.name,
                "family": record.family,
                "search": _searched(record.tag, record.name, record.family, record.signed),
            }
        case Person():
            sought = () if record.erased_at else (record.name, record.telephone, record.email)
            found |= {"name": record.name, "search": _searched(*sought)}
        case Visit():
            needed = record.aim.needed_by or record.promised
            found |= {
                "stage": record.stage,
                "gone": IN_ERROR if record.received_in_error is not None else GONE if record.stage == "gone" else HERE,
                "received_at": moment_text(record.received_at),
                "needed_by": needed.on.isoformat() if needed else NO_DATE,
            }
        case PartToPlay():
            found |= {"person_id": record.person_id, "part": record.part, "ended": int(record.ended)}
        case Hold():
            found |= {"lifted": int(record.lifted_at is not None)}
        case CustodyLine():
            found |= {
                "kind": record.kind,
                "back": int(record.back_at is not None),
                "due": record.due.on.isoformat() if record.due else None,
            }
        case Attachment():
            found |= {"sha256": record.sha256}
        case Finding():
            found |= {
                "component": record.component,
                "condition": record.condition,
                "belongs_to": record.of,
                "state": record.state,
                "standing": record.standing,
            }
        case Measurement():
            found |= {"quantity": record.quantity}
        case Consent():
            found |= {"choice_id": record.choice_id, "person_id": record.person_id}
        case Work():
            found |= {"work": record.work, "component": record.component}
        case Bill():
            found |= {"own_number": None if record.from_elsewhere else record.number_count}
        case Credit():
            found |= {"own_number": None if record.from_elsewhere else record.number_count, "bill_id": record.bill_id}
        case Lesson():
            found |= {"number": record.number_count}
        case Recorder():
            found |= {"device": record.device.strip().casefold(), "made_at": moment_text(record.made_at)}
        case _:
            pass
    return found


# Sorts behind every date, so that a clock without one comes last.
# Where a visit stands, in its column `gone`: the list In the shop, Gone home, or none, since it was written by mistake.
HERE, GONE, IN_ERROR = 0, 1, 2
NO_DATE = "9999-12-31"


def moment_text(moment: datetime) -> str:
    """A time in UTC, written so that sorting the text sorts the times."""
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def _searched(*words: str | None) -> str:
    return " ".join(word for word in words if word).casefold()

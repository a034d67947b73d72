"""Records that earlier programs wrote in a form that is refused now; each change is an event of its history."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

import sqlalchemy as sa
from alembic import op

from underdial.record.earlier_forms import KINDS_CHANGED, as_now

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

_HISTORY = sa.table(
    "history",
    *(sa.column(name) for name in ("clock_id", "at", "by", "deed", "record", "record_id", "before", "after", "why")),
)


def upgrade() -> None:
    connection = op.get_bind()
    at = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")
    for clock_id in connection.execute(sa.text("select id from clock order by id")).scalars().all():
        kept = [
            json.loads(body)
            for kind in KINDS_CHANGED
            for body in connection.execute(
                sa.text(f"select body from {kind} where clock_id = :clock order by number"), {"clock": clock_id}
            ).scalars()
        ]
        for before, after in zip(kept, as_now(kept), strict=True):
            if before != after:
                _write(connection, clock_id, before, after, at)


def _write(
    connection: sa.Connection, clock_id: str, before: Mapping[str, Any], after: Mapping[str, Any], at: str
) -> None:
    kind, body = after["record"], _text(after)
    columns = ("body", "version", "clock_id", "id", *(("stage", "gone") if kind == "visit" else ()))
    table = sa.table(kind, *(sa.column(name) for name in columns))
    values: dict[str, Any] = {"body": body, "version": table.c.version + 1}
    if kind == "visit":
        values |= {"stage": after["stage"], "gone": int(after["stage"] == "gone")}
    connection.execute(table.update().where(table.c.clock_id == clock_id, table.c.id == after["id"]).values(**values))
    connection.execute(
        _HISTORY.insert().values(
            clock_id=clock_id,
            at=at,
            by="underdial",
            deed="changed",
            record=kind,
            record_id=after["id"],
            before=_text(before),
            after=body,
            why="brought to the form of 0004",
        )
    )


def _text(plain: Mapping[str, Any]) -> str:
    return json.dumps(plain, ensure_ascii=False, allow_nan=False, sort_keys=True, separators=(",", ":"))

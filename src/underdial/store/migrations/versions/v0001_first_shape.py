"""The first shape: every table of the record, and a history that can only grow."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

# table -> (columns beside the keys: name, kind, needed), (indices). Frozen: never changed, only followed by another.
_TEXT, _COUNT = "text", "count"
_SHOP_TABLES: dict[str, list[tuple[str, str, bool]]] = {
    "clock": [("tag", _TEXT, True), ("name", _TEXT, True), ("family", _TEXT, False), ("search", _TEXT, True)],
    "person": [("name", _TEXT, True), ("search", _TEXT, True)],
}
_CLOCK_TABLES: dict[str, list[tuple[str, str, bool]]] = {
    "visit": [("stage", _TEXT, True), ("gone", _COUNT, True), ("received_at", _TEXT, True), ("needed_by", _TEXT, True)],
    "part": [("person_id", _TEXT, True), ("part", _TEXT, True), ("ended", _COUNT, True)],
    "hold": [("lifted", _COUNT, True)],
    "custody": [("kind", _TEXT, True), ("back", _COUNT, True), ("due", _TEXT, False)],
    "attachment": [("sha256", _TEXT, True)],
    "look_over": [],
    "round": [],
    "finding": [
        ("component", _TEXT, True),
        ("condition", _TEXT, True),
        ("belongs_to", _TEXT, False),
        ("state", _TEXT, True),
        ("standing", _TEXT, True),
        ("round_id", _TEXT, False),
    ],
    "measurement": [("quantity", _TEXT, True), ("round_id", _TEXT, False)],
    "choice": [],
    "consent": [("choice_id", _TEXT, True), ("person_id", _TEXT, True)],
    "work": [("work", _TEXT, True), ("component", _TEXT, True), ("round_id", _TEXT, False)],
    "proof": [],
}
_REFERENCES = {"person_id": "person.id", "sha256": "file.sha256"}
_INDICES = (
    ("ix_person_search", "person", ["search", "id"]),
    ("ix_clock_search", "clock", ["search", "id"]),
    ("ix_visit_in_shop", "visit", ["gone", "needed_by", "received_at"]),
    ("ix_part_person", "part", ["person_id", "clock_id"]),
    ("ix_part_visit", "part", ["clock_id", "visit_id"]),
    ("ix_hold_standing", "hold", ["lifted", "clock_id"]),
    ("ix_custody_out", "custody", ["back", "kind", "due"]),
    ("ix_attachment_sha256", "attachment", ["sha256"]),
    ("ix_finding_part", "finding", ["component", "condition", "state"]),
    ("ix_history_clock", "history", ["clock_id", "number"]),
)


def upgrade() -> None:
    op.create_table("file", _key("sha256"), _column("size_bytes", _COUNT, True), sqlite_strict=True)
    for name, columns in _SHOP_TABLES.items():
        op.create_table(
            name,
            _key("id"),
            _column("version", _COUNT, True),
            _column("body", _TEXT, True),
            *(_column(*one) for one in columns),
            *([sa.UniqueConstraint("tag", name="uq_clock_tag")] if name == "clock" else []),
            sqlite_strict=True,
        )
    for name, columns in _CLOCK_TABLES.items():
        _of_clock(name, columns)
    op.create_table(
        "history",
        sa.Column("number", _kind(_COUNT), primary_key=True, autoincrement=True),
        sa.Column("clock_id", sa.Text, sa.ForeignKey("clock.id")),
        *(_column(one, _TEXT, True) for one in ("at", "by", "deed", "record", "record_id")),
        *(_column(one, _TEXT, False) for one in ("before", "after", "why")),
        sqlite_strict=True,
    )
    for index, table, names in _INDICES:
        op.create_index(index, table, names)
    _keep_history()


def _of_clock(name: str, columns: list[tuple[str, str, bool]]) -> None:
    names = [one[0] for one in columns]
    parts: list[Any] = [
        sa.Column("clock_id", sa.Text, sa.ForeignKey("clock.id"), primary_key=True, nullable=False),
        _key("id"),
        _column("number", _COUNT, True),
        _column("version", _COUNT, True),
        _column("body", _TEXT, True),
        sa.UniqueConstraint("clock_id", "number", name=f"uq_{name}_number"),
    ]
    if name != "visit":
        parts += [
            _column("visit_id", _TEXT, False),
            sa.ForeignKeyConstraint(["clock_id", "visit_id"], ["visit.clock_id", "visit.id"], name=f"fk_{name}_visit"),
        ]
    parts += [_column(*one) for one in columns]
    if "round_id" in names:
        parts.append(
            sa.ForeignKeyConstraint(["clock_id", "round_id"], ["round.clock_id", "round.id"], name=f"fk_{name}_round")
        )
    if name == "consent":
        parts.append(
            sa.ForeignKeyConstraint(
                ["clock_id", "choice_id"], ["choice.clock_id", "choice.id"], name="fk_consent_choice"
            )
        )
    op.create_table(name, *parts, sqlite_strict=True)


def _keep_history() -> None:
    """The history is added to and never altered: the database itself says no."""
    if op.get_bind().dialect.name == "sqlite":
        for deed in ("update", "delete"):
            op.execute(
                f"create trigger history_no_{deed} before {deed} on history begin select raise(abort, 'the history "
                "is only added to'); end"
            )
        return
    op.execute(
        "create function history_stays() returns trigger language plpgsql as "
        "$$ begin raise exception 'the history is only added to' using errcode = 'integrity_constraint_violation'; "
        "end $$"
    )
    op.execute(
        "create trigger history_stays before update or delete on history for each row execute function history_stays()"
    )


def _kind(kind: str) -> Any:
    return sa.Text() if kind == _TEXT else sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def _column(name: str, kind: str, needed: bool) -> sa.Column[Any]:
    reference = _REFERENCES.get(name)
    return sa.Column(name, _kind(kind), *([sa.ForeignKey(reference)] if reference else []), nullable=not needed)


def _key(name: str) -> sa.Column[Any]:
    return sa.Column(name, sa.Text, primary_key=True, nullable=False)

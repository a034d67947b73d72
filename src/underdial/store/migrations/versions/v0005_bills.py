"""Invoices as they were issued: one row for each, and each number of the shop's own row once."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    count = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
    op.create_table(
        "bill",
        sa.Column("clock_id", sa.Text, sa.ForeignKey("clock.id"), primary_key=True, nullable=False),
        sa.Column("id", sa.Text, primary_key=True, nullable=False),
        sa.Column("number", count, nullable=False),
        sa.Column("version", count, nullable=False),
        sa.Column("body", sa.Text, nullable=False),
        sa.UniqueConstraint("clock_id", "number", name="uq_bill_number"),
        sa.Column("visit_id", sa.Text),
        sa.ForeignKeyConstraint(["clock_id", "visit_id"], ["visit.clock_id", "visit.id"], name="fk_bill_visit"),
        sa.Column("own_number", count),
        sa.UniqueConstraint("own_number", name="uq_bill_own_number"),
        sqlite_strict=True,
    )

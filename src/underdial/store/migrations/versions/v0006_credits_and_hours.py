"""Credit notes, each number of the shop's own row once; and hours worked at a clock."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    count = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
    for name, more in (
        (
            "credit",
            (
                sa.Column("own_number", count),
                sa.Column("bill_id", sa.Text, nullable=False),
                sa.UniqueConstraint("own_number", name="uq_credit_own_number"),
                sa.ForeignKeyConstraint(["clock_id", "bill_id"], ["bill.clock_id", "bill.id"], name="fk_credit_bill"),
            ),
        ),
        ("hours", ()),
    ):
        op.create_table(
            name,
            sa.Column("clock_id", sa.Text, sa.ForeignKey("clock.id"), primary_key=True, nullable=False),
            sa.Column("id", sa.Text, primary_key=True, nullable=False),
            sa.Column("number", count, nullable=False),
            sa.Column("version", count, nullable=False),
            sa.Column("body", sa.Text, nullable=False),
            sa.UniqueConstraint("clock_id", "number", name=f"uq_{name}_number"),
            sa.Column("visit_id", sa.Text),
            sa.ForeignKeyConstraint(["clock_id", "visit_id"], ["visit.clock_id", "visit.id"], name=f"fk_{name}_visit"),
            *more,
            sqlite_strict=True,
        )

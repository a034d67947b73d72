"""What finished jobs taught: one row for each version that was taken up."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    count = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
    op.create_table(
        "lesson",
        sa.Column("id", sa.Text, primary_key=True, nullable=False),
        sa.Column("version", count, nullable=False),
        sa.Column("body", sa.Text, nullable=False),
        sa.Column("number", count, nullable=False),
        sa.UniqueConstraint("number", name="uq_lesson_number"),
        sqlite_strict=True,
    )

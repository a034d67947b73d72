"""How fast recorders' clocks were found to run: one row for each comparison."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    count = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
    op.create_table(
        "recorder",
        sa.Column("id", sa.Text, primary_key=True, nullable=False),
        sa.Column("version", count, nullable=False),
        sa.Column("body", sa.Text, nullable=False),
        sa.Column("device", sa.Text, nullable=False),
        sa.Column("made_at", sa.Text, nullable=False),
        sqlite_strict=True,
    )
    op.create_index("ix_recorder_device", "recorder", ["device", "made_at"])

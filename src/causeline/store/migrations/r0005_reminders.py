"""Reminders in the golfer's words, addresses that may be written to, and what was sent.

A copy of the tables as they were then: later changes of `tables` do not reach back.
"""

from __future__ import annotations

from alembic import op
from sqlalchemy import Column, DateTime, ForeignKey, Integer, String, Text

from causeline.errors import StoreError

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def _golfer() -> Column[str]:
    key = ForeignKey("golfers.id", ondelete="CASCADE")
    return Column("golfer", String(32), key, nullable=False)


def upgrade() -> None:
    """Make all three tables."""
    op.create_table(
        "reminders",
        Column("id", String(32), primary_key=True),
        _golfer(),
        Column("lesson", String(32), ForeignKey("lessons.id", ondelete="CASCADE"), nullable=False),
        Column("cue", Text(), nullable=False),
        Column("act", Text(), nullable=False),
        Column("made_at", DateTime(timezone=True), nullable=False),
        Column("weekday", Integer),
        Column("at", String(5), nullable=False),
        Column("withdrawn_at", DateTime(timezone=True)),
        Column("version", Integer, nullable=False),
    )
    op.create_index("ix_reminders_golfer", "reminders", ["golfer"])
    op.create_index("ix_reminders_lesson", "reminders", ["lesson"])
    op.create_table(
        "mailings",
        Column("id", String(32), primary_key=True),
        _golfer(),
        Column("address", Text(), nullable=False),
        Column("agreed_by", Text(), nullable=False),
        Column("agreed_at", DateTime(timezone=True), nullable=False),
        Column("token", String(64), nullable=False, unique=True),
        Column("stopped_at", DateTime(timezone=True)),
    )
    op.create_index("ix_mailings_golfer", "mailings", ["golfer"])
    op.create_table(
        "posted",
        Column("key", String(200), primary_key=True),
        _golfer(),
        Column("at", DateTime(timezone=True), nullable=False),
    )
    op.create_index("ix_posted_golfer", "posted", ["golfer"])


def downgrade() -> None:
    """Refuse: a library goes forward only."""
    raise StoreError(
        "a step back from schema 0005 was asked for",
        "a library goes forward only",
        "restore a backup that was made with the older version",
    )

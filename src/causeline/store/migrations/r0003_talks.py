"""Takes of talk-throughs, and the parts that a take comes in while it is recorded.

A copy of the tables as they were then: later changes of `tables` do not reach back.
"""

from __future__ import annotations

from alembic import op
from sqlalchemy import Boolean, Column, DateTime, ForeignKey, Integer, String, Text

from causeline.errors import StoreError

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make both tables."""
    op.create_table(
        "takes",
        Column("id", String(32), primary_key=True),
        Column(
            "talk", String(32), ForeignKey("attachments.id", ondelete="CASCADE"), nullable=False
        ),
        Column("place", Integer, nullable=False),
        Column("swings", Text(), nullable=False),
        Column("start", Text(), nullable=False),
        Column("events", Text(), nullable=False),
        Column("lasts_ms", Integer, nullable=False),
        Column("voice_kind", Text(), nullable=False),
        Column("voice_starts_ms", Integer, nullable=False),
        Column("voice_key", String(64)),
        Column("made_at", DateTime(timezone=True), nullable=False),
        Column("closed", Boolean, nullable=False),
    )
    op.create_index("ix_takes_talk", "takes", ["talk"])
    op.create_index("ix_takes_voice_key", "takes", ["voice_key"])
    op.create_table(
        "take_parts",
        Column("take", String(32), ForeignKey("takes.id", ondelete="CASCADE"), primary_key=True),
        Column("number", Integer, primary_key=True, autoincrement=False),
        Column("events", Text(), nullable=False),
        Column("sound", Text(), nullable=False),
        Column("ends_ms", Integer, nullable=False),
    )


def downgrade() -> None:
    """Refuse: a library goes forward only."""
    raise StoreError(
        "a step back from schema 0003 was asked for",
        "a library goes forward only",
        "restore a backup that was made with the older version",
    )

"""What a check-in's clip said of the checkpoint, beside the check-in."""

from __future__ import annotations

from alembic import op
from sqlalchemy import JSON, Column
from sqlalchemy.dialects.postgresql import JSONB

from causeline.errors import StoreError

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

PLAIN = JSON(none_as_null=True).with_variant(JSONB(none_as_null=True), "postgresql")


def upgrade() -> None:
    """Add the column; check-ins of before have none."""
    op.add_column("check_ins", Column("outcome", PLAIN, nullable=True))


def downgrade() -> None:
    """A library goes forward only."""
    raise StoreError(
        "a step back from schema 0004 was asked for",
        "a library goes forward only",
        "restore a backup that the older version made",
    )

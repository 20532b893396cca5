"""How a clip is filmed, told while its reading goes on."""

from __future__ import annotations

from alembic import op
from sqlalchemy import JSON, Column
from sqlalchemy.dialects.postgresql import JSONB

from causeline.errors import StoreError

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None

PLAIN = JSON(none_as_null=True).with_variant(JSONB(none_as_null=True), "postgresql")


def upgrade() -> None:
    """Add the column; readings of before have none."""
    op.add_column("readings", Column("first_look", PLAIN, nullable=True))


def downgrade() -> None:
    """A library goes forward only."""
    raise StoreError(
        "a step back from schema 0006 was asked for",
        "a library goes forward only",
        "restore a backup that the older version made",
    )

"""Accounts, sessions, passkeys, invitations, rules of retention, and files that were made.

A copy of the tables as they were then: later changes of `tables` do not reach back.
"""

from __future__ import annotations

from typing import Any

from alembic import op
from sqlalchemy import (
    JSON,
    BigInteger,
    Boolean,
    Column,
    DateTime,
    ForeignKey,
    Integer,
    MetaData,
    String,
    Table,
    Text,
)
from sqlalchemy.dialects.postgresql import JSONB

from causeline.errors import StoreError

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

METADATA = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "pk": "pk_%(table_name)s",
    }
)
PLAIN = JSON().with_variant(JSONB(), "postgresql")


def _id() -> Column[Any]:
    return Column("id", String(32), primary_key=True)


def _belongs(name: str, to: str, *, needed: bool = True, index: bool = False) -> Column[Any]:
    """A row that goes when what it belongs to goes."""
    key = ForeignKey(f"{to}.id", ondelete="CASCADE")
    return Column(name, String(32), key, nullable=not needed, index=index)


def _text(name: str) -> Column[Any]:
    return Column(name, Text(), nullable=False)


def _instant(name: str, *, needed: bool = True) -> Column[Any]:
    return Column(name, DateTime(timezone=True), nullable=not needed)


def _word(name: str) -> Column[Any]:
    return Column(name, String(32), nullable=False)


def _number(name: str) -> Column[Any]:
    return Column(name, Integer, nullable=False)


def _flag(name: str) -> Column[Any]:
    return Column(name, Boolean, nullable=False)


def _plain(name: str) -> Column[Any]:
    return Column(name, PLAIN, nullable=False)


for _name in ("coaches", "golfers", "lessons"):
    Table(_name, METADATA, _id())  # are there already; named so that others can belong to them

ACCOUNTS = Table(
    "accounts",
    METADATA,
    Column("coach", ForeignKey("coaches.id", ondelete="CASCADE"), primary_key=True),
    _word("role"),
    _text("secret"),
    _instant("changed_at"),
)

PASSKEYS = Table(
    "passkeys",
    METADATA,
    _id(),
    _belongs("coach", "coaches", index=True),
    Column("credential", String(1400), nullable=False, unique=True),
    _text("public_key"),
    Column("sign_count", BigInteger, nullable=False),
    _text("name"),
    _instant("made_at"),
    _instant("used_at", needed=False),
)

SESSIONS = Table(
    "sessions",
    METADATA,
    _id(),
    _belongs("coach", "coaches", index=True),
    Column("token_hash", String(64), nullable=False, unique=True),
    Column("before_hash", String(64), nullable=False, index=True),
    _instant("made_at"),
    _instant("seen_at"),
    _instant("rotated_at"),
    _instant("ends_at"),
)

INVITES = Table(
    "invites",
    METADATA,
    _id(),
    _belongs("coach", "coaches", index=True),
    Column("secret_hash", String(64), nullable=False, unique=True),
    _instant("made_at"),
    _instant("ends_at"),
    _instant("used_at", needed=False),
)

RETENTION = Table(
    "retention",
    METADATA,
    Column("kind", String(32), primary_key=True),
    _number("days"),
    _instant("set_at"),
    _text("set_by"),
)

MADE = Table(
    "made",
    METADATA,
    Column("key", String(64), primary_key=True),
    _word("kind"),
    _plain("content"),
    Column("file_key", String(64), nullable=False, index=True),
    _instant("made_at"),
    Column("sha256", String(64), index=True),
    _belongs("golfer", "golfers", needed=False, index=True),
    _belongs("lesson", "lessons", needed=False, index=True),
    _flag("shared"),
    _flag("face"),
)


def upgrade() -> None:
    """Make the new tables."""
    METADATA.create_all(
        op.get_bind(),
        [ACCOUNTS, PASSKEYS, SESSIONS, INVITES, RETENTION, MADE],
        checkfirst=False,
    )


def downgrade() -> None:
    """Refuse: who signs in cannot be told without these tables."""
    raise StoreError(
        "a step back to schema '0001' was asked for",
        "a library goes forward only",
        "restore a backup that was made with the older version",
    )

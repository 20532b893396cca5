"""The library's tables, one for each record of `model.library`; columns bear the fields' names.

One schema for SQLite and PostgreSQL. `migrations` brings a database to it; a test holds the two
together.
"""

from __future__ import annotations

from datetime import UTC, datetime
from enum import StrEnum
from typing import Any

from sqlalchemy import (
    JSON,
    BigInteger,
    Boolean,
    Column,
    Date,
    DateTime,
    Dialect,
    Float,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    TypeDecorator,
    UniqueConstraint,
)
from sqlalchemy.dialects.postgresql import JSONB

from causeline.model.access import Kept, Make, Role
from causeline.model.clip import Hand, View
from causeline.model.findings import ClubSort
from causeline.model.lesson import Back, Units
from causeline.model.library import Kind, Purpose, State, Touch

NAMING = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s",
    "pk": "pk_%(table_name)s",
}
METADATA = MetaData(naming_convention=NAMING)


class Instant(TypeDecorator[datetime]):
    """A moment in time, kept in UTC, always with its time zone."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """To UTC; a time without a zone is refused."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"got {value} without a time zone; expected one")
        return value.astimezone(UTC)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """With its zone, which SQLite does not keep."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


class Word(TypeDecorator[StrEnum]):
    """A name out of a closed list, kept as its text."""

    impl = String(32)
    cache_ok = True

    def __init__(self, kind: type[StrEnum]) -> None:
        super().__init__()
        self.kind = kind

    def process_bind_param(self, value: StrEnum | None, dialect: Dialect) -> str | None:
        """As text; a word out of the list is refused."""
        return None if value is None else self.kind(value).value

    def process_result_value(self, value: str | None, dialect: Dialect) -> StrEnum | None:
        """As the name it is."""
        return None if value is None else self.kind(value)


class Words(TypeDecorator[tuple[str, ...]]):
    """A few words in order."""

    impl = JSON
    cache_ok = True

    def process_bind_param(self, value: tuple[str, ...] | None, dialect: Dialect) -> Any:
        """As a list."""
        return None if value is None else list(value)

    def process_result_value(self, value: Any, dialect: Dialect) -> tuple[str, ...] | None:
        """As a tuple."""
        return None if value is None else tuple(value)


PLAIN = JSON().with_variant(JSONB(), "postgresql")
PLAIN_OR_NONE = JSON(none_as_null=True).with_variant(JSONB(none_as_null=True), "postgresql")
COUNTER = BigInteger().with_variant(Integer(), "sqlite")
"""SQLite numbers rows by itself only in a column of that very type."""


def _id() -> Column[Any]:
    return Column("id", String(32), primary_key=True)


def _belongs(name: str, to: str, *, needed: bool = True, index: bool = False) -> Column[Any]:
    """A row that goes when what it belongs to goes."""
    key = ForeignKey(f"{to}.id", ondelete="CASCADE")
    return Column(name, String(32), key, nullable=not needed, index=index)


def _about(name: str, to: str) -> Column[Any]:
    """A row that stays when what it speaks of goes."""
    return Column(name, String(32), ForeignKey(f"{to}.id", ondelete="SET NULL"), index=True)


def _text(name: str, length: int | None = None) -> Column[Any]:
    return Column(name, String(length) if length else Text(), nullable=False)


def _instant(name: str, *, needed: bool = True) -> Column[Any]:
    return Column(name, Instant(), nullable=not needed)


def _word(name: str, kind: type[StrEnum], *, needed: bool = True) -> Column[Any]:
    return Column(name, Word(kind), nullable=not needed)


def _number(name: str) -> Column[Any]:
    return Column(name, Integer, nullable=False)


def _flag(name: str) -> Column[Any]:
    return Column(name, Boolean, nullable=False)


def _plain(name: str) -> Column[Any]:
    return Column(name, PLAIN, nullable=False)


COACHES = Table(
    "coaches", METADATA, _id(), _text("name"), _text("mail"), _flag("active"), _number("version")
)

GOLFERS = Table(
    "golfers",
    METADATA,
    _id(),
    _belongs("coach", "coaches"),
    _text("name"),
    _word("hand", Hand),
    _word("units", Units),
    _text("language", 35),
    _text("time_zone", 64),
    Column("stature_cm", Float),
    _flag("junior"),
    _word("back", Back),
    _text("guardian"),
    _text("guardian_mail"),
    _text("note"),
    _flag("archived"),
    Column("since", Date),
    _number("version"),
    Index(None, "coach", "archived", "name"),
)

CONSENTS = Table(
    "consents",
    METADATA,
    _id(),
    _belongs("golfer", "golfers", index=True),
    _word("purpose", Purpose),
    _text("given_by"),
    _instant("given_at"),
    _instant("withdrawn_at", needed=False),
)

CLIPS = Table(
    "clips",
    METADATA,
    _id(),
    _belongs("golfer", "golfers"),
    Column("sha256", String(64), nullable=False, index=True),
    _text("name"),
    Column("size", BigInteger, nullable=False),
    _instant("added_at"),
    _word("view", View, needed=False),
    _word("club", ClubSort, needed=False),
    Column("capture_hz", Float),
    Column("filmed_on", Date),
    _text("said"),
    _number("version"),
    UniqueConstraint("golfer", "sha256"),
    Index(None, "golfer", "added_at"),
)

READINGS = Table(
    "readings",
    METADATA,
    _id(),
    Column("key", String(64), nullable=False, unique=True),
    Column("sha256", String(64), nullable=False),
    _plain("settings"),
    _plain("engine"),
    _word("state", State),
    _instant("asked_at"),
    _instant("done_at", needed=False),
    Column("seen_key", String(64), index=True),
    Column("reading_key", String(64), index=True),
    _text("error"),
    _text("stage"),
    _number("done"),
    _number("total"),
    _number("tries"),
    _text("claim"),
    Column("beat", BigInteger, nullable=False),
    Column("first_look", PLAIN_OR_NONE, nullable=True),
    Index(None, "state", "asked_at"),
    Index(None, "sha256", "asked_at"),
)

STAGES = Table(
    "stages",
    METADATA,
    Column("key", String(64), primary_key=True),
    Column("sha256", String(64), nullable=False, index=True),
    Column("file_key", String(64), nullable=False, index=True),
)
"""What was seen of a clip, by clip, engine and what changes the looking."""

SWINGS = Table(
    "swings",
    METADATA,
    Column("reading", ForeignKey("readings.id", ondelete="CASCADE"), primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    _number("first_frame"),
    _number("last_frame"),
    _flag("rehearsal"),
    _word("view", View),
    _word("hand", Hand),
    Column("cause", String(80)),
)

JUDGEMENTS = Table(
    "judgements",
    METADATA,
    _id(),
    _belongs("clip", "clips", index=True),
    _number("swing"),
    _word("touch", Touch),
    _plain("content"),
    _text("by"),
    _instant("made_at"),
    _instant("withdrawn_at", needed=False),
)

LESSONS = Table(
    "lessons",
    METADATA,
    _id(),
    _belongs("golfer", "golfers"),
    _belongs("coach", "coaches", index=True),
    _text("title"),
    _plain("content"),
    _instant("made_at"),
    _instant("changed_at"),
    _instant("sent_at", needed=False),
    _number("version"),
    Index(None, "golfer", "changed_at"),
)

LESSON_VERSIONS = Table(
    "lesson_versions",
    METADATA,
    Column("lesson", ForeignKey("lessons.id", ondelete="CASCADE"), primary_key=True),
    Column("version", Integer, primary_key=True, autoincrement=False),
    _text("title"),
    _plain("content"),
    _text("by"),
    _instant("saved_at"),
)

ATTACHMENTS = Table(
    "attachments",
    METADATA,
    _id(),
    _belongs("golfer", "golfers", index=True),
    _word("kind", Kind),
    _plain("content"),
    _instant("made_at"),
    _belongs("lesson", "lessons", needed=False, index=True),
    _belongs("clip", "clips", needed=False, index=True),
    Column("file_key", String(64), index=True),
    _number("version"),
)

TICKS = Table(
    "ticks",
    METADATA,
    _id(),
    _belongs("golfer", "golfers"),
    _belongs("lesson", "lessons", index=True),
    _text("session"),
    _instant("ticked_at"),
    _text("drill"),
    _text("note"),
    Index(None, "golfer", "ticked_at"),
)

CHECK_INS = Table(
    "check_ins",
    METADATA,
    _id(),
    _belongs("golfer", "golfers"),
    _instant("sent_at"),
    _about("lesson", "lessons"),
    _about("clip", "clips"),
    _text("felt"),
    _text("answer"),
    _instant("answered_at", needed=False),
    Column("outcome", PLAIN_OR_NONE),
    _number("version"),
    Index(None, "golfer", "sent_at"),
    Index(None, "answered_at", "sent_at"),
)

REFERENCES = Table(
    "swing_references",
    METADATA,
    _id(),
    _belongs("coach", "coaches", index=True),
    _belongs("clip", "clips", index=True),
    _number("swing"),
    _text("title"),
    _instant("added_at"),
    _word("view", View, needed=False),
    _word("hand", Hand, needed=False),
    _word("club", ClubSort, needed=False),
    Column("tags", Words(), nullable=False),
)

LINKS = Table(
    "links",
    METADATA,
    _id(),
    _belongs("golfer", "golfers", index=True),
    _instant("made_at"),
    _belongs("lesson", "lessons", needed=False, index=True),
    _instant("withdrawn_at", needed=False),
    Column("secret_hash", String(64), nullable=False, unique=True),
)

AUDIT = Table(
    "audit",
    METADATA,
    Column("id", COUNTER, primary_key=True, autoincrement=True),
    _instant("at"),
    _text("who"),
    _text("what"),
    _text("about"),
    _plain("detail"),
    Index(None, "about"),
)

ACCOUNTS = Table(
    "accounts",
    METADATA,
    Column("coach", ForeignKey("coaches.id", ondelete="CASCADE"), primary_key=True),
    _word("role", Role),
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
    Column("kind", Word(Kept), primary_key=True),
    _number("days"),
    _instant("set_at"),
    _text("set_by"),
)

MADE = Table(
    "made",
    METADATA,
    Column("key", String(64), primary_key=True),
    _word("kind", Make),
    _plain("content"),
    Column("file_key", String(64), nullable=False, index=True),
    _instant("made_at"),
    Column("sha256", String(64), index=True),
    _belongs("golfer", "golfers", needed=False, index=True),
    _belongs("lesson", "lessons", needed=False, index=True),
    _flag("shared"),
    _flag("face"),
)
"""Files that were made and can be made again; `sha256` is of the clip they show."""

TAKES = Table(
    "takes",
    METADATA,
    _id(),
    _belongs("talk", "attachments", index=True),
    _number("place"),
    _text("swings"),
    _text("start"),
    _text("events"),
    _number("lasts_ms"),
    _text("voice_kind"),
    _number("voice_starts_ms"),
    Column("voice_key", String(64), index=True),
    _instant("made_at"),
    _flag("closed"),
)
"""What was recorded of a talk-through in one go. Texts are JSON, as the talk file has it."""

TAKE_PARTS = Table(
    "take_parts",
    METADATA,
    Column("take", ForeignKey("takes.id", ondelete="CASCADE"), primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    _text("events"),
    _text("sound"),
    _number("ends_ms"),
)
"""What came of a take so far, about a second each, the sound in base64; gone once it is closed."""

REMINDERS = Table(
    "reminders",
    METADATA,
    _id(),
    _belongs("golfer", "golfers", index=True),
    _belongs("lesson", "lessons", index=True),
    _text("cue"),
    _text("act"),
    _instant("made_at"),
    Column("weekday", Integer),
    _text("at", 5),
    _instant("withdrawn_at", needed=False),
    _number("version"),
)

MAILINGS = Table(
    "mailings",
    METADATA,
    _id(),
    _belongs("golfer", "golfers", index=True),
    _text("address"),
    _text("agreed_by"),
    _instant("agreed_at"),
    Column("token", String(64), nullable=False, unique=True),
    _instant("stopped_at", needed=False),
)

POSTED = Table(
    "posted",
    METADATA,
    Column("key", String(200), primary_key=True),
    _belongs("golfer", "golfers", index=True),
    _instant("at"),
)
"""Letters that were sent: none is sent twice."""

LEAVING = Table("leaving", METADATA, Column("key", String(64), primary_key=True))
"""Files of the vault that nothing speaks of any more, until they are deleted."""

FILE_COLUMNS = (
    CLIPS.c.sha256,
    READINGS.c.seen_key,
    READINGS.c.reading_key,
    STAGES.c.file_key,
    ATTACHMENTS.c.file_key,
    MADE.c.file_key,
    TAKES.c.voice_key,
)
"""Every column that names a file of the vault."""

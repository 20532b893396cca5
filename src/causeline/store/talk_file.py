"""The talk file: one talk-through as JSON, schema `causeline.talk/1` (docs/talk-file.md).

It is made from the records of `model/talk.py`, whose checks hold for whatever is read. Nothing that
is read is trusted: what is unknown, missing, of another kind or too much is refused, and where it
stands is told.
"""

from __future__ import annotations

import base64
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Annotated, Any, TypeVar

from pydantic import Field, TypeAdapter, ValidationError

from causeline.errors import TalkFileError
from causeline.model.lesson import SwingRef
from causeline.model.talk import SCHEMA, Event, Piece, Screen, Take, Talk, Voice

MOST_BYTES = 512 * 2**20
"""Of a whole file; an hour of speech is about 25 MB."""
MOST_VOICE = 64 * 2**20
"""Of the sound of one take."""
KINDS = ("audio/webm", "audio/ogg", "audio/mp4")
"""How the names of sounds begin that browsers record."""
Content = TypeVar("Content")


@dataclass(frozen=True, slots=True)
class Spoken:
    """A talk-through with its sound: the files of its takes by the id of the take."""

    talk: Talk
    sounds: Mapping[str, bytes]


def save_talk_bytes(spoken: Spoken) -> bytes:
    """The whole content of the talk file."""
    takes = [_take(take, spoken.sounds.get(take.id)) for take in spoken.talk.takes]
    pieces = _plain(_pieces(), spoken.talk.pieces)
    told = {"schema": SCHEMA, "title": spoken.talk.title, "takes": takes, "pieces": pieces}
    return (json.dumps(told, allow_nan=False, ensure_ascii=False) + "\n").encode()


def load_talk_bytes(content: bytes, named: str = "the talk-through") -> Spoken:
    """The talk-through of a file that was read. Raises TalkFileError where it is none."""
    if len(content) > MOST_BYTES:
        raise _wrong(named, f"{len(content)} bytes came", f"at most {MOST_BYTES} were expected")
    try:
        found = json.loads(content.decode("utf-8"))
    except (ValueError, RecursionError) as error:
        raise _wrong(named, f"it is no JSON ({str(error)[:80]})") from error
    schema = found.get("schema") if isinstance(found, dict) else None
    if schema != SCHEMA or not isinstance(found, dict):
        raise _wrong(named, f"it has schema {schema!r:.40}", f"{SCHEMA!r} was expected")
    shape = _read(_file(), content, named)
    takes, sounds = [], {}
    for place, whole in enumerate(shape.takes):
        take, sound = _loaded(whole, f"{named}, take {place}")
        takes.append(take)
        if sound is not None:
            sounds[take.id] = sound
    return Spoken(_made(lambda: Talk(tuple(takes), shape.pieces, shape.title), named), sounds)


def save_events_text(events: tuple[Event, ...]) -> str:
    """Events as JSON."""
    return _events().dump_json(events).decode()


def load_events_text(text: str | bytes, named: str = "the events") -> tuple[Event, ...]:
    """Events from JSON. Raises TalkFileError where one cannot be."""
    return _read(_events(), text, named)


def save_screen_text(screen: Screen) -> str:
    """What is on the screen, as JSON."""
    return _screen().dump_json(screen).decode()


def load_screen_text(text: str | bytes, named: str = "the screen") -> Screen:
    """What is on the screen, from JSON. Raises TalkFileError where it cannot be."""
    return _read(_screen(), text, named)


def save_swings_text(swings: tuple[SwingRef, ...]) -> str:
    """What finds the swings of a take again, as JSON."""
    return _swings().dump_json(swings).decode()


def load_swings_text(text: str | bytes, named: str = "the swings") -> tuple[SwingRef, ...]:
    """What finds the swings of a take again, from JSON. Raises TalkFileError."""
    return _read(_swings(), text, named)


def save_pieces_plain(pieces: tuple[Piece, ...]) -> Any:
    """What is played, as plain data."""
    return _plain(_pieces(), pieces)


def load_pieces_plain(found: object, named: str = "the pieces") -> tuple[Piece, ...]:
    """What is played, from plain data. Raises TalkFileError where it cannot be."""
    return _checked(_pieces(), found, named)


def load_kind(kind: str) -> str:
    """The kind of a sound, if it is one that browsers record. Raises TalkFileError."""
    if not kind.lower().startswith(KINDS) or len(kind) > 80 or not kind.isprintable():
        raise _wrong("the voice", f"its kind is {kind[:80]!r}", f"one of {', '.join(KINDS)}")
    return kind


def talk_schema() -> dict[str, Any]:
    """What a talk file looks like, as JSON Schema; that events come in order it cannot say."""
    told = _file().json_schema()
    told["additionalProperties"] = False
    for shape in told["$defs"].values():
        if shape.get("type") == "object":
            shape["additionalProperties"] = False
            shape["description"] = str(shape.get("description", "")).split("\n\n")[0]
    told["properties"]["schema"] = {"const": SCHEMA}
    return told


@dataclass(frozen=True, slots=True)
class _Sound:
    """The voice of a take: the file that a browser recorded, and when its first sample was said."""

    kind: str
    starts_ms: int
    base64: str


@dataclass(frozen=True, slots=True)
class _Take:
    """What was recorded in one go."""

    id: Annotated[str, Field(min_length=1, max_length=64)]
    swings: tuple[SwingRef, ...]
    start: Screen
    events: tuple[Annotated[Event, Field(discriminator="what")], ...]
    lasts_ms: int
    voice: _Sound | None


@dataclass(frozen=True, slots=True)
class _File:
    """A talk-through."""

    schema: str
    title: Annotated[str, Field(max_length=400)]
    takes: tuple[_Take, ...]
    pieces: tuple[Piece, ...]


def _take(take: Take, sound: bytes | None) -> dict[str, Any]:
    voice = None
    if take.voice is not None and sound is not None:
        told = base64.b64encode(sound).decode()
        voice = {"kind": take.voice.kind, "starts_ms": take.voice.starts_ms, "base64": told}
    return {
        "id": take.id,
        "swings": _plain(_swings(), take.swings),
        "start": _plain(_screen(), take.start),
        "events": _plain(_events(), take.events),
        "lasts_ms": take.lasts_ms,
        "voice": voice,
    }


def _loaded(whole: _Take, named: str) -> tuple[Take, bytes | None]:
    take = _made(
        lambda: Take(whole.id, whole.swings, whole.start, whole.events, whole.lasts_ms), named
    )
    if whole.voice is None:
        return take, None
    if len(whole.voice.base64) > MOST_VOICE * 4 // 3 + 4:
        raise _wrong(named, f"its sound is larger than {MOST_VOICE} bytes")
    try:
        sound = base64.b64decode(whole.voice.base64, validate=True)
    except ValueError as error:
        raise _wrong(named, f"its sound is no base64 ({error})") from error
    voice = Voice(load_kind(whole.voice.kind), whole.voice.starts_ms)
    return replace(take, voice=voice), sound


def _read(adapter: TypeAdapter[Content], text: str | bytes, named: str) -> Content:
    try:
        return adapter.validate_json(text, strict=True, extra="forbid")
    except ValidationError as error:
        raise _told(named, error) from error


def _checked(adapter: TypeAdapter[Content], found: object, named: str) -> Content:
    """As JSON has it: lists for tuples, words for names."""
    try:
        return adapter.validate_json(
            json.dumps(found, allow_nan=False), strict=True, extra="forbid"
        )
    except ValidationError as error:
        raise _told(named, error) from error
    except ValueError as error:
        raise _wrong(named, str(error)) from error


def _made(make: Callable[[], Content], named: str) -> Content:
    try:
        return make()
    except ValueError as error:
        raise _wrong(named, str(error)) from error


def _plain(adapter: TypeAdapter[Any], value: object) -> Any:
    return adapter.dump_python(value, mode="json")


def _told(named: str, error: ValidationError) -> TalkFileError:
    first = error.errors(include_url=False, include_input=False)[0]
    where = ".".join(str(step) for step in first["loc"])
    said = str(first["msg"]).removeprefix("Value error, ")
    return _wrong(f"{named}, {where}" if where else named, said[:300])


def _wrong(named: str, came: str, expected: str = "") -> TalkFileError:
    return TalkFileError(
        f"{named}: {came}", expected, "Record it again, or use the sound copy of it."
    )


@cache
def _events() -> TypeAdapter[tuple[Event, ...]]:
    return TypeAdapter(tuple[Annotated[Event, Field(discriminator="what")], ...])


@cache
def _screen() -> TypeAdapter[Screen]:
    return TypeAdapter(Screen)


@cache
def _swings() -> TypeAdapter[tuple[SwingRef, ...]]:
    return TypeAdapter(tuple[SwingRef, ...])


@cache
def _pieces() -> TypeAdapter[tuple[Piece, ...]]:
    return TypeAdapter(tuple[Piece, ...])


@cache
def _file() -> TypeAdapter[_File]:
    return TypeAdapter(_File)

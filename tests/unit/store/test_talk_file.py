"""The talk file comes back as it was, and whatever else comes is refused in words."""

from __future__ import annotations

import base64
import json
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from tools.write_talk_schema import TARGET, definition

from causeline.errors import TalkFileError
from causeline.model.talk import Marked, Take, Talk, Voice
from causeline.model.talk_cuts import whole
from causeline.store.talk_file import (
    Spoken,
    load_events_text,
    load_kind,
    load_talk_bytes,
    save_talk_bytes,
)
from tests.talks import a_mark, a_take, takes

WEBM = "audio/webm;codecs=opus"


def _spoken() -> Spoken:
    take = replace(a_take((Marked(5, 0, a_mark()),)), voice=Voice(WEBM, -12))
    silent = a_take(name="t2")
    return Spoken(Talk((take, silent), whole([take, silent]), "Turn"), {"t1": b"\x1a\x45\xdf\xa3"})


def _plain() -> dict[str, Any]:
    found: dict[str, Any] = json.loads(save_talk_bytes(_spoken()))
    return found


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(takes("a"), takes("b"))
def test_it_comes_back_as_it_was(one: Take, two: Take) -> None:
    spoken = Spoken(Talk((one, two), whole([two, one])), {})
    assert load_talk_bytes(save_talk_bytes(spoken)) == spoken


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(takes("a"))
def test_what_is_written_is_what_the_definition_says(one: Take) -> None:
    """Judged by jsonschema, which knows nothing of our records."""
    found = json.loads(save_talk_bytes(Spoken(Talk((one,), whole([one])), {"a": b"x"})))
    Draft202012Validator(json.loads(TARGET.read_text(encoding="utf-8"))).validate(found)


def test_the_definition_is_fresh_and_refuses_what_the_reader_refuses() -> None:
    kept = TARGET.read_text(encoding="utf-8")
    assert kept == definition(), "run tools/write_talk_schema.py"
    known = Draft202012Validator(json.loads(kept))
    Draft202012Validator.check_schema(json.loads(kept))
    for change in ({"schema": "causeline.talk/2"}, {"more": 1}, {"takes": [{"id": "x"}]}):
        assert not known.is_valid({**_plain(), **change})


def test_the_sound_comes_back_too() -> None:
    assert load_talk_bytes(save_talk_bytes(_spoken())) == _spoken()


def _with(path: tuple[str | int, ...], value: Any) -> bytes:
    found = _plain()
    place: Any = found
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = value
    return json.dumps(found).encode()


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "it is no JSON"),
        (b"\xff\xfe", "it is no JSON"),
        (b"[" * 100_000, "it is no JSON"),
        (b"[]", "it has schema None"),
        (_with(("schema",), "causeline.talk/2"), "it has schema 'causeline.talk/2'"),
        (_with(("more",), 1), "more: Unexpected keyword argument"),
        (_with(("takes", 0, "events", 0, "at_ms"), "5"), "events.0.mark.at_ms: Input should be"),
        (_with(("takes", 0, "events", 0, "at_ms"), 10_001), "take 0: got event 0 at 10001 ms"),
        (_with(("takes", 0, "events", 0, "what"), "run"), "does not match any of the expected"),
        (_with(("takes", 0, "events", 0, "swing"), 9), "got swing 9; expected one of 2"),
        (_with(("takes", 0, "start", "rows", 0, "frame"), -1), "got a row's frame -1"),
        (_with(("takes", 0, "start", "rows", 0, "sight", "zoom"), float("nan")), "zoom nan"),
        (_with(("takes", 0, "lasts_ms"), 10**9), "got a take of 1000000000 ms"),
        (_with(("takes", 1, "id"), "t1"), "expected each once"),
        (_with(("pieces", 0, "take"), "t9"), "got a piece of take 't9'"),
        (_with(("pieces", 0, "stop_ms"), 0), "got a piece from 0 to 0 ms"),
        (_with(("takes", 0, "voice", "kind"), "text/html"), "its kind is 'text/html'"),
        (_with(("takes", 0, "voice", "base64"), "<script>"), "its sound is no base64"),
        (_with(("takes", 0, "swings", 0, "view"), "above"), "swings.0.view: Input should be"),
    ],
)
def test_what_is_no_talk_file_is_refused_where_it_is_wrong(content: bytes, told: str) -> None:
    with pytest.raises(TalkFileError) as error:
        load_talk_bytes(content)
    assert told in str(error.value)


@settings(max_examples=200, deadline=None)
@given(st.recursive(st.none() | st.booleans() | st.floats() | st.text() | st.integers(), st.lists))
def test_no_list_of_anything_is_taken_for_events_or_breaks_the_reader(found: Any) -> None:
    try:
        events = load_events_text(json.dumps(found))
    except TalkFileError:
        return
    assert events == ()


def test_a_sound_of_another_kind_is_refused() -> None:
    assert load_kind(WEBM) == WEBM
    for kind in ("", "audio/webm\n", "video/mp4", "audio/webm" + "x" * 90):
        with pytest.raises(TalkFileError):
            load_kind(kind)


def test_the_sound_stands_in_base64_of_rfc_4648() -> None:
    told = _plain()["takes"][0]["voice"]
    assert base64.b64decode(told["base64"], validate=True) == b"\x1a\x45\xdf\xa3"
    assert told["starts_ms"] == -12

"""The catalogues: nothing is missing, placeholders agree, and a lesson is of one language."""

from __future__ import annotations

import importlib.util
import re
import sys
from dataclasses import replace
from datetime import date
from pathlib import Path
from types import ModuleType

import pytest
from babel.messages.catalog import Message
from babel.messages.pofile import read_po

from causeline.errors import SettingError
from causeline.lesson.compose import compose_lesson
from causeline.lesson.voice import Voice
from causeline.model.clip import Hand
from causeline.model.lesson import Golfer, Part, Units
from causeline.store.languages import FOLDER, load_languages, load_words
from tests.unit.lesson.swings import NOTHING, brief

TOOL_FILE = Path(__file__).parents[3] / "tools" / "update_messages.py"


def _tool() -> ModuleType:
    spec = importlib.util.spec_from_file_location("update_messages", TOOL_FILE)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


TOOL = _tool()
LANGUAGES = [language for language in load_languages() if language != "en"]
COMPLETE = ("lesson.po", "drills.po")
"""A reason of an arrow that is not translated is left out of a lesson, so those may lag."""


def _messages(language: str, name: str) -> dict[str, Message]:
    with (FOLDER / language / name).open("rb") as file:
        catalog = read_po(file, locale=language)
    return {_first(message): message for message in catalog if message.id}


def _first(message: Message) -> str:
    return message.id if isinstance(message.id, str) else message.id[0]


def _forms(message: Message) -> list[str]:
    return [message.string] if isinstance(message.string, str) else list(message.string or ())


def test_german_is_there() -> None:
    assert "de" in LANGUAGES


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("name", COMPLETE)
def test_no_sentence_is_missing(language: str, name: str) -> None:
    there = _messages(language, name)
    wanted = [_first(message) for message in TOOL.templates()[name] if message.id]
    lacking = [text for text in wanted if text not in there or not all(_forms(there[text]))]
    assert lacking == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_files_are_as_the_tool_writes_them(language: str) -> None:
    for path, content in TOOL.updated(language).items():
        if path.name in COMPLETE:
            assert path.read_bytes() == content, f"run tools/update_messages.py for {path.name}"


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("name", [*COMPLETE, "arrows.po"])
def test_placeholders_agree(language: str, name: str) -> None:
    """Sides may be said otherwise; every other value must come in as often as in English."""

    def places(text: str) -> list[str]:
        found = re.findall(r"\{\w+\}", text)
        return sorted(one for one in found if one not in {"{lead}", "{trail}"})

    for text, message in _messages(language, name).items():
        for form in _forms(message):
            assert places(form) == places(text), text
            assert not re.findall(r"\{(?!\w+\})", form), form


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("hand", list(Hand))
def test_sides_are_spoken_of_where_english_does(language: str, hand: Hand) -> None:
    for name in COMPLETE:
        for text, message in _messages(language, name).items():
            for form in _forms(message):
                for side in ("{lead}", "{trail}"):
                    assert (side in text) or (side not in form), (text, form)


def test_a_german_lesson_is_german_throughout() -> None:
    golfer = Golfer("Ivo", language="de", said="Ich will mehr drehen.", time_zone="Europe/Berlin")
    words = load_words("de")
    english = {line.text for line in compose_lesson(brief(golfer), load_words("en")).lines}
    for findings in (None, NOTHING):
        lesson = compose_lesson(brief(golfer, findings), words)
        said = [line for line in lesson.lines if line.part is not Part.DRILLS]
        same = [line.text for line in said if line.text in english]
        assert same == ["Maren Oakes"]
        text = " ".join(line.text for line in said)
        assert re.findall(r"\b(the|your|and|with|swing back)\b", text) == []
        assert "{" not in text


def test_german_has_its_own_numbers_dates_and_sides() -> None:
    golfer = Golfer(language="de")
    voice = Voice(load_words("de"), golfer)
    assert voice.number(1234.5, 1) == "1.234,5"
    assert voice.day(date(2026, 5, 4)) == "Montag, 4. Mai"
    assert voice.put("You finish on your {lead} foot.") == "Du endest auf dem linken Fuß."
    left = Voice(load_words("de"), replace(golfer, hand=Hand.LEFT))
    assert left.put("You finish on your {lead} foot.") == "Du endest auf dem rechten Fuß."


def test_english_counts_and_measures() -> None:
    metric = Voice(load_words("en"), Golfer(), stature_cm=180.0)
    imperial = Voice(load_words("en"), Golfer(units=Units.IMPERIAL), stature_cm=180.0)
    assert metric.amount(-5.0, "% of stature") == "9\N{NO-BREAK SPACE}cm"
    assert imperial.amount(-5.0, "% of stature") == "3½ inches"  # 9 cm are 3.54 inches
    assert imperial.amount(2.54, "cm") == "1 inch"
    assert imperial.amount(1.2, "cm") == "½ inch"
    assert metric.amount(-4.6, "°") == "5°"
    assert metric.amount(0.894, "s") == "0.89\N{NO-BREAK SPACE}s"
    assert metric.amount(44.704, "m/s") == "161\N{NO-BREAK SPACE}km/h"
    assert imperial.amount(44.704, "m/s") == "100\N{NO-BREAK SPACE}mph"  # exactly, by definition
    assert Voice(load_words("en"), Golfer()).amount(5, "% of stature") == "5 % of your height"
    assert metric.distance(4) == "4\N{NO-BREAK SPACE}m"
    assert imperial.distance(4) == "13 feet"
    assert imperial.distance(100) == "109 yards"
    assert metric.day(date(2026, 5, 4)) == "Monday 4 May"


def test_a_rounded_zero_has_no_sign() -> None:
    assert Voice(load_words("en"), Golfer()).number(-0.2) == "0"


@pytest.mark.parametrize("language", ["xx", "", "../de", "de/../../x", "français"])
def test_a_language_that_there_is_not_is_told(language: str) -> None:
    with pytest.raises(SettingError, match="no catalogue"):
        load_words(language)


def test_a_country_speaks_its_language() -> None:
    assert load_words("de-AT").say("at impact") == "im Treffmoment"
    assert load_words("en-US").say("at impact") == "at impact"

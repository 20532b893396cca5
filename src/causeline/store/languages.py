"""Message catalogues from their files: gettext's `.po`, read as they are, without compiling."""

from __future__ import annotations

import re
from functools import cache
from gettext import c2py
from pathlib import Path

from babel.messages.catalog import Catalog, Message
from babel.messages.pofile import PoFileError, read_po

from causeline.errors import LessonFileError, SettingError
from causeline.model.words import Words

FOLDER = Path(__file__).parents[1] / "lesson" / "locale"
SOURCE_LANGUAGE = "en"


def load_languages() -> tuple[str, ...]:
    """The languages that lessons can be written in, English first."""
    found = sorted(path.parent.name for path in FOLDER.glob("*/lesson.po"))
    return (SOURCE_LANGUAGE, *found)


def load_words(language: str) -> Words:
    """The sentences of a language by its tag: `en`, `en-US`, `de`, `de-AT`.

    Raises SettingError for one that there is no catalogue for, LessonFileError for a broken file.
    """
    if not re.fullmatch(r"[A-Za-z]{2,3}([-_][A-Za-z]{2,4})?", language):
        raise _unknown(language)
    tag = language.replace("_", "-")
    base = tag.split("-")[0].lower()
    if base == SOURCE_LANGUAGE:
        return Words(tag)
    if base not in load_languages():
        raise _unknown(language)
    catalogues = [_catalogue(path, base) for path in sorted((FOLDER / base).glob("*.po"))]
    messages = {
        key: forms
        for catalogue in catalogues
        for message in catalogue
        if message.id
        for key, forms in [_pair(message)]
        if all(forms)
    }
    return Words(tag, messages, c2py(catalogues[0].plural_expr))


@cache
def _catalogue(path: Path, locale: str) -> Catalog:
    try:
        with path.open("rb") as file:
            return read_po(file, locale=locale, abort_invalid=True)
    except (OSError, UnicodeDecodeError, PoFileError) as error:
        raise LessonFileError(
            f"{path} could not be read as a message catalogue ({error})",
            "a gettext .po file was expected",
            "Mend the line that it names.",
        ) from error


def _pair(message: Message) -> tuple[str, tuple[str, ...]]:
    if isinstance(message.id, str):
        return message.id, (str(message.string),)
    forms = message.string if isinstance(message.string, (tuple, list)) else (message.string,)
    return str(message.id[0]), tuple(str(form) for form in forms)


def _unknown(language: str) -> SettingError:
    return SettingError(
        f"there is no catalogue for the language {language!r}",
        f"one of {', '.join(load_languages())} was expected",
        "Take one of these, or add a catalogue.",
    )

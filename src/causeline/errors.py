"""Every error the package raises on purpose.

    CauselineError
    ├── ClipError (ValueError)            cannot be read as a swing clip  exit 3
    │   ├── ClipNotFound (FileNotFoundError)
    │   ├── ClipUnreadable (PermissionError)
    │   ├── NotAVideo
    │   ├── NoFrames
    │   ├── ClipTooLarge
    │   └── NotThatClip
    ├── NothingToRead (LookupError)       the clip is sound, but shows no swing  exit 4
    │   ├── NoPersonFound
    │   └── NoSwingFound
    ├── OutputError (OSError)             a result could not be written  exit 5
    ├── EngineError (RuntimeError)        engine or weights missing or broken  exit 6
    ├── ReadingFileError (ValueError)     a reading file is broken or of another version  exit 7
    ├── LessonFileError (ValueError)      a lesson, a drill or a language file is broken  exit 9
    ├── TalkFileError (ValueError)        a talk-through is broken or of another version  exit 9
    ├── StoreError (LookupError)          the library lacks something, or it is damaged  exit 8
    │   ├── NotAgreed (PermissionError)   a golfer, or a guardian, does not consent to it
    │   └── Outdated (RuntimeError)       somebody saved a newer version meanwhile
    └── SettingError (ValueError)         an option outside its range  exit 2

Each message says what came, what was expected and what to do. Each error is also the built-in
that a caller would expect, and carries the exit code that the command line ends with.
"""

from __future__ import annotations


class CauselineError(Exception):
    """Base of all errors raised on purpose; built from what came, what was expected, what to do."""

    exit_code = 1

    def __init__(self, came: str, expected: str = "", remedy: str = "") -> None:
        self.came = came
        self.expected = expected
        self.remedy = remedy
        super().__init__(came, expected, remedy)

    def __str__(self) -> str:
        later = [part[0].upper() + part[1:] for part in (self.expected, self.remedy) if part]
        return " ".join(_sentence(part) for part in (self.came, *later))


class ClipError(CauselineError, ValueError):
    """The file that came cannot be read as a swing clip."""

    exit_code = 3


class ClipNotFound(ClipError, FileNotFoundError):
    """No file at that path."""


class ClipUnreadable(ClipError, PermissionError):
    """The file is there, but may not be opened."""


class NotAVideo(ClipError):
    """The file holds no picture stream that can be decoded."""


class NoFrames(ClipError):
    """There is a picture stream, and not one frame of it decodes."""


class ClipTooLarge(ClipError):
    """More pixels or more time than the stated limit."""


class NotThatClip(ClipError):
    """A clip is named for a reading that was made from another, or none lies beside it."""


class NothingToRead(CauselineError, LookupError):
    """The clip is sound, but shows no swing."""

    exit_code = 4


class NoPersonFound(NothingToRead):
    """Nobody is to be seen in the clip."""


class NoSwingFound(NothingToRead):
    """There is a person, who never swings."""


class OutputError(CauselineError, OSError):
    """A result could not be written."""

    exit_code = 5


class EngineError(CauselineError, RuntimeError):
    """The landmark engine, or its weights, are missing or broken."""

    exit_code = 6


class ReadingFileError(CauselineError, ValueError):
    """A reading file is not there, is broken, or is of another version."""

    exit_code = 7


class LessonFileError(CauselineError, ValueError):
    """A lesson, a drill or a language file is not there, is broken, or is of another version."""

    exit_code = 9


class TalkFileError(CauselineError, ValueError):
    """A talk-through, or a part of one, is broken or of another version."""

    exit_code = 9


class StoreError(CauselineError, LookupError):
    """The library lacks what was asked for, or it is damaged, or of another version."""

    exit_code = 8


class NotAgreed(StoreError, PermissionError):
    """The golfer, or a junior's guardian, does not consent to what was asked."""


class Outdated(StoreError, RuntimeError):
    """What is to be saved was changed by somebody else meanwhile: nothing was overwritten."""


class SettingError(CauselineError, ValueError):
    """An option has a value outside its range."""

    exit_code = 2


def _sentence(text: str) -> str:
    return text if text.endswith((".", "!", "?")) else f"{text}."

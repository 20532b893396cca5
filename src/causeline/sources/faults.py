"""Errors of the video library, translated at this door and nowhere else."""

from __future__ import annotations

import errno
from collections.abc import Iterator
from contextlib import contextmanager

import av.error as av_error

from causeline.errors import ClipError, ClipNotFound, ClipTooLarge, ClipUnreadable, NotAVideo

WANTED = "a video file is expected: MP4, MOV, WebM or MKV with H.264, HEVC, VP9 or AV1"
LOOK = "check the path, and that you may read the file"
RESEND = "send the file once more as the camera wrote it, or export it as an MP4"

_Kinds = tuple[type[Exception], ...]
_OF_THE_PATH = (FileNotFoundError, PermissionError, IsADirectoryError, NotADirectoryError)

TRANSLATED: tuple[tuple[_Kinds, type[ClipError], str], ...] = (
    ((FileNotFoundError,), ClipNotFound, "is not there"),
    ((PermissionError,), ClipUnreadable, "may not be opened"),
    ((IsADirectoryError, NotADirectoryError), ClipUnreadable, "is not a file"),
    ((MemoryError,), ClipTooLarge, "needs more memory than there is"),
    (
        (
            av_error.DecoderNotFoundError,
            av_error.PatchWelcomeError,
            av_error.ExperimentalError,
            NotImplementedError,
        ),
        NotAVideo,
        "is coded in a way that this program cannot decode",
    ),
    (
        (av_error.HTTPError, av_error.HTTPClientError, av_error.ProtocolNotFoundError),
        NotAVideo,
        "points to something outside itself, which is not opened",
    ),
    ((OSError,), ClipUnreadable, "could not be read to its end"),
    ((av_error.InvalidDataError, EOFError), NotAVideo, "is broken, or is not a video"),
    ((av_error.ArgumentError, LookupError), NotAVideo, "is of a kind that is not opened"),
    (
        (
            av_error.BufferTooSmallError,
            av_error.ExitError,
            av_error.ExternalError,
            av_error.InputChangedError,
            av_error.OutputChangedError,
            av_error.UndefinedError,
            av_error.UnknownError,
            OverflowError,
            RuntimeError,
        ),
        NotAVideo,
        "upsets the video library",
    ),
)
"""First match wins. Each error of the library is also the built-in of its name, if there is one."""


def decode_fault(error: Exception, name: str) -> ClipError:
    """The package's own error for one that the library or the file system raised."""
    if _is_plain_failure(error):
        return NotAVideo(f"{name} is broken, or is not a video", WANTED, RESEND)
    for kinds, translated, what in TRANSLATED:
        if isinstance(error, kinds):
            remedy = LOOK if isinstance(error, _OF_THE_PATH) else RESEND
            return translated(f"{name} {what} ({_detail(error)})", WANTED, remedy)
    return NotAVideo(f"{name} upsets the video library ({_detail(error)})", WANTED, RESEND)


@contextmanager
def decode_faults(name: str) -> Iterator[None]:
    """Translate what goes wrong inside; errors raised on purpose pass through."""
    try:
        yield
    except ClipError:
        raise
    except (av_error.FFmpegError, OSError, MemoryError) as error:
        raise decode_fault(error, name) from error


def _is_plain_failure(error: Exception) -> bool:
    """The library's bare -1, which happens to be the system's number for "not permitted"."""
    of_library = isinstance(error, av_error.FFmpegError) and isinstance(error, PermissionError)
    return of_library and getattr(error, "errno", None) == errno.EPERM


def _detail(error: Exception) -> str:
    return str(getattr(error, "strerror", None) or error)

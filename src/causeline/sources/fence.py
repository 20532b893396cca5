"""Clips decoded in a process of their own: hostile media may end that process, and nothing else.

Each clip gets its own. It has limits on memory, computing time, files and patience, and no network
where the system allows that to be given up (`fence_child`). What it cannot be kept from: reading
files that its user may read. It tells nobody but this process of them.
"""

from __future__ import annotations

import contextlib
import fcntl
import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, Self

import numpy as np
from numpy.typing import NDArray

from causeline.errors import (
    CauselineError,
    ClipError,
    ClipNotFound,
    ClipTooLarge,
    ClipUnreadable,
    NoFrames,
    NotAVideo,
    SettingError,
)
from causeline.model.clip import Clip, Frame, Sound
from causeline.model.seams import FrameWatch
from causeline.sources.decode import decode_wanted
from causeline.sources.faults import RESEND, WANTED
from causeline.sources.fence_wire import (
    WireError,
    clip_from_wire,
    clip_to_wire,
    receive,
    send,
)
from causeline.sources.limits import Limits
from causeline.sources.opening import decode_name
from causeline.sources.repeats import RepeatWatch

CHILD = Path(__file__).with_name("fence_child.py")
PIPE_BYTES = 1 << 20
MOST_THREADS = 8
_Answer = tuple[dict[str, Any], list[NDArray[Any]]]


@dataclass(frozen=True, slots=True)
class Fence:
    """What the decoding process may take."""

    memory: int = 3 * 1024**3
    """Bytes of address space. 5.3K HEVC takes about one third of it."""
    computing_s: int = 1800
    """Seconds of all its cores together."""
    patience_s: float = 60.0
    """Seconds without a sign."""
    files: int = 32
    """Open at once."""


class FencedClips:
    """Reads clips from files in a process of their own; the same answers as `PyavClips`.

    Close it, or use it in a `with`, so that the process ends.
    """

    def __init__(
        self, limits: Limits | None = None, threads: int = 0, fence: Fence | None = None
    ) -> None:
        """`threads` are the decoder's; 0 means as many as there are cores, up to 8."""
        self._limits = limits or Limits()
        self._threads = threads or min(MOST_THREADS, os.cpu_count() or 1)
        self._fence = fence or Fence()
        self._children: set[subprocess.Popen[bytes]] = set()
        self._idle: tuple[Path, subprocess.Popen[bytes]] | None = None

    def probe(self, path: Path) -> Clip:
        """Read what a clip is; see `PyavClips.probe`."""
        answers = list(self._call(path, {"call": "probe"}))
        try:
            ((head, arrays),) = answers
            return clip_from_wire(head["clip"], arrays)
        except (WireError, LookupError, ValueError) as error:
            raise self._nonsense(path, "no clip") from error

    def frames(
        self,
        path: Path,
        clip: Clip,
        wanted: Sequence[int],
        longest_side: int | None = None,
        watch: FrameWatch | None = None,
    ) -> Iterator[Frame]:
        """Decode the wanted frames in order; see `PyavClips.frames`."""
        wanted = decode_wanted(wanted, len(clip.clock), longest_side)
        if not wanted:
            return
        head: dict[str, Any] = {"call": "frames", "longest_side": longest_side, "range": None}
        head |= {"watch": watch is not None, "repeats": isinstance(watch, RepeatWatch)}
        listed: list[NDArray[Any]] = []
        if isinstance(wanted, range):
            head["range"] = [wanted.start, wanted.stop, wanted.step]
        else:
            listed.append(np.array(wanted, dtype=np.int64))
        for answer, parts in self._call(path, head, clip, listed):
            if "frame" in answer:
                yield self._frame(path, clip, answer, parts)
            elif watch is not None:
                _show(watch, answer, parts)

    def sound(
        self, path: Path, clip: Clip, start_s: float = 0.0, stop_s: float | None = None
    ) -> Sound | None:
        """The audio between two file seconds from the first frame; see `PyavClips.sound`."""
        head = {"call": "sound", "start_s": start_s, "stop_s": stop_s}
        answers = list(self._call(path, head, clip))
        if not answers:
            return None
        answer, (samples,) = answers[0]
        return Sound(samples, float(answer["rate_hz"]), float(answer["starts_s"]))

    def voice(self, path: Path) -> Sound:
        """The samples of a sound file; see `decode_voice`."""
        answers = list(self._call(path, {"call": "voice"}))
        try:
            ((answer, (samples,)),) = answers
            return Sound(samples, float(answer["rate_hz"]), float(answer["starts_s"]))
        except (LookupError, ValueError) as error:
            raise self._nonsense(path, "no voice") from error

    def without_network(self) -> bool:
        """Whether the process could give up the network; not every system lets it."""
        nowhere = Path("/")
        answers = list(self._call(nowhere, {"call": "about"}))
        return any(answer.get("alone") is True for answer, _ in answers)

    def close(self) -> None:
        """End every process."""
        self._idle = None
        while self._children:
            self._end(next(iter(self._children)))

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def __del__(self) -> None:
        self.close()

    def _call(
        self,
        path: Path,
        head: dict[str, Any],
        clip: Clip | None = None,
        listed: Sequence[NDArray[Any]] = (),
    ) -> Iterator[_Answer]:
        """The answers to one call. Where they are not all taken, the process is ended."""
        child = self._taken(path)
        plain, arrays = clip_to_wire(clip) if clip is not None else ({}, [])
        finished = False
        try:
            send(_pipe(child.stdin), {**head, **_where(path), "clip": plain}, *arrays, *listed)
            while True:
                answer, parts = receive(_pipe(child.stdout), self._fence.patience_s)
                finished = "end" in answer or "error" in answer
                if "error" in answer:
                    raise _told_error(answer, path)
                if finished:
                    return
                yield answer, parts
        except CauselineError:
            raise  # some of them are errors of the system too
        except (WireError, OSError) as error:
            raise self._ended(path, child, error) from error
        finally:
            if finished and self._idle is None and child in self._children:
                self._idle = (path, child)
            else:
                self._end(child)

    def _taken(self, path: Path) -> subprocess.Popen[bytes]:
        """A process for this clip alone, that answers no other call at this time."""
        idle, self._idle = self._idle, None
        if idle is not None and idle[0] == path and idle[1].poll() is None:
            return idle[1]
        if idle is not None:
            self._end(idle[1])
        return self._started()

    def _end(self, child: subprocess.Popen[bytes]) -> None:
        self._children.discard(child)
        child.kill()
        for pipe in (child.stdin, child.stdout):
            if pipe is not None:
                with contextlib.suppress(OSError):
                    pipe.close()
        child.wait()

    def _started(self) -> subprocess.Popen[bytes]:
        fence = {"memory": self._fence.memory, "computing_s": self._fence.computing_s}
        fence["files"] = self._fence.files
        told = {"fence": fence, "limits": asdict(self._limits), "threads": self._threads}
        child = subprocess.Popen(  # noqa: S603 - our own file, by our own interpreter
            [sys.executable, "-I", str(CHILD), json.dumps(told)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env={"OPENBLAS_NUM_THREADS": "1", "PATH": ""},
            bufsize=0,
        )
        self._children.add(child)
        with contextlib.suppress(OSError, AttributeError):
            fcntl.fcntl(_pipe(child.stdout), fcntl.F_SETPIPE_SZ, PIPE_BYTES)
        return child

    def _frame(
        self, path: Path, clip: Clip, answer: dict[str, Any], parts: list[NDArray[Any]]
    ) -> Frame:
        picture: Any = parts[0] if len(parts) == 1 else np.zeros(0)
        index, shrink = int(answer["frame"]), float(answer["shrink"])
        fits = picture.ndim == 3 and picture.shape[2] == 3 and picture.dtype == np.uint8
        if not fits or not 0 <= index < len(clip.clock) or not 0 < shrink <= 1:
            raise self._nonsense(path, "no frame")
        return Frame(index, picture, shrink)

    def _nonsense(self, path: Path, what: str) -> ClipError:
        return NotAVideo(f"{decode_name(path)} upsets the video library ({what})", WANTED, RESEND)

    def _ended(self, path: Path, child: subprocess.Popen[bytes], error: Exception) -> ClipError:
        """Why the process gave no answer."""
        name = decode_name(path)
        if str(error) == "silence":
            return ClipTooLarge(
                f"{name} was worked on for {self._fence.patience_s:g} s without a sign",
                "a frame, or the end, was expected sooner",
                RESEND,
            )
        with contextlib.suppress(subprocess.TimeoutExpired):
            child.wait(5.0)
        if child.returncode in (-signal.SIGXCPU, -signal.SIGKILL):
            return ClipTooLarge(
                f"{name} took more computing time or memory than a clip may",
                f"up to {self._fence.computing_s} s and {self._fence.memory >> 20} MiB are allowed",
                "cut the clip to the swing, or raise the limit",
            )
        how = f"ended with {child.returncode}"
        return NotAVideo(f"{name} upsets the video library ({how})", WANTED, RESEND)


def _show(watch: FrameWatch, answer: dict[str, Any], parts: list[NDArray[Any]]) -> None:
    """Let a watch hear what the one inside the fence heard, in the same order."""
    if "grey" in answer and parts:
        watch.see(int(answer["grey"]), parts[0])
    elif "spares" in answer:
        watch.spares(int(answer["spares"]))
    elif "over" in answer:
        watch.pass_over(range(*answer["over"]))


def _where(path: Path) -> dict[str, str]:
    """A path as plain data, whatever bytes are in it."""
    return {"path": os.fsencode(path.absolute()).hex()}


def _pipe(pipe: Any) -> int:
    return int(pipe.fileno())


_KINDS: tuple[type[CauselineError], ...] = (
    ClipError,
    ClipNotFound,
    ClipUnreadable,
    NotAVideo,
    NoFrames,
    ClipTooLarge,
    SettingError,
)
_KNOWN = {kind.__name__: kind for kind in _KINDS}


def _told_error(answer: dict[str, Any], path: Path) -> CauselineError:
    """The error that was raised on the other side."""
    parts = [str(part) for part in answer.get("parts", [])][:3]
    kind = _KNOWN.get(str(answer["error"]))
    if kind is not None and parts:
        return kind(*parts)
    if answer["error"] == "MemoryError":
        return ClipTooLarge(f"{decode_name(path)} needs more memory than a clip may")
    return NotAVideo(f"{decode_name(path)} upsets the video library", WANTED, RESEND)

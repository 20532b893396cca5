"""The fenced process: opens and decodes one clip for another process, and can do little else.

Run by its path, never imported by the rest: it shuts itself in before a decoder is loaded. It has
no network where the system lets it give that up, may write no file, open few, and take so much
memory and computing time and no more.
"""

from __future__ import annotations

import ctypes
import json
import os
import resource
import sys
import types
from pathlib import Path
from typing import Any

_NEW_USER, _NEW_NET = 0x10000000, 0x40000000
_NO_NEW_PRIVILEGES = 38


def main() -> None:
    """Serve calls on standard input and output until the other end is gone."""
    told = json.loads(sys.argv[1])
    answers = os.dup(1)
    os.dup2(2, 1)  # what a library prints is no answer
    alone = _shut_in(told["fence"])
    _this_package()
    serve(0, answers, told, alone)


def _shut_in(fence: dict[str, int]) -> bool:
    """Take limits on; gives whether the network is gone too."""
    for name, most in (
        (resource.RLIMIT_AS, fence["memory"]),
        (resource.RLIMIT_CPU, fence["computing_s"]),
        (resource.RLIMIT_NOFILE, fence["files"]),
        (resource.RLIMIT_FSIZE, 0),
        (resource.RLIMIT_CORE, 0),
    ):
        hard = resource.getrlimit(name)[1]
        least = most if hard == resource.RLIM_INFINITY else min(most, hard)
        resource.setrlimit(name, (least, least))
    system = ctypes.CDLL(None, use_errno=True)
    if sys.platform == "linux":
        system.prctl(_NO_NEW_PRIVILEGES, 1, 0, 0, 0)
        # Refused on some systems; then the other limits still hold.
        return bool(system.unshare(_NEW_USER | _NEW_NET) == 0)
    return False


def _this_package() -> None:
    """The rest is taken from beside this file, wherever else Python would look for it."""
    package = types.ModuleType("causeline")
    package.__path__ = [str(Path(__file__).resolve().parents[1])]
    sys.modules["causeline"] = package


def serve(calls: int, answers: int, told: dict[str, Any], alone: bool) -> None:
    """Answer calls until there are no more."""
    from causeline.errors import CauselineError
    from causeline.sources.decode import PyavClips
    from causeline.sources.fence_wire import WireError, receive, send
    from causeline.sources.limits import Limits

    source = PyavClips(Limits(**told["limits"]), told["threads"])
    while True:
        try:
            head, arrays = receive(calls, None)
        except WireError:
            return
        if head["call"] == "about":
            send(answers, {"alone": alone})
            send(answers, {"end": True})
            continue
        try:
            for answer, *parts in _answers(source, head, arrays):
                send(answers, answer, *parts)
            send(answers, {"end": True})
        except CauselineError as error:
            parts = [error.came, error.expected, error.remedy]
            send(answers, {"error": type(error).__name__, "parts": parts})
        except MemoryError:
            send(answers, {"error": "MemoryError", "parts": []})
        except BrokenPipeError:
            return


def _answers(source: Any, head: dict[str, Any], arrays: list[Any]) -> Any:
    from causeline.sources.fence_wire import clip_from_wire, clip_to_wire
    from causeline.sources.repeats import RepeatWatch

    path = Path(os.fsdecode(bytes.fromhex(head["path"])))
    if head["call"] == "probe":
        plain, parts = clip_to_wire(source.probe(path))
        yield {"clip": plain}, *parts
        return
    if head["call"] == "voice":
        from causeline.sources.voice import decode_voice

        voice = decode_voice(path)
        yield {"rate_hz": voice.rate_hz, "starts_s": voice.starts_s}, voice.samples
        return
    clip = clip_from_wire(head["clip"], arrays[:2])
    if head["call"] == "sound":
        sound = source.sound(path, clip, head["start_s"], head["stop_s"])
        if sound is not None:
            yield {"rate_hz": sound.rate_hz, "starts_s": sound.starts_s}, sound.samples
        return
    wanted = range(*head["range"]) if head["range"] else arrays[2].tolist()
    inner = RepeatWatch(clip) if head["repeats"] else None
    watch = _Watch(inner) if head["watch"] else None
    for frame in source.frames(path, clip, wanted, head["longest_side"], watch):
        if watch is not None:
            yield from watch.taken()
        yield {"frame": frame.index, "shrink": frame.shrink}, frame.picture
    if watch is not None:
        yield from watch.taken()


class _Watch:
    """Keeps what a watch on the other side is to hear, until the next answer."""

    def __init__(self, inner: Any) -> None:
        """`inner` is the same watch as the other side's, and says what can be spared; or None."""
        self._inner = inner
        self._heard: list[Any] = []

    def spares(self, index: int) -> bool:
        """Whether the frame need not be decoded."""
        self._heard.append(({"spares": index},))
        return self._inner is not None and self._inner.spares(index)

    def pass_over(self, frames: range) -> None:
        """Take note of frames that are not decoded."""
        self._heard.append(({"over": [frames.start, frames.stop]},))
        if self._inner is not None:
            self._inner.pass_over(frames)

    def see(self, index: int, grey: Any) -> None:
        """Take note of a frame."""
        self._heard.append(({"grey": index}, grey.copy()))
        if self._inner is not None:
            self._inner.see(index, grey)

    def taken(self) -> list[Any]:
        """What was heard since the last time."""
        taken, self._heard = self._heard, []
        return taken


if __name__ == "__main__":
    main()

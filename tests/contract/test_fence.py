"""Hostile media end the process that decodes them, and nothing else."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from bench.fuzz import fuzz
from numpy.typing import NDArray

from causeline.errors import ClipError, ClipNotFound, ClipTooLarge, ClipUnreadable, NotAVideo
from causeline.model.seams import ClipSource
from causeline.sources.decode import PyavClips
from causeline.sources.fence import Fence, FencedClips
from causeline.sources.limits import Limits
from causeline.sources.repeats import RepeatWatch
from tests.clips import Recipe, ffmpeg, number_of, numbered_pictures, write_clip

MUTANTS = 200


@pytest.fixture(scope="module")
def swing(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("clips") / "swing.mp4"
    return write_clip(path, numbered_pictures(24), Recipe(options={"g": "6", "bf": "0"}, kbps=2000))


@pytest.fixture(scope="module")
def broad(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A clip of which no frame fits into a pipe, so that its decoder waits for readers."""
    path = tmp_path_factory.mktemp("clips") / "broad.mp4"
    source = ["-f", "lavfi", "-i", "testsrc=s=4096x2304:r=5:d=1"]
    ffmpeg(*source, "-c:v", "libx264", "-preset", "ultrafast", str(path))
    return path


@pytest.fixture
def fenced() -> Iterator[FencedClips]:
    with FencedClips() as source:
        yield source


class Watch:
    """Sees every frame."""

    def __init__(self) -> None:
        self.seen: list[tuple[int, int]] = []

    def spares(self, index: int) -> bool:
        return False

    def pass_over(self, frames: range) -> None:
        raise AssertionError(f"{frames} were passed over")

    def see(self, index: int, grey: NDArray[np.uint8]) -> None:
        self.seen.append((index, int(grey.sum())))


def test_the_same_answers_as_without_a_fence(fenced: FencedClips, swing: Path) -> None:
    plain = PyavClips()
    clip, inside = plain.probe(swing), fenced.probe(swing)
    assert (inside.name, inside.sha256, inside.codec) == (clip.name, clip.sha256, clip.codec)
    assert inside.clock.stamps.tolist() == clip.clock.stamps.tolist()
    assert inside.clock.time_base == clip.clock.time_base
    for wanted in (range(0, 24, 5), [1, 7, 8]):
        pairs = zip(
            plain.frames(swing, clip, wanted, 160),
            fenced.frames(swing, clip, wanted, 160),
            strict=True,
        )
        for one, other in pairs:
            assert (one.index, one.shrink) == (other.index, other.shrink)
            assert np.array_equal(one.picture, other.picture)


def test_a_watch_outside_hears_what_one_inside_would(fenced: FencedClips, swing: Path) -> None:
    plain, clip = PyavClips(), fenced.probe(swing)
    watches = [Watch(), Watch()]
    sources: tuple[ClipSource, ...] = (plain, fenced)
    for source, watch in zip(sources, watches, strict=True):
        list(source.frames(swing, clip, range(0, 24, 4), watch=watch))
    assert watches[0].seen == watches[1].seen
    marks = [RepeatWatch(clip), RepeatWatch(clip)]
    for source, mark in zip(sources, marks, strict=True):
        list(source.frames(swing, clip, range(0, 24, 4), watch=mark))
    assert marks[0].marked(clip).repeated.tolist() == marks[1].marked(clip).repeated.tolist()


def test_frames_that_are_not_all_taken_leave_no_process(fenced: FencedClips, swing: Path) -> None:
    clip = fenced.probe(swing)
    frames = fenced.frames(swing, clip, range(24))
    assert number_of(next(frames).picture) == 0
    del frames
    assert fenced._children == set()
    assert [number_of(frame.picture) for frame in fenced.frames(swing, clip, [3, 9])] == [3, 9]


@pytest.mark.parametrize(
    ("how", "error"),
    [(signal.SIGSEGV, NotAVideo), (signal.SIGABRT, NotAVideo), (signal.SIGKILL, ClipTooLarge)],
)
def test_a_decoder_that_dies_is_told_and_the_next_clip_is_read(
    fenced: FencedClips, broad: Path, how: signal.Signals, error: type[ClipError]
) -> None:
    clip = fenced.probe(broad)
    frames = fenced.frames(broad, clip, range(5))
    next(frames)
    (child,) = fenced._children
    os.kill(child.pid, how)
    with pytest.raises(error, match=r"broad\.mp4"):
        list(frames)
    assert len(fenced.probe(broad).clock) == 5


def test_a_decoder_that_says_nothing_is_ended(swing: Path) -> None:
    with FencedClips() as fenced:
        fenced.probe(swing)
        (child,) = fenced._children
        fenced._fence = Fence(patience_s=0.3)
        os.kill(child.pid, signal.SIGSTOP)
        with pytest.raises(ClipTooLarge, match=r"worked on for 0\.3 s without a sign"):
            fenced.probe(swing)
        assert child.poll() == -signal.SIGKILL


def test_calls_at_the_same_time_have_a_process_each(fenced: FencedClips, broad: Path) -> None:
    clip = fenced.probe(broad)
    passes = [fenced.frames(broad, clip, range(5), longest) for longest in (None, 1024, 512)]
    sizes = [[next(each).picture.shape[1] for each in passes] for _ in range(5)]
    assert sizes == [[4096, 1024, 512]] * 5
    assert len(fenced._children) == 3
    assert [list(each) for each in passes] == [[], [], []]
    assert len(fenced._children) == 1


def test_memory_has_an_end(broad: Path) -> None:
    """Where it ends, a decoder says so, or gives fewer frames; outside, nothing is felt of it."""
    outcomes = []
    for memory in (3 << 30, 260 << 20):
        with FencedClips(threads=1, fence=Fence(memory=memory)) as fenced:
            try:
                outcomes.append(_all_of(fenced, broad))
            except ClipError:
                outcomes.append(0)
    assert outcomes[0] == 5
    assert outcomes[1] < 5


def test_too_much_computing_is_told(swing: Path) -> None:
    told = pytest.raises(ClipTooLarge, match="more computing time or memory")
    with FencedClips(fence=Fence(computing_s=1)) as fenced, told:
        _all_of(fenced, swing, times=2000)


def _all_of(source: FencedClips, path: Path, times: int = 1) -> int:
    clip = source.probe(path)
    return sum(1 for _ in range(times) for _ in source.frames(path, clip, range(len(clip.clock))))


def test_limits_hold_inside(swing: Path) -> None:
    with FencedClips(Limits(pixels=100)) as fenced, pytest.raises(ClipTooLarge, match="100 pixels"):
        fenced.probe(swing)


CONFINED = """
import importlib.util, json, socket, sys
told = importlib.util.spec_from_file_location("fence_child", sys.argv[1])
child = importlib.util.module_from_spec(told)
told.loader.exec_module(child)
child._shut_in({"memory": 1 << 30, "computing_s": 5, "files": 16})
outcomes = {}
def attempt(name, does):
    try:
        does()
    except BaseException as error:
        outcomes[name] = type(error).__name__
    else:
        outcomes[name] = "done"
def write():
    with open(sys.argv[3], "w") as file:
        file.write("x")
import signal
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
attempt("connect", lambda: socket.create_connection(("127.0.0.1", int(sys.argv[2])), 2))
attempt("write", write)
attempt("open", lambda: [open(sys.argv[1]) for _ in range(20)])
attempt("hoard", lambda: bytearray(2 << 30))
print(json.dumps(outcomes))
"""


def _may_leave_the_network() -> bool:
    return (
        subprocess.run(["unshare", "-rn", "true"], capture_output=True, check=False).returncode == 0
    )


def test_inside_there_is_no_network_no_writing_and_little_memory(tmp_path: Path) -> None:
    child = Path(sys.modules[FencedClips.__module__].__file__ or "").with_name("fence_child.py")
    with socket.create_server(("127.0.0.1", 0)) as server:
        command = [sys.executable, "-I", "-c", CONFINED, str(child)]
        command += [str(server.getsockname()[1]), str(tmp_path / "out")]
        told = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    expected = {"write": "OSError", "open": "OSError", "hoard": "MemoryError"}
    if _may_leave_the_network():
        expected["connect"] = "OSError"
    assert {name: eval(told)[name] for name in expected} == expected
    assert (tmp_path / "out").read_bytes() == b""


def test_a_playlist_with_outside_references_opens_none_of_them(
    fenced: FencedClips, swing: Path, tmp_path: Path
) -> None:
    with socket.create_server(("127.0.0.1", 0)) as server:
        server.settimeout(0.2)
        port = server.getsockname()[1]
        for name, content in {
            "a.m3u8": f"#EXTM3U\n#EXTINF:1,\nhttp://127.0.0.1:{port}/x.ts\n",
            "b.mp4": f"#EXTM3U\n#EXTINF:1,\nfile://{swing}\n#EXT-X-ENDLIST\n",
            "c.mp4": f"ffconcat version 1.0\nfile '{swing}'\n",
            "d.mp4": "v=0\no=- 0 0 IN IP4 127.0.0.1\nc=IN IP4 127.0.0.1\nm=video 5004 RTP/AVP 96\n",
        }.items():
            (tmp_path / name).write_text(content)
            with pytest.raises(NotAVideo):
                fenced.probe(tmp_path / name)
        with pytest.raises(TimeoutError):
            server.accept()


def test_a_clip_that_is_an_archive_too_is_read_as_a_clip(
    fenced: FencedClips, swing: Path, tmp_path: Path
) -> None:
    both = tmp_path / "both.mp4"
    both.write_bytes(swing.read_bytes())
    with zipfile.ZipFile(both, "a") as archive:
        archive.writestr("../../escape", "out")
    assert len(fenced.probe(both).clock) == 24
    assert not (tmp_path.parent.parent / "escape").exists()
    page = tmp_path / "page.mp4"
    page.write_bytes(b"<script>alert(1)</script>" + swing.read_bytes())
    with pytest.raises(ClipError):
        fenced.probe(page)


def test_what_is_no_ordinary_file_is_refused(fenced: FencedClips, tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.mp4")
    (tmp_path / "gone.mp4").symlink_to(tmp_path / "nowhere.mp4")
    (tmp_path / "null.mp4").symlink_to("/dev/zero")
    for name, error in (
        ("pipe.mp4", ClipUnreadable), ("gone.mp4", ClipNotFound), ("null.mp4", ClipUnreadable),
    ):  # fmt: skip
        with pytest.raises(error):
            fenced.probe(tmp_path / name)
    with pytest.raises(ClipNotFound, match="data:x,y"):
        fenced.probe(Path("data:x,y"))


def test_a_path_of_any_bytes(fenced: FencedClips, swing: Path, tmp_path: Path) -> None:
    odd = Path(os.fsdecode(os.fsencode(tmp_path) + b"/sw\xffing \n.mp4"))
    odd.write_bytes(swing.read_bytes())
    assert len(fenced.probe(odd).clock) == 24


def test_mutated_files_end_in_an_answer_or_a_plain_refusal(swing: Path, tmp_path: Path) -> None:
    told = fuzz([swing], MUTANTS, seed=1, folder=tmp_path)
    assert told.read + sum(told.refused.values()) == MUTANTS
    assert told.read > 0
    assert sum(told.refused.values()) > 0
    assert told.strange == []

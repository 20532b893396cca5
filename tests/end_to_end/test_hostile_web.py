"""Hostile media and names by HTTP: a real server stays up, and its library stays whole."""

from __future__ import annotations

import io
import os
import random
import socket
import subprocess
import tarfile
import tempfile
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx2 as httpx
import psutil
import pytest
from bench.fuzz import mutated

from causeline.store.library import load_library
from causeline.store.library_clips import load_clips
from causeline.store.library_lessons import save_lesson, save_link
from causeline.store.library_people import load_golfers
from causeline.store.verify import load_findings
from causeline.web import guard
from causeline.web.desk import Desk
from causeline.wiring_web import open_desk
from tests.clips import Recipe, ffmpeg, numbered_pictures, write_clip
from tests.shelf import a_coach, a_golfer, a_lesson
from tests.workbench import TOKEN, serving

SPOILT = int(os.environ.get("CAUSELINE_SPOILT", "12"))
"""Each is decoded in a process of its own; thousands go straight to a decoder in bench.fuzz."""
REFUSED = range(400, 500)


@pytest.fixture(scope="module")
def swing(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """A small sound clip."""
    path = tmp_path_factory.mktemp("clips") / "swing.mp4"
    return write_clip(path, numbered_pictures(24), Recipe(options={"g": "6"})).read_bytes()


@pytest.fixture
def server(empty_desk: Desk, scratch: Path) -> Iterator[httpx.Client]:
    """A client of a real server with one golfer; afterwards everything is looked at."""
    a_golfer(empty_desk.library, a_coach(empty_desk.library), "Ivo Lindgard")
    with serving(empty_desk) as address, browser(address) as client:
        yield client
        told = client.get("/healthz")
        assert told.json() == {"state": "well", "wrong": []}
    assert load_findings(empty_desk.library).problems == ()
    assert list(scratch.glob("causeline-*")) == []
    children = psutil.Process().children(recursive=True)
    assert [each for each in children if "fence_child" in " ".join(each.cmdline())] == []


def browser(address: str) -> httpx.Client:
    """As a page of the app asks."""
    headers = {guard.HEADER: TOKEN, "accept": "application/json"}
    return httpx.Client(
        base_url=address, headers=headers, cookies={guard.COOKIE: TOKEN}, timeout=60
    )


def send(client: httpx.Client, desk: Desk, content: Any, name: str = "swing.mp4") -> httpx.Response:
    """One clip as the body."""
    golfer = load_golfers(desk.library)[0]
    return client.post("/in/clips", params={"name": name, "golfer": golfer.id}, content=content)


def kept(desk: Desk) -> list[str]:
    """Names of the golfer's clips."""
    return [clip.name for clip in load_clips(desk.library, load_golfers(desk.library)[0].id)]


def test_a_playlist_opens_nothing(server: httpx.Client, empty_desk: Desk, swing: bytes) -> None:
    """Neither a file of this machine nor an address is opened, whatever the text names."""
    with socket.create_server(("127.0.0.1", 0)) as listening:
        listening.settimeout(0.3)
        at = f"http://127.0.0.1:{listening.getsockname()[1]}/x.ts"
        texts = (
            f"#EXTM3U\n#EXT-X-TARGETDURATION:1\n#EXTINF:1,\n{at}\n#EXT-X-ENDLIST\n",
            "#EXTM3U\n#EXTINF:1,\nfile:///etc/passwd\n",
            "ffconcat version 1.0\nfile '/etc/passwd'\n",
            f'<?xml version="1.0"?><MPD><Period><BaseURL>{at}</BaseURL></Period></MPD>',
            f"v=0\nc=IN IP4 127.0.0.1\nm=video {listening.getsockname()[1]} RTP/AVP 96\n",
        )
        for number, text in enumerate(texts):
            answer = send(server, empty_desk, text.encode(), f"list{number}.m3u8")
            assert answer.status_code in REFUSED
            assert "root:" not in answer.text
            assert set(answer.json()) == {"came", "expected", "remedy"}
        with pytest.raises(TimeoutError):
            listening.accept()
    assert kept(empty_desk) == []


def test_a_bomb_is_refused(server: httpx.Client, empty_desk: Desk, tmp_path: Path) -> None:
    """A few kilobytes that unfold to 35 million pixels a picture, and one that lasts two hours."""
    wide, long = tmp_path / "wide.mp4", tmp_path / "long.mp4"
    x264 = ["-c:v", "libx264", "-preset", "ultrafast"]
    ffmpeg("-f", "lavfi", "-i", "color=black:s=8192x4320:r=1:d=1", *x264, str(wide))
    ffmpeg("-f", "lavfi", "-i", "color=black:s=64x64:r=1:d=7200", *x264, str(long))
    for path in (wide, long):
        answer = send(server, empty_desk, path.read_bytes(), path.name)
        assert answer.status_code == 413
        assert path.name in answer.json()["came"]
    assert kept(empty_desk) == []


def test_what_is_two_things_at_once_is_a_clip_or_nothing(
    server: httpx.Client, empty_desk: Desk, swing: bytes
) -> None:
    """A clip that is a ZIP and a page as well is kept as it is, and never shown as a page."""
    archive = io.BytesIO()
    with zipfile.ZipFile(archive, "w") as pack:
        pack.writestr("../../escaped.txt", "out")
    page = b"<script>alert(1)</script>"
    assert send(server, empty_desk, swing + archive.getvalue(), "both.zip").status_code == 200
    assert send(server, empty_desk, page, "page.html").status_code in REFUSED
    answer = send(server, empty_desk, swing + page, "<script>alert(1)</script>.mp4")
    assert answer.status_code == 200
    at = f"/golfers/{load_golfers(empty_desk.library)[0].id}"
    assert "<script>alert" not in server.get(at, headers={"accept": "text/html"}).text
    assert answer.json()["clip"]["picture"].endswith(".jpg")
    picture = server.get(answer.json()["clip"]["picture"])
    assert picture.headers["content-type"] == "image/jpeg"
    assert picture.headers["x-content-type-options"] == "nosniff"


def test_links_and_devices_in_an_archive_stay_in_it(server: httpx.Client, empty_desk: Desk) -> None:
    archive = io.BytesIO()
    with tarfile.open(fileobj=archive, mode="w") as pack:
        for name, kind, to in (("swing.mp4", tarfile.SYMTYPE, "/etc/passwd"),
                               ("hard.mp4", tarfile.LNKTYPE, "/etc/passwd"),
                               ("zero.mp4", tarfile.CHRTYPE, "")):  # fmt: skip
            entry = tarfile.TarInfo(name)
            entry.type, entry.linkname = kind, to
            pack.addfile(entry)
    answer = send(server, empty_desk, archive.getvalue())
    assert answer.status_code in REFUSED
    assert "root:" not in answer.text


NAMES = (
    "../../../../etc/passwd", "/etc/passwd", "C:\\windows\\win.ini", "a\x00b.mp4", "\u202egp.4pm",
    "x" * 5000, "", "CON", "~/.ssh/id", "%2e%2e%2fx", "\r\nset-cookie: x=1", "\ud7ff\U0010ffff.mp4",
    "| touch /tmp/owned", "file:///etc/passwd", "pipe:0",
)  # fmt: skip


def test_names_are_words_and_never_paths(
    server: httpx.Client, empty_desk: Desk, swing: bytes
) -> None:
    for number, name in enumerate(NAMES):
        answer = send(server, empty_desk, swing + bytes(number + 1), name)
        assert answer.status_code in (200, *REFUSED), name
        assert "x=1" not in str(answer.headers.get("set-cookie", ""))
    golfer = load_golfers(empty_desk.library)[0].id
    for name in NAMES:
        files = [("files", (name or "x", swing, "video/mp4"))]
        answer = server.post("/in", data={"golfer": golfer}, files=files)
        assert answer.status_code in (200, *REFUSED)
    shown = kept(empty_desk)
    assert shown
    assert all("/" not in name and "\\" not in name and name.isprintable() for name in shown)
    root = Path(empty_desk.library.vault.root)
    assert all(len(each.name) == 64 for each in root.rglob("*") if each.is_file())
    assert not Path("/tmp/owned").exists()


def test_spoilt_clips_are_read_or_refused(
    server: httpx.Client, empty_desk: Desk, swing: bytes
) -> None:
    rng = random.Random(7)
    told = [send(server, empty_desk, mutated(swing, rng)).status_code for _ in range(SPOILT)]
    assert set(told) <= {200, *REFUSED}
    assert 0 < told.count(200) < SPOILT


def test_too_much_is_cut_off(
    server: httpx.Client, empty_desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By what it says of its size, and by what comes if it says nothing."""
    said = send(server, empty_desk, iter([b"x"]))
    assert said.status_code in REFUSED
    monkeypatch.setattr(guard, "LIMITS", (("/in/", guard.MEGA),))
    answer = send(server, empty_desk, bytes(3 * guard.MEGA))
    assert answer.status_code == 413
    answer = send(server, empty_desk, (bytes(65536) for _ in range(100)))
    assert answer.status_code == 413
    assert "1 megabytes" in answer.json()["came"]


def test_too_many_files_of_a_form_are_refused(server: httpx.Client, empty_desk: Desk) -> None:
    golfer = load_golfers(empty_desk.library)[0].id
    files = [("files", (f"{number}.mp4", b"x", "video/mp4")) for number in range(1100)]
    answer = server.post("/in", data={"golfer": golfer}, files=files)
    assert answer.status_code in REFUSED
    assert kept(empty_desk) == []


def test_a_golfer_s_link_takes_no_worse(
    server: httpx.Client, empty_desk: Desk, swing: bytes
) -> None:
    """The link's own route refuses the same, and its secret stands in no answer."""
    golfer = load_golfers(empty_desk.library)[0]
    lesson = save_lesson(empty_desk.library, a_lesson(golfer), "coach")
    _, secret = save_link(empty_desk.library, golfer.id, lesson.id)
    for content in (b"#EXTM3U\nfile:///etc/passwd\n", b"", b"\0" * 5000, swing[:200]):
        at = f"/g/{secret}/clips/{'0' * 32}"
        answer = server.put(at, params={"file": "../x.mp4"}, content=content)
        assert answer.status_code in REFUSED
        assert secret not in answer.text
        assert "root:" not in answer.text


def test_a_full_disk_is_told_and_loses_nothing(
    tmp_path: Path, swing: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = tmp_path / "disk"
    place.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=6m", "tmpfs", str(place)]
    if subprocess.run(mount, capture_output=True, check=False).returncode:
        pytest.skip("a small disk can only be made by root")
    try:
        (place / "tmp").mkdir()
        monkeypatch.setattr(tempfile, "tempdir", str(place / "tmp"))
        library = load_library(place / "library")
        desk = open_desk(library)
        a_golfer(library, a_coach(library), "Ivo Lindgard")
        with serving(desk) as address, browser(address) as client:
            assert send(client, desk, swing, "first.mp4").status_code == 200
            answer = send(client, desk, swing + bytes(7_000_000), "large.mp4")
            assert answer.status_code == 507
            assert "room" in answer.text
            assert kept(desk) == ["first.mp4"]
            (place / "filler").write_bytes(bytes(_free(place)))
            answer = send(client, desk, swing + b"2", "second.mp4")
            assert answer.status_code == 507
            (place / "filler").unlink()
            assert send(client, desk, swing + b"3", "third.mp4").status_code == 200
        library.tidy()
        assert sorted(kept(desk)) == ["first.mp4", "third.mp4"]
        assert load_findings(library).problems == ()
        assert list((place / "tmp").iterdir()) == []
        desk.jobs.stop()
        library.close()
    finally:
        monkeypatch.undo()
        subprocess.run(["umount", "-l", str(place)], check=True)


def _free(place: Path) -> int:
    """Nearly all that is left."""
    return max(0, psutil.disk_usage(str(place)).free - 4096)

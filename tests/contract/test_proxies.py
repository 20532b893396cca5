"""Proxies hold every frame of a swing by itself, in the clip's order and way up.

Outside references: ffprobe, which tells frame kinds and stamps of what was written, and the frames'
own pictures, which carry their numbers.
"""

from __future__ import annotations

import json
import subprocess
from contextlib import nullcontext
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from causeline.errors import NoFrames, OutputError
from causeline.model.clip import Picture
from causeline.model.proxy import Proxy
from causeline.reading.proxies import ProxyDoors, Wanted, run_proxy
from causeline.sources.decode import PyavClips
from causeline.sources.encode_proxy import PLACES_HZ, encode_proxy
from causeline.sources.fake_clips import FakeClips
from causeline.store.library import Library, load_library
from causeline.store.library_clips import load_clip
from causeline.store.library_proxies import LibraryProxies
from causeline.store.library_removal import save_clip_removed
from tests.clips import Recipe, number_of, numbered_pictures, write_clip
from tests.shelf import a_clip, a_golfer

DOORS = ProxyDoors(lambda: nullcontext(PyavClips()), encode_proxy, PLACES_HZ)
UNEVEN = np.cumsum([0, *np.random.default_rng(4).integers(2, 9, 59)]).tolist()
FORMS = {
    "long groups, frames out of order": (".mp4", Recipe(options={"g": "60", "bf": "3"})),
    "240 Hz": (".mov", Recipe(time_base=Fraction(1, 240), options={"g": "60"})),
    "uneven rate": (".mp4", Recipe(time_base=Fraction(1, 1000), stamps=UNEVEN)),
    "10-bit HEVC": (".mov", Recipe(codec="libx265", pixels="yuv420p10le")),
}


@pytest.fixture
def library(tmp_path: Path) -> Library:
    return load_library(tmp_path / "library")


def _kept(library: Library, clip: Path) -> tuple[str, str]:
    """Id and checksum of a clip in the library."""
    name = a_clip(library, a_golfer(library), clip.read_bytes())
    return name, load_clip(library, name).sha256


def _film(library: Library, wanted: Wanted) -> Path:
    key = LibraryProxies(library).film_key(wanted.key)
    assert key is not None
    return Path(library.vault.path(key))


@pytest.mark.parametrize("form", FORMS)
def test_every_frame_of_the_window_stands_by_itself(
    library: Library, tmp_path: Path, form: str
) -> None:
    suffix, recipe = FORMS[form]
    clip = write_clip(tmp_path / f"clip{suffix}", numbered_pictures(60), recipe)
    wanted = Wanted(_kept(library, clip)[1], 7, 49)
    proxy = run_proxy(LibraryProxies(library), DOORS, wanted)
    assert proxy.frames == tuple(range(7, 50))
    stamps = PyavClips().probe(clip).clock.stamps
    assert proxy.stamps == tuple(int(stamp) for stamp in stamps[7:50])
    film = _film(library, wanted)
    kinds, seconds = _frames(film)
    assert kinds == {"I"}
    assert seconds == pytest.approx([place / PLACES_HZ for place in range(43)], abs=1e-6)
    again = PyavClips()
    pictures = [frame.picture for frame in again.frames(film, again.probe(film), range(43))]
    assert [number_of(picture) for picture in pictures] == list(proxy.frames)


def _frames(film: Path) -> tuple[set[str], list[float]]:
    """The kinds of frames, and when each is shown, as ffprobe has them."""
    words = ["ffprobe", "-v", "error", "-select_streams", "v", "-of", "json"]
    words += ["-show_entries", "frame=pict_type,pts_time", str(film)]
    told = json.loads(subprocess.run(words, check=True, capture_output=True).stdout)["frames"]
    return {each["pict_type"] for each in told}, [float(each["pts_time"]) for each in told]


def test_a_turned_clip_comes_upright_and_odd_sides_lose_a_line(
    library: Library, tmp_path: Path
) -> None:
    recipe = Recipe(turn_deg=90.0)
    clip = write_clip(tmp_path / "clip.mp4", numbered_pictures(3), recipe)
    wanted = Wanted(_kept(library, clip)[1], 0, 2)
    proxy = run_proxy(LibraryProxies(library), DOORS, wanted)
    assert (proxy.width, proxy.height) == (96, 128)
    odd: list[Picture] = [np.full((97, 129, 3), 90, np.uint8)]
    assert encode_proxy(iter(odd), tmp_path / "odd.mp4") == (1, 128, 96)


def test_a_proxy_is_made_once_and_goes_with_its_clip(library: Library, tmp_path: Path) -> None:
    clip = write_clip(tmp_path / "clip.mp4", numbered_pictures(5))
    name, sha256 = _kept(library, clip)
    wanted, shelf = Wanted(sha256, 0, 4), LibraryProxies(library)
    first = run_proxy(shelf, DOORS, wanted)
    film = _film(library, wanted)
    broken = replace(DOORS, encode=_never)
    assert run_proxy(shelf, broken, wanted) == first
    assert Proxy.of(json.loads(json.dumps(first.plain()))) == first
    save_clip_removed(library, name, "coach")
    assert not film.exists()
    assert shelf.proxy(wanted.key) is None


def _never(*_: object) -> tuple[int, int, int]:
    raise AssertionError("made twice")


def test_frames_that_do_not_decode_are_left_out_of_the_table(
    library: Library, tmp_path: Path
) -> None:
    clip = write_clip(tmp_path / "clip.mp4", numbered_pictures(6))
    fake = FakeClips(numbered_pictures(6), undecodable=frozenset({2, 3}))
    wanted = Wanted(_kept(library, clip)[1], 1, 5)
    proxy = run_proxy(
        LibraryProxies(library), replace(DOORS, source=lambda: nullcontext(fake)), wanted
    )
    assert proxy.frames == (1, 4, 5)


def test_none_that_decodes_and_a_full_disk_are_told(library: Library, tmp_path: Path) -> None:
    clip = write_clip(tmp_path / "clip.mp4", numbered_pictures(3))
    wanted, shelf = Wanted(_kept(library, clip)[1], 0, 2), LibraryProxies(library)
    blind = FakeClips(numbered_pictures(3), undecodable=frozenset({0, 1, 2}))
    with pytest.raises(NoFrames, match="no frame from 0 to 2"):
        run_proxy(shelf, replace(DOORS, source=lambda: nullcontext(blind)), wanted)
    with pytest.raises(OutputError, match="no space left"):
        run_proxy(shelf, replace(DOORS, encode=_full), wanted)
    assert shelf.proxy(wanted.key) is None


def _full(*_: object) -> tuple[int, int, int]:
    raise OSError(28, "No space left on device")

"""Filming from files: the same twice, and what is carried between the machines comes back."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter
from studio.camera import DOWN_THE_LINE, FACE_ON
from studio.clubs import club_of
from studio.golfers import draw_golfer
from studio.perform import perform
from studio.performance import Performance
from studio.recording import Recording, write_clip
from studio.scene import Filming
from studio.shoot import Shot, cropped, keep_performance, kept_performance, shoot
from studio.truth import load_truth

NAME = "somebody"


@pytest.fixture(scope="module")
def performance() -> Performance:
    golfer = draw_golfer(np.random.default_rng(11), "mid iron", "skilled", {})
    return perform(golfer.build, golfer.swing, club_of("mid iron"), 11)


@pytest.fixture(scope="module")
def folder(performance: Performance, tmp_path_factory: pytest.TempPathFactory) -> Path:
    kept = tmp_path_factory.mktemp("performances")
    keep_performance(kept, NAME, performance, "body")
    return kept


def shot(view: str, **filming: object) -> Shot:
    """A second of a swing, five pictures."""
    how = Filming(view=view, rate_hz=5.0, size="480p", before_s=0.1, after_s=0.1, **filming)  # type: ignore[arg-type]
    return Shot(f"clip_{view}", NAME, 11, how)


@pytest.mark.parametrize(
    ("view", "held", "codec"),
    [
        pytest.param(FACE_ON, True, "h264", id="face-on, in the hand, H.264"),
        pytest.param(DOWN_THE_LINE, False, "hevc", id="down-the-line, on a tripod, HEVC"),
    ],
)
def test_the_same_clip_filmed_twice_is_the_same_file(
    view: str, held: bool, codec: str, folder: Path, tmp_path: Path
) -> None:
    recording = Recording(codec=codec, bit_rate=400_000)
    wanted = shot(view, hand_held=held, variable_rate=True, recording=recording)
    for out in ("one", "other"):
        shoot([wanted], folder, tmp_path / out)
    for name in (f"{wanted.name}.truth.json", f"{wanted.name}.mp4"):
        one, other = (tmp_path / out / name for out in ("one", "other"))
        assert one.read_bytes() == other.read_bytes(), name


@pytest.mark.parametrize("codec", ["h264", "hevc"])
def test_the_same_pictures_make_the_same_file(codec: str, tmp_path: Path) -> None:
    # Enough moving pictures, at a bit rate that has to choose, for an encoder to waver over.
    rng = np.random.default_rng(3)
    large = gaussian_filter(rng.normal(0, 1, (934, 560, 3)), (3, 3, 0))
    large = np.clip(128 + 40 * large / large.std(), 0, 255).astype(np.uint8)
    noise = rng.integers(-9, 10, (854, 480, 3))
    pictures = [
        np.clip(large[2 * i : 2 * i + 854, 2 * i : 2 * i + 480] + np.roll(noise, 7 * i, 0), 0, 255)
        for i in range(40)
    ]
    made = []
    for again in range(4):
        clip = tmp_path / f"{again}.mp4"
        frames = (picture.astype(np.uint8) for picture in pictures)
        write_clip(clip, frames, np.arange(40) / 30, Recording(codec, bit_rate=1_000_000))
        made.append(clip.read_bytes())
    assert len(set(made)) == 1


def test_another_phone_films_the_same_swing_otherwise(folder: Path, tmp_path: Path) -> None:
    first, second = (shot(FACE_ON, phone=phone, sound=False) for phone in (1, 2))
    for out, wanted in (("one", first), ("other", second)):
        shoot([wanted], folder, tmp_path / out)
    one, other = (
        load_truth(tmp_path / out / f"{first.name}.truth.json") for out in ("one", "other")
    )
    assert one["camera"] != other["camera"]
    assert one["points_m"]["nose"][0] == other["points_m"]["nose"][0]


def test_slow_motion_is_longer_and_says_what_it_is(folder: Path, tmp_path: Path) -> None:
    recording = Recording(bit_rate=400_000, slow_factor=4, says_capture_rate=True)
    (report,) = shoot([shot(FACE_ON, recording=recording)], folder, tmp_path)
    truth = load_truth(tmp_path / f"{report.name}.truth.json")
    assert truth["file"]["slow_factor"] == 4
    assert truth["file"]["says_capture_rate"]
    # Real seconds, not those of the player.
    assert truth["frames"]["time_s"][-1] == pytest.approx((report.frames - 1) / 5.0, abs=1e-6)
    assert report.frames == truth["frames"]["count"]
    assert f"{report.frames} pictures" in report.line()


def test_a_performance_is_kept_and_comes_back(performance: Performance, folder: Path) -> None:
    back = kept_performance(folder, NAME)
    assert np.abs(back.bone_transforms - performance.bone_transforms).max() < 2e-4
    assert back.moments == performance.moments
    assert back.measures.keys() == performance.measures.keys()


def test_cropping_keeps_the_clock_and_cuts_everything(performance: Performance) -> None:
    top, impact = performance.moments["top"], performance.moments["impact"]
    part = cropped(performance, top, impact)
    assert top <= part.time_s[0] < part.time_s[-1] <= impact
    count = len(part.time_s)
    assert len(part.bone_transforms) == len(part.butt) == count
    assert {len(path) for path in part.joints.values()} == {count}
    assert {len(values) for values in part.turns.values()} == {count}
    assert part.moments == performance.moments
    at = int(np.searchsorted(performance.time_s, part.time_s[0]))
    assert np.array_equal(part.joints["lead_wrist"][0], performance.joints["lead_wrist"][at])

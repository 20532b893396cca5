"""`causeline compare` on real files: the page, the picture, the film, and what is refused."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from PIL import Image

from causeline.cli import main
from causeline.model.clip import Called
from causeline.model.measures import Measure
from causeline.model.moments import MomentName
from causeline.sources.decode import PyavClips
from causeline.store.reading_file import save_reading
from tests.end_to_end.filmed import a_clip, a_reading

TOP = MomentName.TOP


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two readings of one clip, the second with another lead arm; and one filmed from behind."""
    folder = tmp_path_factory.mktemp("two")
    a_clip(folder / "ivo.mp4", 192)
    clip = PyavClips().probe(folder / "ivo.mp4")
    reading = a_reading(clip.sha256)
    save_reading(reading, folder / "a.json")
    other = [Measure("lead_arm_angle", TOP, 145.6, 4.1, "°", "drawn")]
    swing = reading.swings[0]
    kept = [one for one in swing.measures if (one.name, one.moment) != ("lead_arm_angle", TOP)]
    changed = replace(swing, measures=(*kept, *other))
    save_reading(replace(reading, swings=(changed,)), folder / "b.json")
    behind = replace(reading, view=Called("down-the-line", 1.0))
    save_reading(behind, folder / "behind.json")
    return folder


def _run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(main, ["compare", *map(str, arguments)])


def test_what_differs_is_told_with_its_spread(folder: Path, tmp_path: Path) -> None:
    """168 to 145.6 is −22.4; in one clip half of each 4.1² drops out, so that ± 4.1 is left."""
    names = ("--name-a", "April", "--name-b", "May")
    done = _run(folder / "a.json", folder / "b.json", "--out", tmp_path, *names)
    assert done.exit_code == 0, done.output
    page = (tmp_path / "beside.html").read_text(encoding="utf-8")
    assert "April and May" in page
    assert "−22° <span" in page
    assert "One clip: camera, golfer and clothes are the same" in page
    with Image.open(tmp_path / "beside.jpg") as picture:
        assert picture.width > picture.height / 2


def test_two_places_are_not_compared(folder: Path, tmp_path: Path) -> None:
    done = _run(folder / "a.json", folder / "behind.json", "--out", tmp_path)
    assert done.exit_code == 2
    assert "filmed from the same place" in " ".join(done.stderr.split())
    assert not list(tmp_path.iterdir())


def test_a_missing_clip_is_told(folder: Path, tmp_path: Path) -> None:
    done = _run(folder / "a.json", tmp_path / "none.mp4", "--out", tmp_path / "out")
    assert done.exit_code == 3

"""`causeline read`, as it is typed: what it prints, and the exit codes that the README lists."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from click.testing import CliRunner, Result

from causeline.cli import main

README = Path(__file__).parents[2] / "README.md"


def _run(*words: str | Path) -> Result:
    return CliRunner().invoke(main, ["read", *(str(word) for word in words)])


def _empty_scene(path: Path) -> Path:
    """A second of a grey wall."""
    with av.open(str(path), "w") as container:
        stream = container.add_stream("libx264", rate=Fraction(30))
        stream.width, stream.height, stream.pix_fmt = 160, 240, "yuv420p"
        for _ in range(30):
            picture = np.full((240, 160, 3), 120, np.uint8)
            container.mux(stream.encode(av.VideoFrame.from_ndarray(picture, format="rgb24")))
        container.mux(stream.encode())
    return path


def test_a_missing_file_ends_with_3_and_says_what_to_do(tmp_path: Path) -> None:
    done = _run(tmp_path / "nowhere.mp4")
    assert done.exit_code == 3
    assert "nowhere.mp4" in done.output


def test_a_text_file_ends_with_3(tmp_path: Path) -> None:
    path = tmp_path / "swing.mp4"
    path.write_text("this is no video")
    assert _run(path).exit_code == 3


def test_a_clip_of_nobody_ends_with_4(tmp_path: Path) -> None:
    done = _run(_empty_scene(tmp_path / "wall.mp4"))
    assert done.exit_code == 4, done.output


def test_a_missing_folder_is_told_before_anything_is_read(tmp_path: Path) -> None:
    done = _run(tmp_path / "nowhere.mp4", "--page", tmp_path / "no" / "page.html")
    assert done.exit_code == 5
    assert "no folder" in done.output


@pytest.mark.parametrize(
    "words",
    [
        ("--view", "above"),
        ("--hand", "both"),
        ("--stature-cm", "12"),
        ("--max-minutes", "0"),
        ("--club", "spoon"),
        ("--pin", "tea=why not"),
        ("--strike", "slice"),
        ("--pin", "slice= "),
    ],
)
def test_a_wrong_option_ends_with_2(words: tuple[str, str], tmp_path: Path) -> None:
    assert _run(tmp_path / "swing.mp4", *words).exit_code == 2


def test_a_clip_beyond_the_limit_ends_with_3_and_names_the_option(tmp_path: Path) -> None:
    done = _run(_empty_scene(tmp_path / "wall.mp4"), "--max-megapixels", "0.01")
    assert done.exit_code == 3
    assert "limit" in done.output.lower()


def test_every_option_stands_in_the_readme() -> None:
    text = README.read_text()
    command = main.commands["read"]
    for parameter in command.params:
        for name in parameter.opts:
            if name.startswith("--") and name not in ("--json", "--page"):
                assert name in text, name
    for name in ("--json", "--page"):
        assert name in text

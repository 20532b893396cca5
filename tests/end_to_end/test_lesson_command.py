"""`causeline lesson` on real files: a drawn clip, its reading file, and what comes out."""

from __future__ import annotations

import hashlib
import io
import json
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import av
import pypdfium2 as pdfium  # type: ignore[import-untyped]
import pytest
from click.testing import CliRunner, Result
from icalendar import Calendar, Event

from causeline.cli import main
from causeline.model.clip import View
from causeline.model.moments import MomentName
from causeline.reading.teaching import run_findings
from causeline.render import film, film_plan
from causeline.render.film import render_film_length
from causeline.render.film_plan import RATE_HZ
from causeline.render.lesson_figures import Scene
from causeline.render.lesson_film import render_lesson_film
from causeline.sources.decode import PyavClips
from causeline.sources.encode import MOST_BYTES
from causeline.store.lesson_file import load_lesson
from causeline.store.reading_file import save_reading
from causeline.wiring import open_cast, open_reading
from tests.end_to_end.filmed import a_clip, a_reading


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A clip of 192 frames, its reading beside it, and one of a sound swing elsewhere."""
    folder = tmp_path_factory.mktemp("swing")
    a_clip(folder / "ivo.mp4", 192)
    clip = PyavClips().probe(folder / "ivo.mp4")
    save_reading(a_reading(clip.sha256), folder / "ivo.json")
    (folder / "other").mkdir()
    save_reading(a_reading(clip.sha256), folder / "other" / "sound.json")
    return folder


def _run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(main, ["lesson", *map(str, arguments)])


@pytest.fixture(scope="module")
def short() -> Iterator[None]:
    """A film that hardly rests, so that few pictures are drawn."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(film, "TITLE_S", 0.2)
        patch.setattr(film, "END_S", 0.2)
        patch.setattr(film_plan, "LEAST_REST_S", 0.4)
        patch.setattr(film_plan, "MOST_REST_S", 0.4)
        for name in ("SLOW_BACK", "SLOW_DOWN", "SLOW_THROUGH"):
            patch.setattr(film_plan, name, 1.0)
        yield


@pytest.fixture(scope="module")
def written(folder: Path, short: None) -> Path:
    out = folder / "out"
    done = _run(
        folder / "ivo.json", "--out", out, "--golfer", "Ivo", "--coach", "Maren Oakes",
        "--said", "I want more turn.", "--timezone", "Europe/Berlin", "--start", "2026-10-20T18:30",
            )  # fmt: skip
    assert done.exit_code == 0, done.output
    return out


def test_everything_is_there(written: Path) -> None:
    assert sorted(path.name for path in written.iterdir()) == [
        "lesson.html", "lesson.json", "lesson.pdf", "practice.ics", "swing.mp4",
    ]  # fmt: skip


def test_the_lesson_file_and_the_page_agree(folder: Path, written: Path) -> None:
    lesson = load_lesson(written / "lesson.json")
    found = run_findings([open_reading(folder / "ivo.json").shown]).cause
    assert found is not None
    assert lesson.cause == found.name
    headline = lesson.line("cause.headline")
    assert headline is not None
    assert headline.text in (written / "lesson.html").read_text(encoding="utf-8")
    document = pdfium.PdfDocument(io.BytesIO((written / "lesson.pdf").read_bytes()))
    assert len(document) >= 3
    document.close()


def test_the_calendar_keeps_the_golfers_hour_when_the_clocks_change(written: Path) -> None:
    """Europe/Berlin leaves summer time on 25 October 2026 (tz database)."""
    calendar = Calendar.from_ical((written / "practice.ics").read_bytes())
    starts = [each.start for each in calendar.walk("VEVENT") if isinstance(each, Event)]
    hours = {(one.hour, one.minute) for one in starts if isinstance(one, datetime)}
    assert hours == {(18, 30)}
    assert calendar.walk("VTIMEZONE")


def test_the_film_plays_and_rests_on_the_moment(folder: Path, written: Path, short: None) -> None:
    """The picture that is held is the clip's own frame: its brightness is its number."""
    data = (written / "swing.mp4").read_bytes()
    assert len(data) < MOST_BYTES
    lesson = load_lesson(written / "lesson.json")
    filmed = open_reading(folder / "ivo.json")
    scenes = {View.FACE_ON: Scene(open_cast(filmed, "You"))}
    made = render_lesson_film(lesson, scenes)
    assert made is not None
    rests = [rest.moment for rest in made.acts[0].rests]
    assert MomentName.TOP in [moment.name for moment in rests]
    with av.open(io.BytesIO(data), "r") as file:
        stream = file.streams.video[0]
        assert stream.average_rate == RATE_HZ
        assert stream.frames == render_film_length(made)
        sky = [
            float(
                frame.to_ndarray(format="rgb24", src_colorspace="ITU709")[200:240, 300:340].mean()
            )
            for frame in file.decode(stream)
        ]
    held = [value for value, after in zip(sky, sky[6:], strict=False) if abs(value - after) < 0.4]
    for moment in rests:
        frame = next(PyavClips().frames(filmed.path, filmed.shown.reading.clip, [moment.frame]))
        own = float(frame.picture[40, 60].mean())
        assert min(abs(value - own) for value in held) < 3  # neighbours differ by 7


def test_a_clip_that_is_missing_or_another_is_told(folder: Path, tmp_path: Path) -> None:
    done = _run(folder / "other" / "sound.json", "--out", tmp_path / "out")
    assert done.exit_code == 3
    assert "no clip with the content that" in done.stderr
    assert "name the clip with --clip" in " ".join(done.stderr.split()).lower()
    a_clip(tmp_path / "wrong.mp4", 30)
    again = _run(
        folder / "other" / "sound.json", "--clip", tmp_path / "wrong.mp4", "--out", tmp_path
    )
    assert again.exit_code == 3
    assert not list(tmp_path.glob("lesson.*"))


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (("--timezone", "Middle/Earth"), 2),
        (("--language", "xx"), 2),
        (("--pin", "knee"), 2),
        (("--swing", "7"), 2),
        (("--start", "soon"), 2),
    ],
)
def test_a_wrong_option_writes_nothing(
    folder: Path, tmp_path: Path, arguments: tuple[str, str], code: int
) -> None:
    done = _run(folder / "ivo.json", "--out", tmp_path, *arguments)
    assert (done.exit_code, list(tmp_path.iterdir())) == (code, [])


def test_a_file_that_is_no_reading_is_told(tmp_path: Path) -> None:
    (tmp_path / "swing.json").write_text(json.dumps({"schema": "other"}))
    assert _run(tmp_path / "swing.json", "--out", tmp_path / "out").exit_code == 7


def test_two_readings_of_one_view_are_told(folder: Path, tmp_path: Path) -> None:
    done = _run(folder / "ivo.json", folder / "ivo.json", "--out", tmp_path / "out", "--no-film")
    assert done.exit_code == 2
    assert "two from different places" in " ".join(done.stderr.split())


def test_an_unwritable_folder_is_told_before_the_work(folder: Path, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    assert _run(folder / "ivo.json", "--out", tmp_path / "file" / "out").exit_code == 5


def test_the_same_words_give_the_same_lesson(folder: Path, tmp_path: Path) -> None:
    for name in ("one", "two"):
        done = _run(
            folder / "ivo.json", "--out", tmp_path / name, "--no-film", "--start", "2026-05-01"
        )
        assert done.exit_code == 0
    one, two = (
        hashlib.sha256((tmp_path / name / "lesson.json").read_bytes()).hexdigest()
        for name in ("one", "two")
    )
    assert one == two

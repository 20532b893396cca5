"""Readings that survive: done once, shown whole, taken up again when whoever worked is gone."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import fields, replace
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from bench.puppet_reader import Here, ask, puppet_doors, read_puppet, the_golfer

from causeline.errors import EngineError, NotAVideo, OutputError
from causeline.model.clip import Hand, View
from causeline.model.findings import ClubSort, Ruling, Say
from causeline.model.library import ReadingEntry, State
from causeline.model.moments import MomentName
from causeline.model.motion import Correction
from causeline.model.seen import Seen
from causeline.model.touched import ClubMark, MomentMark
from causeline.quantities.uncertain import Uncertain
from causeline.reading import work
from causeline.reading.doors import Doors, Settings
from causeline.reading.work import Crew, run_claimed, run_waiting
from causeline.store.library import Library, load_library
from causeline.store.library_claims import is_dead, new_claim
from causeline.store.library_clips import ClipNotes, save_clip
from causeline.store.library_readings import (
    MOST_TRIES,
    ReadingBook,
    load_reading_content,
    load_reading_entry,
    load_swings,
)
from causeline.store.library_removal import save_golfer_removed
from causeline.store.tables import READINGS
from causeline.wiring_work import start_worker
from tests.work_tasks import killed_always, killed_once

ROOT = Path(__file__).parents[2]
ELSEWHERE = "another host/pid:[1]|boot|1|1|token"


def asked(library: Library, content: bytes = b"a swing", **settings: Any) -> ReadingEntry:
    """A reading of a clip that was just kept."""
    clip = save_clip(library, the_golfer(library).id, content, ClipNotes("swing.mov"))
    return ask(library, clip.sha256, Settings(**settings))


def work_here(library: Library, silent_s: float = work.SILENT_S) -> None:
    """Work until nothing waits."""
    crew = Crew(1, Here, partial(read_puppet, library.address))
    run_waiting(ReadingBook(library), crew, silent_s=silent_s)


def state_of(library: Library, entry: ReadingEntry) -> State:
    return load_reading_entry(library, entry.id).state


@contextmanager
def doors_that(**changed: Any) -> Iterator[Doors]:
    yield replace(puppet_doors(), **changed)


class Broken:
    """A clip source that raises."""

    def __init__(self, error: Exception) -> None:
        self.error = error

    def probe(self, path: Path) -> Any:
        raise self.error


def test_a_reading_is_asked_for_once_and_shown_whole(library: Library) -> None:
    entry = asked(library)
    assert asked(library).id == entry.id
    assert asked(library, stature_m=Uncertain(1.8, 0.01)).id != entry.id
    work_here(library)
    done = load_reading_entry(library, entry.id)
    assert (done.state, done.tries, done.error) == (State.READY, 1, "")
    content = load_reading_content(library, done)
    assert content["clip"]["name"] == "clip"
    (swing,) = load_swings(library, entry.id)
    assert swing.first_frame == content["swings"][0]["first_frame"]
    assert asked(library).state is State.READY
    assert run_claimed(ReadingBook(library), entry.id, puppet_doors) is None


def test_what_was_seen_is_not_looked_at_again(library: Library) -> None:
    entry = asked(library)
    work_here(library)
    again = asked(library, stature_m=Uncertain(1.8, 0.01))
    with doors_that(source=Broken(AssertionError("looked again"))) as doors:
        assert run_claimed(ReadingBook(library), again.id, lambda: doors) is State.READY
    first, second = (load_reading_entry(library, each.id) for each in (entry, again))
    assert first.seen_key == second.seen_key


def test_of_two_who_claim_one_works(library: Library) -> None:
    entry, claims = asked(library), []
    start = threading.Barrier(6)

    def claim() -> None:
        start.wait()
        claims.append(ReadingBook(library).claim(entry.id))

    threads = [threading.Thread(target=claim) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sum(each is not None for each in claims) == 1


@pytest.mark.parametrize(
    ("error", "state"),
    [
        (NotAVideo("{} is empty", "a clip was expected"), State.REFUSED),
        (EngineError("weights are missing"), State.FAILED),
        (OutputError("no space left"), State.FAILED),
        (ZeroDivisionError("a fault of ours"), State.FAILED),
    ],
)
def test_what_goes_wrong_is_written_in_the_row(
    library: Library, error: Exception, state: State
) -> None:
    entry = asked(library)
    if isinstance(error, NotAVideo):
        error = NotAVideo(f"{entry.sha256} is empty", error.expected)
    with doors_that(source=Broken(error)) as doors:
        assert run_claimed(ReadingBook(library), entry.id, lambda: doors) is state
    told = load_reading_entry(library, entry.id)
    assert told.error
    assert entry.sha256 not in told.error
    assert told.reading_key is None
    assert asked(library).state is (State.REFUSED if state is State.REFUSED else State.WAITING)


def test_an_answer_of_another_version_is_not_given(library: Library) -> None:
    entry = asked(library)
    with doors_that(versions={"landmarks": "newer"}) as doors:
        assert run_claimed(ReadingBook(library), entry.id, lambda: doors) is State.FAILED
    assert "another version" in load_reading_entry(library, entry.id).error


def test_a_worker_that_falls_silent_loses_its_row_and_cannot_finish_it(
    library: Library, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(work, "PAUSE_S", 0.02)
    entry, book = asked(library), ReadingBook(library)
    claimed = book.claim(entry.id)
    assert claimed is not None
    with library.database.writing() as connection:  # as if by a machine that is now off
        connection.execute(READINGS.update().values(claim=ELSEWHERE))
    gone = replace(claimed, claim=ELSEWHERE)
    assert not book.is_dead(gone)
    work_here(library, silent_s=0.1)
    done = load_reading_entry(library, entry.id)
    assert (done.state, done.tries) == (State.READY, 2)
    seen = book.seen(_stage_key(book, done))
    assert seen is not None
    assert not book.beat(gone, "", 0, 0)
    assert book.keep_seen(gone, "another stage", seen[0]) is None
    assert not book.refuse(gone, "late", final=True)
    assert load_reading_entry(library, entry.id) == done


def _stage_key(book: ReadingBook, entry: ReadingEntry) -> str:
    looked = {name: entry.settings[name] for name in ("view", "hand", "capture_hz")}
    return work._key("seen", entry.sha256, looked, entry.engine)


def test_a_worker_that_still_beats_keeps_its_row(library: Library) -> None:
    entry, book = asked(library), ReadingBook(library)
    claimed = book.claim(entry.id)
    assert claimed is not None
    watchman = work._Watchman(silent_s=0.0)
    for _ in range(3):
        assert book.beat(claimed, "looking", 1, 2)
        assert [one.stage for one in watchman.look(book)] == ["looking"]
    assert state_of(library, entry) is State.WORKING


def test_a_claim_tells_whether_its_process_lives() -> None:
    assert not is_dead(new_claim())
    command = "from causeline.store.library_claims import new_claim; print(new_claim())"
    done = subprocess.run(
        [sys.executable, "-c", command], capture_output=True, text=True, check=True
    )
    assert is_dead(done.stdout.strip())
    host, _, pid, start, token = new_claim().split("|")
    assert is_dead("|".join([host, "an earlier boot", pid, start, token]))
    assert not is_dead(ELSEWHERE)
    assert not is_dead("")


def test_a_clip_deleted_while_it_is_read_leaves_nothing(library: Library) -> None:
    entry, golfer = asked(library), the_golfer(library)
    book = ReadingBook(library)

    class DeletedMeanwhile(ReadingBook):
        def keep_seen(self, entry: ReadingEntry, stage: str, seen: Seen) -> str | None:
            save_golfer_removed(library, golfer.id, "coach")
            return super().keep_seen(entry, stage, seen)

    assert run_claimed(DeletedMeanwhile(library), entry.id, puppet_doors) is None
    library.tidy()
    assert list(library.vault.keys()) == []
    assert book.working() == ()


def test_how_a_clip_is_filmed_is_told_before_it_is_read(library: Library) -> None:
    entry = asked(library)
    told = []

    class Watched(ReadingBook):
        def keep_seen(self, entry: ReadingEntry, stage: str, seen: Seen) -> str | None:
            told.append(self.get(entry.id).first_look)
            return super().keep_seen(entry, stage, seen)

    assert run_claimed(Watched(library), entry.id, puppet_doors) is State.READY
    (look,) = told
    assert look is not None
    assert look["view"] == "face-on"
    assert all(isinstance(one, str) for one in look["advice"])


def test_the_clock_set_back_stops_no_work(database_url: str, tmp_path: Path) -> None:
    hours = iter(range(10_000))
    real = load_library(database_url, tmp_path / "files")
    start = real.now()
    real.now = lambda: start.replace(year=2026 - next(hours) // 10 % 20)
    entries = [asked(real, content) for content in (b"one", b"two")]
    ReadingBook(real).claim(entries[0].id)
    with real.database.writing() as connection:
        dead = new_claim().replace(f"|{os.getpid()}|", "|999999999|")
        connection.execute(READINGS.update().where(READINGS.c.claim != "").values(claim=dead))
    work_here(real)
    assert [state_of(real, entry) for entry in entries] == [State.READY] * 2
    real.close()


def test_a_killed_worker_s_row_is_taken_up_again(tmp_path: Path) -> None:
    library = load_library(tmp_path / "place")
    entries = [asked(library, content) for content in (b"one", b"two")]
    crew = Crew(1, start_worker, partial(killed_once, library.address))
    run_waiting(ReadingBook(library), crew)
    done = [load_reading_entry(library, entry.id) for entry in entries]
    assert [(each.state, each.tries) for each in done] == [(State.READY, 2)] * 2
    library.close()


def test_a_clip_that_kills_every_worker_is_given_up(tmp_path: Path) -> None:
    library = load_library(tmp_path / "place")
    entry = asked(library)
    crew = Crew(1, start_worker, partial(killed_always, library.address))
    run_waiting(ReadingBook(library), crew)
    told = load_reading_entry(library, entry.id)
    assert (told.state, told.tries) == (State.FAILED, MOST_TRIES)
    assert "ended 3 times without a word" in told.error
    assert asked(library).state is State.WAITING
    library.close()


def test_killed_at_random_points_nothing_is_lost() -> None:
    command = [sys.executable, "-m", "bench.survive", "--kills", "10"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr[-2000:]
    told = json.loads(done.stdout)
    assert told["kills"] == 10
    assert told["problems"] == []


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of three megabytes."""
    place = tmp_path / "disk"
    place.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=3m", "tmpfs", str(place)],
        capture_output=True,
        check=False,
    )
    if mounted.returncode:
        pytest.skip("a small disk can only be made by root")
    yield place
    subprocess.run(["umount", "-l", str(place)], check=True)


def test_a_full_disk_is_told_and_the_work_goes_on_when_there_is_room(small_disk: Path) -> None:
    library = load_library(small_disk / "place")
    entry = asked(library)
    filler = small_disk / "filler"
    _fill(filler)
    with suppress(OutputError):  # where not even a row can be written
        assert run_claimed(ReadingBook(library), entry.id, puppet_doors) is State.FAILED
    with pytest.raises(OutputError):
        save_clip(library, the_golfer(library).id, bytes(500_000), ClipNotes("big.mov"))
    filler.unlink()
    library.tidy()
    seen = load_reading_entry(library, entry.id)
    assert seen.state is not State.READY
    assert seen.reading_key is None
    if seen.state is State.WORKING:  # the disk was too full to say so: as after a kill
        with library.database.writing() as connection:
            connection.execute(READINGS.update().values(claim=seen.claim.replace("|", "|0", 2)))
    asked(library)
    work_here(library)
    assert state_of(library, entry) is State.READY
    assert list(library.vault.leftovers()) == []
    library.close()


def _fill(path: Path) -> None:
    with path.open("wb", buffering=0) as file:
        for size in (65536, 4096, 512):
            try:
                while file.write(bytes(size)):
                    pass
            except OSError:
                continue


def test_every_setting_is_part_of_the_key_and_comes_back() -> None:
    settings = Settings(
        view=View.FACE_ON,
        hand=Hand.LEFT,
        capture_hz=240.0,
        stature_m=Uncertain(1.8, 0.01),
        club=ClubSort.IRON,
        rulings=(Ruling("over_turn", Say.ABSENT, "a stiff back"),),
        corrections=(Correction("lead_wrist", 12, 100.5, 200.25, 1.0),),
        club_marks=(ClubMark("hosel", 12, 140.5, 300.25, 1.5),),
        moment_marks=(MomentMark(MomentName.TOP, 1.25, 0.004),),
    )
    plain = work._plain(settings)
    assert set(plain) == {each.name for each in fields(Settings)}
    assert None not in plain.values()
    assert work._settings(json.loads(json.dumps(plain))) == settings


def test_settings_without_marks_of_club_or_moments_keep_the_key_that_they_had() -> None:
    """Readings that were made before such marks were known are not asked for anew."""
    plain = work._plain(Settings())
    assert not {"club_marks", "moment_marks"} & set(plain)
    assert work._settings(json.loads(json.dumps(plain))) == Settings()

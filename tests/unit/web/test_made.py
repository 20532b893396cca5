"""What is made once, and work that goes on in the background."""

from __future__ import annotations

import threading
import time

import pytest

from causeline.errors import OutputError, StoreError
from causeline.model.access import Make
from causeline.model.library import State
from causeline.web.desk import Desk
from causeline.web.jobs import Job, Jobs, Report
from causeline.web.made import Recipe
from tests.shelf import a_golfer

WAIT_S = 120.0


def _ended(jobs: Jobs, name: str) -> Job:
    ends = time.monotonic() + WAIT_S
    while time.monotonic() < ends:
        job = jobs.get(name)
        if job.state not in (State.WAITING, State.WORKING):
            return job
        time.sleep(0.01)
    return jobs.get(name)


def test_two_who_ask_at_once_wait_for_one_making(empty_desk: Desk) -> None:
    made = []

    def make() -> tuple[bytes, dict[str, int]]:
        time.sleep(0.05)
        made.append(1)
        return b"a picture", {"width": 3}

    golfer = a_golfer(empty_desk.library)
    recipe = Recipe(Make.STILL, ["a", 1], golfer=golfer.id)
    threads = [threading.Thread(target=empty_desk.made.get, args=(recipe, make)) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    found = empty_desk.made.find(recipe)
    assert made == [1]
    assert found is not None
    assert empty_desk.library.vault.read(found.file_key) == b"a picture"
    assert empty_desk.made.find(Recipe(Make.STILL, ["a", 2])) is None


def test_a_job_tells_how_far_it_is_and_what_came_of_it() -> None:
    jobs = Jobs()
    seen = threading.Event()

    def work(report: Report) -> str:
        report("drawing", 1, 4)
        seen.wait(WAIT_S)
        return "done"

    job = jobs.start("a film", work, key="film")
    while jobs.get(job.id).done != 1:
        time.sleep(0.01)
    assert jobs.start("a film", work, key="film").id == job.id
    assert jobs.going("film") == job.id
    seen.set()
    assert _ended(jobs, job.id).result == "done"
    assert jobs.going("film") == ""
    jobs.stop()


def test_a_film_that_is_drawn_keeps_nobody_from_opening_a_swing() -> None:
    jobs = Jobs()
    drawn = threading.Event()
    film = jobs.start("a film", lambda _: drawn.wait(WAIT_S), "film", film=True)
    second = jobs.start("a second film", lambda _: 2, film=True)
    frames = jobs.start("the frames of a swing", lambda _: 1)
    assert _ended(jobs, frames.id).result == 1
    assert jobs.going("film") == film.id
    assert jobs.get(second.id).state is State.WAITING
    drawn.set()
    assert _ended(jobs, second.id).result == 2
    jobs.stop()


def test_what_goes_wrong_is_told_and_the_next_one_goes_on() -> None:
    jobs = Jobs()

    def full(_: Report) -> None:
        raise OutputError("the disk is full", "room was expected", "make room")

    def broken(_: Report) -> None:
        raise KeyError("a name")

    first, second = jobs.start("one", full), jobs.start("two", broken)
    third = jobs.start("three", lambda _: 3)
    assert _ended(jobs, first.id).error.startswith("the disk is full")
    assert _ended(jobs, second.id).state is State.FAILED
    assert "KeyError" in _ended(jobs, second.id).error
    assert _ended(jobs, third.id).result == 3
    with pytest.raises(StoreError):
        jobs.get("nothing")
    jobs.stop()

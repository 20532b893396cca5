"""The talk-through's routes: what a browser sends while it records, and what it gets back."""

from __future__ import annotations

import json
import threading
from dataclasses import replace
from typing import Any

import pytest
from fastapi.testclient import TestClient

from causeline.model.library import Purpose, new_id
from causeline.render.lesson_page import TALKS_HERE
from causeline.store.library_clips import load_clip
from causeline.store.library_consent import save_consent_withdrawn
from causeline.store.library_lessons import save_lesson
from causeline.store.library_people import load_coach
from causeline.store.library_talks import load_talk, save_talk_film
from causeline.web.app import serve_app
from causeline.web.desk import Desk
from causeline.web.talk import lesson_talks
from causeline.web.talk_film import film_mark, with_talks
from tests.shelf import a_clip, a_coach, a_golfer, a_lesson
from tests.talks import a_mark
from tests.workbench import asking

JSON = {"accept": "application/json"}
START = json.dumps({"rows": [{"swing": 0, "frame": 12}]})


class Bench:
    """A browser that records on one swing."""

    def __init__(self, desk: Desk, client: TestClient) -> None:
        self.client, self.desk = client, desk
        self.golfer = a_golfer(desk.library, a_coach(desk.library))
        self.clip = a_clip(desk.library, self.golfer)
        self.talk, self.take = new_id(), new_id()

    def begin(self, **more: Any) -> Any:
        told = {"swing": f"{self.clip}.1", "title": "Turn", **more}
        return self.client.put(f"/talk/{self.talk}", json=told, headers=JSON)

    def begin_take(self, swings: str = "", start: str = START, voice: str = "audio/webm") -> Any:
        data = {"swings": swings or f"{self.clip}.1", "start": start, "voice": voice}
        return self.client.put(f"/talk/{self.talk}/takes/{self.take}", data=data, headers=JSON)

    def part(self, number: int, events: Any = None, sound: bytes = b"opus") -> Any:
        at = 1000 * number
        told = [{"what": "step", "at_ms": at, "row": 0, "frame": number}]
        return self.client.put(
            f"/talk/{self.talk}/takes/{self.take}/parts/{number}",
            data={"events": json.dumps(told if events is None else events), "ends_ms": at + 1000},
            files={"sound": ("sound", sound, "audio/webm")} if sound else None,
            headers=JSON,
        )

    def close(self, **more: Any) -> Any:
        at = f"/talk/{self.talk}/takes/{self.take}/close"
        return self.client.post(at, json=more, headers=JSON)

    def place(self, **more: Any) -> Any:
        at = f"/talk/{self.talk}/takes/{self.take}/place"
        return self.client.post(at, json=more, headers=JSON)

    def read(self) -> Any:
        return self.client.get(f"/talk/{self.talk}", headers=JSON).json()

    def play(self, version: int, *pieces: tuple[int, int]) -> Any:
        told = [{"take": self.take, "start_ms": a, "stop_ms": b} for a, b in pieces]
        wanted = {"version": version, "pieces": told, "title": "Turn"}
        return self.client.put(f"/talk/{self.talk}/pieces", json=wanted, headers=JSON)


@pytest.fixture
def bench(empty_desk: Desk) -> Bench:
    return Bench(empty_desk, asking(serve_app(empty_desk)))


def test_from_the_first_word_to_what_is_played(bench: Bench) -> None:
    assert bench.begin().status_code == 200
    assert bench.begin_take().status_code == 204
    for number in (1, 0, 1, 2):
        assert bench.part(number).status_code == 204
    assert bench.read()["going"][0]["ends_ms"] == 3000
    closed = bench.close(parts=3, starts_ms=25).json()
    assert closed["voice"]["starts_ms"] == 25
    assert closed["swings"] == [f"{bench.clip}.1"]
    assert [event["frame"] for event in closed["events"]] == [0, 1, 2]
    version = bench.read()["version"]
    played = bench.play(version, (0, 1000), (2000, 3000))
    assert played.status_code == 200, played.text
    assert [piece["stop_ms"] for piece in played.json()["pieces"]] == [1000, 3000]
    lines = bench.client.get(f"/talk/of/{bench.clip}.1", headers=JSON).json()
    assert [(one["id"], one["lasts_ms"], one["title"]) for one in lines] == [
        (bench.talk, 2000, "Turn")
    ]


def test_the_sound_comes_back_whole_and_in_parts(bench: Bench) -> None:
    bench.begin()
    bench.begin_take(voice="audio/webm;codecs=opus")
    bench.part(0, sound=b"0123456789")
    at = bench.close(parts=1).json()["voice"]["at"]
    whole = bench.client.get(at)
    assert (whole.content, whole.headers["content-type"]) == (b"0123456789", "audio/webm")
    for asked, given, told in (
        ("bytes=2-4", b"234", "bytes 2-4/10"),
        ("bytes=7-", b"789", "bytes 7-9/10"),
        ("bytes=-3", b"789", "bytes 7-9/10"),
        ("bytes=8-99", b"89", "bytes 8-9/10"),
    ):
        part = bench.client.get(at, headers={"range": asked})
        assert (part.status_code, part.content) == (206, given)
        assert part.headers["content-range"] == told
    assert bench.client.get(at, headers={"range": "bytes=10-"}).status_code == 416


def test_the_talk_file_holds_the_sound(bench: Bench) -> None:
    bench.begin()
    bench.begin_take()
    bench.part(0)
    bench.close()
    found = bench.client.get(f"/talk/{bench.talk}/file").json()
    assert found["schema"] == "causeline.talk/1"
    assert found["takes"][0]["voice"]["base64"] == "b3B1cw=="


@pytest.mark.parametrize(
    ("events", "told"),
    [
        ("no list", "part 0: Input should be a valid array"),
        ([{"what": "step", "at_ms": 1, "row": 0}], "part 0, 0.step.frame: Field required"),
        ([{"what": "mark", "at_ms": 1, "swing": 0, "mark": a_mark("")}], "without a sound 'id'"),
    ],
)
def test_a_part_that_cannot_be_is_told(bench: Bench, events: Any, told: str) -> None:
    bench.begin()
    bench.begin_take()
    answer = bench.part(0, events)
    assert answer.status_code == 422
    assert told in answer.json()["came"]


def test_what_cannot_begin_is_told(bench: Bench) -> None:
    assert bench.begin(swing="../etc").status_code == 422
    assert bench.begin(swing=f"{new_id()}.1").status_code == 404
    bench.talk = "x" * 32
    assert bench.begin().status_code == 422
    bench.talk = new_id()
    assert bench.begin_take().status_code == 404  # no talk-through yet
    bench.begin()
    assert bench.begin_take(start='{"rows": [{"swing": 1, "frame": 0}]}').status_code == 422
    assert bench.begin_take(voice="text/html").status_code == 422
    assert bench.begin_take(swings=f"{new_id()}.1").status_code == 404


def test_parts_that_have_not_come_are_named(bench: Bench) -> None:
    bench.begin()
    bench.begin_take()
    bench.part(0)
    bench.part(3)
    answer = bench.close(parts=4)
    assert (answer.status_code, "parts 1, 2 of the take" in answer.json()["came"]) == (404, True)
    assert bench.close().json()["lasts_ms"] == 1000  # what was left of it


def test_a_second_tab_is_told_and_loses_nothing(bench: Bench) -> None:
    bench.begin()
    bench.begin_take()
    bench.part(0)
    bench.close()
    version = bench.read()["version"]
    assert bench.play(version, (0, 1000)).status_code == 200
    assert bench.play(version, (0, 500)).status_code == 409
    assert bench.read()["pieces"][0]["stop_ms"] == 1000
    assert bench.play(bench.read()["version"], (0, 5000)).status_code == 422


def test_a_take_finds_its_place_once(bench: Bench) -> None:
    bench.begin()
    first = bench.take
    bench.begin_take()
    for number in range(4):
        bench.part(number)
    bench.close()
    one = bench.place().json()
    assert one["pieces"] == [{"take": first, "start_ms": 0, "stop_ms": 4000}]
    assert bench.place().json() == one  # sent again by a browser that heard no answer
    bench.take = new_id()
    bench.begin_take()
    bench.part(0)
    bench.close()
    two = bench.place(version=one["version"], start_ms=1000, stop_ms=3500).json()
    assert [(piece["start_ms"], piece["stop_ms"]) for piece in two["pieces"]] == [
        (0, 1000), (0, 1000), (3500, 4000)
    ]  # fmt: skip
    bench.take = new_id()
    bench.begin_take()
    bench.part(0)
    bench.close()
    stale = bench.place(version=one["version"], start_ms=0, stop_ms=2000).json()
    assert [piece["take"] for piece in stale["pieces"]][
        -1
    ] == bench.take  # at the end: nothing lost
    assert len(stale["pieces"]) == 4


def test_a_passage_is_cut_away_and_another_kept(bench: Bench) -> None:
    bench.begin()
    bench.begin_take()
    for number in range(4):
        bench.part(number)
    bench.close()
    version = bench.place().json()["version"]
    at = f"/talk/{bench.talk}/cut"
    cut = {"version": version, "start_ms": 500, "stop_ms": 1500}
    done = bench.client.post(at, json=cut, headers=JSON).json()
    assert [(one["start_ms"], one["stop_ms"]) for one in done["pieces"]] == [(0, 500), (1500, 4000)]
    assert bench.client.post(at, json=cut, headers=JSON).status_code == 409
    kept = {"version": done["version"], "start_ms": 400, "stop_ms": 600, "keep": True}
    done = bench.client.post(at, json=kept, headers=JSON).json()
    assert [(o["start_ms"], o["stop_ms"]) for o in done["pieces"]] == [(400, 500), (1500, 1600)]
    wrong = {"version": done["version"], "start_ms": 900, "stop_ms": 100}
    assert bench.client.post(at, json=wrong, headers=JSON).status_code == 422


def test_it_is_put_into_a_lesson_and_taken_out(bench: Bench) -> None:
    lesson = save_lesson(bench.desk.library, a_lesson(bench.golfer), "Runa Veld")
    bench.begin()
    bench.begin_take()
    bench.part(0)
    bench.close()
    bench.place()
    golfer = bench.golfer.id
    (found,) = lesson_talks(bench.desk, golfer, lesson.id)
    assert (found.into, found.filmed, found.told[:4]) == (False, False, "0:01")
    at = f"/talk/{bench.talk}/lesson"
    other_is_drawn = threading.Event()
    bench.desk.jobs.start("another film", lambda _: other_is_drawn.wait(120), film=True)
    put = bench.client.post(at, data={"lesson": lesson.id, "into": "true"})
    assert (put.status_code, put.headers["location"]) == (303, f"/lessons/{lesson.id}#talks")
    (inside,) = lesson_talks(bench.desk, golfer, lesson.id)
    assert (inside.into, inside.filmed, inside.going) == (True, False, True)
    other_is_drawn.set()
    other = save_lesson(bench.desk.library, a_lesson(bench.golfer), "Runa Veld")
    assert lesson_talks(bench.desk, golfer, other.id) == ()
    assert bench.client.post(at, data={"lesson": lesson.id}).status_code == 303
    assert [one.into for one in lesson_talks(bench.desk, golfer, lesson.id)] == [False]
    coach = load_coach(bench.desk.library, bench.golfer.coach)
    nell = a_golfer(bench.desk.library, coach, "Nell Roe")
    theirs = save_lesson(bench.desk.library, a_lesson(nell), "Runa Veld")
    assert bench.client.post(at, data={"lesson": theirs.id, "into": "true"}).status_code == 422


def test_the_film_of_what_is_played_stands_in_the_lesson_s_page(bench: Bench) -> None:
    library = bench.desk.library
    lesson = save_lesson(library, a_lesson(bench.golfer), "Runa Veld")
    bench.begin(lesson=lesson.id)
    bench.begin_take()
    bench.part(0)
    bench.close()
    bench.place()
    entry = load_talk(library, bench.talk)
    page = f"<main>{TALKS_HERE}</main>".encode()
    told = bench.golfer.id, lesson.id, "Runa talks", page
    assert with_talks(bench.desk, *told) == page
    save_talk_film(library, entry, b"a film", film_mark(bench.desk, entry))
    assert bench.read()["film"] == f"/talk/{bench.talk}/film"
    assert bench.client.get(f"/talk/{bench.talk}/film").content == b"a film"
    assert b"base64,YSBmaWxt" in with_talks(bench.desk, *told)
    save_consent_withdrawn(library, bench.golfer.id, Purpose.FACE)  # it was made with the face
    assert with_talks(bench.desk, *told) == page
    assert bench.read()["film"] == ""
    bench.play(bench.read()["version"], (0, 500))
    assert load_talk(library, bench.talk).attachment.file_key is None


def test_another_coach_s_talk_through_is_not_to_be_seen(bench: Bench) -> None:
    bench.begin()
    bench.begin_take()
    library = bench.desk.library
    other = a_golfer(library, a_coach(library, "Odd Vik"))
    theirs = a_clip(library, other, b"another swing")
    assert bench.begin(swing=f"{theirs}.1").status_code == 404
    clip = load_clip(library, bench.clip)
    assert replace(clip).golfer == bench.golfer.id
    assert bench.client.get(f"/talk/{new_id()}", headers=JSON).status_code == 404


def test_a_take_and_a_talk_through_can_go(bench: Bench) -> None:
    bench.begin()
    bench.begin_take()
    bench.part(0)
    bench.close()
    bench.play(bench.read()["version"], (0, 1000))
    at = f"/talk/{bench.talk}/takes/{bench.take}"
    assert bench.client.delete(at, headers=JSON).status_code == 404
    bench.play(bench.read()["version"])
    assert bench.client.delete(at, headers=JSON).status_code == 204
    assert bench.client.delete(f"/talk/{bench.talk}", headers=JSON).status_code == 204
    assert bench.client.get(f"/talk/{bench.talk}", headers=JSON).status_code == 404

"""A golfer's privacy on the workbench: what is withdrawn acts before the answer comes."""

from __future__ import annotations

import io
import zipfile
from dataclasses import replace
from pathlib import Path

from starlette.testclient import TestClient

from causeline.model.library import Purpose
from causeline.store.library_consent import load_allowed
from causeline.store.library_lessons import load_links, save_lesson, save_link
from causeline.store.library_people import load_audit, load_golfers, save_golfer
from causeline.web.desk import Desk
from tests.shelf import a_clip, a_coach, a_golfer, a_lesson


def test_consent_is_given_seen_and_withdrawn(empty_web: TestClient, empty_desk: Desk) -> None:
    library = empty_desk.library
    golfer = a_golfer(library, a_coach(library, "Maren Oakes"), "Ivo Lindgard")
    lesson = save_lesson(library, a_lesson(golfer), "coach")
    _, secret = save_link(library, golfer.id, lesson.id)
    at = f"/golfers/{golfer.id}/privacy"
    page = empty_web.get(at).text
    assert page.count("assumed: they sent their clips") == 3
    assert "not asked yet" in page
    assert "1 link leads" in page
    given = {"purpose": "reference", "given_by": "Ivo Lindgard"}
    assert empty_web.post(f"{at}/give", data=given).status_code == 303
    assert "agreed by Ivo Lindgard on" in empty_web.get(at).text
    assert empty_web.get(f"/g/{secret}", follow_redirects=True).status_code != 404
    assert empty_web.post(f"{at}/withdraw", data={"purpose": "sharing"}).status_code == 303
    assert Purpose.SHARING not in load_allowed(library, golfer.id)
    assert "Lindgard" not in empty_web.get(f"/g/{secret}", follow_redirects=True).text
    page = empty_web.get(at + "?said=withdrawn").text
    assert "withdrawn, or refused, on" in page
    assert "0 links lead" in page
    assert empty_web.post(f"{at}/withdraw", data={"purpose": "breathing"}).status_code == 422


def test_a_junior_s_guardian_alone_agrees(empty_web: TestClient, empty_desk: Desk) -> None:
    library = empty_desk.library
    golfer = a_golfer(library, a_coach(library), "Nell Tarrow")
    child = replace(golfer.golfer, junior=True)
    save_golfer(library, replace(golfer, golfer=child, guardian="Asa Tarrow"))
    at = f"/golfers/{golfer.id}/privacy"
    assert empty_web.get(at).text.count("the guardian has not agreed") == 4
    wrong = empty_web.post(f"{at}/give", data={"purpose": "face", "given_by": "Nell Tarrow"})
    assert wrong.status_code == 422
    assert "The word of Asa Tarrow was expected" in wrong.text
    right = empty_web.post(f"{at}/give", data={"purpose": "face", "given_by": "Asa Tarrow"})
    assert right.status_code == 303


def test_links_close_together(empty_web: TestClient, empty_desk: Desk) -> None:
    golfer = a_golfer(empty_desk.library, a_coach(empty_desk.library))
    for _ in range(3):
        save_link(empty_desk.library, golfer.id)
    assert empty_web.post(f"/golfers/{golfer.id}/privacy/links").status_code == 303
    assert all(each.withdrawn_at for each in load_links(empty_desk.library, golfer.id))


def test_everything_is_given_out_and_nothing_is_left_lying(
    empty_web: TestClient, empty_desk: Desk, scratch: Path
) -> None:
    library = empty_desk.library
    golfer = a_golfer(library, a_coach(library), "Ivo „the Owl“ Lindgard")
    a_clip(library, golfer)
    answer = empty_web.post(f"/golfers/{golfer.id}/privacy/export")
    assert answer.headers["content-type"] == "application/zip"
    assert "attachment" in answer.headers["content-disposition"]
    with zipfile.ZipFile(io.BytesIO(answer.content)) as archive:
        assert {"readme.txt", "golfer.json", "clips/001_swing.mov"} <= set(archive.namelist())
    assert list(scratch.glob("causeline-export-*")) == []
    assert load_audit(library)[0].what == "exported"


def test_deleting_takes_the_name(empty_web: TestClient, empty_desk: Desk) -> None:
    library = empty_desk.library
    golfer = a_golfer(library, a_coach(library), "Ivo Lindgard")
    a_clip(library, golfer)
    at = f"/golfers/{golfer.id}/privacy"
    assert empty_web.post(f"{at}/delete", data={"typed": "Ivo"}).status_code == 422
    assert load_golfers(library)
    assert empty_web.post(f"{at}/delete", data={"typed": "Ivo Lindgard"}).status_code == 303
    assert load_golfers(library) == ()
    assert list(library.vault.keys()) == []
    assert empty_web.get(at).status_code == 404

"""Lessons: written from a sheet, edited, looked at, made into files, sent."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Annotated

from fastapi import APIRouter, Form, Request, Response
from starlette.responses import RedirectResponse

from causeline.errors import CauselineError, Outdated
from causeline.model.lesson import Lesson
from causeline.model.library import Coach, GolferEntry, LessonEntry, Link, new_id
from causeline.reading.revising import run_differing, run_edited
from causeline.render.lesson_figures import Figure
from causeline.render.lesson_page import render_lesson_page, render_sheet
from causeline.store.lesson_file import save_lesson_dict
from causeline.store.library_lessons import (
    load_lesson,
    load_lesson_versions,
    load_links,
    save_lesson,
    save_link,
    save_link_withdrawn,
)
from causeline.store.library_people import save_audit
from causeline.web.desk import Desk, OfDesk, Who
from causeline.web.lesson_form import CHECK, DRILL, DRILLS_SHOWN, KEEP, LINE, VERSION, lesson_page
from causeline.web.lesson_making import begin_files, read_made
from causeline.web.practice_guest import guest_of
from causeline.web.practice_page import practice_labels
from causeline.web.practice_pictures import page_pictures, read_picture
from causeline.web.shelf import golfer_seen, swing_seen
from causeline.web.show import show
from causeline.web.talk import film_lesson_talks
from causeline.web.talk_film import with_talks
from causeline.web.teaching import (
    composed,
    composed_again,
    kept_lesson,
    lesson_of,
    taught_again,
    taught_of,
    title_of,
)

router = APIRouter(include_in_schema=False)
PREVIEW = (
    "default-src 'none'; img-src data:; font-src data:; style-src 'unsafe-inline'; "
    "frame-ancestors 'self'; sandbox"
)
"""The golfer's page in one file has its style inside; in the frame it may do nothing else."""
ALONE = ("127.0.0.1", "localhost", "::1")
"""Names under which only this machine reaches itself."""
SAME_PLACE = "There is a newer version of this lesson, saved meanwhile. Nothing of yours is lost: "


@router.post("/sheet/{name}/lesson")
def write_lesson(
    desk: OfDesk, coach: Who, name: str, beside: Annotated[list[str] | None, Form()] = None
) -> Response:
    """Compose the lesson of a swing, with the rows that stand beside it."""
    swing = swing_seen(desk, coach, name)
    taught = taught_of(desk, coach, swing, beside or ())
    entry = kept_lesson(desk, coach, swing.golfer, composed(desk, coach, taught))
    return RedirectResponse(f"/lessons/{entry.id}", 303)


@router.get("/lessons/{name}")
def lesson_page_of(request: Request, desk: OfDesk, coach: Who, name: str) -> Response:
    """The lesson, to be edited."""
    entry, golfer = _entry(desk, coach, name)
    return show(request, "lesson.html.j2", lesson_page(desk, entry, golfer))


@router.post("/lessons/{name}")
async def save_words(request: Request, desk: OfDesk, coach: Who, name: str) -> Response:
    """Save words, drills and checkpoint; of two who save, neither loses anything."""
    form = await request.form()
    given: dict[str, list[str]] = {}
    for key, value in form.multi_items():
        if isinstance(value, str):
            given.setdefault(key, []).append(value)
    return _save(request, desk, coach, name, given)


@router.post("/lessons/{name}/anew")
def compose_anew(desk: OfDesk, coach: Who, name: str) -> Response:
    """Compose it again from the sheet as it stands: rulings, corrections, clips."""
    entry, golfer = _entry(desk, coach, name)
    before = lesson_of(entry)
    taught = taught_again(desk, coach, golfer, before)
    fresh = composed(desk, coach, taught)
    fresh = replace(fresh, id=before.id, sequence=before.sequence + 1)
    _keep(desk, coach, entry, fresh, entry.version)
    return RedirectResponse(f"/lessons/{name}", 303)


@router.post("/lessons/{name}/files")
def make_files(desk: OfDesk, coach: Who, name: str) -> Response:
    """Begin to make page, print and film."""
    entry, golfer = _entry(desk, coach, name)
    begin_files(desk, coach, entry, golfer)
    return RedirectResponse(f"/lessons/{name}#files", 303)


@router.get("/lessons/{name}/files/{file}")
def lesson_file(desk: OfDesk, coach: Who, name: str, file: str) -> Response:
    """One file that was made."""
    entry, golfer = _entry(desk, coach, name)
    content, kind = read_made(desk, entry, golfer, file)
    if file == "lesson.html":
        heading = practice_labels(lesson_of(entry))["talk"]
        content = with_talks(desk, golfer.id, entry.id, heading, content)
    told = {"content-disposition": f'attachment; filename="{file}"'}
    return Response(content, media_type=kind, headers=told)


@router.get("/lessons/{name}/preview")
def preview(desk: OfDesk, coach: Who, name: str) -> Response:
    """The golfer's page as it will look."""
    entry, golfer = _entry(desk, coach, name)
    link = Link(new_id(), golfer.id, desk.library.now(), entry.id)
    guest = guest_of(desk, link, "/")
    made = page_pictures(desk, guest)
    figures = {}
    for key, told in (made.content["pictures"] if made else {}).items():
        jpeg = read_picture(desk, made, key) if made else None
        if jpeg is not None:
            figures[key] = Figure(jpeg, told["width"], told["height"], told["caption"])
    text = render_lesson_page(render_sheet(guest.lesson, figures))
    return Response(text, media_type="text/html", headers={"content-security-policy": PREVIEW})


@router.post("/lessons/{name}/send")
def send(request: Request, desk: OfDesk, coach: Who, name: str) -> Response:
    """Make a secret link for the golfer, and note that the lesson was sent."""
    entry, golfer = _entry(desk, coach, name)
    link, secret = save_link(desk.library, golfer.id, entry.id)
    if entry.sent_at is None:
        entry = save_lesson(desk.library, replace(entry, sent_at=desk.library.now()), coach.name)
    save_audit(desk.library, coach.id, "lesson sent", entry.id, link=link.id)
    film_lesson_talks(desk, coach, golfer.id, entry.id)  # first: the golfer's page waits for it
    begin_files(desk, coach, entry, golfer)
    page = lesson_page(desk, entry, golfer)
    address = f"{str(request.base_url).rstrip('/')}/g/{secret}/"
    beyond = (request.url.hostname or "") not in ALONE
    return show(request, "lesson.html.j2", replace(page, secret=address, beyond=beyond))


@router.post("/lessons/{name}/links/{link}/withdraw")
def withdraw(desk: OfDesk, coach: Who, name: str, link: str) -> Response:
    """From now on the link leads nowhere."""
    _, golfer = _entry(desk, coach, name)
    if any(one.id == link for one in load_links(desk.library, golfer.id)):
        save_link_withdrawn(desk.library, link)
        save_audit(desk.library, coach.id, "link withdrawn", link)
    return RedirectResponse(f"/lessons/{name}#send", 303)


@router.get("/lessons/{name}/versions/{number}")
def version(request: Request, desk: OfDesk, coach: Who, name: str, number: int) -> Response:
    """The lesson as it once stood; saving it makes it the newest."""
    entry, golfer = _entry(desk, coach, name)
    kept = load_lesson_versions(desk.library, name)
    old = next((one for one in kept if one.version == number), None)
    if old is None:
        return RedirectResponse(f"/lessons/{name}", 303)
    then = replace(entry, title=old.title, content=old.content)
    page = lesson_page(desk, then, golfer)
    told = f"This is version {number}. Save it to go on from here."
    return show(request, "lesson.html.j2", replace(page, told=told))


def _save(
    request: Request, desk: Desk, coach: Coach, name: str, given: Mapping[str, Sequence[str]]
) -> Response:
    entry, golfer = _entry(desk, coach, name)
    texts = _texts(given)
    base = _version_of(desk, entry, _number(given))
    mine = run_edited(
        base, {key: text for key, text in texts.items() if base.line(key)}, coach.name
    )
    told = ""
    try:
        mine = _chosen(desk, coach, golfer, mine, given)
        _keep(desk, coach, entry, mine, _number(given))
    except Outdated:
        theirs = run_differing(mine, lesson_of(entry), texts)
        told = SAME_PLACE + "their words stand under yours where they differ. Save again to keep "
        page = lesson_page(desk, _with(entry, mine), golfer, theirs)
        return show(request, "lesson.html.j2", replace(page, told=f"{told}yours."), 409)
    except CauselineError as error:
        page = lesson_page(desk, _with(entry, mine), golfer)
        return show(request, "lesson.html.j2", replace(page, told=str(error)), 422)
    return RedirectResponse(f"/lessons/{name}", 303)


def _chosen(
    desk: Desk,
    coach: Coach,
    golfer: GolferEntry,
    lesson: Lesson,
    given: Mapping[str, Sequence[str]],
) -> Lesson:
    """With the drills and the checkpoint of the form, where they are others than before."""
    if DRILLS_SHOWN not in given or lesson.cause is None:
        return lesson
    names = list(given.get(DRILL, ()))
    check = given.get(CHECK, [""])[0]
    known = [drill.name for drill in lesson.drills]
    if set(names) == set(known) and check in ("", given.get("check_was", [""])[0]):
        return lesson
    taught = taught_again(desk, coach, golfer, lesson)
    again = composed_again(desk, coach, taught, lesson, (names, check))
    return replace(again, sequence=lesson.sequence + 1)


def _texts(given: Mapping[str, Sequence[str]]) -> dict[str, str]:
    """Texts by line; a line whose tick was taken away is emptied, which drops it."""
    texts = {
        key.removeprefix(LINE): values[-1].replace("\r\n", "\n")
        for key, values in given.items()
        if key.startswith(LINE)
    }
    for key in given:
        name = key.removeprefix(f"{KEEP}shown.")
        if name != key and f"{KEEP}{name}" not in given:
            texts[name] = ""
    return texts


def _number(given: Mapping[str, Sequence[str]]) -> int:
    text = given.get(VERSION, ["0"])[0]
    return int(text) if text.isdigit() else 0


def _version_of(desk: Desk, entry: LessonEntry, number: int) -> Lesson:
    """The lesson that the form was shown from: edits are edits of that one."""
    kept = load_lesson_versions(desk.library, entry.id)
    then = next((one for one in kept if one.version == number), None)
    return lesson_of(entry if then is None else replace(entry, content=then.content))


def _keep(desk: Desk, coach: Coach, entry: LessonEntry, lesson: Lesson, version: int) -> None:
    saved = _with(entry, lesson)
    save_lesson(desk.library, replace(saved, version=version), coach.name)


def _with(entry: LessonEntry, lesson: Lesson) -> LessonEntry:
    return replace(entry, title=title_of(lesson), content=save_lesson_dict(lesson))


def _entry(desk: Desk, coach: Coach, name: str) -> tuple[LessonEntry, GolferEntry]:
    entry = load_lesson(desk.library, name)
    return entry, golfer_seen(desk, coach, entry.golfer)

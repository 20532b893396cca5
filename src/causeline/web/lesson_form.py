"""The record of a lesson's page: every line, the drills, the files, the versions."""

from __future__ import annotations

from collections.abc import Mapping

from causeline.model.lesson import Checkpoint, Lesson, Line, Part
from causeline.model.library import GolferEntry, LessonEntry
from causeline.render.numbers import render_uncertain
from causeline.render.words import VIEW_WORDS
from causeline.store.drill_files import load_drills
from causeline.store.library_clips import load_same_clip
from causeline.store.library_lessons import load_lesson_versions, load_links
from causeline.web.contract.golfers import Choice
from causeline.web.contract.lessons import (
    DrillChoice,
    EditLine,
    EditPart,
    LessonPage,
    LinkLine,
    VersionLine,
)
from causeline.web.desk import Desk
from causeline.web.lesson_making import files_of, going_on
from causeline.web.shelf import swing_name
from causeline.web.talk import lesson_talks
from causeline.web.teaching import lesson_of
from causeline.web.words import local_day, short_day

LINE, KEEP, VERSION, DRILL, CHECK, DRILLS_SHOWN = (
    "line.", "keep.", "version", "drill", "check", "drills_shown",
)  # fmt: skip
TITLES = {
    Part.OPENING: "Opening",
    Part.STRENGTHS: "What they do well",
    Part.CAUSE: "The one thing",
    Part.ANSWER: "What they asked",
    Part.DRILLS: "How to practise it",
    Part.CHECKPOINT: "How they will know",
    Part.PLAN: "The plan",
    Part.EXPECT: "What to expect",
    Part.FILM: "Filming again",
    Part.CARE: "Take care",
    Part.CLOSING: "Closing",
}


def lesson_page(
    desk: Desk,
    entry: LessonEntry,
    golfer: GolferEntry,
    theirs: Mapping[str, str] | None = None,
) -> LessonPage:
    """Everything of the page; `theirs` holds another's words, by line."""
    lesson, zone = lesson_of(entry), golfer.golfer.time_zone
    sent = short_day(local_day(entry.sent_at, zone)) if entry.sent_at else ""
    return LessonPage(
        id=entry.id,
        version=entry.version,
        title=entry.title,
        golfer=golfer.golfer.name,
        golfer_at=f"/golfers/{golfer.id}",
        sheet_at=_sheet_at(desk, golfer, lesson),
        facts=_facts(lesson, entry, sent),
        told="",
        notes=lesson.for_coach,
        parts=tuple(
            EditPart(part.value, TITLES[part], tuple(_line(one, theirs or {}) for one in lines))
            for part in Part
            if (lines := lesson.part(part))
        ),
        drills=_drills(lesson),
        checks=_checks(lesson),
        checkpoint=_checkpoint(lesson.checkpoint),
        preview_at=f"/lessons/{entry.id}/preview",
        files=files_of(desk, entry, golfer),
        job=going_on(desk, entry),
        talk_at=_talk_at(_sheet_at(desk, golfer, lesson), entry.id),
        talks=lesson_talks(desk, golfer.id, entry.id),
        versions=_versions(desk, entry, zone),
        links=tuple(
            LinkLine(one.id, short_day(local_day(one.made_at, zone)), one.withdrawn_at is None)
            for one in load_links(desk.library, golfer.id)
            if one.lesson == entry.id
        ),
        sent=sent,
        secret="",
        beyond=False,
    )


def _facts(lesson: Lesson, entry: LessonEntry, sent: str) -> str:
    views = " and ".join(VIEW_WORDS[ref.view] for ref in lesson.swings)
    parts = [short_day(lesson.made), f"from {views}" if views else "", f"version {entry.version}"]
    return " · ".join(part for part in (*parts, f"sent {sent}" if sent else "not sent yet") if part)


def _talk_at(sheet_at: str, lesson: str) -> str:
    return f"{sheet_at.replace('/sheet/', '/bench/')}?lesson={lesson}" if sheet_at else ""


def _sheet_at(desk: Desk, golfer: GolferEntry, lesson: Lesson) -> str:
    for ref in lesson.swings:
        clip = load_same_clip(desk.library, golfer.id, ref.sha256)
        if clip is not None:
            return f"/sheet/{swing_name(clip.id, ref.number)}"
    return ""


def _line(line: Line, theirs: Mapping[str, str]) -> EditLine:
    return EditLine(
        id=line.id,
        text=line.text,
        written=line.written or "",
        theirs=theirs.get(line.id, ""),
        may_go=line.part is Part.STRENGTHS,
    )


def _drills(lesson: Lesson) -> tuple[DrillChoice, ...]:
    """Those made for the cause first; empty where there is no cause to practise."""
    if lesson.cause is None:
        return ()
    chosen = [drill.name for drill in lesson.drills]
    own = {drill.name: drill for drill in lesson.drills}
    shelf = sorted(
        load_drills(),
        key=lambda drill: (drill.name not in chosen, lesson.cause not in drill.treats, drill.title),
    )
    return tuple(
        DrillChoice(
            name=drill.name,
            title=own.get(drill.name, drill).title,
            purpose=_plain(own.get(drill.name, drill).purpose),
            made_for=lesson.cause in drill.treats,
            chosen=drill.name in chosen,
        )
        for drill in shelf
    )


def _plain(text: str) -> str:
    return text.replace("{lead}", "lead").replace("{trail}", "trail")


def _checks(lesson: Lesson) -> tuple[Choice, ...]:
    """Drills of the lesson whose aim can be measured."""
    aims = [drill for drill in lesson.drills if drill.aim is not None]
    now = lesson.checkpoint
    return tuple(
        Choice(drill.name, drill.title, now is not None and drill.aim is not None
               and drill.aim.measure == now.measure and drill.aim.moment == now.moment)
        for drill in aims
    )  # fmt: skip


def _checkpoint(check: Checkpoint | None) -> str:
    if check is None:
        return ""
    factor, unit = check.shown_factor, check.shown_unit or check.unit
    now = render_uncertain(check.now.value * factor, check.now.sd * factor, unit)
    target = render_uncertain(check.target * factor, abs(check.now.sd * factor), unit).split(" ±")[
        0
    ]
    return f"{now} now, {target} next, filmed {VIEW_WORDS[check.view]}"


def _versions(desk: Desk, entry: LessonEntry, zone: str) -> tuple[VersionLine, ...]:
    kept = load_lesson_versions(desk.library, entry.id)
    return tuple(
        VersionLine(one.version, short_day(local_day(one.saved_at, zone)), one.by)
        for one in reversed(kept)
        if one.version != entry.version
    )

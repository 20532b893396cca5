"""Where one golfer stands: every lesson with its chart, on screen, on paper and as data."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import JSONResponse, RedirectResponse

from causeline.errors import SettingError
from causeline.model.course import Course
from causeline.model.progress import Stage, Standing
from causeline.model.reminders import agreed_alone
from causeline.reading.course import run_titles
from causeline.reading.letters import run_told
from causeline.render.progress_chart import PHONE, render_progress_chart
from causeline.render.progress_data import render_progress_data, render_progress_table
from causeline.render.progress_lines import render_progress_lines
from causeline.render.progress_words import render_day
from causeline.render.report import render_report
from causeline.store.languages import load_words
from causeline.store.library_reminders import (
    load_mailing,
    load_reminders,
    save_mailing,
    save_mailing_stopped,
)
from causeline.web.contract.progress import (
    Act,
    LessonStanding,
    MailPart,
    ProgressPage,
)
from causeline.web.desk import Desk, OfDesk, Who
from causeline.web.morning import LIGHTER_FROM, sign_of
from causeline.web.shelf import golfer_seen
from causeline.web.show import show

router = APIRouter(include_in_schema=False)


@router.get("/golfers/{golfer}/progress")
def progress(request: Request, golfer: str, desk: OfDesk, coach: Who) -> Response:
    """Every lesson with what came of it, the newest first."""
    golfer_seen(desk, coach, golfer)
    course = desk.progress.standings.course(golfer)
    return show(request, "progress.html.j2", _page(course, _mail(desk, course)))


@router.get("/golfers/{golfer}/progress.json")
def progress_json(golfer: str, desk: OfDesk, coach: Who) -> Response:
    """The same as data, numbers not rounded."""
    golfer_seen(desk, coach, golfer)
    return JSONResponse(render_progress_data(desk.progress.standings.course(golfer), run_titles()))


@router.get("/golfers/{golfer}/progress.csv")
def progress_csv(golfer: str, desk: OfDesk, coach: Who) -> Response:
    """The newest lesson as a row."""
    golfer_seen(desk, coach, golfer)
    table = render_progress_table([desk.progress.standings.course(golfer)], run_titles())
    return _file(table.encode(), "text/csv; charset=utf-8", "progress.csv")


@router.get("/golfers/{golfer}/progress.pdf")
def progress_pdf(golfer: str, desk: OfDesk, coach: Who) -> Response:
    """The term's report for print."""
    golfer_seen(desk, coach, golfer)
    course = desk.progress.standings.course(golfer)
    content = render_report(course, run_titles(), coach=coach.name)
    return _file(content, "application/pdf", "report.pdf")


@router.post("/golfers/{golfer}/progress/{lesson}/further")
def further(golfer: str, lesson: str, desk: OfDesk, coach: Who) -> Response:
    """Move the target of a lesson on, because it was met on two days."""
    golfer_seen(desk, coach, golfer)
    desk.progress.plans.moved_on(golfer, lesson, coach.name)
    return RedirectResponse(f"/golfers/{golfer}/progress", 303)


@router.post("/golfers/{golfer}/progress/{lesson}/lighter")
def lighter(golfer: str, lesson: str, desk: OfDesk, coach: Who) -> Response:
    """Make what is left of a plan lighter, because practices were missed."""
    golfer_seen(desk, coach, golfer)
    desk.progress.plans.shortened(golfer, lesson)
    return RedirectResponse(f"/golfers/{golfer}/progress", 303)


@router.post("/golfers/{golfer}/mail")
def allow_mail(
    golfer: str,
    desk: OfDesk,
    coach: Who,
    address: Annotated[str, Form()],
    by: Annotated[str, Form()],
) -> Response:
    """Note that somebody agreed to mail. Raises SettingError for no address, or a junior alone."""
    entry = golfer_seen(desk, coach, golfer)
    if not by.strip() or agreed_alone(entry.golfer, by):
        raise SettingError(
            f"{by.strip() or 'nobody'} was named as who agreed",
            "the golfer, or a junior's guardian, was expected",
            "say who agreed that mail is sent",
        )
    try:
        save_mailing(desk.library, golfer, address.strip(), by.strip())
    except ValueError as error:
        raise SettingError(str(error), "", "give one address") from error
    return RedirectResponse(f"/golfers/{golfer}/progress", 303)


@router.post("/golfers/{golfer}/mail/stop")
def stop_mail(golfer: str, desk: OfDesk, coach: Who) -> Response:
    """Write to the golfer no more."""
    golfer_seen(desk, coach, golfer)
    mailing = load_mailing(desk.library, golfer)
    if mailing is not None:
        save_mailing_stopped(desk.library, mailing.token)
    return RedirectResponse(f"/golfers/{golfer}/progress", 303)


def _mail(desk: Desk, course: Course) -> MailPart:
    golfer = course.entry
    mailing = load_mailing(desk.library, golfer.id)
    told: tuple[str, ...] = ()
    if course.cases:
        case = course.cases[0]
        known = load_reminders(desk.library, golfer.id, case.lesson_id)
        words = load_words(case.lesson.golfer.language)
        told = tuple(said for _, said in run_told(case.lesson, known, words))
    agreed = ""
    if mailing is not None:
        day = render_day(mailing.agreed_at.astimezone(course.zone).date())
        agreed = f"{mailing.agreed_by} agreed on {day}"
    return MailPart(
        address=mailing.address if mailing else "",
        agreed=agreed,
        at=f"/golfers/{golfer.id}/mail",
        stop_at=f"/golfers/{golfer.id}/mail/stop",
        guardian=(golfer.guardian or "the guardian") if golfer.golfer.junior else "",
        reminders=told,
    )


def _file(content: bytes, kind: str, name: str) -> Response:
    about = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(content, media_type=kind, headers=about)


def _page(course: Course, mail: MailPart) -> ProgressPage:
    base = f"/golfers/{course.entry.id}"
    cause = course.next_cause
    return ProgressPage(
        name=course.entry.golfer.name,
        at=base,
        next=f"{cause.title} ({cause.probability:.2f})" if cause else "",
        lessons=tuple(_lesson(course, one) for one in course.standings),
        mail=mail,
        report_at=f"{base}/progress.pdf",
        json_at=f"{base}/progress.json",
        csv_at=f"{base}/progress.csv",
    )


def _lesson(course: Course, one: Standing) -> LessonStanding:
    lines = render_progress_lines(one, run_titles())
    return LessonStanding(
        at=f"/lessons/{one.lesson}",
        lines=lines,
        sign=sign_of(one),
        chart=render_progress_chart(one, f"{lines.aim}, by day"),
        small_chart=render_progress_chart(one, f"{lines.aim}, by day", PHONE),
        acts=_acts(course, one),
    )


def _acts(course: Course, one: Standing) -> tuple[Act, ...]:
    """What may be done with the newest lesson; older ones stay as they are."""
    if one is not course.standing:
        return ()
    base = f"/golfers/{course.entry.id}/progress/{one.lesson}"
    done = one.practice
    if one.stage is Stage.FURTHER:
        return (Act("Move the target on", f"{base}/further", changes=True),)
    if done.planned > done.due and done.missed >= LIGHTER_FROM:
        return (Act("Make the plan lighter", f"{base}/lighter", changes=True),)
    return ()

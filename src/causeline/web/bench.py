"""The bench: one swing or more, large, exact to the frame, drawn on and set right."""

from __future__ import annotations

from contextlib import ExitStack
from typing import Annotated

from fastapi import APIRouter, Query, Request, Response
from pydantic import BaseModel, ConfigDict
from starlette.background import BackgroundTask
from starlette.responses import FileResponse

from causeline.errors import Outdated, StoreError
from causeline.model.library import Attachment, Judgement, Kind, State, new_id
from causeline.render.stills import render_jpeg
from causeline.store.library_clips import (
    load_judgements,
    save_judgement,
    save_judgement_withdrawn,
)
from causeline.store.library_lessons import load_attachments, save_attachment
from causeline.store.library_readings import load_reading_of
from causeline.web.asking import clip_settings
from causeline.web.bench_facts import (
    about_of,
    film_of,
    others_of,
    reading_told,
    swing_title,
)
from causeline.web.bench_touch import check_order, judgement_of, touches
from causeline.web.both import best_of
from causeline.web.contract.bench import (
    MARKS_FORMAT,
    BenchPage,
    BenchTold,
    CorrectionAsked,
    FilmTold,
    MarksDocument,
    MarksTold,
    OtherTold,
    ReadingTold,
    plain_marks,
)
from causeline.web.desk import Desk, OfDesk, Who
from causeline.web.proxying import find_proxy, proxy_told
from causeline.web.shelf import ShelfSwing, swing_seen
from causeline.web.show import show

router = APIRouter()
YEAR_S = 365 * 24 * 3600
PICTURE_BYTES = 2_000_000


@router.get("/bench/{swing}", include_in_schema=False)
def bench_page(
    request: Request,
    desk: OfDesk,
    coach: Who,
    swing: str,
    moment: str = "",
    beside: Annotated[list[str] | None, Query()] = None,
) -> Response:
    """The bench with a swing on it, and others beside it."""
    one = swing_seen(desk, coach, swing)
    clip, _, number = swing.partition(".")
    page = BenchPage(
        title=swing_title(one),
        swing=swing,
        beside=tuple(beside or ()),
        moment=moment,
        back=f"/sheet/{clip}/{number}",
    )
    return show(request, "bench.html.j2", page)


@router.get("/bench/{swing}/facts")
def bench_facts(desk: OfDesk, coach: Who, swing: str) -> BenchTold:
    """Everything about a swing that the bench shows; the frames are begun where they are not."""
    one = best_of(desk, coach, swing_seen(desk, coach, swing))
    clip = one.shown.reading.clip
    return BenchTold(
        swing=swing,
        title=swing_title(one),
        about=about_of(one),
        width=clip.width,
        height=clip.height,
        rate_hz=clip.capture_rate_hz,
        left_handed=one.shown.reading.hand.name == "left",
        film=film_of(one, proxy_told(desk, one)),
        reading=reading_told(one, touches(desk, one)),
        marks=_marks(desk, one),
    )


@router.get("/bench/{swing}/film")
def bench_film(desk: OfDesk, coach: Who, swing: str) -> FilmTold:
    """Whether the frames are ready, and how far the work is."""
    one = swing_seen(desk, coach, swing)
    return film_of(one, proxy_told(desk, one))


@router.get("/bench/{swing}/film.mp4", include_in_schema=False)
def bench_film_file(desk: OfDesk, coach: Who, swing: str) -> Response:
    """The film itself; a part of it where a part is asked for (RFC 9110, section 14)."""
    one = swing_seen(desk, coach, swing)
    found = find_proxy(desk, one)
    if found is None:
        raise _not_ready()
    stack = ExitStack()
    path = stack.enter_context(desk.library.vault.on_disk(found.file_key))
    headers = {"cache-control": f"private, max-age={YEAR_S}, immutable"}
    closing = BackgroundTask(stack.close)
    return FileResponse(path, media_type="video/mp4", headers=headers, background=closing)


@router.get("/bench/{swing}/frames/{place}.jpg", include_in_schema=False)
def bench_frame(desk: OfDesk, coach: Who, swing: str, place: int) -> Response:
    """One frame of the film as a picture, for browsers that cannot decode frames themselves."""
    one = swing_seen(desk, coach, swing)
    found = find_proxy(desk, one)
    if found is None:
        raise _not_ready()
    with desk.library.vault.on_disk(found.file_key) as path:
        frames = list(desk.footage(path, desk.probe(path), [place], None))
    if not frames:
        raise StoreError(
            f"there is no frame at place {place}", "a place of the film was expected", "go nearer"
        )
    picture = render_jpeg(frames[0].picture, PICTURE_BYTES)
    return Response(picture, media_type="image/jpeg", headers={"cache-control": "private"})


def _not_ready() -> StoreError:
    return StoreError(
        "the frames of that swing are not ready yet",
        "a swing whose frames were made ready was expected",
        "open the swing on the bench; it says how far the work is",
    )


@router.get("/bench/{swing}/others")
def bench_others(desk: OfDesk, coach: Who, swing: str) -> tuple[OtherTold, ...]:
    """Swings that may stand beside this one: the golfer's own, then the coach's references."""
    return others_of(desk, coach, swing_seen(desk, coach, swing))


class MarksAsked(BaseModel):
    """The marks as they are to be kept, over the version that they began with."""

    model_config = ConfigDict(frozen=True)

    version: int
    document: MarksDocument


@router.get("/bench/{swing}/marks")
def bench_marks(desk: OfDesk, coach: Who, swing: str) -> MarksTold:
    """What is drawn on the swing."""
    return _marks(desk, swing_seen(desk, coach, swing))


@router.put("/bench/{swing}/marks")
def keep_marks(desk: OfDesk, coach: Who, swing: str, asked: MarksAsked) -> MarksTold:
    """Keep what is drawn. Raises Outdated where another page kept something meanwhile."""
    one = swing_seen(desk, coach, swing)
    known = _drawing(desk, one)
    version = known.version if known else 0
    if asked.version != version:
        raise Outdated(
            f"marks that began with version {asked.version} came",
            f"version {version} is there, kept by another page meanwhile; nothing was overwritten",
            "both are shown on the bench: keep one, or both",
        )
    content = {
        "format": MARKS_FORMAT,
        "swing": one.shown.number,
        "marks": plain_marks(asked.document),
    }
    attachment = Attachment(
        id=known.id if known else new_id(),
        golfer=one.golfer.id,
        kind=Kind.DRAWING,
        content=content,
        made_at=known.made_at if known else desk.library.now(),
        clip=one.clip.id,
        version=version,
    )
    kept = save_attachment(desk.library, attachment)
    return MarksTold(version=kept.version, document=asked.document)


def _marks(desk: Desk, one: ShelfSwing) -> MarksTold:
    known = _drawing(desk, one)
    if known is None:
        return MarksTold(version=0, document=MarksDocument(format="causeline.marks/1", marks=()))
    document = MarksDocument.model_validate(
        {"format": known.content["format"], "marks": known.content["marks"]}
    )
    return MarksTold(version=known.version, document=document)


def _drawing(desk: Desk, one: ShelfSwing) -> Attachment | None:
    kept = load_attachments(desk.library, one.golfer.id, clip=one.clip.id)
    return next(
        (
            each
            for each in kept
            if each.kind is Kind.DRAWING
            and each.content.get("format") == MARKS_FORMAT
            and each.content.get("swing") == one.shown.number
        ),
        None,
    )


@router.get("/bench/{swing}/reading")
def bench_reading(desk: OfDesk, coach: Who, swing: str) -> ReadingTold:
    """What the reading says that is ready; whether a newer one, as after an update, is awaited."""
    one = best_of(desk, coach, swing_seen(desk, coach, swing))
    newest = load_reading_of(desk.library, one.clip.sha256)
    awaited = newest is not None and newest.state in (State.WAITING, State.WORKING)
    told = reading_told(one, touches(desk, one))
    return told.model_copy(update={"waiting": awaited})


@router.post("/bench/{swing}/corrections")
def correct(desk: OfDesk, coach: Who, swing: str, asked: CorrectionAsked) -> ReadingTold:
    """Set a point or a moment right; what the reading then says. The one before it is withdrawn."""
    one = swing_seen(desk, coach, swing)
    made = judgement_of(one, asked, coach.name, desk.library.now())
    before = load_judgements(desk.library, one.clip.id)
    same = [each for each in before if _same(each, made)]
    now = [*(each for each in before if each not in same), made]
    check_order(now, one.shown.number)
    _judged(desk, one, now)  # before anything is kept: what is refused must not stay
    for each in same:
        save_judgement_withdrawn(desk.library, each.id)
    save_judgement(desk.library, made)
    return bench_reading(desk, coach, swing)


@router.delete("/bench/{swing}/corrections")
def automatic(desk: OfDesk, coach: Who, swing: str, name: str = "", frame: int = -1) -> ReadingTold:
    """Back to what was found: one point or moment, those of a name, or (no name) everything."""
    one = swing_seen(desk, coach, swing)
    before = load_judgements(desk.library, one.clip.id)
    gone = [
        each.id
        for each, told in touches(desk, one, before)
        if name in ("", told.name) and frame in (-1, told.frame)
    ]
    _judged(desk, one, [each for each in before if each.id not in gone])
    for each in gone:
        save_judgement_withdrawn(desk.library, each)
    return bench_reading(desk, coach, swing)


def _same(one: Judgement, other: Judgement) -> bool:
    def thing(judgement: Judgement) -> tuple[object, ...]:
        told = judgement.content
        name = told.get("landmark") or told.get("end") or told.get("name")
        return judgement.touch, judgement.swing, name, told.get("frame")

    return thing(one) == thing(other)


def _judged(desk: Desk, one: ShelfSwing, judgements: list[Judgement]) -> None:
    settings = clip_settings(one.golfer.golfer, one.clip, judgements)
    entry = desk.readings.judge(one.clip.sha256, settings)
    if entry.error:
        raise StoreError(
            entry.error, "a change that can be judged was expected", "set it otherwise"
        )

"""Talk-throughs: recorded second by second, edited, played, searched, filmed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Form, Response, UploadFile
from starlette.requests import Request
from starlette.responses import RedirectResponse

from causeline.errors import CauselineError, SettingError, StoreError, TalkFileError
from causeline.model.clip import View
from causeline.model.lesson import SwingRef
from causeline.model.library import Attachment, ClipEntry, Coach, Kind
from causeline.model.moments import Moment, MomentName, Moments
from causeline.model.talk import Take, Talk
from causeline.model.talk_cuts import respoken, trimmed, without
from causeline.model.talk_search import Told, shown_moments
from causeline.store.library import Library
from causeline.store.library_clips import load_clip, load_clips
from causeline.store.library_lessons import (
    load_lesson,
    save_attachment,
    save_attachments_removed,
)
from causeline.store.library_people import load_golfer, load_golfers
from causeline.store.library_readings import load_reading_content, load_reading_of
from causeline.store.library_talks import (
    Begun,
    Part,
    TalkEntry,
    load_spoken,
    load_talk,
    load_talk_head,
    load_talks,
    save_pieces,
    save_take_begun,
    save_take_closed,
    save_take_part,
    save_take_removed,
    save_talk,
)
from causeline.store.talk_file import (
    load_events_text,
    load_kind,
    load_pieces_plain,
    load_screen_text,
    save_talk_bytes,
)
from causeline.web.contract.lessons import LessonTalk
from causeline.web.contract.talk import (
    GoingTold,
    PassageCut,
    PiecesWanted,
    StretchTold,
    TakeClosed,
    TakePlaced,
    TakeTold,
    TalkBegun,
    TalkLine,
    TalkTold,
    VoiceTold,
)
from causeline.web.desk import Desk, OfDesk, Who
from causeline.web.jobs import Job
from causeline.web.talk_film import film_going, film_made, start_film
from causeline.web.words import short_day
from causeline.web.work import JobTold, told

router = APIRouter(prefix="/talk")
MOST_PART = 4 * 2**20
"""Bytes of sound in one part: a second of Opus is 4 to 16 kilobytes."""
MOST_SWINGS = 40
_ID = re.compile(r"[0-9a-f]{32}")
_SWING = re.compile(r"([0-9a-f]{32})\.([1-9][0-9]{0,3})")


@dataclass(frozen=True, slots=True, eq=False)
class Owned:
    """A talk-through of one of the golfers of who asks."""

    id: str
    desk: Desk
    coach: Coach

    def entry(self) -> TalkEntry:
        """All of it."""
        return load_talk(self.desk.library, self.id)

    def told(self) -> TalkTold:
        """All of it, as its contract has it."""
        return told_talk(self.desk, self.entry())


def owned(talk: str, desk: OfDesk, coach: Who) -> Owned:
    """The talk-through of the address; of another coach's nothing is said."""
    head = load_talk_head(desk.library, _named(talk))
    if load_golfer(desk.library, head.golfer).coach != coach.id:
        raise StoreError("no such talk-through is here", "one of your golfers' was expected")
    return Owned(talk, desk, coach)


Own = Annotated[Owned, Depends(owned)]


@router.put("/{talk}")
def begin_talk(talk: str, begun: TalkBegun, desk: OfDesk, coach: Who) -> TalkTold:
    """Begin a talk-through under a name of the browser's own making; asked twice, it is there."""
    _named(talk)
    clip, _ = _clip_of(desk.library, coach, begun.swing)
    if begun.lesson is not None and load_lesson(desk.library, begun.lesson).golfer != clip.golfer:
        raise SettingError(
            "the lesson is another golfer's", "a lesson of this one was expected", "choose it again"
        )
    content = {"title": begun.title, "pieces": [], "check_in": begun.check_in}
    now = desk.library.now()
    save_talk(
        desk.library,
        Attachment(talk, clip.golfer, Kind.TALK_THROUGH, content, now, begun.lesson, clip.id),
    )
    return owned(talk, desk, coach).told()


@router.get("/of/{swing}")
def talks_of(swing: str, desk: OfDesk, coach: Who) -> tuple[TalkLine, ...]:
    """Talk-throughs of the golfer of that swing, the newest first."""
    clip, _ = _clip_of(desk.library, coach, swing)
    return told_lines(load_talks(desk.library, clip.golfer), clip.id)


@router.get("/{talk}")
def talk_told(own: Own) -> TalkTold:
    """All of a talk-through but its sound."""
    return own.told()


@router.put("/{talk}/takes/{take}", status_code=204)
def begin_take(
    own: Own,
    take: str,
    swings: Annotated[str, Form(max_length=4000)],
    start: Annotated[str, Form()],
    voice: Annotated[str, Form(max_length=80)] = "",
) -> None:
    """Begin a take: `swings` are names with a space between, `start` the screen as JSON."""
    names = swings.split()
    if not 0 < len(names) <= MOST_SWINGS:
        raise SettingError(f"{len(names)} swings came", f"1 to {MOST_SWINGS} were expected")
    refs = tuple(_ref(own.desk.library, own.coach, name) for name in names)
    screen = load_screen_text(start)
    try:
        Take(_named(take), refs, screen, (), 0)
    except ValueError as error:  # what is on the screen is not among the swings
        raise TalkFileError(str(error)) from error
    kind = load_kind(voice) if voice else ""
    save_take_begun(own.desk.library, Begun(take, own.id, refs, screen, kind))


@router.put("/{talk}/takes/{take}/parts/{number}", status_code=204)
def keep_part(
    own: Own,
    take: str,
    number: int,
    events: Annotated[str, Form()],
    ends_ms: Annotated[int, Form(ge=0)],
    sound: UploadFile | None = None,
) -> None:
    """Keep about a second of a take; the same part sent again is kept once."""
    heard = sound.file.read(MOST_PART + 1) if sound is not None else b""
    if len(heard) > MOST_PART:
        raise TalkFileError(f"a part with more than {MOST_PART} bytes of sound came")
    part = Part(number, load_events_text(events, f"part {number}"), heard, ends_ms)
    save_take_part(own.desk.library, own.id, take, part)


@router.post("/{talk}/takes/{take}/close")
def close_take(own: Own, take: str, closed: TakeClosed) -> TakeTold:
    """The take as it is kept; 404 names the parts that have not come."""
    library = own.desk.library
    whole = save_take_closed(library, own.id, take, closed.parts, closed.starts_ms)
    golfer = load_talk_head(library, own.id).golfer
    return _told_take(own.id, whole, _Names(library, golfer, own.coach.id))


@router.post("/{talk}/takes/{take}/place")
def place_take(own: Own, take: str, placed: TakePlaced) -> TalkTold:
    """Play a closed take; one that is played already stays where it is."""
    entry = own.entry()
    new = next((one for one in entry.talk.takes if one.id == take), None)
    if new is None:
        raise StoreError("that take is not closed", "a closed one was expected", "close it first")
    if not any(piece.take == take for piece in entry.talk.pieces):
        start, stop = placed.start_ms, placed.stop_ms
        if placed.version != entry.attachment.version or not start <= stop <= entry.talk.lasts_ms:
            start = stop = entry.talk.lasts_ms
        pieces = respoken(entry.talk.pieces, start, stop, new)
        save_pieces(own.desk.library, entry, replace(entry.talk, pieces=pieces))
    return own.told()


@router.post("/{talk}/cut")
def cut_passage(own: Own, cut: PassageCut) -> TalkTold:
    """Leave out a passage, or all but it; 409 where another tab changed the talk-through."""
    entry = own.entry()
    edit = trimmed if cut.keep else without
    with _told_as_talk():
        pieces = edit(entry.talk.pieces, cut.start_ms, cut.stop_ms)
    return _edited(own, entry, cut.version, replace(entry.talk, pieces=pieces))


@router.put("/{talk}/pieces")
def play_pieces(own: Own, wanted: PiecesWanted) -> TalkTold:
    """Change what is played; 409 where another tab changed it meanwhile."""
    entry = own.entry()
    with _told_as_talk():
        changed = Talk(entry.talk.takes, wanted.pieces, wanted.title)
    return _edited(own, entry, wanted.version, changed)


def _edited(own: Owned, entry: TalkEntry, version: int, talk: Talk) -> TalkTold:
    """Saved over the version that was edited, and over no other."""
    edited = replace(entry, attachment=replace(entry.attachment, version=version))
    save_pieces(own.desk.library, edited, talk)
    return own.told()


@contextmanager
def _told_as_talk() -> Iterator[None]:
    try:
        yield
    except ValueError as error:
        raise TalkFileError(str(error)) from error


@router.delete("/{talk}/takes/{take}", status_code=204)
def remove_take(own: Own, take: str) -> None:
    """Delete a take that is not played."""
    save_take_removed(own.desk.library, own.id, take)


@router.delete("/{talk}", status_code=204)
def remove_talk(own: Own) -> None:
    """Delete a talk-through for good."""
    save_attachments_removed(own.desk.library, [own.id])


@router.get("/{talk}/takes/{take}/sound", include_in_schema=False)
def sound(own: Own, take: str, request: Request) -> Response:
    """The sound of a take."""
    voice = next((one.voice for one in own.entry().talk.takes if one.id == take), None)
    if voice is None:
        raise StoreError("that take has no sound", "one that was spoken was expected")
    return send_bytes(request, own.desk.library.vault.read(voice.key), voice.kind.split(";")[0])


@router.get("/{talk}/file", include_in_schema=False)
def file(own: Own) -> Response:
    """The talk file: everything, its sound included, to be kept elsewhere."""
    content = save_talk_bytes(load_spoken(own.desk.library, own.entry().talk))
    told = {"content-disposition": f'attachment; filename="talk-{own.id[:8]}.json"'}
    return Response(content, media_type="application/json", headers=told)


@router.post("/{talk}/film")
def film(own: Own) -> JobTold:
    """Draw the film, in the background."""
    entry = own.entry()
    if not entry.talk.pieces:
        raise SettingError("nothing of it is played", "something to film was expected")
    return told(film_talk(own.desk, own.coach, entry))


@router.get("/{talk}/film", include_in_schema=False)
def film_file(own: Own, request: Request) -> Response:
    """The film that was made last."""
    key = load_talk_head(own.desk.library, own.id).file_key
    if key is None:
        raise StoreError("there is no film of that", "one that was made was expected", "make it")
    return send_bytes(request, own.desk.library.vault.read(key), "video/mp4")


@router.post("/{talk}/lesson", include_in_schema=False)
def of_lesson(
    own: Own, lesson: Annotated[str, Form(max_length=40)], into: Annotated[bool, Form()] = False
) -> Response:
    """Put a talk-through into a lesson of its golfer, and have it filmed; or take it out."""
    library, entry = own.desk.library, own.entry()
    if load_lesson(library, lesson).golfer != entry.attachment.golfer:
        raise SettingError("the lesson is another golfer's", "a lesson of this one was expected")
    save_attachment(library, replace(entry.attachment, lesson=lesson if into else None))
    if into:
        film_talk(own.desk, own.coach, own.entry())
    return RedirectResponse(f"/lessons/{lesson}#talks", 303)


def told_talk(desk: Desk, entry: TalkEntry) -> TalkTold:
    """A talk-through as its contract has it."""
    attachment, talk = entry.attachment, entry.talk
    coach = load_golfer(desk.library, attachment.golfer).coach
    names = _Names(desk.library, attachment.golfer, coach)
    moments = _told_swings(desk.library, {ref for take in talk.takes for ref in take.swings})
    return TalkTold(
        id=attachment.id,
        version=attachment.version,
        title=talk.title,
        lesson=attachment.lesson,
        takes=tuple(_told_take(attachment.id, take, names) for take in talk.takes),
        pieces=talk.pieces,
        going=tuple(
            GoingTold(id=one.take, parts=one.parts, ends_ms=one.ends_ms, made_at=one.made_at)
            for one in entry.going
        ),
        stretches=tuple(
            StretchTold(
                swing=names.of(one.swing),
                moment=one.moment,
                start_ms=one.start_ms,
                stop_ms=one.stop_ms,
            )
            for one in shown_moments(talk, moments)
        ),
        film=f"/talk/{attachment.id}/film" if film_made(desk, entry) else "",
    )


def film_talk(desk: Desk, coach: Coach, entry: TalkEntry) -> Job:
    """Begin to draw the film, of the swings that are still there."""
    names = _Names(desk.library, entry.attachment.golfer, coach.id)
    refs = dict.fromkeys(ref for take in entry.talk.takes for ref in take.swings)
    known = {ref: name for ref in refs if (name := names.of(ref))}
    return start_film(desk, coach, entry, known)


def film_lesson_talks(desk: Desk, coach: Coach, golfer: str, lesson: str) -> None:
    """Begin to draw whatever of a lesson's talk-throughs is not filmed as it is."""
    for head in load_talks(desk.library, golfer, lesson):
        entry = load_talk(desk.library, head.id)
        if entry.talk.pieces and not film_made(desk, entry):
            film_talk(desk, coach, entry)


def lesson_talks(desk: Desk, golfer: str, lesson: str) -> tuple[LessonTalk, ...]:
    """A golfer's talk-throughs that are in a lesson, or in none, the newest first."""
    found = []
    for head in load_talks(desk.library, golfer)[::-1]:
        lasts_ms = sum(piece.lasts_ms for piece in load_pieces_plain(head.content["pieces"]))
        if head.lesson not in (None, lesson) or head.content.get("check_in") or lasts_ms == 0:
            continue
        made, entry = short_day(head.made_at.date()), load_talk(desk.library, head.id)
        minutes, seconds = divmod(round(lasts_ms / 1000), 60)
        found.append(
            LessonTalk(
                id=head.id,
                told=f"{minutes}:{seconds:02}, recorded {made}",
                into=head.lesson == lesson,
                filmed=film_made(desk, entry),
                going=film_going(desk, entry),
            )
        )
    return tuple(found)


def told_lines(talks: Iterable[Attachment], clip: str = "") -> tuple[TalkLine, ...]:
    """Talk-throughs as a list shows them, the newest first; `clip` is the one that is open."""
    lines = []
    for one in talks:
        pieces = load_pieces_plain(one.content.get("pieces", []))
        title = str(one.content.get("title", ""))
        lasts_ms = sum(piece.lasts_ms for piece in pieces)
        lines.append(
            TalkLine(
                id=one.id,
                title=title,
                made_at=one.made_at,
                lasts_ms=lasts_ms,
                lesson=one.lesson,
                check_in=str(one.content.get("check_in", "")),
                here=one.clip == clip,
            )
        )
    return tuple(lines[::-1])


def send_bytes(request: Request, content: bytes, kind: str) -> Response:
    """A file, or the part of it that a player asks for (RFC 9110, section 14)."""
    headers = {"accept-ranges": "bytes", "cache-control": "private, no-cache"}
    found = re.fullmatch(r"bytes=(\d*)-(\d*)", request.headers.get("range", ""))
    if found is None or found.groups() == ("", ""):
        return Response(content, media_type=kind, headers=headers)
    first, last = found.groups()
    start = max(len(content) - int(last), 0) if first == "" else int(first)
    stop = len(content) if first == "" or last == "" else min(int(last) + 1, len(content))
    if start >= stop:
        return Response(status_code=416, headers={"content-range": f"bytes */{len(content)}"})
    headers["content-range"] = f"bytes {start}-{stop - 1}/{len(content)}"
    return Response(content[start:stop], 206, media_type=kind, headers=headers)


def _named(name: str) -> str:
    if not _ID.fullmatch(name):
        raise SettingError(f"{name[:40]!r} came as a name", "32 hexadecimal digits were expected")
    return name


def _clip_of(library: Library, coach: Coach, swing: str) -> tuple[ClipEntry, int]:
    """The clip and the number of a swing, if it is of one of the coach's golfers."""
    found = _SWING.fullmatch(swing)
    if found is None:
        raise SettingError(f"{swing[:60]!r} names no swing", "a clip's id, a dot, a number")
    clip = load_clip(library, found[1])
    if load_golfer(library, clip.golfer).coach != coach.id:
        raise StoreError("no such swing is here", "one of your golfers' was expected")
    return clip, int(found[2])


def _ref(library: Library, coach: Coach, swing: str) -> SwingRef:
    clip, number = _clip_of(library, coach, swing)
    entry = load_reading_of(library, clip.sha256)
    view = clip.view
    if view is None and entry is not None and entry.reading_key is not None:
        view = View(load_reading_content(library, entry)["clip"]["view"]["name"])
    return SwingRef(clip.name, clip.sha256, view or View.FACE_ON, number)


class _Names:
    """What pages call the swings of takes."""

    def __init__(self, library: Library, golfer: str, coach: str) -> None:
        self._library, self._golfer, self._coach = library, golfer, coach
        self._known: dict[str, str] = {}

    def of(self, ref: SwingRef) -> str:
        """`{clip id}.{number}`; empty where the clip is not there any more."""
        if ref.sha256 not in self._known:
            self._look(self._golfer)
            if ref.sha256 not in self._known:
                for one in load_golfers(self._library, self._coach):
                    self._look(one.id)
        clip = self._known.get(ref.sha256, "")
        return f"{clip}.{ref.number}" if clip else ""

    def _look(self, golfer: str) -> None:
        for clip in load_clips(self._library, golfer, limit=500):
            self._known.setdefault(clip.sha256, clip.id)


def _told_take(talk: str, take: Take, names: _Names) -> TakeTold:
    voice = None
    if take.voice is not None:
        at = f"/talk/{talk}/takes/{take.id}/sound"
        voice = VoiceTold(kind=take.voice.kind, starts_ms=take.voice.starts_ms, at=at)
    return TakeTold(
        id=take.id,
        swings=tuple(names.of(ref) for ref in take.swings),
        start=take.start,
        events=take.events,
        lasts_ms=take.lasts_ms,
        voice=voice,
    )


def _told_swings(library: Library, refs: Iterable[SwingRef]) -> dict[SwingRef, Told]:
    """Moments of the swings that are read; a swing that is not is passed over."""
    found = {}
    for ref in refs:
        try:
            entry = load_reading_of(library, ref.sha256)
            content = load_reading_content(library, entry) if entry is not None else None
            if content is not None:
                found[ref] = _told_swing(content, ref.number)
        except (CauselineError, LookupError, TypeError, ValueError, ZeroDivisionError):
            continue
    return found


def _told_swing(content: dict[str, Any], number: int) -> Told:
    moments = tuple(
        Moment(MomentName(one["name"]), one["time_s"], one["sd_s"], one["frame"], one["rule"])
        for one in content["swings"][number - 1]["moments"]
    )
    return Told(Moments(moments), 1.0 / float(content["clip"]["capture_rate_hz"]))

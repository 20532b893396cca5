"""One clip, from file to reading: open, look over, find the swings, read each, measure."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import Protocol

import numpy as np

from causeline.body.refine import refine_body
from causeline.measures.club_catalogue import FULL_CATALOGUE
from causeline.measures.context import SwingContext, measure_context
from causeline.measures.filming import measure_filming
from causeline.measures.picture import PictureFacts, measure_picture
from causeline.measures.swing import measure_swing
from causeline.model.clip import Called, Clip, Frame, Hand, ScaleFrom, View
from causeline.model.moments import MomentName, Moments, SwingWindow
from causeline.model.reading import Reading, Swing
from causeline.model.seams import ClipSource, ClubNet, FrameWatch, LandmarkEngine
from causeline.model.tracks import BodyTrack, ClubTrack, LandmarkTrack
from causeline.moments.find import find_moments
from causeline.moments.rehearsal import find_rehearsal
from causeline.moments.strike import find_strike
from causeline.moments.swings import find_swinger, find_swings
from causeline.moments.timescale import find_time_scale
from causeline.moments.view import find_hand, find_view
from causeline.quantities.uncertain import Uncertain
from causeline.reading.club import run_club
from causeline.reading.follow import Footage, Report, run_coarse, run_dense

Found = Callable[[Clip, tuple[SwingWindow, ...]], None]
"""Called once, when it is known where in the clip the swings are."""

LISTEN_S = 0.25
"""File seconds on either side of the seen impact in which the strike is listened for."""


class RepeatMarks(FrameWatch, Protocol):
    """Watches a decode pass and marks the frames that repeat the one before."""

    def marked(self, clip: Clip) -> Clip:
        """The clip with what was seen: repeats, and frames that did not come."""


@dataclass(frozen=True, slots=True)
class Settings:
    """What the coach decides instead of the pictures. None leaves it to them."""

    view: View | None = None
    hand: Hand | None = None
    capture_hz: float | None = None
    """Frames that the camera took in a real second."""
    stature_m: Uncertain | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Doors:
    """The real doors, or their fakes."""

    source: ClipSource
    scout: LandmarkEngine
    """For the first pass, that only finds who swings and when: quick."""
    engine: LandmarkEngine
    """For every frame of a swing: exact."""
    club: ClubNet | None
    """None leaves the club out."""
    watch_repeats: Callable[[Clip], RepeatMarks]
    recapture: Callable[[Clip, float], Clip]
    """The clip as filmed at a given rate."""
    versions: Mapping[str, str]


@dataclass(frozen=True, slots=True, eq=False)
class Result:
    """A reading, and the pictures of its moments: for each swing, frame index to frame."""

    reading: Reading
    frames: tuple[Mapping[int, Frame], ...]


def run_reading(
    path: Path, doors: Doors, settings: Settings, report: Report, found: Found | None = None
) -> Result:
    """Read every swing of a clip. `found` hears of the swings before they are read closely.

    Raises ClipError where the file cannot be read, NoPersonFound or NoSwingFound where it shows
    nothing to read, SettingError where a setting does not fit the clip.
    """
    job = _Job(path, doors, settings, report)
    clip, golfer = job.look_over()
    windows = find_swings(golfer)
    if found is not None:
        found(clip, windows)
    view, hand = job.call(golfer, max(windows, key=lambda window: window.confidence))
    taken = [job.read(clip, golfer, window, (view, hand)) for window in windows]
    swings = tuple(
        replace(each.swing, rehearsal=_rehearsed(windows, number, taken))
        for number, each in enumerate(taken)
    )
    frames = tuple(dict(job.stills(clip, swing)) for swing in swings)
    light = [
        facts for swing, kept in zip(swings, frames, strict=True) for facts in _light(swing, kept)
    ]
    filming = measure_filming(clip, [each.context for each in taken], view, light)
    reading = Reading(clip, view, hand, swings, filming, dict(doors.versions))
    return Result(reading, frames)


@dataclass(frozen=True, slots=True, eq=False)
class _Taken:
    """One swing as it was read, with what the later steps need."""

    swing: Swing
    context: SwingContext
    struck: bool | None
    """Whether the strike was heard; None where it could not have been."""


@dataclass(frozen=True, slots=True, eq=False)
class _Job:
    """One clip being read."""

    path: Path
    doors: Doors
    settings: Settings
    report: Report

    def look_over(self) -> tuple[Clip, LandmarkTrack]:
        """Open the clip, go over it coarsely, pick the golfer, set the clock."""
        clip = self._timed(self.doors.source.probe(self.path))
        marks = self.doors.watch_repeats(clip)
        tracks = run_coarse(self._footage(clip), self.doors.scout, self.report, marks)
        golfer = tracks[find_swinger(tracks)]
        clip = _in_real_time(self._timed(marks.marked(clip)), golfer)
        return clip, replace(golfer, time_s=clip.clock.seconds[golfer.frames])

    def _footage(self, clip: Clip) -> Footage:
        return Footage(self.doors.source, self.path, clip)

    def _timed(self, clip: Clip) -> Clip:
        rate = self.settings.capture_hz
        return clip if rate is None else self.doors.recapture(clip, rate)

    def call(self, golfer: LandmarkTrack, window: SwingWindow) -> tuple[Called, Called]:
        """View and hand: as the coach says, else as the pictures show."""
        given_view, given_hand = self.settings.view, self.settings.hand
        view = Called(given_view, 1.0) if given_view else find_view(golfer, window)
        hand = Called(given_hand, 1.0) if given_hand else find_hand(golfer, window, View(view.name))
        return view, hand

    def read(
        self, clip: Clip, golfer: LandmarkTrack, window: SwingWindow, called: tuple[Called, Called]
    ) -> _Taken:
        """One swing: every frame of its window, then moments and measures."""
        view, hand = View(called[0].name), Hand(called[1].name)
        wanted = range(window.first_frame, window.last_frame + 1)
        track = run_dense(self._footage(clip), self.doors.engine, wanted, golfer, self.report)
        body = refine_body(track, hand, clip.width, view)
        net = self.doors.club
        club = None if net is None else run_club(self._footage(clip), net, body, self.report)
        moments, struck = self._moments(clip, (body, club), view)
        context = measure_context(clip, view, body, moments, self.settings.stature_m, club)
        swing = Swing(
            first_frame=window.first_frame,
            last_frame=window.last_frame,
            rehearsal=False,
            moments=moments,
            measures=measure_swing(context, FULL_CATALOGUE),
            body=body,
            club=club,
        )
        return _Taken(swing, context, struck)

    def _moments(
        self, clip: Clip, tracks: tuple[BodyTrack, ClubTrack | None], view: View
    ) -> tuple[Moments, bool | None]:
        """As seen; and once more with the strike as heard, where the clip plays in real time."""
        body, club = tracks
        seen = find_moments(body, view, club=club)
        impact = seen.get(MomentName.IMPACT)
        if impact is None or not clip.has_audio or clip.clock.time_scale != 1:
            return seen, None
        around = (max(0.0, impact.time_s - LISTEN_S), impact.time_s + LISTEN_S)
        sound = self.doors.source.sound(self.path, clip, *around)
        if sound is None:
            return seen, None
        strike = find_strike(sound, impact.time_s, impact.sd_s)
        return (find_moments(body, view, strike, club), True) if strike else (seen, False)

    def stills(self, clip: Clip, swing: Swing) -> Iterator[tuple[int, Frame]]:
        """The pictures of a swing's moments."""
        wanted = sorted({moment.frame for moment in swing.moments.found})
        for frame in self.doors.source.frames(self.path, clip, wanted):
            yield frame.index, frame


def _in_real_time(clip: Clip, golfer: LandmarkTrack) -> Clip:
    """Slow motion that nothing else tells of is inferred from the swing itself, and marked so."""
    if clip.time_scale_from != ScaleFrom.REAL_TIME:
        return clip
    window = max(find_swings(golfer), key=lambda each: each.confidence)
    guess = find_time_scale(window, clip.clock)
    if guess is None or guess.scale == Fraction(1):
        return clip
    clock = clip.clock.scaled(guess.scale)
    return replace(clip, clock=clock, time_scale_from=ScaleFrom.INFERRED)


def _rehearsed(windows: Sequence[SwingWindow], number: int, taken: Sequence[_Taken]) -> bool:
    return find_rehearsal(windows, number, [each.struck for each in taken]) > 0.5


def _light(swing: Swing, frames: Mapping[int, Frame]) -> Iterator[PictureFacts]:
    """Light and sharpness around the golfer at address, top and impact."""
    for name in (MomentName.ADDRESS, MomentName.TOP, MomentName.IMPACT):
        moment = swing.moments.get(name)
        if moment is None or moment.frame not in frames:
            continue
        row = int(np.argmin(np.abs(swing.body.frames - moment.frame)))
        points = swing.body.shown_xy()[row]
        points = points[np.isfinite(points).all(axis=1)]
        if len(points):
            frame = frames[moment.frame]
            (left, top), (right, bottom) = points.min(axis=0), points.max(axis=0)
            box = (left, top, right, bottom)
            yield measure_picture(frame.picture, tuple(edge * frame.shrink for edge in box))

"""The first half of a reading: everything that needs the clip's pictures or its sound."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

import numpy as np

from causeline.errors import CauselineError, NoPersonFound, NoSwingFound
from causeline.measures.context import measure_context
from causeline.measures.filming import measure_filming
from causeline.measures.picture import measure_picture
from causeline.model.clip import Called, Clip, Frame, Hand, ScaleFrom, View
from causeline.model.filming import PictureFacts
from causeline.model.moments import MomentName, Moments, SwingWindow
from causeline.model.seams import ClubNet
from causeline.model.seen import Seen, SeenSwing, kept_track
from causeline.model.tracks import BodyTrack, LandmarkTrack
from causeline.moments.strike import find_strike
from causeline.moments.swings import find_swinger, find_swings
from causeline.moments.timescale import find_time_scale
from causeline.moments.view import find_hand, find_view
from causeline.quantities.uncertain import Uncertain
from causeline.reading.before import run_before
from causeline.reading.club import run_club
from causeline.reading.doors import Doors, FirstLook, Found, Glimpse, Settings
from causeline.reading.follow import DensePass, Footage, Report, run_coarse, run_dense
from causeline.reading.judging import Tracks
from causeline.reading.kept import KeptFrames

LISTEN_S = 0.25
"""File seconds on either side of the seen impact in which the strike is listened for."""

Stills = Mapping[int, Frame]
"""The pictures of a swing's moments by frame index."""


@dataclass(frozen=True, slots=True, eq=False)
class Look:
    """What was seen, and what was worked out or decoded on the way: a swing each."""

    seen: Seen
    tracks: tuple[Tracks, ...]
    stills: tuple[Stills, ...]


def run_seeing(
    path: Path,
    doors: Doors,
    settings: Settings | None = None,
    report: Report | None = None,
    found: Found | None = None,
    glimpse: Glimpse | None = None,
) -> Seen:
    """Look at every swing of a clip.

    Before they are looked at closely `found` hears where they are, `glimpse` how they are filmed.

    Raises ClipError where the file cannot be read, NoPersonFound or NoSwingFound where it shows
    nothing to read, SettingError where a setting does not fit the clip.
    """
    job = _Job(path, doors, settings or Settings(), report or _quiet)
    return _look(job, found, glimpse).seen


def run_look(
    path: Path, doors: Doors, settings: Settings, report: Report, found: Found | None
) -> Look:
    """As `run_seeing`, and keeps the tracks and the pictures that it came by."""
    return _look(_Job(path, doors, settings, report), found, None)


def _look(job: _Job, found: Found | None, glimpse: Glimpse | None) -> Look:
    clip, golfer = job.look_over()
    with _owning_up(clip):
        windows = find_swings(golfer)
    if found is not None:
        found(clip, windows)
    surest = max(windows, key=lambda window: window.confidence)
    view, hand = job.call(golfer, surest)
    if glimpse is not None:
        glimpse(job.first_look(clip, golfer, surest, (view, hand)))
    looked = _told([job.look(clip, golfer, window, (view, hand)) for window in windows])
    tracks, stills = (tuple(parts) for parts in zip(*looked, strict=True))
    swings = tuple(each.swing for each in tracks)
    versions, rate = dict(job.doors.versions), job.settings.capture_hz
    return Look(Seen(clip, golfer, view, hand, swings, versions, rate), tracks, stills)


def _told(looked: list[tuple[Tracks, Stills]]) -> list[tuple[Tracks, Stills]]:
    """The swings of which at least one moment is known. Raises NoSwingFound where there is none."""
    told = [each for each in looked if each[0].moments.found]
    if not told:
        reasons = {reason for tracks, _ in looked for _, reason in tracks.moments.missing}
        raise NoSwingFound(
            "hands that go up, down and up again are seen, but no moment of the swing: "
            + "; ".join(sorted(reasons)[:2]),
            "a golfer whose arms are seen from start to finish was expected",
            "film again with the whole golfer in the picture, in better light, at 120 Hz or more",
        )
    return told


def run_stills(path: Path, doors: Doors, clip: Clip, moments: Moments) -> Stills:
    """The pictures of a swing's moments, by frame index."""
    wanted = sorted({moment.frame for moment in moments.found})
    return {frame.index: frame for frame in doors.source.frames(path, clip, wanted)}


@dataclass(frozen=True, slots=True, eq=False)
class _Job:
    """One clip being looked at."""

    path: Path
    doors: Doors
    settings: Settings
    report: Report

    def look_over(self) -> tuple[Clip, LandmarkTrack]:
        """Open the clip, go over it coarsely, pick the golfer, set the clock."""
        with self._loading():
            clip = self._timed(self.doors.source.probe(self.path))
        marks = self.doors.watch_repeats(clip)
        tracks = run_coarse(self._footage(clip), self.doors.scout, self.report, marks)
        clip = self._timed(marks.marked(clip))
        with _owning_up(clip):
            swinger = tracks[find_swinger(tracks)]
            golfer = kept_track(run_before(self._footage(clip), self.doors.scout, swinger))
            clip = _in_real_time(clip, golfer)
        return clip, replace(golfer, time_s=clip.clock.seconds[golfer.frames])

    @contextmanager
    def _loading(self) -> Iterator[None]:
        """Load the networks while the clip is opened, and no more of them where it cannot be."""
        stop = self.doors.load_ahead() if self.doors.load_ahead is not None else None
        try:
            yield
        except CauselineError:
            if stop is not None:
                stop()
            raise

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

    def first_look(
        self, clip: Clip, golfer: LandmarkTrack, window: SwingWindow, called: tuple[Called, Called]
    ) -> FirstLook:
        """How the clip is filmed, as far as the coarse look and three pictures tell."""
        view, hand = View(called[0].name), Hand(called[1].name)
        swing = SeenSwing(window, _within(golfer, window))
        tracks = Tracks(clip, swing, view, hand)
        stills = run_stills(self.path, self.doors, clip, tracks.moments)
        stature_m = self.settings.stature_m
        context = measure_context(clip, view, tracks.body, tracks.moments, stature_m)
        light = tuple(_light(tracks, stills))
        return FirstLook(called[0], measure_filming(clip, [context], called[0], light))

    def look(
        self, clip: Clip, golfer: LandmarkTrack, window: SwingWindow, called: tuple[Called, Called]
    ) -> tuple[Tracks, Stills]:
        """One swing: every frame of its window, the sound of the strike, the moments' pictures."""
        view, hand = View(called[0].name), Hand(called[1].name)
        wanted = range(window.first_frame, window.last_frame + 1)
        dense, net = DensePass.over(self._footage(clip), wanted, golfer), self.doors.club
        kept = None if net is None else _kept(dense, net)
        track = run_dense(dense, self.doors.engine, self.report, kept)
        tracks = Tracks(clip, SeenSwing(window, kept_track(track)), view, hand)
        if net is not None and kept is not None:
            club = run_club(kept.again(dense.frames), net, tracks.body, self.report)
            tracks = _with(tracks, replace(tracks.swing, club=club))
        listened, strike = self._listen(clip, tracks.moments)
        if listened:
            tracks = _with(tracks, replace(tracks.swing, listened=True, strike=strike))
        stills = run_stills(self.path, self.doors, clip, tracks.moments)
        light = tuple(_light(tracks, stills))
        return _with(tracks, replace(tracks.swing, light=light)), stills

    def _listen(self, clip: Clip, seen: Moments) -> tuple[bool, Uncertain | None]:
        """Whether a strike could be heard, and when it was: only where the clip is in real time."""
        impact = seen.get(MomentName.IMPACT)
        if impact is None or not clip.has_audio or clip.clock.time_scale != 1:
            return False, None
        around = (max(0.0, impact.time_s - LISTEN_S), impact.time_s + LISTEN_S)
        sound = self.doors.source.sound(self.path, clip, *around)
        if sound is None:
            return False, None
        return True, find_strike(sound, impact.time_s, impact.sd_s)


def _within(track: LandmarkTrack, window: SwingWindow) -> LandmarkTrack:
    """The frames of the window that were looked at."""
    inside = (track.frames >= window.first_frame) & (track.frames <= window.last_frame)
    return LandmarkTrack(
        track.frames[inside], track.time_s[inside], track.xy[inside], track.confidence[inside]
    )


def _kept(dense: DensePass, net: ClubNet) -> KeptFrames:
    """Frames for the club: the square around the hands is about as large as the golfer's."""
    side = dense.regions[0].size
    return KeptFrames(len(dense.window), lambda frame: net.shrink_frame(frame, side))


def _with(tracks: Tracks, swing: SeenSwing) -> Tracks:
    """The same tracks of a swing of which more is known, keeping what that does not change."""
    known = replace(tracks, swing=swing)
    lasting = ["body"]
    if swing.club is tracks.swing.club:
        lasting.append("club")
        if swing.strike is tracks.swing.strike:
            lasting.append("moments")
    worked_out = vars(tracks)
    vars(known).update({name: worked_out[name] for name in lasting if name in worked_out})
    return known


@contextmanager
def _owning_up(clip: Clip) -> Iterator[None]:
    """Who or what is not found may have been in the frames that were lost: say so."""
    try:
        yield
    except (NoPersonFound, NoSwingFound) as error:
        if not clip.damaged:
            raise
        lost = f"{clip.damaged} frames could not be decoded, and in the rest "
        again = "send the file once more as the camera wrote it: this copy is damaged or cut off"
        raise type(error)(lost + error.came, error.expected, again) from error


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


def _light(tracks: Tracks, stills: Stills) -> Iterator[PictureFacts]:
    """Light and sharpness around the golfer at address, top and impact."""
    for name in (MomentName.ADDRESS, MomentName.TOP, MomentName.IMPACT):
        moment = tracks.moments.get(name)
        if moment is None or moment.frame not in stills:
            continue
        box = _box(tracks.body, moment.frame)
        if box is not None:
            frame = stills[moment.frame]
            left, top, right, bottom = (edge * frame.shrink for edge in box)
            yield measure_picture(frame.picture, (left, top, right, bottom))


def _box(body: BodyTrack, frame: int) -> tuple[float, float, float, float] | None:
    """Around the golfer in that frame, clip pixels: left, top, right, bottom."""
    row = int(np.argmin(np.abs(body.frames - frame)))
    points = body.shown_xy()[row]
    points = points[np.isfinite(points).all(axis=1)]
    if not len(points):
        return None
    (left, top), (right, bottom) = points.min(axis=0), points.max(axis=0)
    return float(left), float(top), float(right), float(bottom)


def _quiet(stage: str, done: int, total: int) -> None:
    """Report nothing."""

"""The second half of a reading: numbers only, from what was seen to moments and measures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

from causeline.body.corrected import refine_corrected
from causeline.body.recover import recover_body
from causeline.body.refine import refine_body
from causeline.body.shot import View3D
from causeline.club.corrected import track_corrected
from causeline.club.track import track_club
from causeline.errors import SettingError
from causeline.findings import explain_findings
from causeline.measures.club_catalogue import FULL_CATALOGUE
from causeline.measures.context import SwingContext, measure_context
from causeline.measures.filming import measure_filming
from causeline.measures.swing import measure_swing
from causeline.model.clip import Called, Clip, Hand, View
from causeline.model.moments import Moments
from causeline.model.motion import Correction, Known, Motion, MotionPrior
from causeline.model.reading import Reading, Swing
from causeline.model.seen import Seen, SeenSwing
from causeline.model.touched import ClubMark, MomentMark
from causeline.model.tracks import BodyTrack, ClubTrack, LandmarkTrack
from causeline.moments.find import find_moments
from causeline.moments.rehearsal import find_rehearsal
from causeline.reading.doors import Settings


@dataclass(frozen=True, eq=False)
class Tracks:
    """Body, club and moments of one swing, each worked out when it is first asked for."""

    clip: Clip
    swing: SeenSwing
    view: View
    hand: Hand
    corrections: tuple[Correction, ...] = ()
    """What a coach set right, in pixels of the clip as it is shown."""
    club_marks: tuple[ClubMark, ...] = ()
    """The same of the club."""
    moment_marks: tuple[MomentMark, ...] = ()

    @cached_property
    def body(self) -> BodyTrack:
        """The golfer, cleaned and set right."""
        if not self.corrections:
            return self._followed()
        return refine_corrected(self._followed(), self._turned(self._followed()))

    def _followed(self) -> BodyTrack:
        return _refined(self.swing.landmarks, self.hand, self.clip.width, self.view)

    @cached_property
    def club(self) -> ClubTrack | None:
        """The club in the body's coordinates."""
        seen = self.swing.club
        if seen is None:
            return None
        club = track_club(self.body, seen.turned(self.body.mirrored).guesses)
        if not self.club_marks:
            return club
        marks = tuple(replace(each, x=self._shown(each.x)) for each in self.club_marks)
        return track_corrected(club, self.body.frames, self.body.time_s, marks)

    @cached_property
    def moments(self) -> Moments:
        """The moments, with the strike as heard."""
        heard = self.swing.strike
        return find_moments(self.body, self.view, heard, self.club, self.moment_marks)

    @property
    def view_3d(self) -> View3D:
        """What the body in three dimensions is fitted to: corrections beside what was followed."""
        size = (self.clip.width, self.clip.height)
        followed = self._followed() if self.corrections else self.body
        corrections = self._turned(followed)
        return View3D(followed, self.moments, self.view, size, self.club, corrections)

    def _turned(self, body: BodyTrack) -> tuple[Correction, ...]:
        """Those of this swing, mirrored where the track is."""
        mine = [each for each in self.corrections if each.frame in body.frames]
        if not body.mirrored:
            return tuple(mine)
        return tuple(replace(each, x=body.width - 1 - each.x) for each in mine)

    def _shown(self, x: float) -> float:
        """From the clip as it is shown to the track's own coordinates."""
        return self.body.width - 1 - x if self.body.mirrored else x


@dataclass(frozen=True, eq=False)
class Judging:
    """One clip on its way from what was seen to its reading. Make it with `of`."""

    seen: Seen
    settings: Settings
    view: Called
    hand: Called
    tracks: tuple[Tracks, ...]

    @classmethod
    def of(cls, seen: Seen, settings: Settings, tracks: tuple[Tracks, ...] = ()) -> Judging:
        """What the coach decides instead of the pictures is decided here. Raises SettingError."""
        _check_rate(seen, settings)
        view = Called(settings.view, 1.0) if settings.view else seen.view
        hand = Called(settings.hand, 1.0) if settings.hand else seen.hand
        if settings.touched or not tracks:
            tracks = tuple(
                Tracks(
                    seen.clip,
                    swing,
                    View(view.name),
                    Hand(hand.name),
                    settings.corrections,
                    settings.club_marks,
                    settings.moment_marks,
                )
                for swing in seen.swings
            )
        return cls(seen, settings, view, hand, tracks)

    def context(self, number: int, motion: Motion | None) -> SwingContext:
        """What a swing's measures are taken from."""
        one, stature_m = self.tracks[number], self.settings.stature_m
        context = measure_context(one.clip, one.view, one.body, one.moments, stature_m, one.club)
        return replace(context, motion=motion)

    def rehearsed(self, number: int) -> bool:
        """Whether a swing was one of practice."""
        windows = [swing.window for swing in self.seen.swings]
        return find_rehearsal(windows, number, [swing.struck for swing in self.seen.swings]) > 0.5

    def reading(
        self, contexts: Sequence[SwingContext], beside: Sequence[SwingContext | None] = ()
    ) -> Reading:
        """The whole reading; `beside` is each swing as the other view has it."""
        light = [facts for swing in self.seen.swings for facts in swing.light]
        others = beside or [None] * len(contexts)
        swings = tuple(
            self._swing(number, context, other)
            for number, (context, other) in enumerate(zip(contexts, others, strict=True))
        )
        filming = measure_filming(self.seen.clip, contexts, self.view, light)
        engine = dict(self.seen.engine)
        return Reading(self.seen.clip, self.view, self.hand, swings, filming, engine)

    def _swing(self, number: int, context: SwingContext, other: SwingContext | None) -> Swing:
        window = self.tracks[number].swing.window
        swing = Swing(
            first_frame=window.first_frame,
            last_frame=window.last_frame,
            rehearsal=self.rehearsed(number),
            moments=context.moments,
            measures=measure_swing(context, FULL_CATALOGUE),
            body=context.body,
            club=context.club,
            motion=context.motion,
        )
        return self._explained(swing, context.view, other)

    def _explained(self, swing: Swing, view: View, other: SwingContext | None) -> Swing:
        """With its findings; a rehearsal is not a swing to be judged."""
        if swing.rehearsal:
            return swing
        seen, moments = {view: swing.measures}, {view: swing.moments}
        if other is not None and other.view is not view:
            seen[other.view] = measure_swing(other, FULL_CATALOGUE)
            moments[other.view] = other.moments
        club, rulings = self.settings.club, self.settings.rulings
        return replace(swing, findings=explain_findings(seen, club, rulings, moments))


def run_judging(
    seen: Seen,
    settings: Settings | None = None,
    tracks: tuple[Tracks, ...] = (),
    prior: MotionPrior | None = None,
    before: Reading | None = None,
) -> Reading:
    """The reading of what was seen. Looks at no file.

    View, hand and stature of `settings` hold instead of what the pictures said; its club and its
    rulings go into the findings, and its corrections into the tracks. When the hand changes, the
    guesses at the club are mirrored; the network, asked once more, would place them within its own
    error of that. The club is looked for around the hands that the view gave, which another view
    hardly moves. The capture rate decides how the clip is looked over, so it cannot be changed
    here: see the clip again (`run_seeing`).

    `tracks` are those already worked out for the same settings, one for each swing. Without a
    `prior` of how golfers move, the body in three dimensions and what rests on it are left out.
    `before` is an earlier reading of the same clip: the body is fitted from where it ended.

    Raises SettingError for another capture rate than the clip was seen with.
    """
    job = Judging.of(seen, settings or Settings(), tracks)
    starts = _starts(before, len(job.tracks))
    motions = [
        recover_body((each.view_3d,), prior, job.settings.stature_m, start) if prior else None
        for each, start in zip(job.tracks, starts, strict=True)
    ]
    return job.reading([job.context(number, motion) for number, motion in enumerate(motions)])


@lru_cache(maxsize=8)
def _refined(landmarks: LandmarkTrack, hand: Hand, width: int, view: View) -> BodyTrack:
    """The cleaned track; the last few are kept, since a coach sets right one point after another.

    Tracks are compared by what they are, not by what is in them: nobody changes one.
    """
    return refine_body(landmarks, hand, width, view)


def _starts(before: Reading | None, count: int) -> list[Known | None]:
    """Where each swing's fit ended before; None where nothing is known."""
    motions = [swing.motion for swing in before.swings] if before else []
    known = [motion.known if motion else None for motion in motions]
    return known if len(known) == count else [None] * count


def _check_rate(seen: Seen, settings: Settings) -> None:
    if settings.capture_hz is not None and settings.capture_hz != seen.capture_hz:
        had = "none" if seen.capture_hz is None else f"{seen.capture_hz:g}"
        raise SettingError(
            f"a capture rate of {settings.capture_hz:g} came for {seen.clip.name}",
            f"the rate that the clip was seen with ({had}) was expected",
            "read the clip itself again with that rate",
        )

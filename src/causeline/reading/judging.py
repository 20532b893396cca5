"""The second half of a reading: numbers only, from what was seen to moments and measures."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

from causeline.body.recover import recover_body
from causeline.body.refine import refine_body
from causeline.body.shot import View3D
from causeline.club.track import track_club
from causeline.errors import SettingError
from causeline.findings import explain_findings
from causeline.measures.club_catalogue import FULL_CATALOGUE
from causeline.measures.context import SwingContext, measure_context
from causeline.measures.filming import measure_filming
from causeline.measures.swing import measure_swing
from causeline.model.clip import Called, Clip, Hand, View
from causeline.model.moments import Moments
from causeline.model.motion import MotionPrior
from causeline.model.reading import Reading, Swing
from causeline.model.seen import Seen, SeenSwing
from causeline.model.tracks import BodyTrack, ClubTrack
from causeline.moments.find import find_moments
from causeline.moments.rehearsal import find_rehearsal
from causeline.quantities.uncertain import Uncertain
from causeline.reading.doors import Settings


@dataclass(frozen=True, eq=False)
class Tracks:
    """Body, club and moments of one swing, each worked out when it is first asked for."""

    clip: Clip
    swing: SeenSwing
    view: View
    hand: Hand

    @cached_property
    def body(self) -> BodyTrack:
        """The golfer, cleaned."""
        return refine_body(self.swing.landmarks, self.hand, self.clip.width, self.view)

    @cached_property
    def club(self) -> ClubTrack | None:
        """The club in the body's coordinates."""
        seen = self.swing.club
        if seen is None:
            return None
        return track_club(self.body, seen.turned(self.body.mirrored).guesses)

    @cached_property
    def moments(self) -> Moments:
        """The moments, with the strike as heard."""
        return find_moments(self.body, self.view, self.swing.strike, self.club)

    @property
    def view_3d(self) -> View3D:
        """What the body in three dimensions is fitted to."""
        size = (self.clip.width, self.clip.height)
        return View3D(self.body, self.moments, self.view, size, self.club)


def run_judging(
    seen: Seen,
    settings: Settings | None = None,
    tracks: tuple[Tracks, ...] = (),
    prior: MotionPrior | None = None,
) -> Reading:
    """The reading of what was seen. Looks at no file.

    View, hand and stature of `settings` hold instead of what the pictures said; its club and its
    rulings go into the findings. When the hand changes, the guesses at the club are mirrored; the
    network, asked once more, would place them within its own error of that. The club is looked for
    around the hands that the view gave, which another view hardly moves. The capture rate decides
    how the clip is looked over, so it cannot be changed here: see the clip again (`run_seeing`).

    `tracks` are those already worked out for the same settings, one for each swing. Without a
    `prior` of how golfers move, the body in three dimensions and what rests on it are left out.

    Raises SettingError for another capture rate than the clip was seen with.
    """
    settings = settings or Settings()
    _check_rate(seen, settings)
    view = Called(settings.view, 1.0) if settings.view else seen.view
    hand = Called(settings.hand, 1.0) if settings.hand else seen.hand
    tracks = tracks or tuple(
        Tracks(seen.clip, swing, View(view.name), Hand(hand.name)) for swing in seen.swings
    )
    contexts = [_context(each, settings.stature_m, prior) for each in tracks]
    light = [facts for swing in seen.swings for facts in swing.light]
    swings = tuple(
        _explained(_swing(each, context, _rehearsed(seen, number)), View(view.name), settings)
        for number, (each, context) in enumerate(zip(tracks, contexts, strict=True))
    )
    filming = measure_filming(seen.clip, contexts, view, light)
    return Reading(seen.clip, view, hand, swings, filming, dict(seen.engine))


def _check_rate(seen: Seen, settings: Settings) -> None:
    if settings.capture_hz is not None and settings.capture_hz != seen.capture_hz:
        had = "none" if seen.capture_hz is None else f"{seen.capture_hz:g}"
        raise SettingError(
            f"a capture rate of {settings.capture_hz:g} came for {seen.clip.name}",
            f"the rate that the clip was seen with ({had}) was expected",
            "read the clip itself again with that rate",
        )


def _context(
    tracks: Tracks, stature_m: Uncertain | None, prior: MotionPrior | None
) -> SwingContext:
    context = measure_context(
        tracks.clip, tracks.view, tracks.body, tracks.moments, stature_m, tracks.club
    )
    if prior is None:
        return context
    return replace(context, motion=recover_body((tracks.view_3d,), prior, stature_m))


def _swing(tracks: Tracks, context: SwingContext, rehearsal: bool) -> Swing:
    window = tracks.swing.window
    return Swing(
        first_frame=window.first_frame,
        last_frame=window.last_frame,
        rehearsal=rehearsal,
        moments=tracks.moments,
        measures=measure_swing(context, FULL_CATALOGUE),
        body=tracks.body,
        club=tracks.club,
    )


def _explained(swing: Swing, view: View, settings: Settings) -> Swing:
    """With its findings; a rehearsal is not a swing to be judged."""
    if swing.rehearsal:
        return swing
    seen, moments = {view: swing.measures}, {view: swing.moments}
    return replace(swing, findings=explain_findings(seen, settings.club, settings.rulings, moments))


def _rehearsed(seen: Seen, number: int) -> bool:
    windows = [swing.window for swing in seen.swings]
    return find_rehearsal(windows, number, [swing.struck for swing in seen.swings]) > 0.5

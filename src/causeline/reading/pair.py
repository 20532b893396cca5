"""Two clips of one golfer, from both sides: one body in three dimensions explains them together."""

from __future__ import annotations

from dataclasses import replace

from causeline.body.recover import recover_bodies, recover_sameness
from causeline.errors import SettingError
from causeline.model.clip import Hand, View
from causeline.model.motion import Motion, MotionPrior, SecondView
from causeline.model.reading import Reading
from causeline.model.seen import Seen
from causeline.reading.doors import Settings
from causeline.reading.judging import Judging


def run_pairing(
    seen: Seen,
    beside: Seen,
    prior: MotionPrior,
    settings: Settings | None = None,
    beside_settings: Settings | None = None,
) -> Reading:
    """The reading of one clip, its body in space solved from a second clip as well.

    The two may be one swing filmed by two phones, or two swings of a session filmed by one phone
    that moved: which of them is told from how long the swings last, and said in the motion. Swings
    are paired in their order; rehearsals, and what is left over, are judged from one view.

    Raises SettingError where the golfers play from different sides, or for another capture rate
    than a clip was seen with.
    """
    one = Judging.of(seen, settings or Settings())
    other = Judging.of(beside, beside_settings or Settings(hand=Hand(one.hand.name)))
    if one.hand.name != other.hand.name:
        raise SettingError(
            f"{seen.clip.name} shows a {one.hand.name}-handed golfer and {beside.clip.name} a "
            f"{other.hand.name}-handed one",
            "two clips of one golfer were expected",
            "pair other clips, or say which hand it is with --hand",
        )
    pairs = dict(zip(_swings(one), _swings(other), strict=False))
    contexts, besides = [], []
    for number in range(len(one.tracks)):
        motions = _motions(one, other, (number, pairs.get(number)), prior)
        contexts.append(one.context(number, motions[0]))
        match = pairs.get(number)
        besides.append(None if match is None else other.context(match, motions[1]))
    return one.reading(contexts, besides)


def _swings(job: Judging) -> list[int]:
    return [number for number in range(len(job.tracks)) if not job.rehearsed(number)]


def _motions(
    one: Judging, other: Judging, numbers: tuple[int, int | None], prior: MotionPrior
) -> tuple[Motion | None, Motion | None]:
    """The body on the clock of each clip; from one view where the other cannot be laid over it."""
    number, match = numbers
    mine, stature_m = one.tracks[number].view_3d, one.settings.stature_m
    if match is not None:
        views = (mine, other.tracks[match].view_3d)
        clocks = [view.times() for view in views]
        motions = recover_bodies(views, prior, stature_m)
        if motions and clocks[0] is not None and clocks[1] is not None:
            same = recover_sameness(clocks[0], clocks[1])
            return (
                replace(motions[0], second=_second(other, same)),
                replace(motions[1], second=_second(one, same)),
            )
    alone = recover_bodies((mine,), prior, stature_m)
    return (alone[0] if alone else None), None


def _second(job: Judging, one_swing: bool) -> SecondView:
    clip = job.seen.clip
    return SecondView(clip.name, clip.sha256, View(job.view.name), one_swing)

"""Two clips of one golfer, from both sides: one body in three dimensions explains them together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from causeline.body.recover import recover_bodies, recover_body, recover_sameness
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

    As `run_both`, of the first clip alone, swings paired in their order.
    """
    two = _Two.of((seen, beside), prior, (settings, beside_settings))
    pairs = two.in_order()
    motions = {mine: two.motions(mine, theirs) for mine, theirs in pairs.items()}
    return two.reading(pairs, motions)


def run_both(
    seen: Seen,
    beside: Seen,
    prior: MotionPrior,
    settings: tuple[Settings | None, Settings | None] = (None, None),
    pairs: Mapping[int, int] | None = None,
) -> tuple[Reading, Reading]:
    """The readings of two clips, the body of each swing in space solved from both.

    The two may be one swing filmed by two phones, or two swings of a session filmed by one phone
    that moved: which of them is told from how long the swings last, and said in the motion
    (`Motion.second`). `pairs` says which swing of the first clip goes with which of the second,
    numbers from 1; without it swings are paired in their order, rehearsals left out. What is left
    over, or cannot be laid over the other view, is judged from its own view.

    Raises SettingError where the golfers play from different sides, where `pairs` names a swing
    that is not there or one of them twice, or for another capture rate than a clip was seen with.
    """
    two = _Two.of((seen, beside), prior, settings)
    matched = two.in_order() if pairs is None else two.named(pairs)
    motions = {mine: two.motions(mine, theirs) for mine, theirs in matched.items()}
    back = {theirs: mine for mine, theirs in matched.items()}
    motions_back = {theirs: motions[mine][::-1] for theirs, mine in back.items()}
    return two.reading(matched, motions), two.turned().reading(back, motions_back)


Motions = tuple[Motion | None, Motion | None]
"""The body on the clock of the first clip and of the second."""


@dataclass(frozen=True, slots=True, eq=False)
class _Two:
    """Two clips on their way to their readings; swings are counted from 0."""

    one: Judging
    other: Judging
    prior: MotionPrior

    @classmethod
    def of(
        cls,
        seen: tuple[Seen, Seen],
        prior: MotionPrior,
        settings: tuple[Settings | None, Settings | None],
    ) -> _Two:
        """Raises SettingError where the clips cannot be one golfer's."""
        one = Judging.of(seen[0], settings[0] or Settings())
        other = Judging.of(seen[1], settings[1] or Settings(hand=Hand(one.hand.name)))
        if one.hand.name != other.hand.name:
            raise SettingError(
                f"{seen[0].clip.name} shows a {one.hand.name}-handed golfer and "
                f"{seen[1].clip.name} a {other.hand.name}-handed one",
                "two clips of one golfer were expected",
                "pair other clips, or say which hand it is with --hand",
            )
        return cls(one, other, prior)

    def turned(self) -> _Two:
        """The same, the second clip first."""
        return _Two(self.other, self.one, self.prior)

    def in_order(self) -> dict[int, int]:
        """Swings paired in their order, rehearsals left out."""
        return dict(zip(_swings(self.one), _swings(self.other), strict=False))

    def named(self, pairs: Mapping[int, int]) -> dict[int, int]:
        """As numbers from 1 say. Raises SettingError where one is not there, or comes twice."""
        counts = len(self.one.tracks), len(self.other.tracks)
        there = all(
            1 <= mine <= counts[0] and 1 <= theirs <= counts[1] for mine, theirs in pairs.items()
        )
        if not there or len(set(pairs.values())) < len(pairs):
            told = ", ".join(f"{mine} with {theirs}" for mine, theirs in pairs.items())
            raise SettingError(
                f"swings were to be paired {told}",
                f"the clips have {counts[0]} and {counts[1]}, and each goes with one other",
                "choose swings that are there",
            )
        return {mine - 1: theirs - 1 for mine, theirs in pairs.items()}

    def motions(self, mine: int, theirs: int) -> Motions:
        """The body on the clock of each clip, from both views where they can be laid together."""
        views = (self.one.tracks[mine].view_3d, self.other.tracks[theirs].view_3d)
        clocks = [view.times() for view in views]
        bodies = recover_bodies(views, self.prior, self.one.settings.stature_m)
        if not bodies or clocks[0] is None or clocks[1] is None:
            return self.alone(mine), self.turned().alone(theirs)
        same = recover_sameness(clocks[0], clocks[1])
        return (
            replace(bodies[0], second=_second(self.other, same)),
            replace(bodies[1], second=_second(self.one, same)),
        )

    def alone(self, mine: int) -> Motion | None:
        """The body as the first clip shows it by itself."""
        return recover_body(
            (self.one.tracks[mine].view_3d,), self.prior, self.one.settings.stature_m
        )

    def reading(self, pairs: Mapping[int, int], motions: Mapping[int, Motions]) -> Reading:
        """The first clip's reading; swings without a pair from one view."""
        contexts, besides = [], []
        for number in range(len(self.one.tracks)):
            match = pairs.get(number)
            body, there = motions[number] if match is not None else (self.alone(number), None)
            contexts.append(self.one.context(number, body))
            besides.append(None if match is None else self.other.context(match, there))
        return self.one.reading(contexts, besides)


def _swings(job: Judging) -> list[int]:
    return [number for number in range(len(job.tracks)) if not job.rehearsed(number)]


def _second(job: Judging, one_swing: bool) -> SecondView:
    clip = job.seen.clip
    return SecondView(clip.name, clip.sha256, View(job.view.name), one_swing)

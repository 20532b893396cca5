"""The ten moments of one swing, each with its ± and its rule in words."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from causeline.errors import SettingError
from causeline.model.clip import View
from causeline.model.moments import Moment, MomentName, Moments
from causeline.model.touched import BY_HAND, MomentMark
from causeline.model.tracks import BODY_LANDMARKS, BodyTrack, ClubTrack
from causeline.moments.coarse import PLAIN
from causeline.moments.finder import Instant, find_instant
from causeline.moments.rough import Rough, find_shapes
from causeline.moments.rules import CLUB_RULES, RULES, Rule
from causeline.moments.signals import Evidence, Signal, hands_height
from causeline.quantities.angle import Floats
from causeline.quantities.uncertain import Uncertain

ROUGH_SD_S = 0.1
GLITCH_S = 0.06
"""Seconds on either side. Hands that are taken to be elsewhere for less do not count where no swing
is seen otherwise. At impact the hands are low for about twice as long."""
STRIKE_WORDS = "the sound of the strike, together with: "
STRIKE_SIGMAS = 3.0
"""A sound further than this from the body's impact is not the strike of this swing."""


def find_moments(
    body: BodyTrack,
    view: View,
    strike: Uncertain | None = None,
    club: ClubTrack | None = None,
    marks: tuple[MomentMark, ...] = (),
) -> Moments:
    """All moments that the track shows, in the order of the swing; the others with the reason.

    Times are real seconds. `strike` is the instant of impact as heard (see `find_strike`). `club`
    has one row for each frame of `body` and the same mirroring; where it sees the club, its rules
    take over. Each ± holds the frame interval over √12, the jitter of the signal over its slope,
    and what the rule itself is worth.

    Where a person set a moment (`marks`), no rule is asked, and what leans on it leans on that. A
    mark outside the track belongs to another swing. Raises SettingError where marks come in another
    order than the swing's.
    """
    given = _given(body, marks)
    seen = _roughly(body, club)
    if seen is None:
        why = "the hands do not go up, down and up again as in a swing"
        left = tuple((name, why) for name in MomentName if name not in given)
        return Moments(tuple(given.values()), left)
    rules = RULES[view] if club is None else _with_club(RULES[view], CLUB_RULES[view])
    search = _Search(seen, {}, {})
    for moment in given.values():
        search = search.having(moment)
    for rule in (rule for rule in rules if rule.name not in given):
        search = search.tried(rule)
        if rule.name == MomentName.IMPACT and strike is not None:
            search = search.heard(strike)
    return search.ordered()


def _given(body: BodyTrack, marks: tuple[MomentMark, ...]) -> dict[MomentName, Moment]:
    """The moments that a person set within this track, in the order of the swing."""
    time_s = body.time_s
    mine = {mark.name: mark for mark in marks if time_s[0] <= mark.time_s <= time_s[-1]}
    ordered = [mine[name] for name in MomentName if name in mine]
    for earlier, later in pairwise(ordered):
        if later.time_s <= earlier.time_s:
            raise SettingError(
                f"{_words(later.name)} was set at {later.time_s:.3f} s, and "
                f"{_words(earlier.name)} at {earlier.time_s:.3f} s",
                "moments in the order of the swing were expected",
                "set the other one first, or let it be found again",
            )
    return {
        mark.name: Moment(
            mark.name,
            mark.time_s,
            mark.sd_s,
            int(body.frames[int(np.argmin(np.abs(time_s - mark.time_s)))]),
            BY_HAND,
        )
        for mark in ordered
    }


def _with_club(rules: tuple[Rule, ...], club: tuple[Rule, ...]) -> tuple[Rule, ...]:
    """Each rule of the club directly after the last of the body's rules of the same moment."""
    last = {rule.name: place for place, rule in enumerate(rules)}
    extra = {last[rule.name]: rule for rule in club}
    return tuple(
        each
        for place, rule in enumerate(rules)
        for each in (rule, extra.get(place))
        if each is not None
    )


def _roughly(body: BodyTrack, club: ClubTrack | None) -> Evidence | None:
    """Rough times of start, top, impact and finish, or None where there is no swing."""
    seen = Evidence(body, {}, club)
    if len(body) < 3:
        return None
    height = hands_height(seen).value
    shapes = (
        find_shapes(body.time_s, height)
        or find_shapes(body.time_s, np.where(_hands_plain(body), height, np.nan))
        or find_shapes(body.time_s, _lasting(body.time_s, height))
    )
    if not shapes:
        return None
    best = max(shapes, key=lambda s: (s.low >= 0) + (s.impact >= 0) + (s.finish >= 0))
    return replace(seen, known=_rough_times(body, best))


def _hands_plain(body: BodyTrack) -> NDArray[np.bool_]:
    """(n,) where one of the hands is plainly seen.

    After impact, down the line, they hide, and what is guessed of them may hang low to the finish.
    """
    wrists = [BODY_LANDMARKS.index(name) for name in ("lead_wrist", "trail_wrist")]
    plain: NDArray[np.bool_] = body.confidence[:, wrists].max(axis=1) >= PLAIN
    return plain


def _lasting(time_s: Floats, height: Floats) -> Floats:
    """(n,) the median of the heights within `GLITCH_S`: what lasts longer than a glitch stays."""
    first = np.searchsorted(time_s, time_s - GLITCH_S)
    last = np.searchsorted(time_s, time_s + GLITCH_S, side="right")
    around = (height[a:b] for a, b in zip(first, last, strict=True))
    seen = (heights[np.isfinite(heights)] for heights in around)
    return np.array([np.median(heights) if len(heights) else np.nan for heights in seen])


def _rough_times(body: BodyTrack, shape: Rough) -> dict[MomentName, Uncertain]:
    time_s = body.time_s
    times = {MomentName.TOP: float(time_s[shape.top])}
    if shape.low >= 0:
        rise = np.nanmax([shape.rise_s, 2.5 * shape.fall_s])
        times[MomentName.START] = max(float(time_s[0]), times[MomentName.TOP] - 2.3 * float(rise))
    if shape.impact >= 0:
        times[MomentName.IMPACT] = float(time_s[shape.impact])
        finish = shape.finish if shape.finish >= 0 else len(time_s) - 1
        times[MomentName.FINISH] = float(time_s[finish])
    return {name: Uncertain(time, ROUGH_SD_S) for name, time in times.items()}


@dataclass(frozen=True, slots=True, eq=False)
class _Search:
    """What has been found so far."""

    seen: Evidence
    found: dict[MomentName, Moment]
    missing: dict[MomentName, str]

    def tried(self, rule: Rule) -> _Search:
        """After one more rule; a rule that finds nothing leaves what an earlier one found."""
        lacking = [name for name in self._leans_on(rule) if name not in self.seen.known]
        if lacking:
            return self._without(rule, _lacking(rule.name, lacking[0]))
        signal = rule.signal(self.seen)
        inside = self._inside(rule)
        instant = find_instant(self.seen.body.time_s[inside], signal.value[inside], rule.kind)
        if instant is None:
            return self._without(rule, f"looked for: {rule.words}; the clip does not show it")
        moment = self._moment(rule, instant, signal)
        return self.having(moment)

    def heard(self, strike: Uncertain) -> _Search:
        """Impact as heard and as seen, each by its own ±."""
        moment = self.found.get(MomentName.IMPACT)
        if moment is None:
            return self
        apart = abs(strike.value - moment.time_s)
        if apart > STRIKE_SIGMAS * math.hypot(strike.sd, moment.sd_s):
            return self
        heard, saw = strike.sd**-2, moment.sd_s**-2
        time_s = (heard * strike.value + saw * moment.time_s) / (heard + saw)
        return self.having(
            replace(
                moment,
                time_s=time_s,
                sd_s=(heard + saw) ** -0.5,
                frame=self._frame(time_s),
                rule=STRIKE_WORDS + moment.rule,
            )
        )

    def ordered(self) -> Moments:
        """The record, in the order of the swing."""
        found = tuple(self.found[name] for name in MomentName if name in self.found)
        missing = tuple(
            (name, self.missing.get(name, f"{_words(name)} was not found"))
            for name in MomentName
            if name not in self.found
        )
        return Moments(found, missing)

    def _leans_on(self, rule: Rule) -> list[MomentName]:
        ends = None if rule.open_end else rule.before
        window = [name for name in (rule.after, ends) if name is not None]
        return [*window, *rule.needs]

    def _inside(self, rule: Rule) -> slice:
        """Frames from the one before the window to the one after it."""
        time_s = self.seen.body.time_s
        first = self.seen.at(rule.after) if rule.after else float(time_s[0])
        ends = rule.before if rule.before in self.seen.known else None
        last = self.seen.at(ends) if ends else float(time_s[-1])
        begin = int(np.searchsorted(time_s, first, side="right")) - 1
        end = int(np.searchsorted(time_s, last, side="left")) + 1
        return slice(max(begin, 0), end)

    def _moment(self, rule: Rule, instant: Instant, signal: Signal) -> Moment:
        time_s = instant.time_s + rule.later_s
        frame_time_s = self.seen.body.time_s
        at = int(np.argmin(np.abs(frame_time_s - instant.time_s)))
        jitter = float(np.nan_to_num(signal.noise[at])) * instant.doubt_s
        interval = float(np.median(np.diff(frame_time_s)))
        sd_s = math.hypot(interval / math.sqrt(12.0), jitter, rule.spread_s)
        return Moment(rule.name, time_s, sd_s, self._frame(time_s), rule.words)

    def _frame(self, time_s: float) -> int:
        body = self.seen.body
        return int(body.frames[int(np.argmin(np.abs(body.time_s - time_s)))])

    def having(self, moment: Moment) -> _Search:
        """With one more moment, on which what comes after may lean."""
        known = {**self.seen.known, moment.name: Uncertain(moment.time_s, moment.sd_s)}
        found = {**self.found, moment.name: moment}
        return _Search(replace(self.seen, known=known), found, self.missing)

    def _without(self, rule: Rule, why: str) -> _Search:
        return _Search(self.seen, self.found, {**self.missing, rule.name: why})


def _lacking(name: MomentName, lacking: MomentName) -> str:
    if name == lacking:
        return "the clip does not show that part of the swing"
    return f"{_words(lacking)} was not found, on which it leans"


def _words(name: MomentName) -> str:
    return name.value.replace("_", " ")

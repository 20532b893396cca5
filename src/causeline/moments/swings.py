"""Who swings, and when: windows of frames, found at any speed of playing.

A window includes its first and its last frame. Tracks may be coarse: twelve looks a second of file
time are enough for a swing in real time, fewer may step over the impact.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from causeline.errors import NoPersonFound, NoSwingFound
from causeline.model.moments import SwingWindow
from causeline.model.tracks import LandmarkTrack
from causeline.moments.coarse import (
    PLAIN,
    SEEN,
    hands,
    hands_apart,
    hands_height,
    middle,
    trunk_px,
    typical,
)
from causeline.moments.rough import Rough, find_shapes
from causeline.quantities.angle import Floats

TOGETHER = 0.6
"""Trunk lengths between the wrists: more than this and the hands do not hold one club."""
FEET_STILL = 0.5
"""Trunk lengths that the feet may wander between address and impact; a walk is more."""
FALLS_IN_RISE = 2.5
"""A rise lasts about this many falls (common practice: three in whole durations)."""
BEFORE, AFTER, AT_REST = 4.0, 3.0, 1.5
"""Rises before the hands leave, after impact, and after the finish that belong to a window."""
DIP = 0.35
"""Shoulder heights: as much of a turn as is none yet (`rough.TURNING`)."""
SHOULDER_HIGH = 0.85
"""Of the way from hips to shoulders: less is no backswing."""
SURE, PARTLY_SURE, HANDS_UNSEEN = 0.97, 0.8, 0.9
"""Judgement, not data: a whole swing, a part of one, and the factor where the grip is hidden."""


def find_swinger(tracks: Sequence[LandmarkTrack]) -> int:
    """Index of the one who swings; the one whose hands travel furthest where nobody does.

    Raises NoPersonFound where no track shows a person.
    """
    usable = [k for k, track in enumerate(tracks) if np.isfinite(trunk_px(track))]
    if not usable:
        raise NoPersonFound(
            "nobody is seen whose shoulders and hips can be told",
            "a golfer seen from head to foot was expected",
            "film again with the whole golfer in the picture",
        )
    return max(usable, key=lambda k: _swings_like(tracks[k]))


def find_swings(track: LandmarkTrack) -> tuple[SwingWindow, ...]:
    """Every full swing of one person, in order; parts of one at the ends of the clip are marked.

    Raises NoSwingFound, saying what was seen instead.
    """
    shapes = _shapes(track)
    if not shapes:
        raise NoSwingFound(*_what_was_seen(hands_height(track)))
    spans = [_span(track.time_s, shape) for shape in shapes]
    return tuple(_windows(track, shapes, _apart(spans, shapes, track.time_s)))


def _swings_like(track: LandmarkTrack) -> tuple[float, float]:
    """First how surely somebody swings, then how far the hands travel in trunk lengths."""
    best = max((_confidence(track, shape) for shape in _shapes(track)), default=0.0)
    steps = np.linalg.norm(np.diff(hands(track), axis=0), axis=1) / trunk_px(track)
    return round(best, 1), float(np.nansum(steps)) * math.sqrt(trunk_px(track))


def _shapes(track: LandmarkTrack) -> list[Rough]:
    """Swings told by hands that are plainly seen, and beside them those that are seen at all.

    Where none is found, they are looked for once more with single looks passed over that lie below
    both their neighbours: hands behind the head are sometimes misplaced for one.
    """
    return _shapes_in(track, hands_height) or _shapes_in(track, _without_dips)


def _without_dips(track: LandmarkTrack, least: float) -> Floats:
    height = hands_height(track, least)
    around = np.fmin(height[:-2], height[2:])
    height[1:-1] = np.where(height[1:-1] < around - DIP, np.nan, height[1:-1])
    return height


def _shapes_in(
    track: LandmarkTrack, heights: Callable[[LandmarkTrack, float], Floats]
) -> list[Rough]:
    found: list[Rough] = []
    for least in (PLAIN, SEEN):
        for shape in find_shapes(track.time_s, heights(track, least)):
            apart = all(_ends(shape) < other.top or shape.top > _ends(other) for other in found)
            if apart and _is_golf(track, shape):
                found.append(shape)
    return sorted(found, key=lambda shape: shape.top)


def _ends(shape: Rough) -> int:
    return max(shape.top, shape.impact, shape.finish)


def _is_golf(track: LandmarkTrack, shape: Rough) -> bool:
    """Whether both hands stay together and the feet stay, from the low before to impact.

    A wrist that hides is sometimes misplaced for half a second, before the rise or after it, so
    hands that are together in either part count.
    """
    apart = hands_apart(track)
    parts = typical(apart[_way_up(track, shape)]), typical(apart[_part(shape)])
    feet = middle(track, "ankle")[_way_up(track, shape)] / trunk_px(track)
    known = feet[np.isfinite(feet).all(axis=1)]
    wander = float(np.ptp(known, axis=0).max()) if len(known) else 0.0
    return not np.fmin(parts[0], parts[1]) > TOGETHER and wander < FEET_STILL


def _part(shape: Rough) -> slice:
    """From a third before the top to impact: earlier, a golfer may still walk or tee the ball."""
    first = shape.top - max(1, (shape.top - shape.low) // 3) if shape.low >= 0 else shape.top
    last = shape.impact if shape.impact >= 0 else shape.top
    return slice(max(first, 0), last + 1)


def _way_up(track: LandmarkTrack, shape: Rough) -> slice:
    """From half-way up to impact."""
    half_s = shape.rise_s / 2 if shape.low >= 0 else 0.0
    first = int(np.searchsorted(track.time_s, track.time_s[shape.top] - half_s))
    return slice(min(first, max(shape.top - 1, 0)), _part(shape).stop)


def _what_was_seen(height: Floats) -> tuple[str, str, str]:
    """What came instead of a swing, what was expected, what to do; `height` (n,) of the hands."""
    known = height[np.isfinite(height)]
    stand = "film one whole swing, standing still"
    if len(known) == 0:
        came = "the hands are nowhere plainly seen"
    elif known.max() < SHOULDER_HIGH:
        came = "the hands never rise to the shoulders"
    elif known[0] < DIP and known[-1] >= known.max() - DIP:
        came = "the hands go up, and the clip ends before they have come down: half a swing"
        stand = "film on until the golfer stands still at the finish"
    else:
        came = "the hands rise, but not up, down and up again as in a swing"
    return came, "a full swing with both hands was expected", stand


@dataclass(frozen=True, slots=True)
class _Span:
    first_s: float
    last_s: float


def _span(time_s: Floats, shape: Rough) -> _Span:
    rise = _longest(shape.rise_s, FALLS_IN_RISE * shape.fall_s)
    leaves = time_s[shape.top] - rise if shape.low >= 0 else time_s[0]
    impact = time_s[shape.impact] if shape.impact >= 0 else time_s[-1]
    finish = time_s[shape.finish] if shape.finish >= 0 else time_s[-1]
    last = max(float(finish), float(impact) + AFTER * rise) + AT_REST * rise
    return _Span(float(leaves) - BEFORE * rise, last)


def _longest(*seconds: float) -> float:
    return max(value for value in seconds if np.isfinite(value))


def _apart(spans: list[_Span], shapes: list[Rough], time_s: Floats) -> list[_Span]:
    """Spans cut so that none reaches into the next: at the middle between finish and next low."""
    cut = list(spans)
    for k in range(len(cut) - 1):
        end = shapes[k].finish if shapes[k].finish >= 0 else shapes[k].impact
        between = (float(time_s[end]) + float(time_s[shapes[k + 1].top])) / 2
        if cut[k].last_s >= cut[k + 1].first_s:
            cut[k] = _Span(cut[k].first_s, min(cut[k].last_s, between))
            cut[k + 1] = _Span(max(cut[k + 1].first_s, between), cut[k + 1].last_s)
    return cut


def _windows(track: LandmarkTrack, shapes: list[Rough], spans: list[_Span]) -> list[SwingWindow]:
    windows = []
    for shape, span in zip(shapes, spans, strict=True):
        inside = np.flatnonzero((track.time_s >= span.first_s) & (track.time_s <= span.last_s))
        windows.append(
            SwingWindow(
                first_frame=int(track.frames[inside[0]]),
                last_frame=int(track.frames[inside[-1]]),
                top_s=float(track.time_s[shape.top]),
                impact_s=float(track.time_s[shape.impact]) if shape.impact >= 0 else math.nan,
                rise_s=shape.rise_s,
                fall_s=shape.fall_s,
                confidence=_confidence(track, shape),
                lacks=_lacks(shape),
            )
        )
    return windows


def _confidence(track: LandmarkTrack, shape: Rough) -> float:
    sure = PARTLY_SURE if _lacks(shape) else SURE
    hidden = np.isnan(typical(hands_apart(track)[_part(shape)]))
    return sure * (HANDS_UNSEEN if hidden else 1.0)


def _lacks(shape: Rough) -> str:
    if shape.low < 0:
        return "the clip begins after the backswing has begun"
    if shape.impact < 0:
        return "the clip ends before impact"
    return "the clip ends before the finish" if shape.finish < 0 else ""

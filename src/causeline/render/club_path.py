"""The way of clubhead and hands over one still, told apart by line and word, not by colour.

Lines are given in the space of the still's own crop (see `stills`): 1000 units high.
"""

from __future__ import annotations

import base64
from collections.abc import Mapping
from itertools import groupby

import numpy as np

from causeline.model.clip import Clip, Frame
from causeline.model.moments import Moment, MomentName
from causeline.model.reading import Swing
from causeline.quantities.angle import Floats
from causeline.render.contract import ClubPath, ClubShaft, ClubWay, Picture
from causeline.render.stills import (
    GUESSED,
    SURE,
    Crop,
    Still,
    render_crop,
    render_rows,
    render_still,
)
from causeline.render.words import MOMENT_PLACES, MOMENT_TITLES

UNDER = (MomentName.ADDRESS, MomentName.TOP, MomentName.IMPACT)
"""Whose still lies beneath: the first of these whose frame is at hand."""

_SHAFTS = (
    MomentName.ADDRESS,
    MomentName.SHAFT_LEVEL_BACK,
    MomentName.ARM_LEVEL_BACK,
    MomentName.TOP,
    MomentName.ARM_LEVEL_DOWN,
    MomentName.SHAFT_LEVEL_DOWN,
    MomentName.IMPACT,
)

_WAYS = (
    ("hands", "down", "Hands, coming down", MomentName.TOP, MomentName.IMPACT),
    ("hands", "back", "Hands, going back", MomentName.START, MomentName.TOP),
    ("head", "down", "Clubhead, coming down", MomentName.TOP, MomentName.IMPACT),
    ("head", "back", "Clubhead, going back", MomentName.START, MomentName.TOP),
)
"""What, which way, its name, first and last moment; drawn in this order."""

ADDRESS_LINE = 2.6
"""Length of the address line, in shafts: it runs on above the hands to the height of the head."""

ROOM = 0.04
"""Kept free around everything that is drawn, share of the height."""


def render_club_still(swing: Swing, clip: Clip, frames: Mapping[int, Frame]) -> Still | None:
    """The still beneath the path, cut so wide that the path fits where the picture reaches."""
    moment = _under(swing, frames)
    if moment is None or swing.club is None:
        return None
    return render_still(frames[moment.frame], render_club_crop(swing, clip))


def render_club_crop(swing: Swing, clip: Clip) -> Crop:
    """One cut of the picture that holds the golfer and the ways of head and hands."""
    tight = render_crop(swing.body, render_rows(swing), (clip.width, clip.height))
    points = np.concatenate([_shown(swing, name)[_drawn(swing)] for name in ("head", "hands")])
    points = points[np.isfinite(points).all(axis=1)]
    if len(points) == 0:
        return tight
    air = ROOM * tight.height
    low = np.minimum(points.min(axis=0) - air, (tight.left, tight.top))
    high = np.maximum(
        points.max(axis=0) + air, (tight.left + tight.width, tight.top + tight.height)
    )
    left, top = np.clip(low, 0, (clip.width - 1, clip.height - 1)).astype(int)
    right, bottom = np.clip(high, (left + 1, top + 1), (clip.width, clip.height)).astype(int)
    return Crop(int(left), int(top), int(right - left), int(bottom - top))


def render_club_path(swing: Swing, clip: Clip, still: Still | None) -> ClubPath | None:
    """The picture of the club's way; None where the club or the swing's moments are not known."""
    if swing.club is None:
        return None
    crop = render_club_crop(swing, clip)
    ways = [way for way in (_way(swing, crop, *one) for one in _WAYS) if way is not None]
    if not any(way.what == "head" for way in ways):
        return None
    shafts = [shaft for shaft in (_shaft(swing, crop, name) for name in _SHAFTS) if shaft]
    return ClubPath(
        wide=crop.wide,
        picture=_picture(swing, still),
        ways=tuple(ways),
        shafts=tuple(shafts),
        plane=_address_line(swing, crop),
        guessed=any(way.guessed for way in ways),
        alt=_alt(ways, shafts),
    )


def _under(swing: Swing, frames: Mapping[int, Frame]) -> Moment | None:
    moments = (swing.moments.get(name) for name in UNDER)
    return next((one for one in moments if one is not None and one.frame in frames), None)


def _picture(swing: Swing, still: Still | None) -> Picture | None:
    """Told as UNDER's first: the page knows no frames, and the words say only what is drawn."""
    if still is None:
        return None
    place = next((MOMENT_PLACES[name] for name in UNDER if swing.moments.get(name)), "")
    data = base64.b64encode(still.jpeg).decode()
    alt = f"The golfer {place}, with the ways of clubhead and hands drawn over."
    return Picture(f"data:image/jpeg;base64,{data}", alt, still.width, still.height)


def _shown(swing: Swing, what: str) -> Floats:
    """(n, 2) head, grip, shaft end or hands in the clip's own pixels, mirrored back."""
    club, body = swing.club, swing.body
    if what == "hands" or club is None:
        points = body.middle("wrist").copy()
    else:
        points = {"head": club.head, "grip": club.grip, "end": club.shaft_end()}[what].copy()
    if body.mirrored:
        points[:, 0] = body.width - 1 - points[:, 0]
    return points


def _drawn(swing: Swing) -> np.ndarray:
    """(n,) rows from the start, or address, to impact, or the last moment found."""
    found = swing.moments.found
    times = swing.body.time_s
    if not found:
        return np.zeros(len(times), dtype=bool)
    last = swing.moments.get(MomentName.IMPACT) or found[-1]
    inside: np.ndarray = (times >= found[0].time_s) & (times <= last.time_s)
    return inside


def _way(
    swing: Swing, crop: Crop, what: str, way: str, name: str, *ends: MomentName
) -> ClubWay | None:
    first, last = (swing.moments.get(end) for end in ends)
    if first is None or last is None:
        return None
    times = swing.body.time_s
    rows = np.flatnonzero((times >= first.time_s) & (times <= last.time_s))
    points = crop.place(_shown(swing, what)[rows])
    there = np.isfinite(points).all(axis=1)
    sure = _sure(swing, what)[rows]
    path, guessed = _pieces(points, there & sure), _pieces(points, there & ~sure, joined=True)
    if not path and not guessed:
        return None
    return ClubWay(what=what, way=way, name=name, path=path, guessed=guessed)


def _sure(swing: Swing, what: str) -> np.ndarray:
    """(n,) whether the point was seen there, and not worked out from what is around it."""
    club = swing.club
    if what == "hands" or club is None:
        return np.ones(len(swing.body), dtype=bool)
    sure: np.ndarray = club.confidence >= SURE
    return sure if club.head_seen is None else sure & club.head_seen


def _pieces(points: Floats, kept: np.ndarray, joined: bool = False) -> str:
    """SVG path of every run of kept rows; `joined` runs reach to the neighbours beside them."""
    parts = []
    for keep, run in groupby(range(len(points)), key=lambda row: bool(kept[row])):
        rows = list(run)
        if not keep:
            continue
        if joined:
            rows = list(range(max(rows[0] - 1, 0), min(rows[-1] + 2, len(points))))
        shown = [row for row in rows if np.isfinite(points[row]).all()]
        if len(shown) > 1:
            parts.append("M" + "L".join(_at(points[row]) for row in shown))
    return "".join(parts)


def _shaft(swing: Swing, crop: Crop, name: MomentName) -> ClubShaft | None:
    moment = swing.moments.get(name)
    ends = _ends(swing, crop, moment)
    if moment is None or ends is None:
        return None
    number = swing.moments.found.index(moment) + 1
    grip, end = ends
    label = end + (end - grip) / max(float(np.hypot(*(end - grip))), 1.0) * 26
    return ClubShaft(
        number=number,
        name=MOMENT_TITLES[name],
        path=f"M{_at(grip)}L{_at(end)}",
        x=float(np.clip(label[0], 16, crop.wide - 16)),
        y=float(np.clip(label[1], 16, 984)),
        sure=bool(swing.club is not None and swing.club.confidence[_row(swing, moment)] >= SURE),
    )


def _row(swing: Swing, moment: Moment) -> int:
    return int(np.argmin(np.abs(swing.body.frames - moment.frame)))


def _ends(swing: Swing, crop: Crop, moment: Moment | None) -> Floats | None:
    """(2, 2) grip end and end of the shaft at a moment, in the drawing space."""
    if moment is None or swing.club is None:
        return None
    row = _row(swing, moment)
    ends = np.stack([_shown(swing, "grip")[row], _shown(swing, "end")[row]])
    if not np.isfinite(ends).all() or not swing.club.confidence[row] >= GUESSED:
        return None
    return crop.place(ends)


def _address_line(swing: Swing, crop: Crop) -> str:
    """The shaft's line at address, run on upward; empty where the shaft is not seen there."""
    ends = _ends(swing, crop, swing.moments.get(MomentName.ADDRESS))
    if ends is None:
        return ""
    grip, end = ends
    return f"M{_at(end)}L{_at(end + (grip - end) * ADDRESS_LINE)}"


def _alt(ways: list[ClubWay], shafts: list[ClubShaft]) -> str:
    told = ", ".join(way.name.lower() for way in ways)
    at = ", ".join(f"{shaft.number} {shaft.name.lower()}" for shaft in shafts)
    return f"Lines of the way of: {told}." + (f" The shaft at: {at}." if at else "")


def _at(point: Floats) -> str:
    return f"{point[0]:.0f} {point[1]:.0f}"

"""Hides the golfer's face on whatever is shared: the head's pixels are averaged away for good.

Where the head is not seen, the veil lies over where it was last and will be next, and grows with
the time since; where it is never seen, it lies over the whole picture. In doubt no face is shown.

Only the golfer's own head is known here; other people in the picture are not hidden.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from causeline.model.clip import Frame, Picture
from causeline.model.tracks import BodyTrack
from causeline.quantities.angle import Floats
from causeline.render.film_parts import Footage

TRUNK, LEG = 0.288, 0.491
"""Hip to shoulder, and hip to ankle, as shares of stature (Drillis and Contini 1966)."""
HEAD = 0.13
"""Height of the head as a share of stature (the same)."""
RADIUS = 1.0 * HEAD
"""Of the veil, in statures: twice the head's own, so that hair, chin and a wrong ear lie inside."""
SEEN = 0.2
"""Confidence below which a point of the head is not believed."""
FARTHEST = 0.35
"""Statures between head and middle of the shoulders: what lies farther off is not this head."""
LEAP = 0.12
"""Statures from the middle of its neighbours: what leaps farther is not believed."""
NEIGHBOURS = 4
GROWTH = 1.5
"""Statures a second by which the veil of a lost head grows: heads move at half of that at most."""
CELLS = 4
"""Means across the veil that are left of what was there: too few to tell one face from another."""


@dataclass(frozen=True, slots=True, eq=False)
class Veils:
    """Where the head is hidden, frame by frame: circles in pixels of the clip."""

    frames: NDArray[np.int64]
    """(n,) positions in the clip's clock, rising."""
    time_s: Floats
    """(n,)."""
    centre: Floats
    """(n, 2)."""
    radius: Floats
    """(n,); infinite where the whole picture is hidden."""
    growth: float
    """Pixels a second by which a circle grows before the first frame and after the last."""

    def at(self, frame: int) -> tuple[float, float, float]:
        """Centre and radius in a frame; between and beyond the known ones the circle is wider."""
        after = int(np.searchsorted(self.frames, frame))
        near = [k for k in (after - 1, after) if 0 <= k < len(self.frames)]
        if not near:
            return 0.0, 0.0, float("inf")
        middle = self.centre[near].mean(axis=0)
        reach = np.linalg.norm(self.centre[near] - middle, axis=1) + self.radius[near]
        gap = np.abs(self.frames[near] - frame).min() * self._step()
        return float(middle[0]), float(middle[1]), float(reach.max() + self.growth * gap)

    def _step(self) -> float:
        """Seconds from frame to frame."""
        span = self.frames[-1] - self.frames[0]
        return float((self.time_s[-1] - self.time_s[0]) / span) if span else 0.0


def render_veils(body: BodyTrack) -> Veils:
    """The veil over the golfer's head in each frame of the track."""
    xy = body.shown_xy()
    stature = _stature(body)
    centre, seen = _head(body, xy, stature)
    size = 0.0 if not np.isfinite(stature) else stature
    known = np.flatnonzero(seen)
    if len(known) == 0 or size == 0.0:
        hidden = np.full(len(body), np.inf)
        return Veils(body.frames, body.time_s, np.zeros((len(body), 2)), hidden, 0.0)
    place, reach = _between_known(body.time_s, centre, known, GROWTH * size)
    return Veils(body.frames, body.time_s, place, RADIUS * size + reach, GROWTH * size)


def render_veiled(frame: Frame, veils: Veils) -> Frame:
    """The frame with the head hidden; nothing of the face is left in its pixels."""
    x, y, radius = veils.at(frame.index)
    return replace(frame, picture=render_hidden(frame.picture, (x, y), radius, frame.shrink))


def render_veiled_footage(footage: Footage, veils: Veils) -> Footage:
    """Footage whose every frame has the head hidden."""

    def veiled(wanted: Sequence[int], longest: int) -> Iterator[Frame]:
        for frame in footage(wanted, longest):
            yield render_veiled(frame, veils)

    return veiled


def render_hidden(
    picture: Picture, centre: tuple[float, float], radius: float, shrink: float = 1.0
) -> Picture:
    """A picture with a circle (pixels of the clip) averaged away; a copy.

    `shrink` is the picture's size over the clip's. A circle that is not finite hides everything.
    """
    height, width = picture.shape[:2]
    x, y, reach = (shrink * value for value in (*centre, radius))
    if not np.isfinite([x, y, reach]).all():
        x, y, reach = width / 2, height / 2, float(width + height)
    left, top = max(0, int(x - reach)), max(0, int(y - reach))
    right, bottom = min(width, int(x + reach) + 2), min(height, int(y + reach) + 2)
    if left >= right or top >= bottom:
        return picture
    image = Image.fromarray(picture)
    cut = image.crop((left, top, right, bottom))
    cells = min(CELLS, cut.width), min(CELLS, cut.height)
    dull = cut.resize(cells, Image.Resampling.BOX).resize(cut.size, Image.Resampling.BICUBIC)
    mask = Image.new("L", cut.size, 0)
    box = (x - reach - left, y - reach - top, x + reach - left, y + reach - top)
    ImageDraw.Draw(mask).ellipse(box, fill=255)
    image = image.copy()
    image.paste(dull, (left, top), mask)
    return np.asarray(image)


def _stature(body: BodyTrack) -> float:
    """Pixels of the golfer's height, from trunk and legs where they are seen at their longest."""
    hip = body.middle("hip")
    trunk = np.linalg.norm(body.middle("shoulder") - hip, axis=1) / TRUNK
    leg = np.linalg.norm(body.middle("ankle") - hip, axis=1) / LEG
    both = np.concatenate([trunk, leg])
    both = both[np.isfinite(both) & (both > 0)]
    return float(np.percentile(both, 90)) if len(both) else float("nan")


def _head(body: BodyTrack, xy: Floats, stature: float) -> tuple[Floats, NDArray[np.bool_]]:
    """The middle of nose and ears in each frame, (n, 2), and where it is believed."""
    points = xy[:, :3]  # nose and ears come first in `BODY_LANDMARKS`
    there = np.isfinite(points).all(axis=2) & (body.confidence[:, :3] >= SEEN)
    count = there.sum(axis=1)
    total = np.where(there[..., None], points, 0.0).sum(axis=1)
    centre = total / np.maximum(count, 1)[:, None]
    shoulders = (xy[:, 3] + xy[:, 4]) / 2
    far = np.linalg.norm(centre - shoulders, axis=1) > FARTHEST * stature
    seen = (count > 0) & ~far
    return centre, seen & ~_leaps(centre, seen, LEAP * stature)


def _leaps(centre: Floats, seen: NDArray[np.bool_], most: float) -> NDArray[np.bool_]:
    """Where the head is far from the middle of where its neighbours have it."""
    leaps = np.zeros(len(centre), dtype=bool)
    for row in np.flatnonzero(seen):
        near = slice(max(0, row - NEIGHBOURS), row + NEIGHBOURS + 1)
        middle = np.median(centre[near][seen[near]], axis=0)
        leaps[row] = np.linalg.norm(centre[row] - middle) > most
    return leaps


def _between_known(
    time_s: Floats, centre: Floats, known: NDArray[np.int64], growth: float
) -> tuple[Floats, Floats]:
    """Circles that hold the last known head and the next one, and room for where it may have gone.

    Gives centres (n, 2) and what is added to the radius (n,).
    """
    rows = np.arange(len(centre))
    before = known[np.maximum(np.searchsorted(known, rows, side="right") - 1, 0)]
    later = known[np.minimum(np.searchsorted(known, rows), len(known) - 1)]
    first, second = centre[before], centre[later]
    place = (first + second) / 2
    apart = np.linalg.norm(first - second, axis=1) / 2
    lost = np.minimum(np.abs(time_s - time_s[before]), np.abs(time_s - time_s[later]))
    return place, apart + growth * lost

"""Still pictures of a swing, all cut and scaled alike, and the body's lines to lay over them.

Lines are given in a space 1000 units high whose width follows the crop, so that one drawing fits
the still and the line figure alike. Pixels are those of the clip, x right, y down, as it is shown.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from PIL import Image

from causeline.model.clip import Clip, Frame, Picture
from causeline.model.moments import MomentName
from causeline.model.reading import Swing
from causeline.model.tracks import BODY_LANDMARKS, BodyTrack, ClubTrack
from causeline.quantities.angle import Floats

SURE = 0.5
"""Confidence from which a point's line is drawn whole."""
GUESSED = 0.2
"""Confidence from which it is drawn at all, broken; below it there is a gap."""

HIGH = 1000.0
"""Height of the space in which lines are drawn."""

STILL_BYTES = 70_000
"""Budget of one still: ten of them, in base64, leave a page of one swing below 1.5 MB."""
STILL_WIDTH = 520
"""Widest still, pixels: sharp on a phone that packs three pixels into one of the page's."""

NARROWEST, WIDEST = 0.64, 0.80
"""Width over height of a crop."""

_LIMBS = (
    ("trail", ("trail_hip", "trail_knee", "trail_ankle", "trail_toe")),
    ("middle", ("trail_hip", "lead_hip")),
    ("middle", ("trail_shoulder", "lead_shoulder")),
    ("middle", ("mid_shoulder", "mid_hip")),
    ("trail", ("trail_shoulder", "trail_elbow", "trail_wrist", "trail_knuckle")),
    ("lead", ("lead_hip", "lead_knee", "lead_ankle", "lead_toe")),
    ("lead", ("lead_shoulder", "lead_elbow", "lead_wrist", "lead_knuckle")),
)
"""Side and points of each line, the hindmost first: lead lies over trail."""
_JOINTS = ("shoulder", "elbow", "wrist", "hip", "knee", "ankle")


@dataclass(frozen=True, slots=True)
class Crop:
    """A cut of the clip's picture, whole pixels of the clip, inside it."""

    left: int
    top: int
    width: int
    height: int

    @property
    def wide(self) -> float:
        """Width of the drawing space whose height is `HIGH`."""
        return HIGH * self.width / self.height

    def place(self, xy: Floats) -> Floats:
        """Points (..., 2) in clip pixels, moved into the drawing space."""
        return (xy - np.array([self.left, self.top])) * (HIGH / self.height)


@dataclass(frozen=True, slots=True)
class Stroke:
    """One line of the body or the club as an SVG path."""

    path: str
    side: str
    """`lead`, `trail`, `middle` or `club`."""
    sure: bool


@dataclass(frozen=True, slots=True)
class Dot:
    """One joint, or the clubhead."""

    x: float
    y: float
    side: str
    sure: bool


@dataclass(frozen=True, slots=True)
class Drawing:
    """The body at one frame, in the space of a crop."""

    wide: float
    strokes: tuple[Stroke, ...]
    dots: tuple[Dot, ...]
    head: tuple[float, float, float] | None
    """Centre and radius of the head, or None where the ears are not seen."""


@dataclass(frozen=True, slots=True)
class Still:
    """One cropped picture, as a JPEG file."""

    jpeg: bytes
    width: int
    height: int


def render_crop(body: BodyTrack, rows: Iterable[int], size: tuple[int, int]) -> Crop:
    """One cut that holds the golfer at all `rows` of the track; `size` is the clip's width, height.

    Room is left for hands above the head and for the near part of the club. The cut never leaves
    the picture; without any point it is the whole picture.
    """
    width, height = size
    points = _seen(body, np.fromiter(rows, np.int64))
    if len(points) == 0:
        return Crop(0, 0, width, height)
    (left, top), (right, bottom) = points.min(axis=0), points.max(axis=0)
    tall = max(float(bottom - top), 8.0)
    left, right = left - 0.12 * tall, right + 0.12 * tall
    top, bottom = top - 0.10 * tall, bottom + 0.05 * tall
    cut_high = min(float(bottom - top), height)
    cut_wide = float(np.clip(right - left, NARROWEST * cut_high, WIDEST * cut_high))
    if cut_wide < right - left:
        cut_high = (right - left) / WIDEST
        cut_wide = right - left
    cut_wide, cut_high = min(cut_wide, width), min(cut_high, height)
    x = np.clip((left + right - cut_wide) / 2, 0, width - cut_wide)
    y = np.clip(bottom - cut_high, 0, height - cut_high)
    return Crop(int(x), int(y), max(1, int(cut_wide)), max(1, int(cut_high)))


def render_jpeg(picture: Picture, budget: int = STILL_BYTES) -> bytes:
    """A picture as JPEG, at the best quality that stays within `budget` bytes.

    Falls back to the lowest quality when none does.
    """
    image = Image.fromarray(picture)
    data = b""
    for quality in (86, 78, 70, 60, 50):
        buffer = io.BytesIO()
        image.save(buffer, "JPEG", quality=quality, optimize=True, progressive=True)
        data = buffer.getvalue()
        if len(data) <= budget:
            break
    return data


def render_still(frame: Frame, crop: Crop) -> Still:
    """Cut one frame and encode it; never enlarged."""
    left, top, right, bottom = (
        round(edge * frame.shrink)
        for edge in (crop.left, crop.top, crop.left + crop.width, crop.top + crop.height)
    )
    cut = frame.picture[top : max(bottom, top + 1), left : max(right, left + 1)]
    width = min(STILL_WIDTH, cut.shape[1])
    height = max(1, round(width * crop.height / crop.width))
    if (height, width) != cut.shape[:2]:
        image = Image.fromarray(cut).resize((width, height), Image.Resampling.LANCZOS)
        cut = np.asarray(image)
    return Still(render_jpeg(cut), width, height)


def render_stills(swing: Swing, clip: Clip, frames: Mapping[int, Frame]) -> dict[MomentName, Still]:
    """The still of each moment whose frame is among `frames` (by position in the clip's clock)."""
    crop = render_crop(swing.body, render_rows(swing), (clip.width, clip.height))
    return {
        moment.name: render_still(frames[moment.frame], crop)
        for moment in swing.moments.found
        if moment.frame in frames
    }


def render_rows(swing: Swing) -> tuple[int, ...]:
    """The row of the body track for each moment; the nearest where the frame is absent."""
    frames = swing.body.frames
    return tuple(int(np.argmin(np.abs(frames - moment.frame))) for moment in swing.moments.found)


def render_lines(body: BodyTrack, row: int, crop: Crop, club: ClubTrack | None = None) -> Drawing:
    """The body's lines, joints and head at one row of the track, with the club's where known."""
    shown = crop.place(body.shown_xy()[row])
    points = dict(zip(BODY_LANDMARKS, shown, strict=True))
    trust = dict(zip(BODY_LANDMARKS, _trust(body, row), strict=True))
    for part in ("shoulder", "hip"):
        points[f"mid_{part}"] = (points[f"lead_{part}"] + points[f"trail_{part}"]) / 2
        trust[f"mid_{part}"] = min(trust[f"lead_{part}"], trust[f"trail_{part}"])
    strokes = [stroke for side, names in _LIMBS for stroke in _limb(side, names, points, trust)]
    dots = [
        _dot(points[name], side, trust[name])
        for side in ("trail", "lead")
        for name in (f"{side}_{part}" for part in _JOINTS)
        if trust[name] >= GUESSED
    ]
    if club is not None:
        _add_club(strokes, dots, _club_ends(body, club, row, crop), float(club.confidence[row]))
    head = _head(points, trust)
    return Drawing(crop.wide, tuple(strokes), tuple(dots), head)


def _seen(body: BodyTrack, rows: np.ndarray) -> Floats:
    xy, confidence = body.shown_xy()[rows], body.confidence[rows]
    seen = np.isfinite(xy).all(axis=-1) & (confidence >= GUESSED)
    return xy[seen]


def _trust(body: BodyTrack, row: int) -> Floats:
    """Confidence of each point, 0 where it is missing."""
    there = np.isfinite(body.xy[row]).all(axis=-1)
    return np.where(there, np.nan_to_num(body.confidence[row]), 0.0)


def _limb(
    side: str, names: tuple[str, ...], points: Mapping[str, Floats], trust: Mapping[str, float]
) -> list[Stroke]:
    """The lines along a limb; neighbours that are equally sure make one path."""
    strokes: list[Stroke] = []
    for start, end in pairwise(names):
        least = min(trust[start], trust[end])
        if least < GUESSED:
            continue
        begin, onward = f"M{_at(points[start])}", f"L{_at(points[end])}"
        last = strokes[-1] if strokes else None
        if last and last.sure == (least >= SURE) and last.path.endswith(_at(points[start])):
            strokes[-1] = Stroke(last.path + onward, side, last.sure)
        else:
            strokes.append(Stroke(begin + onward, side, least >= SURE))
    return strokes


def _dot(point: Floats, side: str, confidence: float) -> Dot:
    return Dot(float(point[0]), float(point[1]), side, confidence >= SURE)


def _club_ends(body: BodyTrack, club: ClubTrack, row: int, crop: Crop) -> Floats:
    """Grip, end of the shaft and head in the drawing space, (3, 2); mirrored as the body is."""
    ends = np.stack([club.grip[row], club.shaft_end()[row], club.head[row]])
    if body.mirrored:
        ends[:, 0] = body.width - 1 - ends[:, 0]
    return crop.place(ends)


def _add_club(strokes: list[Stroke], dots: list[Dot], ends: Floats, confidence: float) -> None:
    if not np.isfinite(ends).all() or not confidence >= GUESSED:
        return
    strokes.append(Stroke(f"M{_at(ends[0])}L{_at(ends[1])}", "club", confidence >= SURE))
    dots.append(_dot(ends[2], "club", confidence))


def _head(
    points: Mapping[str, Floats], trust: Mapping[str, float]
) -> tuple[float, float, float] | None:
    """A circle about the ears: its radius is to ear above shoulder as 0.065 to 0.11 of stature.

    Drillis and Contini 1966 give the head as 0.13 of the stature and the shoulder at 0.818; the
    ear's height, 0.93, is from memory. Kept within sane bounds because the neck is foreshortened.
    """
    ears = [name for name in ("lead_ear", "trail_ear") if trust[name] >= GUESSED]
    if not ears:
        return None
    centre = np.mean([points[name] for name in ears], axis=0)
    radius = 0.045 * HIGH
    if trust["mid_shoulder"] >= GUESSED:
        neck = float(np.linalg.norm(centre - points["mid_shoulder"]))
        radius = float(np.clip(0.59 * neck, 0.035 * HIGH, 0.06 * HIGH))
    return float(centre[0]), float(centre[1]), radius


def _at(point: Floats) -> str:
    return f"{point[0]:.0f} {point[1]:.0f}"

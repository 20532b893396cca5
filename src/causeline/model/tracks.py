"""Where the landmarks of body and club are in each frame. Missing is NaN, never zero.

Coordinates are in pixels of the clip's own size, x right, y down, in display orientation.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from causeline.model.shapes import check_shapes
from causeline.quantities.angle import Floats, direction_deg

ENGINE_LANDMARKS = (
    "nose", "left_eye_inner", "left_eye", "left_eye_outer", "right_eye_inner", "right_eye",
    "right_eye_outer", "left_ear", "right_ear", "mouth_left", "mouth_right", "left_shoulder",
    "right_shoulder", "left_elbow", "right_elbow", "left_wrist", "right_wrist", "left_pinky",
    "right_pinky", "left_index", "right_index", "left_thumb", "right_thumb", "left_hip",
    "right_hip", "left_knee", "right_knee", "left_ankle", "right_ankle", "left_heel",
    "right_heel", "left_foot_index", "right_foot_index",
)  # fmt: skip
"""The engine's 33 points in its own order; left and right are the golfer's own sides."""

SIDED = (
    "ear", "shoulder", "elbow", "wrist", "knuckle", "hip", "knee", "ankle", "heel", "toe",
)  # fmt: skip

BODY_LANDMARKS = ("nose", *(f"{side}_{part}" for part in SIDED for side in ("lead", "trail")))
"""The points of a body track: nose, then each pair, lead before trail. A knuckle is that of the
index finger, a toe the tip of the foot."""


TRUNK_AND_LEGS = tuple(
    ENGINE_LANDMARKS.index(name)
    for name in ENGINE_LANDMARKS
    if name.rpartition("_")[2] in ("nose", "ear", "shoulder", "hip", "knee", "ankle", "heel")
)
"""What a region is measured by: an arm that is lifted must not move it."""
REGION_RADII = 2.25
"""Side of a region, in distances from the hips to the farthest point of head, trunk and legs."""
ANKLES = tuple(ENGINE_LANDMARKS.index(f"{side}_ankle") for side in ("left", "right"))
SURE_FEET = 0.5
"""Confidence of an ankle from which the feet are where the engine puts them."""
WIDENS, WIDEST_TRUNKS = 1.1, 5.0
"""From look to look while the feet are in doubt, and up to this many lengths of the trunk: a golfer
at the ball fills a region of 3.8 to 5.0 (98 of 100 in 163 rendered clips)."""
SAME_PERSON = 0.2
"""Share of a region's side, about 0.4 m, within which two regions are of the same person."""


@dataclass(frozen=True, slots=True)
class Region:
    """A square of the picture, turned: where the engine looks for one person's landmarks."""

    x: float
    """Centre, pixels."""
    y: float
    size: float
    """Length of a side, pixels."""
    turn_deg: float = 0.0
    """Clockwise turn of the square as seen; 0 is upright."""

    @classmethod
    def around(cls, xy: Floats) -> Region:
        """The region of the person with these (33, 2) landmarks: hips in the middle, head up.

        Degenerate: a person without extent gives an upright square of one pixel.
        """
        hips = _between(xy, "hip")
        up = _between(xy, "shoulder") - hips
        radius = np.linalg.norm(xy[list(TRUNK_AND_LEGS)] - hips, axis=1).max()
        turn = np.degrees(np.arctan2(up[0], 0.0 - up[1]))
        return cls(
            float(hips[0]), float(hips[1]), max(REGION_RADII * float(radius), 1.0), float(turn)
        )

    def after(self, answer: Landmarks) -> Region:
        """Where to look for the person who was found in this one.

        While the feet are in doubt it is no narrower than this one, and widens. They are then put
        too high; the next look would be too narrow for them, and so on, until only the head is in.
        """
        again = Region.around(answer.xy)
        if answer.confidence[list(ANKLES)].max() >= SURE_FEET:
            return again
        trunk = float(np.linalg.norm(_between(answer.xy, "shoulder") - _between(answer.xy, "hip")))
        wider = min(WIDENS * self.size, WIDEST_TRUNKS * trunk)
        return replace(again, size=max(again.size, self.size, wider))

    def to_picture(self, share: Floats) -> Floats:
        """Pixels of points given in shares of the square: (0, 0) is its own upper left corner."""
        return (share - 0.5) * self.size @ self._turned() + (self.x, self.y)

    def to_share(self, xy: Floats) -> Floats:
        """The other way round: inside the square where both shares are between 0 and 1."""
        return (xy - (self.x, self.y)) @ self._turned().T / self.size + 0.5

    def matches(self, other: Region) -> bool:
        """Whether both hold the same person: their centres are within an arm's length."""
        apart = float(np.hypot(self.x - other.x, self.y - other.y))
        return apart < SAME_PERSON * max(self.size, other.size)

    def _turned(self) -> Floats:
        """Rows are the directions of the square's own axes in the picture."""
        turn = np.radians(self.turn_deg)
        return np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody the detector sees."""

    region: Region
    box: tuple[float, float, float, float]
    """Face and shoulders: left, top, right, bottom, pixels."""
    score: float
    """Probability that it is a person, 0 to 1."""


@dataclass(frozen=True, slots=True, eq=False)
class Landmarks:
    """The engine's 33 points of one person in one picture, in `ENGINE_LANDMARKS` order."""

    xy: Floats
    """(33, 2) pixels."""
    confidence: Floats
    """(33,) how surely the point is in the picture, not hidden, and at one place, 0 to 1."""
    score: float
    """Probability that a person is in the region at all, 0 to 1."""


@dataclass(frozen=True, slots=True, eq=False)
class LandmarkTrack:
    """The engine's points over frames: `frames` (n,), `xy` (n, 33, 2), `confidence` (n, 33)."""

    frames: NDArray[np.int64]
    time_s: Floats
    xy: Floats
    confidence: Floats

    def __post_init__(self) -> None:
        _check_track(self.frames, self.time_s, self.xy, self.confidence, len(ENGINE_LANDMARKS))

    def point(self, name: str) -> Floats:
        """One landmark over time, (n, 2) pixels."""
        return self.xy[:, ENGINE_LANDMARKS.index(name)]


@dataclass(frozen=True, slots=True, eq=False)
class BodyTrack:
    """The golfer in the words lead and trail, cleaned. `J` is `len(BODY_LANDMARKS)`.

    A left-handed golfer's track is mirrored once when it is made (`mirrored`), so that rooms see
    right-handed golfers only, and mirrored back when it is shown.
    """

    frames: NDArray[np.int64]
    """(n,) positions in the clip's clock."""
    time_s: Floats
    """(n,) real seconds from the clip's first frame."""
    xy: Floats
    """(n, J, 2) pixels."""
    confidence: Floats
    """(n, J) probability that the point is where it says, 0 to 1."""
    sd_px: Floats
    """(n, J) one standard deviation of the point along each axis, pixels: jitter, and how far the
    engine's point usually lies from the joint."""
    width: int
    """Width of the picture: a mirrored x is `width - 1 - x`."""
    mirrored: bool = False

    def __post_init__(self) -> None:
        _check_track(self.frames, self.time_s, self.xy, self.confidence, len(BODY_LANDMARKS))

    def __len__(self) -> int:
        return len(self.frames)

    def point(self, name: str) -> Floats:
        """One landmark over time, (n, 2) pixels."""
        return self.xy[:, BODY_LANDMARKS.index(name)]

    def spread(self, name: str) -> Floats:
        """One landmark's standard deviation over time, (n,) pixels."""
        return self.sd_px[:, BODY_LANDMARKS.index(name)]

    def middle(self, part: str) -> Floats:
        """Half-way between the lead and the trail point of a pair, (n, 2) pixels."""
        return (self.point(f"lead_{part}") + self.point(f"trail_{part}")) / 2

    def shown_xy(self) -> Floats:
        """Coordinates as the clip shows them: mirrored back where they were mirrored."""
        if not self.mirrored:
            return self.xy
        shown = self.xy.copy()
        shown[..., 0] = self.width - 1 - shown[..., 0]
        return shown


@dataclass(frozen=True, slots=True, eq=False)
class ClubTrack:
    """The club over the frames of the body track, in the body track's coordinates."""

    grip: Floats
    """(n, 2) pixels: the grip end."""
    head: Floats
    """(n, 2) pixels: the middle of the head."""
    confidence: Floats
    """(n,) probability that the shaft lies within 5° of where it says, 0 to 1."""
    hosel: Floats | None = None
    """(n, 2) pixels: where the shaft ends, beside the head; None if only the head was tracked."""
    head_seen: NDArray[np.bool_] | None = None
    """(n,) False where the head's place is worked out: it is hidden, or outside the picture."""

    def shaft_end(self) -> Floats:
        """(n, 2) pixels: the hosel, or the head where there is none: the shaft runs to here."""
        return self.head if self.hosel is None else self.hosel

    def shaft_deg(self) -> Floats:
        """Direction of the shaft in each frame, from the grip end to the head, (n,).

        Zero to the right, positive counter-clockwise as seen. Range (-180, 180]. Degenerate: not
        found, or pointing straight at the camera, gives NaN.
        """
        return direction_deg(self.grip, self.shaft_end())


def _check_track(
    frames: NDArray[np.int64], time_s: Floats, xy: Floats, confidence: Floats, points: int
) -> None:
    n = len(frames)
    check_shapes(
        f"track of {n} frames",
        {
            "time_s": (time_s, (n,)),
            "xy": (xy, (n, points, 2)),
            "confidence": (confidence, (n, points)),
        },
    )


def _between(xy: Floats, part: str) -> Floats:
    """Half-way between the left and the right point of a pair of the engine's, (..., 2) pixels."""
    left, right = (ENGINE_LANDMARKS.index(f"{side}_{part}") for side in ("left", "right"))
    middle: Floats = (xy[..., left, :] + xy[..., right, :]) / 2
    return middle

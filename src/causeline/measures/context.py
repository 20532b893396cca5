"""What a measure is computed from: one swing of one clip."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from causeline.measures.scale import ASSUMED_STATURE_M, measure_scale
from causeline.model.clip import Clip, View
from causeline.model.measures import Refusal
from causeline.model.moments import Moments
from causeline.model.motion import Motion
from causeline.model.tracks import BodyTrack, ClubTrack
from causeline.quantities.angle import Floats
from causeline.quantities.length import Scale
from causeline.quantities.uncertain import Uncertain

LENS_SHARE = 0.8
"""Focal length over the picture's longer side for a phone's main camera (26 mm equivalent on a
36 mm frame, less the crop of video stabilisation): common practice, from memory. A zoomed or
cropped clip was filmed from farther away, which only makes the stated ± too wide."""

ROLL_SD_DEG = 2.0
"""How far from level the camera may be held, one standard deviation: judged."""

YAW_SD_DEG = 5.0
"""How far from square to the view it may point, one standard deviation: judged."""


@dataclass(frozen=True, slots=True, eq=False)
class SwingContext:
    """One swing, ready to be measured. Make it with `measure_context`."""

    clip: Clip
    view: View
    body: BodyTrack
    moments: Moments
    scale: Scale | Refusal
    stature_given: bool
    club: ClubTrack | None = None
    roll_sd_deg: float = ROLL_SD_DEG
    yaw_sd_deg: float = YAW_SD_DEG
    motion: Motion | None = None
    """The body in three dimensions; None where it was not, or could not be, recovered."""

    @property
    def centre(self) -> Floats:
        """Where the optical axis meets the picture: its middle, pixels."""
        return np.array([(self.clip.width - 1) / 2, (self.clip.height - 1) / 2])


def measure_context(
    clip: Clip,
    view: View,
    body: BodyTrack,
    moments: Moments,
    stature_m: Uncertain | None = None,
    club: ClubTrack | None = None,
) -> SwingContext:
    """Everything the measures need, the scale included. Without a stature one is assumed."""
    scale = measure_scale(body, moments, view, stature_m or ASSUMED_STATURE_M)
    return SwingContext(clip, view, body, moments, scale, stature_m is not None, club)


def measure_pixels_per_metre(scale: Scale) -> float:
    """Pixels in a metre, in the plane of the golfer at address."""
    return scale.stature_px.value / scale.stature_m.value


def measure_distance_m(context: SwingContext, scale: Scale) -> float:
    """Camera to golfer in metres, from the golfer's size under a phone's usual lens."""
    focal_px = LENS_SHARE * max(context.clip.width, context.clip.height)
    return focal_px / measure_pixels_per_metre(scale)

"""From pixels to metres, with the error that the scale brings.

The scale comes from the golfer's own stature, or from long-axis heights, never from breadths or
the head: heights vary 1-3 % between people after dividing by stature, breadths 4-7 % (ANSUR II,
Gordon et al. 2014, NATICK/TR-15/007).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from causeline.quantities.uncertain import Uncertain


@dataclass(frozen=True, slots=True)
class Scale:
    """Pixels in one stature (with ±), and the stature in metres (with ±)."""

    stature_px: Uncertain
    stature_m: Uncertain

    def to_stature_percent(self, pixels: Uncertain) -> Uncertain:
        """A length in the picture as per cent of the golfer's stature."""
        return (pixels / self.stature_px).times(100.0)

    def to_centimetres(self, pixels: Uncertain) -> Uncertain:
        """A length in the picture in centimetres; exact only in the plane of the scale."""
        share = pixels / self.stature_px
        spread = math.hypot(share.sd * self.stature_m.value, share.value * self.stature_m.sd)
        return Uncertain(share.value * self.stature_m.value, spread).times(100.0)

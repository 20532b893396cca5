"""Is a limb in the plane of the picture? A joint angle is true only where both its limbs are.

Less than 20° out of plane changes an elbow or knee angle very little; beyond, the limb looks too
straight (Stevens et al. 2006, Am J Phys Anthropol 129:399-402).
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from causeline.measures.context import SwingContext
from causeline.measures.evaluate import measure_at, measure_widened
from causeline.measures.pose import measure_pose
from causeline.measures.scale import ANSUR_LENGTHS, SHOULDER_BELOW_ACROMION
from causeline.measures.spec import MeasureSpec
from causeline.measures.spread import Formula
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName
from causeline.model.tracks import BodyTrack
from causeline.quantities.length import Scale

Limb = tuple[str, str, str]
"""Name in `ANSUR_LENGTHS`, and the landmarks at its two ends."""

FINE_DEG = 20.0
"""Out of plane by less than this is always possible, and costs little."""

FARTHEST_DEG = 35.0
"""A limb that looks shorter than cos 35° of its length is refused: 20° by the source above, and 15°
for what a length read from landmarks cannot tell (3-6 % between people, judged)."""


def measure_joint(
    context: SwingContext,
    spec: MeasureSpec,
    moment: MomentName,
    formula: Formula,
    limbs: tuple[Limb, Limb],
    straight: float,
) -> Measure | Refusal:
    """A joint angle where both limbs lie near enough to the picture's plane.

    `straight` is what the formula gives for a straight joint: the farther from it, the more a limb
    out of plane costs. A camera that is not square counts as such a limb, and not again as yaw.
    """
    square = replace(context, yaw_sd_deg=0.0)
    measure = measure_at(square, spec, moment, formula)
    if isinstance(measure, Refusal):
        return measure
    found = context.moments.get(moment)
    if found is None or not isinstance(context.scale, Scale):
        return measure
    leans = [_out_of_plane_deg(context, context.scale, limb, found.time_s) for limb in limbs]
    farthest = max(leans)
    if farthest > FARTHEST_DEG:
        return Refusal(spec.name, moment, _pointing(limbs[leans.index(farthest)]))
    lean = math.radians(max(FINE_DEG, farthest))
    part = abs(measure.value - straight) * (1 - math.cos(lean))
    return measure_widened(measure, "out of plane", part, spec.widest)


def _pointing(limb: Limb) -> str:
    return (
        f"Your {limb[0].replace('_', ' ')} points toward or away from the camera here; the angle "
        "would look straighter than it is."
    )


def _out_of_plane_deg(context: SwingContext, scale: Scale, limb: Limb, time_s: float) -> float:
    name, start, end = limb
    pose = measure_pose(context.body, (start, end), time_s)
    seen = float(np.hypot(*(pose.point(end) - pose.point(start))))
    share, spread = ANSUR_LENGTHS[name]
    from_joint = SHOULDER_BELOW_ACROMION[0] if name == "upper_arm" else 0.0
    by_build = (share - from_joint) * scale.stature_px.value
    own = _longest_px(context.body, start, end)
    whole = min(max(own, by_build * (1 - 2 * spread)), by_build * (1 + 2 * spread))
    return math.degrees(math.acos(min(1.0, seen / whole)))


def _longest_px(body: BodyTrack, start: str, end: str) -> float:
    """95th percentile of the limb's length in the picture, so that one bad frame counts little."""
    lengths = np.hypot(*(body.point(end) - body.point(start)).T)
    seen = lengths[np.isfinite(lengths)]
    return float(np.quantile(seen, 0.95)) if len(seen) else 0.0

"""What the ± of each kind of measure contains, said once for the whole catalogue."""

from __future__ import annotations

LANDMARKS_HOLD = (
    "landmark jitter, where the engine sees the joints, camera distance, camera not square and not "
    "level, timing of the moment"
)
ANGLE_HOLDS = LANDMARKS_HOLD
JOINT_HOLDS = f"{LANDMARKS_HOLD}, limb out of the picture's plane"
SHARE_HOLDS = f"{LANDMARKS_HOLD}, stature in pixels"
LENGTH_HOLDS = f"{SHARE_HOLDS}, stature in metres"
TIME_HOLDS = "the ± of both moments, which holds the frame interval's share"

OFFSETS_SOURCE = "landmark places: Needham et al. 2021, Sci Rep 11:20673"

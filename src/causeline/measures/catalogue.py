"""Every measure there is, in the order in which a reading lists them.

A new measure is a function and a spec in a module of this room, and a line here.
"""

from __future__ import annotations

from causeline.measures import (
    arms,
    hands,
    legs,
    separation,
    stance,
    timing,
    travel,
    trunk,
    turn,
)
from causeline.measures.spec import MeasureSpec

CATALOGUE: tuple[MeasureSpec, ...] = (
    timing.BACKSWING_TIME,
    timing.DOWNSWING_TIME,
    timing.SWING_TIME,
    timing.TEMPO_RATIO,
    stance.STANCE_WIDTH,
    stance.STANCE_WIDTH_PERCENT,
    trunk.TRUNK_FORWARD_BEND,
    trunk.TRUNK_SIDE_BEND,
    trunk.POSTURE_CHANGE,
    legs.LEAD_KNEE_FLEXION,
    arms.LEAD_ARM_ANGLE,
    arms.LEAD_ELBOW_ANGLE,
    arms.TRAIL_ELBOW_ANGLE,
    hands.HANDS_HEIGHT,
    hands.HANDS_HEIGHT_PERCENT,
    hands.HANDS_DEPTH,
    hands.HANDS_DEPTH_PERCENT,
    hands.HANDS_BESIDE_CHEST,
    hands.HANDS_BESIDE_CHEST_PERCENT,
    travel.HEAD_TOWARD_TARGET,
    travel.HEAD_TOWARD_TARGET_PERCENT,
    travel.HEAD_TOWARD_BALL,
    travel.HEAD_TOWARD_BALL_PERCENT,
    travel.HEAD_RISE,
    travel.HEAD_RISE_PERCENT,
    travel.PELVIS_TOWARD_TARGET,
    travel.PELVIS_TOWARD_TARGET_PERCENT,
    travel.PELVIS_TOWARD_BALL,
    travel.PELVIS_TOWARD_BALL_PERCENT,
    travel.PELVIS_RISE,
    travel.PELVIS_RISE_PERCENT,
    travel.LEAD_KNEE_TOWARD_TARGET,
    travel.LEAD_KNEE_TOWARD_TARGET_PERCENT,
    travel.LEAD_KNEE_TOWARD_BALL,
    travel.LEAD_KNEE_TOWARD_BALL_PERCENT,
    travel.LEAD_KNEE_RISE,
    travel.LEAD_KNEE_RISE_PERCENT,
    turn.SHOULDER_TURN,
    turn.SHOULDER_TURN_LEVEL,
    turn.PELVIS_TURN,
    turn.SEPARATION,
    separation.SEPARATION_PEAK,
    separation.SEPARATION_PEAK_TIME,
    turn.SHOULDERS_OPEN,
    turn.PELVIS_OPEN,
    turn.TURN_RATE_NEEDED,
)

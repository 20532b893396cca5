"""The measures of the club, in the order in which a reading lists them after those of the body."""

from __future__ import annotations

from causeline.measures import club, club_path
from causeline.measures.catalogue import CATALOGUE
from causeline.measures.spec import MeasureSpec

CLUB_CATALOGUE: tuple[MeasureSpec, ...] = (
    club.SHAFT_ANGLE,
    club.SHAFT_FROM_UPRIGHT,
    club.SHAFT_ABOVE_FOREARM,
    club.HEAD_OUTSIDE_HANDS,
    club.HEAD_OFF_PLANE,
    club.SHAFT_STEEPENING,
    club.SHAFT_AGAINST_ADDRESS,
    club_path.HANDS_LOOP,
    club_path.HEAD_LOOP,
    club.WRIST_HINGE,
    club.SHAFT_LEAN,
    club.BALL_POSITION,
    club_path.LOW_POINT,
    club_path.HEAD_SPEED,
)

FULL_CATALOGUE: tuple[MeasureSpec, ...] = (*CATALOGUE, *CLUB_CATALOGUE)
"""Body, then club: what a reading measures."""

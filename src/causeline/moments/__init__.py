"""The room that finds who swings, when, from where it is filmed, and the ten moments."""

from causeline.moments.find import find_moments
from causeline.moments.rehearsal import find_rehearsal
from causeline.moments.strike import find_strike
from causeline.moments.swings import find_swinger, find_swings
from causeline.moments.timescale import find_time_scale
from causeline.moments.view import find_hand, find_off_axis, find_view

__all__ = [
    "find_hand",
    "find_moments",
    "find_off_axis",
    "find_rehearsal",
    "find_strike",
    "find_swinger",
    "find_swings",
    "find_time_scale",
    "find_view",
]

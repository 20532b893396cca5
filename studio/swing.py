"""A swing as parameters: when the stations come, and where body and club are at each.

Signs: turns are positive away from the target; leans positive toward the ball, or toward the
target; travel in shares of stature, positive toward the ball (x), the target (y), up (z).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Protocol

import numpy as np

from studio.clubs import Club
from studio.curves import STATIONS, Row, fill_curve, station_times
from studio.performance import Floats

NOMINAL: Mapping[str, Row] = {
    #                  addr  start  sh_bk arm_bk    top arm_dn  sh_dn impact  sh_th arm_th  finish
    "pelvis_turn":    ( 0.0,   1.0,  16.0,  30.0,  46.0,   9.0, -25.0, -39.0, -50.0, -65.0, -98.0),
    "pelvis_lean_x":  (24.0,  24.0,  22.0,  20.0,  18.0,  20.0,  17.0,  12.0,   8.0,   5.0,   0.0),
    "pelvis_lean_y":  ( 0.0,   0.0,   0.0,   0.0,  -1.0,  -4.0,  -6.0,  -8.0,  -8.0,  -6.0,  -2.0),
    "pelvis_x":       ( 0.0,   0.0,  .002,  .004,  .006,  .002,   0.0,  .006,  .012,   .02,   .05),
    "pelvis_y":       ( 0.0,   0.0, -.007, -.012, -.006,  .024,  .036,  .043,   .05,  .058,  .085),
    "pelvis_z":       ( 0.0,   0.0, -.003, -.007, -.013,  -.02, -.016, -.008,  .004,  .012,  .022),
    "chest_turn":     ( 0.0,   3.0,  31.0,  54.0,  79.0,  40.0,  -3.0, -30.0, -50.0, -70.0, -120.0),
    "trunk_lean_x":   ( 0.0,   0.0,   -.5,  -1.0,  -2.0,   0.0,  -1.0,  -5.0,  -8.0, -18.0, -32.0),
    "trunk_lean_y":   (-6.0,  -6.0,  -5.0,  -4.0,  -2.0,  -6.0, -11.0, -17.0, -20.0, -17.0,  -8.0),
    "hands_lift":     (49.0,  49.5,  56.0,  88.0, 126.0,  98.0,  57.0,  50.0,  58.0,  94.0, 134.0),
    "hands_across":   ( 0.0,    .5,  10.0,  24.0,  42.0,  37.0,  30.0,   4.0,  -1.0,  -5.0,  -8.0),
    "lead_reach":     (.965,  .965,  .985,  .985,  .975,  .985,  .985,  .985,   .99,  .985,    .8),
    "trail_reach":    ( .97,   .97,   .97,   .97,   .97,   .97,   .97,   .97,   .99,  .975,   .66),
    "lead_share":     ( 1.0,   1.0,   1.0,   1.0,   1.0,   1.0,   1.0,   1.0,    .5,   0.0,   0.0),
    "shaft_angle":    (0.0, -3.0, -90.0, -160.0, -258.0, -185.0, -90.0,   0.0,  90.0, 172.0, 300.0),
    "shaft_slope":    ( 0.0,   0.0,  -3.0,  -5.0, -10.0, -13.0, -10.0,   4.0,   0.0, -10.0, -28.0),
    "shaft_heading":  ( 0.0,   0.0,   1.0,   0.0,  -2.0,   4.0,   4.0,   0.0,  -8.0, -16.0, -20.0),
    "club_roll":      ( 0.0,   2.0,  28.0,  38.0,  35.0,  48.0,  38.0,   0.0, -28.0, -38.0, -35.0),
    "trail_heel":     ( 0.0,   0.0,   0.0,   0.0,   0.0,   2.0,   7.0,  18.0,  32.0,  50.0,  74.0),
    "trail_foot_turn":( 0.0,   0.0,   0.0,   0.0,   0.0,   0.0,   2.0,   8.0,  18.0,  34.0,  62.0),
    "lead_heel":      ( 0.0,   0.0,   0.0,   0.0,   0.0,   0.0,   0.0,   0.0,   0.0,   0.0,   0.0),
    "lead_foot_roll": ( 0.0,   0.0,   0.0,   0.0,  -3.0,   0.0,   0.0,   2.0,   5.0,  10.0,  18.0),
    "lead_knee_in":   ( 0.0,   0.0,   6.0,  13.0,  20.0,   4.0,  -4.0,  -6.0,  -6.0,  -6.0,  -6.0),
    "trail_knee_in":  ( 0.0,   0.0,   0.0,   0.0,   0.0,   8.0,  16.0,  24.0,  32.0,  40.0,  50.0),
    "lead_elbow_out": (  .3,    .3,    .3,    .3,    .2,    .2,    .2,    .2,    .2,    .3,    .4),
    "trail_elbow_out":(  .3,    .3,    .2,    .2,    .3,   0.0,   -.2,   0.0,    .2,    .3,    .5),
    "head_turn":      ( 0.0,   0.0,   6.0,  12.0,  22.0,  14.0,   8.0,   6.0,   2.0, -25.0, -92.0),
    "head_pitch":     (52.0,  52.0,  51.0,  49.0,  45.0,  49.0,  52.0,  52.0,  52.0,  40.0,   2.0),
    "head_tilt":      ( 0.0,   0.0,   0.0,   2.0,   4.0,  -4.0, -10.0, -16.0, -20.0, -16.0,  -4.0),
}  # fmt: skip
"""A skilled mid-iron swing, station by station (set by eye against common practice).

Degrees, or shares of stature. `trunk_lean_x`, `shaft_slope`: from address.
`hands_lift`: mid-shoulders to hands, from the trunk's downward axis.
`elbow_out`: 0 the elbow points down, 1 as much out from the chest's side as down.
`shaft_angle`: in the club's plane, 0 pointing at the ground, -90 level going back, 90 level
through; at impact, from the club's usual lean. `shaft_heading`: of
the plane's level line, positive to the right of the target.
"""

BACKSWING_SHARE = {"start": 0.0, "shaft_level_back": 0.40, "arm_level_back": 0.60, "top": 1.0}
DOWNSWING_SHARE = {"arm_level_down": 0.55, "shaft_level_down": 0.83, "impact": 1.0}
AFTER_S = {"shaft_level_through": 0.056, "arm_level_through": 0.12, "finish": 0.75}

TURN_ROUND_S: Mapping[str, float] = {
    "pelvis_turn": -0.07,
    "pelvis_y": -0.10,
    "pelvis_z": -0.05,
    "chest_turn": -0.03,
    "shaft_angle": 0.03,
}
"""How much before (-) or after the lead arm a curve turns round: the ground up, the club last."""


@dataclass(frozen=True, slots=True)
class Part:
    """Something added to a swing's curves: a fault, a waggle, the relaxing after the finish."""

    rows: Mapping[str, tuple[float, ...]]
    """Curve name to what is added at the knots."""
    amount: float = 1.0
    delay_s: float = 0.0
    knots_s: tuple[float, ...] | None = None
    """Seconds; None for the swing's stations."""


class Curves(Protocol):
    """Where a swing's curves may come from instead of its rows."""

    def at(self, times: Mapping[str, float], time_s: Floats) -> dict[str, Floats]:
        """Some of the curves at real times, when the stations come at `times`."""


@dataclass(frozen=True, slots=True)
class Swing:
    """All parameters of one swing."""

    rows: Mapping[str, Row] = field(default_factory=lambda: dict(NOMINAL))
    parts: tuple[Part, ...] = ()
    shares: Mapping[str, float] = field(default_factory=lambda: BACKSWING_SHARE | DOWNSWING_SHARE)
    """When the stations come, of the backswing, and from the top on, of the downswing."""
    backswing_s: float = 0.80
    downswing_s: float = 0.265
    after_s: Mapping[str, float] = field(default_factory=lambda: dict(AFTER_S))
    turn_round_s: Mapping[str, float] = field(default_factory=lambda: dict(TURN_ROUND_S))
    lead_in_s: float = 0.8
    """Before the start: waggles, and standing still."""
    hold_s: float = 0.9
    """Holding the finish, and what follows."""
    knee_flex_deg: float = 22.0
    hang_deg: float = 16.0
    """Mid-shoulders to hands at address, forward of the vertical."""
    hands_high_deg: float = 0.0
    """The shaft's slope at address, above what is usual for the club: hands high is positive."""
    round_deg: float = 7.0
    """The chest's bend beyond the line from hips to shoulders: a rounded back."""
    hips_back: float = 0.062
    """Hip joints behind the ankles at address, of stature."""
    stance_scale: float = 1.0
    flare_deg: tuple[float, float] = (20.0, 6.0)
    """Feet turned out, lead and trail."""
    grip_strength_deg: tuple[float, float] = (22.0, 8.0)
    """Hands turned to the right on the grip, lead and trail."""
    ball_forward: float = 0.0
    """Ball farther toward the target than the club's usual, of the stance."""
    tremor: float = 0.001
    """SD of the body's slow wandering, of stature."""
    recorded: Curves | None = None
    """Postures from a motion file, which take the place of `rows`."""
    recorded_share: float = 1.0
    """How much of the recorded curves' place they take; the rest is the rows'."""
    rehearsal: bool = False
    """A practice swing: nothing is struck."""
    misses_m: tuple[float, float, float] = (0.0, 0.0, 0.0)
    """How far from the ball the head passes, as a practice swing's does."""
    rehearsals_s: tuple[tuple[float, float], ...] = ()
    """First and last second of each practice swing before this one; `parts` make them."""
    faults: tuple[dict[str, Any], ...] = ()
    """What is wrong with it, for the truth; `parts` make it so."""

    def times(self) -> dict[str, float]:
        """Time of every station, seconds; the start is 0."""
        times = {"address": -0.06}
        for name, share in self.shares.items():
            down = name in DOWNSWING_SHARE
            times[name] = (
                share * self.downswing_s + self.backswing_s if down else share * self.backswing_s
            )
        times |= {name: times["impact"] + after for name, after in self.after_s.items()}
        return {name: times[name] for name in STATIONS}

    def curves(self, time_s: Floats) -> dict[str, Floats]:
        """Every row, with all parts added, at the times of an even grid."""
        times = self.times()
        curves = {
            name: fill_curve(station_times(times, self.turn_round_s.get(name, 0.0)), row, time_s)
            for name, row in self.rows.items()
        }
        if self.recorded is not None:
            for name, curve in self.recorded.at(times, time_s).items():
                share = self.recorded_share
                curves[name] = share * curve + (1 - share) * curves[name]
        stations = station_times(times)
        for part in self.parts:
            knots = stations if part.knots_s is None else np.array(part.knots_s)
            for name, row in part.rows.items():
                added = fill_curve(knots + part.delay_s, part.amount * np.array(row), time_s)
                curves[name] = curves[name] + added
        return curves


def fitted_to(swing: Swing, club: Club) -> Swing:
    """The swing as it is made with that club: its lean at impact, its tilt over a forward ball."""
    rows = dict(swing.rows)
    lean = np.array(rows["shaft_angle"])
    lean[STATIONS.index("impact")] -= club.impact_lean_deg
    rows["shaft_angle"] = tuple(lean.tolist())
    rows["trunk_lean_y"] = tuple((np.array(rows["trunk_lean_y"]) - club.tilt_deg).tolist())
    return replace(swing, rows=rows)

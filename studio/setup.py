"""Standing over the ball: what a body and a club ask of each other before anything moves."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import brentq

from studio.clubs import BALL_RADIUS_M, Club
from studio.hands import hold_of
from studio.performance import Floats
from studio.rotation import lean_and_turn
from studio.skeleton import Skeleton
from studio.swing import Swing

HANDS_FROM_BUTT_M = 0.100
HAND_APART_M = 0.038
"""Middle of each hand from the middle of both, along the grip."""
SHOULDER_GIVES = 0.030
"""How far the trail shoulder comes down and forward to reach the lower hand, of stature."""
HANDS_BACK = (0.0, 2.0, 4.0, 6.0, 8.0)
"""Degrees of shaft lean that may be given up at address to straighten the lead arm."""
MOST_FORWARD = 0.88
"""No ball lies nearer the lead ankle than this, of the way from the trail one."""
SLACK_M = 0.012
LEANS_DEG = (24.0, 52.0)
"""How far trunks are bent at address, mid-hips to mid-shoulders from the upright."""
HUB_SHORTENS = 0.945
"""Hips to shoulders when bent at address, of the same length upright."""


@dataclass(frozen=True, slots=True)
class Sizes:
    """Lengths of a body that the plan needs, metres."""

    stature: float
    hip_width: float
    shoulder_width: float
    trunk: float
    thigh: float
    shank: float
    upper_arm: float
    lead_arm: float
    trail_arm: float
    hand: float
    """Wrist to the middle of the grip in the closed hand."""
    ankle_height: float


@dataclass(frozen=True, slots=True, eq=False)
class Setup:
    """The address. Everything in the studio's frame, metres and degrees."""

    sizes: Sizes
    ankles: Floats
    """(2, 3) lead, trail."""
    hips: Floats
    """(3,) midway between the hip joints."""
    trunk_lean_deg: float
    hands: Floats
    """(3,) middle of the hands on the grip."""
    hands_lift_deg: float
    """Mid-shoulders to hands, from the trunk's downward axis."""
    hands_across_deg: float
    slope_deg: float
    """Of the club's plane: shaft to ground, seen along the target line."""
    head: Floats
    """(3,) centre of the clubhead."""
    ball: Floats


def sizes_of(skeleton: Skeleton) -> Sizes:
    """Lengths between joint centres."""
    at = skeleton.at

    def span(one: str, other: str) -> float:
        return float(np.linalg.norm(at(one) - at(other)))

    hips = (at("upperleg01.L") + at("upperleg01.R")) / 2
    shoulders = (at("upperarm01.L") + at("upperarm01.R")) / 2
    return Sizes(
        stature=skeleton.body.stature_m,
        hip_width=span("upperleg01.L", "upperleg01.R"),
        shoulder_width=span("upperarm01.L", "upperarm01.R"),
        trunk=float(np.linalg.norm(shoulders - hips)),
        thigh=span("upperleg01.L", "lowerleg01.L"),
        shank=span("lowerleg01.L", "foot.L"),
        upper_arm=span("upperarm01.L", "lowerarm01.L"),
        lead_arm=span("upperarm01.L", "lowerarm01.L") + span("lowerarm01.L", "wrist.L"),
        trail_arm=span("upperarm01.R", "lowerarm01.R") + span("lowerarm01.R", "wrist.R"),
        hand=float(np.linalg.norm(hold_of(skeleton.body, "lead").point - at("wrist.L"))),
        ankle_height=float(at("foot.L")[2]),
    )


def make_setup(skeleton: Skeleton, swing: Swing, club: Club) -> Setup:
    """Bend from the hips until the arms hang to where the shaft's slope puts the hands.

    Where no bend within reason does, the hands go lower or higher until one does; where the lead
    arm would bend because the trail arm cannot follow, they go back from the target.
    """
    stand = _stand(skeleton, swing, club)
    tried = [
        _bent_to(stand, swing, replace(club, lean_deg=club.lean_deg - back)) for back in HANDS_BACK
    ]
    found = next((one for one in tried if one is not None and one[1] < SLACK_M), tried[-1])
    if found is None:
        raise ValueError(
            f"a {club.length_m:.2f} m club does not fit a golfer of {stand.sizes.stature:.2f} m; "
            "expected one whose hands it can reach: use club_of with the golfer's stature"
        )
    return found[0]


def _bent_to(stand: _Stand, swing: Swing, club: Club) -> tuple[Setup, float] | None:
    """The address with that club, and how much the lead arm has to bend for it, metres."""
    usual = club.stands_deg + swing.hands_high_deg
    for give in (0.0, *(g for step in range(1, 13) for g in (-float(step), float(step)))):
        slope = usual + give
        ends = [_stretch(stand, swing, club, slope, lean)[0] for lean in LEANS_DEG]
        if ends[0] > 0 > ends[1]:
            break
    else:
        return None
    lean = float(brentq(lambda angle: _stretch(stand, swing, club, slope, angle)[0], *LEANS_DEG))
    _, slack, hand, seen = _stretch(stand, swing, club, slope, lean)
    return _from_hands(stand, club, (slope, lean, hand, seen)), slack


@dataclass(frozen=True, slots=True, eq=False)
class _Stand:
    """Feet and hips, before the trunk bends."""

    sizes: Sizes
    half: float
    """Half the distance between the ankles."""
    ankles: Floats
    hips: Floats
    head_y: float
    ball_y: float


def _stand(skeleton: Skeleton, swing: Swing, club: Club) -> _Stand:
    sizes = sizes_of(skeleton)
    half = club.stance * swing.stance_scale * sizes.stature / 2
    ankles = np.array([[0.0, half, sizes.ankle_height], [0.0, -half, sizes.ankle_height]])
    hips = np.array([-swing.hips_back * sizes.stature, 0.0, _hip_height(sizes, swing, half)])
    forward = min(club.ball_forward + swing.ball_forward, MOST_FORWARD)
    ball_y = half * (2 * forward - 1)
    head_y = ball_y - BALL_RADIUS_M - club.head_size_m[2] / 2
    return _Stand(sizes, half, ankles, hips, head_y, ball_y)


def _stretch(
    stand: _Stand, swing: Swing, club: Club, slope: float, lean: float
) -> tuple[float, float, Floats, Floats]:
    """How much too far the hands are, and of the lead hand: how much nearer than its arm reaches.

    Then where the lead hand is, and that seen from the chest.
    """
    sizes, shaft = stand.sizes, _shaft_at_address(club, slope)
    up = club.length_m - HANDS_FROM_BUTT_M + HAND_APART_M
    trunk = lean_and_turn(lean, swing.rows["trunk_lean_y"][0], 0.0)
    hub = stand.hips + HUB_SHORTENS * sizes.trunk * trunk[:, 2]
    hang = np.tan(np.radians(swing.hang_deg))
    height = -up * shaft[2]
    hand = np.array([hub[0] + hang * (hub[2] - height), stand.head_y - up * shaft[1], height])
    other = hand + 2 * HAND_APART_M * shaft
    half_width = trunk[:, 1] * sizes.shoulder_width / 2
    lead = np.linalg.norm(hand - hub - half_width) - _reach(swing, "lead", sizes)
    trail = np.linalg.norm(other - hub + half_width) - _reach(swing, "trail", sizes)
    return float(max(lead, trail)), -float(lead), hand, trunk.T @ (hand - hub)


def _from_hands(stand: _Stand, club: Club, found: tuple[float, float, Floats, Floats]) -> Setup:
    slope, lean, hand, seen = found
    shaft = _shaft_at_address(club, slope)
    hands = hand + HAND_APART_M * shaft
    heel = hands + shaft * (club.length_m - HANDS_FROM_BUTT_M)
    head = np.array([heel[0] + club.head_size_m[0] / 2, stand.head_y, club.head_size_m[1] / 2])
    return Setup(
        sizes=stand.sizes,
        ankles=stand.ankles,
        hips=stand.hips,
        trunk_lean_deg=lean,
        hands=hands,
        hands_lift_deg=float(np.degrees(np.arctan2(np.hypot(seen[0], seen[1]), -seen[2]))),
        hands_across_deg=float(np.degrees(np.arctan2(-seen[1], seen[0]))),
        slope_deg=slope,
        head=head,
        ball=np.array([head[0], stand.ball_y, club.tee_m + BALL_RADIUS_M]),
    )


def _reach(swing: Swing, side: str, sizes: Sizes) -> float:
    arm = sizes.lead_arm if side == "lead" else sizes.trail_arm
    gives = SHOULDER_GIVES * sizes.stature if side == "trail" else 0.0
    return swing.rows[f"{side}_reach"][0] * arm + sizes.hand + gives


def _shaft_at_address(club: Club, slope_deg: float) -> Floats:
    slope, lean = np.radians(slope_deg), np.radians(club.lean_deg)
    return np.array([np.cos(slope) * np.cos(lean), -np.sin(lean), -np.sin(slope) * np.cos(lean)])


def _hip_height(sizes: Sizes, swing: Swing, half: float) -> float:
    """Height of the hip joints above the ground, from the knees' bend and the stance."""
    bend = np.radians(swing.knee_flex_deg)
    thigh, shank = sizes.thigh, sizes.shank
    leg = np.sqrt(thigh**2 + shank**2 + 2 * thigh * shank * np.cos(bend))
    aside = half - sizes.hip_width / 2
    back = swing.hips_back * sizes.stature
    return float(np.sqrt(leg**2 - aside**2 - back**2) + sizes.ankle_height)

"""Standing over the ball: what a body and a club ask of each other before anything moves."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

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
SHOULDER_GIVES = 0.022
"""How far the trail shoulder comes down and forward to reach the lower hand, of stature."""
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
    """Bend from the hips until the arms hang to where the club's lie puts the hands."""
    sizes = sizes_of(skeleton)
    half = club.stance * swing.stance_scale * sizes.stature / 2
    ankles = np.array([[0.0, half, sizes.ankle_height], [0.0, -half, sizes.ankle_height]])
    hips = np.array([-swing.hips_back * sizes.stature, 0.0, _hip_height(sizes, swing, half)])
    ball_y = half * (2 * (club.ball_forward + swing.ball_forward) - 1)
    head_y = ball_y - BALL_RADIUS_M - club.head_size_m[2] / 2
    shaft = _shaft_at_address(club, swing)
    lead_hand = np.array([0.0, head_y, 0.0]) - shaft * (
        club.length_m - HANDS_FROM_BUTT_M + HAND_APART_M
    )
    apart = -2 * HAND_APART_M * shaft
    hang = np.tan(np.radians(swing.hang_deg))

    def stretch(lean: float) -> tuple[float, Floats, Floats]:
        """How much too far the hands are, where the lead hand is, and that seen from the chest."""
        trunk = lean_and_turn(lean, swing.rows["trunk_lean_y"][0], 0.0)
        hub = hips + HUB_SHORTENS * sizes.trunk * trunk[:, 2]
        hand = np.array([hub[0] + hang * (hub[2] - lead_hand[2]), *lead_hand[1:]])
        half_width = trunk[:, 1] * sizes.shoulder_width / 2
        lead = np.linalg.norm(hand - hub - half_width) - _reach(swing, "lead", sizes)
        trail = np.linalg.norm(hand - apart - hub + half_width) - _reach(swing, "trail", sizes)
        return float(max(lead, trail)), hand, trunk.T @ (hand - hub)

    lean = _root(lambda angle: stretch(angle)[0])
    _, hand, seen = stretch(lean)
    hands = hand + HAND_APART_M * shaft
    heel = hands + shaft * (club.length_m - HANDS_FROM_BUTT_M)
    head = np.array([heel[0] + club.head_size_m[0] / 2, head_y, club.head_size_m[1] / 2])
    return Setup(
        sizes=sizes,
        ankles=ankles,
        hips=hips,
        trunk_lean_deg=lean,
        hands=hands,
        hands_lift_deg=float(np.degrees(np.arctan2(np.hypot(seen[0], seen[1]), -seen[2]))),
        hands_across_deg=float(np.degrees(np.arctan2(-seen[1], seen[0]))),
        slope_deg=club.lie_deg + swing.lie_give_deg,
        head=head,
        ball=np.array([head[0], ball_y, club.tee_m + BALL_RADIUS_M]),
    )


def _reach(swing: Swing, side: str, sizes: Sizes) -> float:
    arm = sizes.lead_arm if side == "lead" else sizes.trail_arm
    gives = SHOULDER_GIVES * sizes.stature if side == "trail" else 0.0
    return swing.rows[f"{side}_reach"][0] * arm + sizes.hand + gives


def _shaft_at_address(club: Club, swing: Swing) -> Floats:
    lie, lean = np.radians(club.lie_deg + swing.lie_give_deg), np.radians(club.lean_deg)
    return np.array([np.cos(lie) * np.cos(lean), -np.sin(lean), -np.sin(lie) * np.cos(lean)])


def _root(stretch: Callable[[float], float]) -> float:
    """The trunk's lean that neither stretches nor bends the arms; the nearest where there is none."""
    least, most = 15.0, 62.0
    if stretch(least) * stretch(most) < 0:
        return float(brentq(stretch, least, most))
    return least if abs(stretch(least)) < abs(stretch(most)) else most


def _hip_height(sizes: Sizes, swing: Swing, half: float) -> float:
    """Height of the hip joints above the ground, from the knees' bend and the stance."""
    bend = np.radians(swing.knee_flex_deg)
    thigh, shank = sizes.thigh, sizes.shank
    leg = np.sqrt(thigh**2 + shank**2 + 2 * thigh * shank * np.cos(bend))
    aside = half - sizes.hip_width / 2
    back = swing.hips_back * sizes.stature
    return float(np.sqrt(leg**2 - aside**2 - back**2) + sizes.ankle_height)

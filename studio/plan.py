"""From a swing's parameters to where everything should be: targets for posing, at any time."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.interpolate import CubicSpline
from scipy.ndimage import gaussian_filter1d, maximum_filter1d

from studio.clubs import BALL_RADIUS_M, Club, head_in_club
from studio.curves import RATE_HZ, STATIONS, even_grid, fill_curve, station_times
from studio.performance import Floats
from studio.rotation import lean_and_turn, turn_matrix, unit
from studio.setup import HAND_APART_M, HANDS_FROM_BUTT_M, HUB_SHORTENS, Setup
from studio.swing import Swing

TREMOR_S = 0.35
TREMOR = {"pelvis_x": 1.0, "pelvis_y": 1.0, "chest_turn": 250.0, "head_turn": 700.0}
"""Curves that wander, and their SD for a `tremor` of 1."""
DIVOT_M = 0.006
"""How deep an iron's sole may go into the turf."""
DOWN = np.array([0.0, 0.0, -1.0])
NEAR_BALL = (1.0, 1.0, 0.6, 0.2, 0.0, 0.2, 0.6, 1.0, 0.6, 0.2, 0.0)
"""At each station, how far the hands' height follows from the address; the rest is the swing's."""


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """Targets on an even grid of n times."""

    time_s: Floats
    rows: dict[str, Floats]
    """Every parameter as a curve (n,)."""
    hips: Floats
    """(n, 3) midway between the hip joints."""
    pelvis: Floats
    """(n, 3, 3) rotation from rest."""
    hub: Floats
    """(n, 3) midway between the shoulder joints."""
    chest: Floats
    hands: Floats
    """(n, 3) middle of the hands on the grip."""
    club: Floats
    """(n, 3, 3) columns: shaft toward the head, face normal at no roll, their cross product."""


def make_plan(setup: Setup, swing: Swing, club: Club, seed: int = 0) -> Plan:
    """Curves, then trunk, hands and club; at last what makes the head meet the ball."""
    times = swing.times()
    time_s = even_grid(-swing.lead_in_s, times["finish"] + swing.hold_s)
    rows = swing.curves(time_s)
    for name, wander in _tremor(swing.tremor, len(time_s), seed).items():
        rows[name] = rows[name] + wander
    near = fill_curve(station_times(times), NEAR_BALL, time_s)
    rows["hands_lift"] += near * (setup.hands_lift_deg - swing.rows["hands_lift"][0])
    height = setup.sizes.stature
    travel = np.stack([rows[f"pelvis_{axis}"] for axis in "xyz"], axis=1) * height
    hips = setup.hips + travel
    pelvis = lean_and_turn(rows["pelvis_lean_x"], rows["pelvis_lean_y"], rows["pelvis_turn"])
    lean = setup.trunk_lean_deg + rows["trunk_lean_x"]
    chest = lean_and_turn(lean, rows["trunk_lean_y"], rows["chest_turn"])
    rounded = turn_matrix(np.radians([0.0, swing.round_deg, 0.0]))
    hub = hips + HUB_SHORTENS * setup.sizes.trunk * chest[:, :, 2]
    frames = _club_frames(rows, setup.slope_deg)
    hands = _hands(setup, rows, hub, chest, frames[:, :, 0])
    hands, frames = _meet_ball(setup, club, times, (time_s, hands, frames), swing.misses_m)
    hands = hands + _clear_ground(hands, frames, club)
    return Plan(time_s, rows, hips, pelvis, hub, chest @ rounded, hands, frames)


def _tremor(size: float, count: int, seed: int) -> dict[str, Floats]:
    """The slow wandering of somebody who stands: shares of stature, and degrees to match."""
    rng = np.random.default_rng([seed, 17])
    steps = int(count / RATE_HZ / TREMOR_S) + 3
    wanders = {}
    for name, scale in TREMOR.items():
        row = rng.normal(0.0, scale * size, steps)
        curve = CubicSpline(np.arange(steps) * TREMOR_S, row)
        wanders[name] = curve(np.arange(count) / RATE_HZ)
    return wanders


def _hands(
    setup: Setup, rows: dict[str, Floats], hub: Floats, chest: Floats, shaft: Floats
) -> Floats:
    """(n, 3): in a direction of the chest's own, as far as the straighter arm reaches."""
    sizes = setup.sizes
    lift = np.radians(rows["hands_lift"])
    across = np.radians(setup.hands_across_deg + rows["hands_across"])
    along = np.stack(
        [np.sin(lift) * np.cos(across), -np.sin(lift) * np.sin(across), -np.cos(lift)], axis=1
    )
    forward = np.abs(np.sin(across)) * 0.02 * sizes.stature
    middles = {}
    for side, sign, arm in (("lead", 1.0, sizes.lead_arm), ("trail", -1.0, sizes.trail_arm)):
        width = np.full_like(across, sign * sizes.shoulder_width / 2)
        shoulder = np.stack([forward, width, 0 * across], axis=1)
        reach = rows[f"{side}_reach"] * arm + sizes.hand
        middle = np.sum(along * shoulder, axis=1)
        inside = reach**2 - np.sum(shoulder**2, axis=1) + middle**2
        away = (middle + np.sqrt(np.maximum(inside, 0.01)))[:, None]
        hand = hub + (chest @ (along * away)[..., None])[..., 0]
        middles[side] = hand + sign * HAND_APART_M * shaft
    share = rows["lead_share"][:, None]
    return share * middles["lead"] + (1 - share) * middles["trail"]


def _club_frames(rows: dict[str, Floats], address_slope: float) -> Floats:
    slope = address_slope + rows["shaft_slope"]
    return club_frames(rows["shaft_angle"], slope, rows["shaft_heading"])


def club_frames(angle_deg: Floats, slope_deg: Floats, heading_deg: Floats) -> Floats:
    """(n, 3, 3): the shaft turned by an angle in a plane of that slope and heading."""
    angle, slope, heading = (np.radians(a) for a in (angle_deg, slope_deg, heading_deg))
    level = np.stack([np.sin(heading), np.cos(heading), 0 * heading], axis=1)
    out = np.stack([np.cos(heading), -np.sin(heading), 0 * heading], axis=1)
    down = np.cos(slope)[:, None] * out + np.sin(slope)[:, None] * DOWN
    shaft = np.cos(angle)[:, None] * down + np.sin(angle)[:, None] * level
    face = np.cos(angle)[:, None] * level - np.sin(angle)[:, None] * down
    return np.stack([shaft, face, np.cross(shaft, face)], axis=2)


def _meet_ball(
    setup: Setup,
    club: Club,
    times: dict[str, float],
    drawn: tuple[Floats, Floats, Floats],
    misses_m: tuple[float, float, float],
) -> tuple[Floats, Floats]:
    """Move hands and shaft a little about address and impact, so that the head is at the ball."""
    time_s, hands, frames = drawn
    reach = head_in_club(club) - [HANDS_FROM_BUTT_M, 0.0, 0.0]
    knots = np.array([times[name] for name in STATIONS])
    names = ("address", "impact")
    goals = {"address": setup.head, "impact": setup.head * [1, 1, 0] + setup.ball * [0, 0, 1]}
    goals = {name: goal + misses_m for name, goal in goals.items()}
    for name in names:
        at = int(np.argmin(np.abs(time_s - times[name])))
        wanted, turn = _reach_ball(hands[at], frames[at], reach, goals[name])
        fade = _fade(name, knots, time_s)[:, None]
        hands = hands + fade * (wanted - hands[at])
        frames = turn_matrix(fade * turn) @ frames
    return hands, frames


def _clear_ground(hands: Floats, frames: Floats, club: Club) -> Floats:
    """(n, 3): as much higher as keeps the head out of the ground, but for a shallow divot."""
    head = hands + frames @ (head_in_club(club) - [HANDS_FROM_BUTT_M, 0.0, 0.0])
    floor = club.head_size_m[1] / 2 - (DIVOT_M if club.tee_m < BALL_RADIUS_M else 0.0)
    need = np.maximum(floor - head[:, 2], 0.0)
    need = maximum_filter1d(need, int(0.05 * RATE_HZ))
    need = gaussian_filter1d(need, 0.015 * RATE_HZ)
    return np.stack([0 * need, 0 * need, need], axis=1)


def _fade(name: str, knots: Floats, time_s: Floats) -> Floats:
    """1 at the station, 0 from two stations away."""
    at = STATIONS.index(name)
    row = np.zeros(len(STATIONS))
    row[at] = 1.0
    if name == "address":
        row[at + 1] = 1.0
    return fill_curve(knots, row, time_s)


def _reach_ball(hands: Floats, frame: Floats, reach: Floats, head: Floats) -> tuple[Floats, Floats]:
    """Hands that are a club's length from the head, and the turn that points the club there.

    They are the nearest to where they are drawn; the turn is a small rotation vector.
    """
    away = unit(hands - head)
    drawn = unit(-(frame @ reach))
    lean = drawn[1]
    flat = unit(away[[0, 2]]) * np.sqrt(1 - lean**2)
    away = np.array([flat[0], lean, flat[1]])
    wanted = head + away * np.linalg.norm(reach)
    cross = np.cross(drawn, away)
    sine = np.linalg.norm(cross)
    angle = np.arctan2(sine, drawn @ away)
    return wanted, cross * (angle / max(sine, 1e-9))

"""Random scenes around moving golfers, packed for `scene.cu`, with the truth about the club."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from layout import N_CLUBS, N_LINES, N_MATS, N_PRIMS, OFFSETS, SIZE, W_SCENE
from motion import Draw, Floats, Moving, Sight, draw_motion
from numpy.typing import NDArray

SKIN, SHIRT, TROUSERS, SHOES, HAIR, GLOVE = range(6)
OTHER, POSTS = 6, 12
GOLFER = 24
"""Limbs of one golfer."""
NEAR_SHARE = 0.3
"""Of the samples: crops about half as wide, as the second look at a short shaft takes them."""


@dataclass(frozen=True, slots=True, eq=False)
class Batch:
    """Samples, ready to be drawn."""

    scenes: NDArray[np.float32]
    """(b, 3, W_SCENE): frame before, frame, frame after."""
    points: NDArray[np.float32]
    """(b, 3, 2): butt, hosel and middle of the head in pixels of the middle frame."""
    flip: NDArray[np.bool_]
    """(b,): mirror picture and truth."""


def draw_scenes(rng: Draw, count: int, photos: int) -> Batch:
    """Scenes of `count` samples."""
    rate = rng.choice([24, 30, 30, 60, 60, 120, 240], (count, 1)).astype(float)
    shutter = rng.choice([0, 0.03, 0.12, 0.3, 0.6], (count, 1), p=[0.15, 0.27, 0.2, 0.2, 0.18])
    open_s = shutter / rate
    rows_s = np.where(rng.random((count, 1)) < 0.7, rng.uniform(0, 0.012, (count, 1)), 0.0)
    rows_s = np.minimum(rows_s, 0.7 / rate)
    span_s = open_s + rows_s + 1e-6
    seat = _seat(rng, count)
    moving = draw_motion(rng, count, rate, span_s, Sight(seat.eye, _pointing(rng, seat.near)))
    camera = _camera(rng, moving, seat)
    points = _truth(moving, camera[:, 1], rows_s / span_s)
    scenes = np.zeros((count, 3, W_SCENE))
    put = _Putter(scenes)
    put("CAM", camera.reshape(count, 3, 15))
    put("PXM", SIZE / 2 / camera[..., 12:13])
    _put_light(rng, put, count)
    _put_ground(rng, put, count, photos, moving)
    _put_materials(rng, put, count, photos)
    _put_bodies(rng, put, moving, camera)
    _put_clubs(rng, put, moving, camera, (open_s / span_s)[:, 0])
    looks = put.view("LOOKS", N_CLUBS)
    looks[..., 26], looks[..., 27] = (open_s / span_s)[..., None], (rows_s / span_s)[..., None]
    _put_lines(rng, put, moving, camera)
    return Batch(scenes.astype(np.float32), points.astype(np.float32), rng.random(count) < 0.5)


class _Putter:
    def __init__(self, scenes: Floats) -> None:
        self.scenes = scenes

    def __call__(self, name: str, values: Floats) -> None:
        block = self.scenes[..., OFFSETS[name]]
        values = np.asarray(values, float)
        if values.ndim == 2:
            values = values[:, None]
        block[...] = values

    def view(self, name: str, rows: int) -> Floats:
        """The block as (b, 3, rows, width), to be written to."""
        where = OFFSETS[name]
        block = self.scenes[..., where]
        return block.reshape(*block.shape[:2], rows, -1)

    def store(self, name: str, values: Floats) -> None:
        self.scenes[..., OFFSETS[name]] = values.reshape(*values.shape[:2], -1)


def _truth(moving: Moving, camera: Floats, rolling: Floats) -> Floats:
    """(b, 3, 2) pixels of butt, hosel and head, each when its own row was exposed."""
    parts = [moving.butt, moving.hosel, (moving.hosel + moving.toe) / 2]
    early, middle, late = (
        _pixels(camera, np.stack([part[:, at] for part in parts], 1))[..., :2] for at in (3, 4, 5)
    )
    place = middle
    for _ in range(8):
        w = rolling[:, None] * (2 * place[..., 1:] / SIZE - 1)
        w = np.clip(w, -1.5, 1.5)
        place = 0.5 * w * (w - 1) * early + (1 - w * w) * middle + 0.5 * w * (w + 1) * late
    return place


@dataclass(frozen=True, slots=True, eq=False)
class _Seat:
    """Where the camera stands, what it looks at, and whether the crop is a near one."""

    eye: Floats
    aim: Floats
    distance: Floats
    near: NDArray[np.bool_]


def _seat(rng: Draw, count: int) -> _Seat:
    one = lambda low, high: rng.uniform(low, high, count)  # noqa: E731
    kind = rng.random(count)
    heading = np.where(kind < 0.38, 0.0, np.where(kind < 0.86, -90.0, one(-180, 180)))
    heading = np.radians(heading + rng.normal(0, 9, count))
    distance = np.exp(one(np.log(2.2), np.log(9.0)))
    aim = np.stack([one(0, 0.5), one(-0.2, 0.2), one(0.7, 1.1)], -1)
    eye = aim + distance[:, None] * np.stack([np.cos(heading), np.sin(heading), heading * 0], -1)
    eye[:, 2] = one(0.2, 1.9)
    return _Seat(eye, aim, distance, rng.random(count) < NEAR_SHARE)


def _pointing(rng: Draw, near: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Whose shaft points nearly at the camera: a near crop is taken where it seems to."""
    return rng.random(len(near)) < np.where(near, 0.6, 0.17)


def _camera(rng: Draw, moving: Moving, seat: _Seat) -> Floats:
    """(b, 3, 15): one camera a sample, with a little shake from frame to frame."""
    count, eye, aim, distance = len(moving.butt), seat.eye, seat.aim, seat.distance
    forward = aim - eye
    forward /= np.linalg.norm(forward, axis=-1, keepdims=True)
    right = np.cross(forward, [0, 0, 1.0])
    right /= np.linalg.norm(right, axis=-1, keepdims=True)
    down = np.cross(forward, right)
    roll = rng.normal(0, 0.05, (count, 1))
    right, down = (
        np.cos(roll) * right + np.sin(roll) * down,
        np.cos(roll) * down - np.sin(roll) * right,
    )
    basis = np.stack([right, down, forward], 1)
    wrists = (moving.joints["lead_wrist"] + moving.joints["trail_wrist"])[:, 4] / 2
    zoom = np.where(seat.near, rng.uniform(-0.95, -0.4, count), rng.uniform(-0.24, 0.36, count))
    half = 0.66 * moving.stature[:, 0] * np.exp(zoom) / distance
    middle = (
        _flat(basis, eye, wrists[:, None])[:, 0, :2]
        + rng.normal(0, 0.07, (count, 2)) * half[:, None]
    )
    camera = np.zeros((count, 3, 15))
    camera[..., :3] = eye[:, None]
    camera[..., 3:12] = basis.reshape(count, 1, 9)
    camera[..., 12] = half[:, None]
    shake = (
        rng.normal(0, 1, (count, 3, 2)) * (0.006 * half * (rng.random(count) < 0.5))[:, None, None]
    )
    shake[:, 1] = 0
    camera[..., 13:15] = middle[:, None] + shake
    return camera


def _flat(basis: Floats, eye: Floats, points: Floats) -> Floats:
    seen = np.einsum("bij,bkj->bki", basis, points - eye[:, None])
    z = np.maximum(seen[..., 2:], 0.05)
    return np.concatenate([seen[..., :2] / z, 1 / z], -1)


def _pixels(camera: Floats, points: Floats) -> Floats:
    """(b, k, 3): x, y in pixels and 1 / depth, of (b, k, 3) points in one frame."""
    flat = _flat(camera[:, 3:12].reshape(-1, 3, 3), camera[:, :3], points)
    half, middle = camera[:, None, 12:13], camera[:, None, 13:15]
    flat[..., :2] = ((flat[..., :2] - middle) / half + 1) / 2 * SIZE
    return flat


def _put_light(rng: Draw, put: _Putter, count: int) -> None:
    light = np.stack(
        [rng.uniform(-1, 1, count), rng.uniform(-1, 1, count), rng.uniform(0.35, 1.4, count)], -1
    )
    put("LIGHT", light / np.linalg.norm(light, axis=-1, keepdims=True))
    put("LIGHTCOL", rng.uniform(0.85, 1.1, (count, 1)) * rng.uniform(0.88, 1.08, (count, 3)))
    put("AMB", rng.uniform(0.3, 0.85, (count, 1)))
    put("SHADOW", np.where(rng.random((count, 1)) < 0.65, rng.uniform(0.2, 0.85, (count, 1)), 0))
    put("GAMMA", rng.uniform(0.7, 1.35, (count, 1)))
    put("MELT", rng.uniform(0.02, 0.06, (count, 1)))


def _put_ground(rng: Draw, put: _Putter, count: int, photos: int, moving: Moving) -> None:
    col = lambda low, high: rng.uniform(low, high, (count, 3))  # noqa: E731
    one = lambda low, high: rng.uniform(low, high, (count, 1))  # noqa: E731
    some = lambda share: rng.random((count, 1)) < share  # noqa: E731
    green = np.array([0.30, 0.48, 0.20]) * one(0.5, 1.5) * col(0.8, 1.2)
    plain = one(0.15, 0.9) * col(0.85, 1.15)
    colour = np.where(some(0.6), green, plain)
    picture = np.where(some(0.4), rng.integers(0, photos, (count, 1)), -1)
    put("GROUND", np.concatenate(
        [some(0.85), colour, one(0.4, 2.5), one(0.0, 1.0), picture, one(0.15, 1.2), one(0.2, 1)], -1
    ))  # fmt: skip
    edge = np.where(some(0.5), one(0.01, 0.05), 0.0)
    centre = moving.ball[:, :2] + rng.normal(0, 0.4, (count, 2))
    sizes = np.where(some(0.3), one(0.2, 1.0), 0.0) * col(0.6, 1.5)[:, :2]
    mat = np.concatenate([centre, sizes, one(-0.5, 0.5), col(0.05, 0.7), edge, col(0, 1)], -1)
    put("MAT", mat)
    zoom, haze = one(0.15, 1.0), np.where(some(0.2), one(0.5, 1.0), 0.0)
    origin = rng.random((count, 2))
    tint = np.where(some(0.15), one(0.08, 0.5), one(0.5, 1.4)) * col(0.85, 1.15)
    put("BACK", np.concatenate(
        [rng.integers(0, photos, (count, 1)), origin, zoom, tint, haze, one(0.6, 1.6),
         col(0.2, 1)], -1
    ))  # fmt: skip


def _put_materials(rng: Draw, put: _Putter, count: int, photos: int) -> None:
    mats = np.zeros((count, N_MATS, 9))
    tone = rng.uniform(0.3, 1.12, (count, 2, 1)) * rng.uniform(0.92, 1.08, (count, 2, 3))
    skin = np.array([0.86, 0.66, 0.54]) * tone
    mats[..., :3] = rng.uniform(0.02, 0.98, (count, N_MATS, 3))
    grey = rng.random((count, N_MATS)) < 0.5
    mats[grey, :3] = rng.uniform(0.02, 0.98, (int(grey.sum()), 1))
    mats[..., 3] = np.where(
        rng.random((count, N_MATS)) < 0.2, rng.integers(0, photos, (count, N_MATS)), -1
    )
    mats[..., 4] = rng.uniform(0.2, 1.5, (count, N_MATS))
    mats[..., 5] = rng.uniform(0.0, 0.9, (count, N_MATS))
    mats[..., 6] = np.where(
        rng.random((count, N_MATS)) < 0.3, rng.uniform(0, 0.5, (count, N_MATS)), 0
    )
    mats[..., 7] = rng.choice([0, 0, 0, 1, 2, 3], (count, N_MATS))
    mats[..., 8] = rng.uniform(6, 25, (count, N_MATS))
    for who, first in ((0, SKIN), (1, OTHER)):
        mats[:, first, :3] = skin[:, who]
        mats[:, first, 3], mats[:, first, 5], mats[:, first, 7] = -1, 0.12, 0
        bare = rng.random(count) < 0.5
        glove = first + GLOVE
        mats[bare, glove] = mats[bare, first]
    bark = np.array([0.36, 0.28, 0.2]) * rng.uniform(0.3, 1.6, (count, 1))
    mats[:, POSTS + 2, :3] = bark
    mats[:, POSTS + 2, 7] = 3
    put.store("MATS", np.broadcast_to(mats[:, None], (count, 3, N_MATS, 9)))


def _limbs(rng: Draw, moving: Moving, first_material: int) -> Floats:
    """(b, 3, GOLFER, 10) limbs at the middle of each frame's exposure."""
    j = {name: value[:, 1::3] for name, value in moving.joints.items()}
    count = len(moving.butt)
    h = moving.stature
    one = lambda low, high: rng.uniform(low, high, (count, 1))  # noqa: E731
    stout, loose = one(0.85, 1.35), one(1.05, 1.4)
    sleeve, leg = rng.random((count, 1)) < 0.4, rng.random((count, 1)) < 0.65
    glove_lead = rng.random((count, 1)) < 0.6
    m = lambda kind: np.full((count, 1), first_material + kind, float)  # noqa: E731
    rows: list[tuple[Floats, Floats, Floats, Floats, Floats]] = []

    def limb(a: Floats, b: Floats, ra: Floats, rb: Floats, mat: Floats) -> None:
        rows.append((a, b, ra * h, rb * h, mat))

    k = np.ones((count, 1))
    fore = np.array([1.0, 0.0, 0.0])
    for side in ("lead", "trail"):
        ankle = j[f"{side}_ankle"] - [0, 0, 0.02]
        limb(
            ankle,
            ankle + fore * (h * 0.105)[..., None] - [0, 0, 0.025],
            0.024 * k,
            0.02 * k,
            m(SHOES),
        )
        limb(j[f"{side}_knee"], j[f"{side}_ankle"], np.where(leg, 0.036 * loose, 0.03 * stout),
             np.where(leg, 0.032 * loose, 0.021 * k),
             np.where(leg, m(TROUSERS), m(SKIN)))  # fmt: skip
        limb(j[f"{side}_hip"], j[f"{side}_knee"], 0.05 * stout, 0.034 * loose, m(TROUSERS))
    limb(j["lead_hip"], j["trail_hip"], 0.055 * stout, 0.055 * stout, m(TROUSERS))
    limb(
        j["pelvis"] + j["spine"] * 0.06,
        j["chest"] - j["spine"] * 0.16,
        0.066 * stout,
        0.072 * stout,
        m(SHIRT),
    )
    wide = (j["lead_shoulder"] - j["trail_shoulder"]) * 0.27
    low = j["chest"] - j["spine"] * 0.12
    limb(low + wide, low - wide, 0.062 * stout, 0.062 * stout, m(SHIRT))
    limb(j["lead_shoulder"], j["trail_shoulder"], 0.036 * stout, 0.036 * stout, m(SHIRT))
    for side in ("lead", "trail"):
        shoulder, elbow = j[f"{side}_shoulder"], j[f"{side}_elbow"]
        cuff = shoulder + (elbow - shoulder) * one(0.5, 0.95)[..., None]
        limb(shoulder, cuff, 0.034 * loose, 0.031 * loose, m(SHIRT))
        limb(shoulder, elbow, 0.028 * k, 0.0235 * k, np.where(sleeve, m(SHIRT), m(SKIN)))
        limb(elbow, j[f"{side}_wrist"], np.where(sleeve, 0.025 * loose, 0.0235 * k),
             np.where(sleeve, 0.021 * loose, 0.016 * k),
             np.where(sleeve, m(SHIRT), m(SKIN)))  # fmt: skip
        hand = j[f"{side}_hand"]
        mat = np.where(glove_lead, m(GLOVE), m(SKIN)) if side == "lead" else m(SKIN)
        limb(j[f"{side}_wrist"], hand, 0.017 * k, 0.021 * k, mat)
        limb(hand, hand + (j["trail_hand"] - j["lead_hand"]) * 0.6, 0.021 * k, 0.019 * k, mat)
    neck = j["chest"] + j["spine"] * (h * 0.02)[..., None]
    limb(neck, j["head"], 0.033 * k, 0.031 * k, m(SKIN))
    gaze = j["gaze"] / np.linalg.norm(j["gaze"], axis=-1, keepdims=True)
    crown = j["head"] + j["spine"] * (h * 0.03)[..., None]
    limb(j["head"] + gaze * 0.03, crown, 0.042 * k, 0.05 * k, m(SKIN))
    brim = np.where(rng.random((count, 1)) < 0.5, 0.16, 0.04)
    limb(
        crown - gaze * 0.03 + j["spine"] * 0.02,
        crown + j["spine"] * 0.04,
        0.052 * k,
        0.045 * k,
        m(HAIR),
    )
    limb(
        crown + j["spine"] * 0.03,
        crown + j["spine"] * 0.03 + gaze * brim[..., None],
        0.02 * k,
        0.012 * k,
        m(HAIR),
    )
    out = np.zeros((count, 3, GOLFER, 10))
    for i, (a, b, ra, rb, mat) in enumerate(rows):
        out[:, :, i, :3], out[:, :, i, 3:6] = a, b - a
        out[:, :, i, 6], out[:, :, i, 7], out[:, :, i, 9] = ra, rb, mat
    return _finished(out)


def _finished(prims: Floats) -> Floats:
    length2 = (prims[..., 3:6] ** 2).sum(-1)
    prims[..., 8] = 1 / np.maximum(length2, 1e-6)
    return prims


def _put_bodies(rng: Draw, put: _Putter, moving: Moving, camera: Floats) -> None:
    count = len(moving.butt)
    prims = np.zeros((count, 3, N_PRIMS, 10))
    prims[:, :, :GOLFER] = _limbs(rng, moving, 0)
    order, shift = _other(rng, count)
    prims[:, :, GOLFER : 2 * GOLFER] = _limbs(rng, moving, OTHER)[order]
    prims[:, :, GOLFER : 2 * GOLFER, :3] += shift[:, None, None]
    here = rng.random(count) < 0.16
    prims[:, :, 2 * GOLFER :] = _posts(rng, camera, N_PRIMS - 2 * GOLFER)
    prims[~here, :, GOLFER : N_PRIMS - GOLFER] = prims[~here, :, 2 * GOLFER :]
    posts = np.where(rng.random(count) < 0.5, rng.integers(1, N_PRIMS - 2 * GOLFER, count), 0)
    n1 = np.where(here, 2 * GOLFER, GOLFER)
    put("COUNTS", np.stack([np.full(count, GOLFER), n1, n1 + posts], -1))
    put.store("PRIMS", prims)
    balls = np.stack(
        [
            _ball(prims[:, :, a:b])
            for a, b in ((0, GOLFER), (GOLFER, 2 * GOLFER), (GOLFER, N_PRIMS))
        ],
        2,
    )
    put.store("BALLS", balls)
    put.other = (order, shift, here)  # type: ignore[attr-defined]


def _ball(prims: Floats) -> Floats:
    ends = np.concatenate([prims[..., :3], prims[..., :3] + prims[..., 3:6]], 2)
    middle = (ends.max(2) + ends.min(2)) / 2
    radius = (
        np.linalg.norm(ends - middle[:, :, None], axis=-1).max(-1)
        + prims[..., 6:8].max((-1, -2))
        + 0.02
    )
    return np.concatenate([middle, radius[..., None]], -1)


def _other(rng: Draw, count: int) -> tuple[NDArray[np.int64], Floats]:
    away = rng.uniform(-3.0, 3.0, (count, 3))
    away[:, 2] = 0
    near = np.hypot(away[:, 0], away[:, 1]) < 1.0
    away[near] *= 2.5
    return rng.permutation(count), away


def _posts(rng: Draw, camera: Floats, rows: int) -> Floats:
    """Trunks, net posts and bags, most of them behind the golfer."""
    count = len(camera)
    one = lambda low, high: rng.uniform(low, high, (count, rows))  # noqa: E731
    back = camera[:, 0, 9:12] * [1, 1, 0]
    side = camera[:, 0, 3:6] * [1, 1, 0]
    base = back[:, None] * one(0.8, 6)[..., None] + side[:, None] * one(-2.5, 2.5)[..., None]
    lean = np.stack(
        [rng.normal(0, 0.06, (count, rows)), rng.normal(0, 0.06, (count, rows)), one(0.9, 1)], -1
    )
    prims = np.zeros((count, 3, rows, 10))
    prims[..., :3] = base[:, None]
    tall = np.where(rng.random((count, rows)) < 0.75, one(2, 8), one(0.4, 1.1))
    prims[..., 3:6] = (lean * tall[..., None])[:, None]
    thick = np.where(rng.random((count, rows)) < 0.6, one(0.012, 0.06), one(0.06, 0.25))
    prims[..., 6], prims[..., 7] = thick[:, None], (thick * one(0.5, 1))[:, None]
    prims[..., 9] = POSTS + rng.integers(0, N_MATS - POSTS, (count, 1, rows))
    return _finished(prims)


def _put_clubs(rng: Draw, put: _Putter, moving: Moving, camera: Floats, open_share: Floats) -> None:
    count = len(moving.butt)
    order, shift, here = put.other  # type: ignore[attr-defined]
    own = np.stack([moving.butt, moving.hosel, moving.toe], 2)
    others = own[order] + shift[:, None, None]
    lying = _lying(rng, count)
    poses = np.zeros((count, 3, N_CLUBS, 3, 3, 3))
    looks = np.zeros((count, 3, N_CLUBS, 28))
    for i, club in enumerate((own, others, lying)):
        club = np.broadcast_to(club, (count, 9, 3, 3))
        for frame in range(3):
            part = club[:, 3 * frame : 3 * frame + 3]
            flat = _pixels(camera[:, frame], part.reshape(count, 9, 3)).reshape(count, 3, 3, 3)
            poses[:, frame, i] = flat
        along = club[:, 1::3, 1] - club[:, 1::3, 0]
        along = along / np.linalg.norm(along, axis=-1, keepdims=True)
        looks[:, :, i] = _look(rng, count)[:, None]
        looks[:, :, i, 22:25] = along
        smear = np.linalg.norm(poses[:, :, i, 2, :, :2] - poses[:, :, i, 0, :, :2], axis=-1).max(-1)
        looks[:, :, i, 0] = np.clip(np.ceil(smear * open_share[:, None] / 0.9), 1, 72)
    looks[~here, :, 1, 0] = 0
    looks[rng.random(count) < 0.85, :, 2, 0] = 0
    put.store("POSES", poses)
    put.store("LOOKS", looks)
    put.store("CLUB3", own[:, 1::3])


def _lying(rng: Draw, count: int) -> Floats:
    """A second club on the ground, or leaning."""
    at = np.concatenate([rng.uniform(-1.2, 1.2, (count, 2)), np.full((count, 1), 0.02)], -1)
    way = np.concatenate([rng.normal(0, 1, (count, 2)), np.zeros((count, 1))], -1)
    leans = rng.random(count) < 0.5
    way[leans, 2] = rng.uniform(0.5, 4, int(leans.sum()))
    way /= np.linalg.norm(way, axis=-1, keepdims=True)
    hosel = at
    butt = at + way * rng.uniform(0.8, 1.1, (count, 1))
    toe = hosel + np.cross(way, rng.normal(0, 1, (count, 3))) * 0.09
    return np.stack([butt, hosel, toe], 1)[:, None]


def _look(rng: Draw, count: int) -> Floats:
    one = lambda low, high: rng.uniform(low, high, (count, 1))  # noqa: E731
    col = lambda low, high: rng.uniform(low, high, (count, 3))  # noqa: E731
    some = lambda share: rng.random((count, 1)) < share  # noqa: E731
    steel = one(0.35, 0.85) * np.ones((1, 3))
    graphite = np.where(some(0.6), one(0.02, 0.3) * np.ones((1, 3)), col(0.0, 0.95))
    shaft = np.where(some(0.55), steel, graphite)
    head = np.where(some(0.6), one(0.02, 0.85) * np.ones((1, 3)), col(0, 0.9))
    grip = np.where(some(0.8), one(0.01, 0.2) * np.ones((1, 3)), col(0, 1))
    driver = some(0.4)
    return np.concatenate([
        one(1, 1), one(0.006, 0.0085), one(0.0038, 0.0062),
        np.where(driver, one(0.03, 0.05), one(0.014, 0.028)),
        one(0.21, 0.27), one(0.0105, 0.0145), grip, shaft, one(0, 0.9), head,
        np.where(driver, one(0.02, 0.04), one(0.006, 0.016)), col(0, 1),
        np.where(some(0.3), one(4, 18), 0), rng.choice([0, 1, 2], (count, 1)).astype(float),
        one(0, 0), one(0, 0), one(0, 0),
        np.where(some(0.5), one(0, 0.8), 0.0), one(0, 0), one(0, 0),
    ], -1)  # fmt: skip


def _put_lines(rng: Draw, put: _Putter, moving: Moving, camera: Floats) -> None:
    """Sticks, cables, fence wires, a ball: straight things that are no club."""
    count, rows = len(camera), N_LINES
    one = lambda low, high: rng.uniform(low, high, (count, rows))  # noqa: E731
    kind = rng.random((count, rows))
    a = np.stack([one(-1.8, 2.2), one(-2.0, 2.0), one(0.005, 0.02)], -1)
    way = np.stack(
        [rng.normal(0, 1, (count, rows)), rng.normal(0, 1, (count, rows)), one(0, 0)], -1
    )
    upright = (kind > 0.4) & (kind < 0.75)
    way = np.where(
        upright[..., None],
        np.stack(
            [rng.normal(0, 0.6, (count, rows)), rng.normal(0, 0.6, (count, rows)), one(0.6, 1)], -1
        ),
        way,
    )
    way /= np.maximum(np.linalg.norm(way, axis=-1, keepdims=True), 1e-6)
    behind = kind >= 0.75
    back = camera[:, 0, 9:12][:, None] * one(1.0, 7)[..., None]
    side = camera[:, 0, 3:6][:, None] * one(-1.8, 1.8)[..., None]
    far = back + side + np.stack([one(0, 0), one(0, 0), one(0.2, 2.4)], -1)
    a = np.where(behind[..., None], far, a)
    way = np.where(behind[..., None], rng.normal(0, 1, (count, rows, 3)), way)
    b = a + way * one(0.5, 2.0)[..., None] * np.where(behind, 1.5, 1.0)[..., None]
    ball = moving.ball
    a[:, 0], b[:, 0] = ball, ball + np.array([0, 0, 1e-3])
    radius = np.where(kind < 0.75, one(0.003, 0.012), one(0.003, 0.03))
    inside, hall = _hall(rng, camera)
    for own, other in zip((a, b, radius), hall[:3], strict=True):
        own[inside] = other[inside]
    lines = np.zeros((count, 3, rows, 17))
    for frame in range(3):
        for at, point in ((0, a), (4, b)):
            flat = _pixels(camera[:, frame], point)
            lines[:, frame, :, at : at + 3] = flat
            lines[:, frame, :, at + 3] = radius * SIZE / 2 / camera[:, frame, 12:13] * flat[..., 2]
    colours = np.where(
        rng.random((count, rows, 1)) < 0.5,
        one(0, 1)[..., None] * np.ones(3),
        rng.uniform(0, 1, (count, rows, 3)),
    )
    colours[inside] = hall[3][inside]
    lines[..., 8:11] = colours[:, None]
    lines[..., 11:14] = rng.uniform(0, 1, (count, 1, rows, 3))
    lines[..., 14] = np.where(
        rng.random((count, 1, rows)) < 0.25, rng.uniform(2, 12, (count, 1, rows)), 0
    )
    lines[..., 15] = rng.uniform(0.5, 1, (count, 1, rows))
    lines[..., 16] = rng.uniform(0, 0.5, (count, 1, rows))
    ground = put.scenes[:, :, OFFSETS["GROUND"]][..., 0] > 0
    white = np.array([0.95, 0.95, 0.93])
    lines[:, :, 0, 8:11], lines[:, :, 0, 14], lines[:, :, 0, 15] = white, 0, 1
    lines[:, :, 0, 3] = lines[:, :, 0, 7] = 0.0213 * SIZE / 2 / camera[:, :, 12] * lines[:, :, 0, 2]
    number = np.where(rng.random(count) < 0.75, rng.integers(1, rows, count), 1)
    number = np.where(inside[:, 1:].any(1), np.maximum(number, rows - 3), number)
    gone = np.arange(rows) >= number[:, None]
    gone[:, 0] = (rng.random(count) < 0.3) | ~ground[:, 1]
    stripes = lines[..., 14]
    stripes[np.broadcast_to(inside[:, None], stripes.shape)] = 0
    visible = (lines[..., 2] < 8) & (lines[..., 6] < 8) & ~gone[:, None]
    lines[..., 3] = np.where(visible, lines[..., 3], 0)
    put.store("LINES", lines)


def _hall(rng: Draw, camera: Floats) -> tuple[NDArray[np.bool_], tuple[Floats, ...]]:
    """In two samples of five: lamps, or the bars of a window or a cage, behind the golfer.

    Which lines they are (b, rows), and both ends, half widths and colours of all.
    """
    count, rows = len(camera), N_LINES
    whole = lambda low, high: rng.uniform(low, high, (count, 1))  # noqa: E731
    at = np.arange(rows) - rows / 2
    back = camera[:, 0, 9:12] * [1, 1, 0]
    side = camera[:, 0, 3:6] * [1, 1, 0]
    up = np.array([0.0, 0.0, 1.0])
    lamps = rng.random((count, 1)) < 0.45
    across = np.where(lamps, rng.random((count, 1)) < 0.7, rng.random((count, rows)) < 0.4)
    gap, deep, middle = whole(0.25, 1.0), whole(0.8, 6.0), whole(-0.5, 0.5)
    high = np.where(lamps, whole(1.6, 4.0), whole(0.3, 1.6) + np.abs(at) * gap * 0.5)
    depth = deep + np.where(lamps, (at + rows / 2) * gap, 0.0)
    step = np.where(across, 0.0, (at + middle) * gap)
    a = back[:, None] * depth[..., None] + side[:, None] * step[..., None] + up * high[..., None]
    run = np.where(lamps, whole(0.4, 1.5), whole(1.0, 3.0))[..., None]
    along = np.where(lamps[..., None], back[:, None] * 0.8, up)
    way = np.where(across[..., None], side[:, None], along) + rng.normal(0, 0.02, (count, 1, 3))
    a = a - way * run * np.where(across, 0.5, 0.0)[..., None]
    broad = np.exp(whole(np.log(0.012), np.log(0.4)))
    radius = np.where(lamps, broad, whole(0.006, 0.06)) * np.ones(rows)
    tone = np.where(lamps, whole(0.9, 1.3), whole(0.02, 0.9)) * rng.uniform(0.9, 1.1, (count, 3))
    colours = np.broadcast_to(tone[:, None], (count, rows, 3))
    inside = (rng.random((count, 1)) < 0.4) & (np.arange(rows) >= 3)
    return inside, (a, a + way * run, radius, colours)

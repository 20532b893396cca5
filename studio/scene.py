"""Puts a performance, a look and a place before a phone: all that one clip needs, by seed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from studio.acting import act
from studio.camera import FACE_ON, Camera, Station, hand_shake, stand
from studio.draw.backdrop import STILL, Bystander, Development, draw_backdrop
from studio.draw.exposure import Shutter
from studio.draw.props import tee_part
from studio.dressed import Dressed, dress
from studio.film import Take, Timing, frame_times
from studio.looks import make_look
from studio.performance import Floats, Performance
from studio.place import Place, make_place
from studio.recording import Recording
from studio.sound import make_sound
from studio.stage import Scenery, Stage
from studio.wardrobe.golfer import golfer_parts

SIZES = {"720p": (720, 1280), "1080p": (1080, 1920), "540p": (540, 960), "480p": (480, 854)}


@dataclass(frozen=True, slots=True)
class Filming:
    """How the clip is filmed, as asked for; what is left out is chosen by the seed."""

    view: str = FACE_ON
    rate_hz: float = 60.0
    size: str = "720p"
    landscape: bool = False
    hand_held: bool | None = None
    left_handed: bool = False
    place: str | None = None
    recording: Recording | None = None
    variable_rate: bool = False
    sound: bool = True
    before_s: float = 0.6
    """Of standing still before the start."""
    after_s: float = 0.9
    """After impact."""
    station: Station | None = None
    """Where the phone stands; its view is that of the clip."""
    exposure_s: float | None = None
    clothes: int | None = None
    """Another seed for what is worn, club and body staying."""
    phone: int | None = None
    """Another seed for all that is the phone's: another day, or another phone."""


def make_take(performance: Performance, seed: int, filming: Filming, name: str) -> Take:
    """Set up one clip. The same seed gives the same golfer and place in another view."""
    where = np.random.default_rng([seed, 2])
    phone = seed if filming.phone is None else filming.phone
    how = np.random.default_rng([phone, 3, int(filming.view == FACE_ON)])
    place = make_place(where, filming.place)
    camera = _camera(how, performance, filming, place)
    shutter = _shutter(how, place, filming.rate_hz)
    if filming.exposure_s is not None:
        shutter = replace(shutter, exposure_s=min(filming.exposure_s, 0.9 / filming.rate_hz))
    backdrop = draw_backdrop(camera, place, _bystanders(performance, place))
    scenery = Scenery(
        camera, place.light, backdrop, shutter, _development(how, place, camera), place.shadow_soft
    )
    stage = Stage(_dressed(performance, seed, filming.clothes), scenery)
    times = frame_times(_timing(performance, filming), how)
    recording = filming.recording or Recording(bit_rate=_bit_rate(camera, filming.rate_hz))
    sound = make_sound(how, times, _strike_s(performance), camera) if filming.sound else None
    facts = {"place": place.kind, "seed": seed, "hand_held": bool(len(camera.shake_deg))}
    return Take(name, stage, times, recording, filming.left_handed, facts, sound)


@lru_cache(maxsize=1)
def _dressed(performance: Performance, seed: int, clothes: int | None) -> Dressed:
    """Kept for the next view of the same performance."""
    look = make_look(np.random.default_rng([seed, 1]), performance.body)
    if clothes is not None:
        other = make_look(np.random.default_rng([clothes, 1]), performance.body)
        look = replace(look, outfit=other.outfit)
    parts = golfer_parts(performance.body, look.outfit, look.person)
    return dress(act(performance), look, parts)


def _strike_s(performance: Performance) -> float:
    return float(performance.moments.get("impact", performance.time_s[-1] + 1))


def _timing(performance: Performance, filming: Filming) -> Timing:
    first, last = float(performance.time_s[0]), float(performance.time_s[-1])
    start = performance.moments.get("start", 0.0)
    impact = performance.moments.get("impact", last - 1.2)
    return Timing(
        rate_hz=filming.rate_hz,
        begin_s=max(first, start - filming.before_s),
        end_s=min(last, impact + filming.after_s),
        wander_s=min(0.0012, 0.1 / filming.rate_hz) if filming.variable_rate else 0.0,
        dropped=0.02 if filming.variable_rate else 0.0,
    )


def _camera(
    rng: np.random.Generator, performance: Performance, filming: Filming, place: Place
) -> Camera:
    width, height = SIZES[filming.size]
    if filming.landscape:
        width, height = height, width
    station = _station(rng, performance, filming.view, (width, height))
    held = rng.random() < 0.5 if filming.hand_held is None else filming.hand_held
    if filming.station is None:
        station = _far_enough(station, performance, (width, height), 5.0 if place.room else 9.0)
    camera = stand(filming.station or station, (width, height), float(performance.ball[0]))
    if not held:
        return camera
    start = float(performance.time_s[0])
    span = float(performance.time_s[-1]) - start
    shake = hand_shake(rng, span, float(rng.uniform(0.05, 0.25)))
    return replace(camera, shake_deg=shake, shake_from_s=start)


def _station(
    rng: np.random.Generator, performance: Performance, view: str, size: tuple[int, int]
) -> Station:
    """Where somebody stands with the phone who wants the golfer to fill the picture."""
    hfov = float(rng.uniform(58, 66) if size[0] > size[1] else rng.uniform(36, 42))
    upward = np.tan(np.radians(hfov) / 2) * size[1] / size[0]
    tall = performance.body.stature_m / 1.76
    return Station(
        view=view,
        distance_m=float(rng.uniform(2.7, 3.5)) * tall / 2 / float(upward),
        height_m=float(rng.uniform(0.75, 1.45)),
        off_axis_deg=float(rng.normal(0, 4)),
        hfov_deg=hfov,
        aim_height_m=float(rng.uniform(0.90, 1.10)) * tall,
        roll_deg=float(rng.normal(0, 0.8)),
    )


def _far_enough(
    station: Station, performance: Performance, size: tuple[int, int], farthest_m: float
) -> Station:
    """Stepped back until ball, feet and head are in the picture, though the club need not be."""
    points = [performance.ball - np.array([0.0, 0.0, 0.06])]
    for name in ("nose", "lead_toe", "trail_toe", "lead_heel", "trail_heel"):
        points += list(performance.joints[name][::24])
    while station.distance_m < farthest_m:
        camera = stand(station, size, float(performance.ball[0]))
        pixels = camera.project(np.array(points), 0.0)[0]
        edge = 0.03 * np.array(size)
        if ((pixels > edge) & (pixels < np.array(size) - edge)).all():
            break
        station = replace(
            station,
            distance_m=station.distance_m * 1.05,
            aim_height_m=0.95 * station.aim_height_m + 0.05 * 0.85,
        )
    return replace(station, distance_m=min(station.distance_m, farthest_m))


def _shutter(rng: np.random.Generator, place: Place, rate_hz: float) -> Shutter:
    """Short in bright light, long in a hall; never longer than a frame lasts."""
    bright = float(place.light.sun[1] + place.light.sky[1])
    low, high = (700, 2000) if bright > 1.6 else (240, 700) if bright > 1.1 else (100, 300)
    exposure = 1 / float(np.exp(rng.uniform(np.log(low), np.log(high))))
    readout = float(rng.uniform(0.006, 0.016))
    return Shutter(min(exposure, 0.9 / rate_hz), min(readout, 0.8 / rate_hz))


def _development(rng: np.random.Generator, place: Place, camera: Camera) -> Development:
    """A phone meters for the person: it opens up where the sun stands behind him."""
    warm, tint = rng.normal(0, 0.03, 2)
    toward = -camera.position / np.linalg.norm(camera.position)
    sunny = place.light.sun[1] / (place.light.sun[1] + place.light.sky[1])
    backlit = max(0.0, float(toward @ place.light.toward_sun)) * sunny
    return Development(
        exposure=place.exposure * float(rng.uniform(0.92, 1.15)) * (1 + 0.55 * backlit),
        sharpen=float(rng.uniform(0.25, 0.8)),
        grain=float(rng.uniform(0.006, 0.014)) * (1.8 if place.room else 1.0),
        balance=(1 + float(warm), 1 + float(tint) * 0.3, 1 - float(warm)),
    )


def _bit_rate(camera: Camera, rate_hz: float) -> int:
    """About what phones spend: a tenth of a bit for each pixel, less at high rates."""
    return int(0.13 * camera.width * camera.height * rate_hz**0.8 * 30**0.2)


def _bystanders(performance: Performance, place: Place) -> list[Bystander]:
    """The peg under the ball, and other golfers: of the same build, in some moment of the swing."""
    people = []
    if peg := tee_part(performance.ball):
        people.append(Bystander(peg, STILL))
    for thing in place.things:
        if thing.kind != "golfer":
            continue
        rng = np.random.default_rng([thing.seed, 23])
        look = make_look(rng, performance.body)
        moment = int(rng.integers(len(performance.time_s)))
        moves = _moved(performance.bone_transforms[moment], thing.at, thing.heading_deg)
        parts = golfer_parts(performance.body, look.outfit, look.person)
        people.append(Bystander(parts, moves))
    return people


def _moved(transforms: Floats, at: tuple[float, float], heading_deg: float) -> Floats:
    turn = np.radians(heading_deg)
    frame = np.array([[np.cos(turn), -np.sin(turn), 0], [np.sin(turn), np.cos(turn), 0], [0, 0, 1]])
    moved = frame @ transforms.astype(float)
    moved[..., :2, 3] += at
    return moved

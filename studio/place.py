"""Where a clip is filmed: light, ground, and what stands about. Drawn by `studio.draw.backdrop`."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from studio.draw.light import Light, sun_from
from studio.draw.mesh import Floats

KINDS = ("fairway", "range", "mat range", "hall")


@dataclass(frozen=True, slots=True)
class Thing:
    """Something that stands about."""

    kind: str
    """bag, stick, balls, basket, marker, flag, fence, net, hut, bench, golfer."""
    at: tuple[float, float]
    """On the ground, metres."""
    heading_deg: float = 0.0
    seed: int = 0


@dataclass(frozen=True, slots=True)
class Tree:
    """A tree, as a picture that faces the camera."""

    kind: str
    at: tuple[float, float]
    height_m: float
    seed: int


@dataclass(frozen=True, slots=True)
class Ground:
    """What the golfer stands on."""

    surface: str
    """"fairway", "rough", "tarmac" or "turf"."""
    colour: tuple[float, float, float] = (0.10, 0.17, 0.035)
    blade_m: float = 0.015
    stripes_m: float = 0.0
    worn: float = 0.1
    mats: tuple[tuple[float, float, float, float], ...] = ()
    """Middle and half sizes."""
    mat_colours: tuple[tuple[float, float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Sky:
    """What is overhead and far away."""

    zenith: tuple[float, float, float] = (0.12, 0.28, 0.62)
    horizon: tuple[float, float, float] = (0.60, 0.72, 0.85)
    cloud: float = 0.4
    seed: float = 0.0
    hills: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Place:
    """A place at a time of day."""

    kind: str
    light: Light
    ground: Ground
    sky: Sky
    things: tuple[Thing, ...] = ()
    trees: tuple[Tree, ...] = ()
    room: tuple[Floats, Floats] | None = None
    """Low and high corners of a hall."""
    wall: tuple[float, float, float] = (0.2, 0.2, 0.21)
    exposure: float = 1.0
    shadow_soft: float = 1.2
    extras: dict[str, float] = field(default_factory=dict)


def make_place(rng: np.random.Generator, kind: str | None = None) -> Place:
    """A place by chance."""
    chosen = kind or str(rng.choice(KINDS, p=[0.3, 0.3, 0.25, 0.15]))
    if chosen == "hall":
        return _hall(rng)
    light, sky, exposure, soft = _weather(rng)
    ground = _outdoor_ground(rng, chosen)
    return Place(
        kind=chosen,
        light=_lit_from_below(light, ground),
        ground=ground,
        sky=sky,
        things=_things(rng, chosen),
        trees=_trees(rng),
        exposure=exposure,
        shadow_soft=soft,
    )


def _weather(rng: np.random.Generator) -> tuple[Light, Sky, float, float]:
    """Light, sky, the phone's exposure, and how soft shadows are."""
    kind = rng.choice(["sunny", "hazy", "grey", "evening"], p=[0.45, 0.2, 0.2, 0.15])
    azimuth = float(rng.uniform(0, 360))
    seed, hills = float(rng.uniform(0, 50)), float(rng.choice([0.0, 0.0, 0.06, 0.12]))
    if kind == "grey":
        light = Light(sun_from(azimuth, 60), _rgb(0.22), _rgb(0.80, 0.86, 0.95), _rgb(0.1))
        return light, Sky((0.52, 0.56, 0.62), (0.75, 0.78, 0.80), 0.85, seed, hills), 1.05, 5.0
    if kind == "evening":
        light = Light(
            sun_from(azimuth, float(rng.uniform(14, 26))), _rgb(1.55, 1.12, 0.70),
            _rgb(0.30, 0.36, 0.48), _rgb(0.1),
        )  # fmt: skip
        return light, Sky((0.16, 0.27, 0.50), (0.88, 0.72, 0.55), 0.35, seed, hills), 1.05, 1.2
    high = float(rng.uniform(32, 68))
    if kind == "hazy":
        light = Light(
            sun_from(azimuth, high), _rgb(1.0, 0.96, 0.88), _rgb(0.55, 0.60, 0.68), _rgb(0.1)
        )
        return light, Sky((0.32, 0.46, 0.68), (0.78, 0.82, 0.86), 0.6, seed, hills), 0.95, 2.0
    light = Light(sun_from(azimuth, high), _rgb(1.6, 1.50, 1.36), _rgb(0.34, 0.42, 0.56), _rgb(0.1))
    cloud = float(rng.uniform(0.1, 0.6))
    return light, Sky((0.10, 0.25, 0.58), (0.55, 0.70, 0.86), cloud, seed, hills), 0.85, 1.1


def _rgb(*values: float) -> Floats:
    return np.array(values if len(values) == 3 else values * 3, float)


def _lit_from_below(light: Light, ground: Ground) -> Light:
    """Light that the ground throws back up."""
    colour = np.array(ground.mat_colours[0] if ground.mats else ground.colour)
    if ground.surface == "tarmac":
        colour = 0.5 * colour + 0.5 * np.array([0.2, 0.2, 0.19])
    up = colour * (light.sun * light.toward_sun[2] + light.sky) * 0.9
    return Light(light.toward_sun, light.sun, light.sky, up)


def _outdoor_ground(rng: np.random.Generator, kind: str) -> Ground:
    green = np.array([0.095, 0.165, 0.035]) * rng.uniform(0.75, 1.2) * rng.uniform(0.88, 1.12, 3)
    colour = (float(green[0]), float(green[1]), float(green[2]))
    if kind == "fairway":
        return Ground("fairway", colour, 0.012, float(rng.choice([0.0, 2.4, 4.0])), 0.05)
    if kind == "range":
        return Ground("rough", colour, 0.022, 0.0, float(rng.uniform(0.05, 0.28)))
    mat = ((0.30, 0.0, 0.85, 0.80),)
    tint = (float(rng.uniform(0.02, 0.06)), float(rng.uniform(0.10, 0.19)), 0.04)
    surface = "tarmac" if rng.random() < 0.5 else "rough"
    base = (0.2, 0.2, 0.19) if surface == "tarmac" else colour
    return Ground(surface, base, 0.02, 0.0, 0.2, mat, (tint,))


def _things(rng: np.random.Generator, kind: str) -> tuple[Thing, ...]:
    """Bags and baskets beside, sticks on the ground, markers down the range, others behind."""
    things = []
    if rng.random() < 0.65:
        at = (float(rng.uniform(-2.6, -1.0)), float(rng.uniform(-1.6, 1.4)))
        things.append(Thing("bag", at, float(rng.uniform(0, 360)), int(rng.integers(99))))
    if rng.random() < 0.5:
        for offset in [0.18, 0.95] if rng.random() < 0.5 else [0.95]:
            at = (offset + float(rng.normal(0, 0.02)), float(rng.normal(0.1, 0.2)))
            things.append(Thing("stick", at, 90 + float(rng.normal(0, 2)), int(rng.integers(99))))
    if kind != "fairway":
        at = (float(rng.uniform(0.9, 1.3)), float(rng.uniform(-1.2, -0.4)))
        things.append(Thing(str(rng.choice(["basket", "balls"])), at, 0.0, int(rng.integers(99))))
        for far in (50, 100, 150):
            at = (float(rng.uniform(-14, 14)), float(far))
            things.append(
                Thing(str(rng.choice(["flag", "marker"])), at, 0.0, int(rng.integers(99)))
            )
        for step in range(int(rng.integers(0, 3))):
            at = (float(rng.normal(-0.4, 0.3)), 3.4 * (step + 1) + float(rng.normal(0, 0.3)))
            things.append(Thing("golfer", at, float(rng.normal(0, 8)), int(rng.integers(999))))
            if rng.random() < 0.7:
                things.append(
                    Thing(
                        "bag",
                        (at[0] - 1.4, at[1] - 0.3),
                        float(rng.uniform(0, 360)),
                        int(rng.integers(99)),
                    )
                )
    if rng.random() < 0.3:
        at = (float(rng.uniform(-16, -7)), float(rng.uniform(-5, 6)))
        things.append(Thing("golfer", at, float(rng.uniform(-60, 60)), int(rng.integers(999))))
    if rng.random() < 0.35:
        things.append(
            Thing(
                str(rng.choice(["hut", "fence", "net"])),
                (float(rng.uniform(-28, -12)), 0.0),
                0.0,
                int(rng.integers(99)),
            )
        )
    return tuple(things)


def _trees(rng: np.random.Generator) -> tuple[Tree, ...]:
    """A wood all round at some distance, bushes at its foot, single trees before it."""
    kinds = list(rng.choice(["oak", "oak", "poplar", "pine"], 3, replace=False))
    trees = []
    near = float(rng.uniform(26, 70))
    thick = float(rng.uniform(0.35, 0.95))
    for heading in np.arange(0, 360, 75.0 / near):
        open_end = 70 < heading < 110
        far = near * float(rng.uniform(1.0, 1.5)) * (2.2 if open_end else 1.0)
        place = (far * float(np.cos(np.radians(heading))), far * float(np.sin(np.radians(heading))))
        seed = int(rng.integers(3))
        if rng.random() < thick:
            trees.append(Tree(str(rng.choice(kinds)), place, float(rng.uniform(7, 14)), seed))
        if rng.random() < 0.8:
            trees.append(
                Tree("bush", (place[0] * 0.97, place[1] * 0.97), float(rng.uniform(2.5, 5)), seed)
            )
    for _ in range(int(rng.integers(0, 6))):
        place = (float(rng.uniform(-40, -14)), float(rng.uniform(-25, 40)))
        trees.append(
            Tree(str(rng.choice(kinds)), place, float(rng.uniform(5, 11)), int(rng.integers(3)))
        )
    return tuple(trees)


def _hall(rng: np.random.Generator) -> Place:
    """A bay indoors with a screen to hit into."""
    tint = (0.045, float(rng.uniform(0.07, 0.11)), 0.04)
    ground = Ground(
        "turf", tint, mats=((0.30, 0.0, 0.80, 0.75),), mat_colours=((0.035, 0.13, 0.045),)
    )
    warm = float(rng.uniform(0.85, 1.0))
    light = Light(
        sun_from(float(rng.uniform(0, 360)), 74.0), _rgb(0.75, 0.72 * warm, 0.66 * warm),
        _rgb(0.52, 0.50 * warm, 0.47 * warm), _rgb(0.06, 0.075, 0.06),
    )  # fmt: skip
    wall = tuple(
        float(v) for v in np.clip(rng.uniform(0.04, 0.5) * rng.uniform(0.85, 1.15, 3), 0, 1)
    )
    things = [Thing("bag", (-1.5, float(rng.uniform(-1.5, 1.5))), 20.0, int(rng.integers(99)))]
    if rng.random() < 0.6:
        things.append(Thing("balls", (1.0, -0.7), 0.0, int(rng.integers(99))))
    room = (np.array([-2.4, -6.5, 0.0]), np.array([5.6, 3.3, 3.05]))
    return Place(
        "hall", light, ground, Sky(seed=float(rng.uniform(0, 50))), tuple(things), (),
        room, (wall[0], wall[1], wall[2]), 1.15, 4.0,
    )  # fmt: skip

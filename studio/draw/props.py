"""Things that stand about on a golf ground, as parts in the place's frame."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from studio.draw.mesh import Floats, Ints, join, make_mesh
from studio.draw.parts import Material, Part
from studio.draw.solids import ball, box, loft, tube
from studio.place import Thing

Shape = tuple[Floats, Ints]
BRIGHT = (
    (0.75, 0.10, 0.06),
    (0.85, 0.55, 0.03),
    (0.80, 0.80, 0.78),
    (0.05, 0.25, 0.65),
    (0.85, 0.25, 0.02),
)
DULL = (
    (0.03, 0.03, 0.035),
    (0.05, 0.06, 0.12),
    (0.25, 0.03, 0.03),
    (0.12, 0.12, 0.12),
    (0.5, 0.5, 0.5),
    (0.04, 0.12, 0.06),
)


def thing_parts(thing: Thing) -> list[Part]:
    """Parts of one thing; empty for golfers, who are no things."""
    builder = BUILDERS.get(thing.kind)
    if builder is None:
        return []
    rng = np.random.default_rng([thing.seed, 17])
    return [_placed(part, thing) for part in builder(rng)]


def _placed(part: Part, thing: Thing) -> Part:
    heading = np.radians(thing.heading_deg)
    turn = np.array(
        [[np.cos(heading), -np.sin(heading), 0], [np.sin(heading), np.cos(heading), 0], [0, 0, 1]]
    )
    points = part.mesh.points @ turn.T + np.array([*thing.at, 0.0])
    mesh = make_mesh(points, part.mesh.faces)
    return Part(part.name, mesh, part.shader, part.look, part.pictures, two_sided=True)


def _part(
    name: str, shapes: list[Shape], colour: object, rough: float = 0.7, shine: float = 0.15
) -> Part:
    mesh = join([make_mesh(*shape) for shape in shapes])
    look: Material = {"base_colour": np.asarray(colour, float), "roughness": rough, "shine": shine}
    return Part(name, mesh, "plain.frag", look)


def _rod(start: object, end: object, radius: float, around: int = 8) -> Shape:
    return tube(np.array([start, end], float), np.array([radius, radius]), around)


def _bag(rng: np.random.Generator) -> list[Part]:
    lean = np.array([0.34, 0.0, 0.94])
    height = 0.84
    spine = np.outer(np.linspace(0, height, 6), lean) + np.array([0, 0, 0.02])
    body = tube(spine, np.array([0.125, 0.13, 0.13, 0.125, 0.135, 0.14]), 18)
    pocket = tube(spine[1:4] + np.array([-0.06, 0.05, 0.0]), np.array([0.085, 0.095, 0.08]), 12)
    rim = tube(spine[-1] + np.outer([-0.03, 0.01], lean), np.array([0.147, 0.147]), 18)
    legs = [_rod([0.27, side * 0.06, 0.72], [0.62, side * 0.33, 0.0], 0.008) for side in (1, -1)]
    shafts: list[Shape] = []
    heads: list[Shape] = []
    covers: list[Shape] = []
    for _ in range(9):
        from_middle = rng.normal(0, 0.05, 2)
        start = spine[-1] + np.array([from_middle[0], from_middle[1], -0.05])
        end = start + lean * rng.uniform(0.16, 0.38) + np.array([*rng.normal(0, 0.02, 2), 0.0])
        shafts.append(_rod(start, end, 0.0055))
        group = covers if rng.random() < 0.3 else heads
        size = np.array([0.035, 0.05, 0.045]) if group is covers else np.array([0.014, 0.035, 0.03])
        group.append(ball(end, size * (1.3 if group is covers else 1.0), 8))
    colour, other = BRIGHT[rng.integers(5)], DULL[rng.integers(6)]
    first, second = (colour, other) if rng.random() < 0.4 else (other, colour)
    parts = [
        _part("bag", [body], first),
        _part("pocket", [pocket], np.array(first) * 0.8 + 0.01),
        _part("rim", [rim, *legs], second),
        _part("shafts", shafts, (0.5, 0.5, 0.52), 0.3, 0.8),
    ]
    parts += [_part("heads", heads, (0.35, 0.36, 0.38), 0.3, 0.8)] if heads else []
    parts += [_part("covers", covers, BRIGHT[rng.integers(5)])] if covers else []
    return parts


def _stick(rng: np.random.Generator) -> list[Part]:
    return [
        _part(
            "stick",
            [_rod([-0.6, 0, 0.006], [0.6, 0, 0.006], 0.0055)],
            BRIGHT[rng.integers(5)],
            0.4,
            0.3,
        )
    ]


def _balls(rng: np.random.Generator) -> list[Part]:
    places = np.column_stack([rng.normal(0, 0.12, (26, 2)), np.full(26, 0.021)])
    return [
        _part("balls", [ball(place, 0.0214, 7) for place in places], (0.75, 0.75, 0.70), 0.4, 0.4)
    ]


def _basket(rng: np.random.Generator) -> list[Part]:
    wall = tube(np.array([[0, 0, 0.005], [0, 0, 0.24]]), np.array([0.105, 0.14]), 18)
    places = rng.normal(0, 1, (30, 3))
    places = places / np.linalg.norm(places, axis=1, keepdims=True) * [0.10, 0.10, 0.05]
    heap = [ball(place + np.array([0, 0, 0.245]), 0.0214, 7) for place in places]
    loose = [ball(np.array([*rng.normal(0, 0.3, 2), 0.021]), 0.0214, 7) for _ in range(6)]
    return [
        _part("basket", [wall], BRIGHT[rng.integers(5)]),
        _part("heap", [*heap, *loose], (0.75, 0.75, 0.70), 0.4, 0.4),
    ]


def _marker(rng: np.random.Generator) -> list[Part]:
    board = box(np.array([-0.9, -0.04, 0.5]), np.array([0.9, 0.04, 1.6]))
    inner = box(np.array([-0.55, -0.06, 0.75]), np.array([0.55, -0.045, 1.35]))
    legs = [_rod([x, 0, 0], [x, 0, 0.6], 0.05) for x in (-0.7, 0.7)]
    return [
        _part("board", [board, *legs], BRIGHT[rng.integers(5)]),
        _part("figure", [inner], (0.8, 0.8, 0.8)),
    ]


def _flag(rng: np.random.Generator) -> list[Part]:
    cloth = np.array([[0, 0, 2.1], [0.45, 0.02, 1.97], [0, 0, 1.8]])
    return [
        _part("pole", [_rod([0, 0, 0], [0, 0, 2.15], 0.014)], (0.75, 0.75, 0.72)),
        _part("flag", [(cloth, np.array([[0, 1, 2]], np.int32))], BRIGHT[rng.integers(5)]),
    ]


def _fence(rng: np.random.Generator) -> list[Part]:
    posts = [_rod([0, y, 0], [0, y, 1.15], 0.05) for y in np.arange(-40, 41, 2.5)]
    rails = [_rod([0.05, -40, z], [0.05, 40, z], 0.03) for z in (0.45, 0.95)]
    colour = (0.6, 0.6, 0.58) if rng.random() < 0.5 else (0.13, 0.08, 0.05)
    return [_part("fence", [*posts, *rails], colour)]


def _net(rng: np.random.Generator) -> list[Part]:
    tall = float(rng.uniform(7, 12))
    posts = [_rod([0, y, 0], [0, y, tall], 0.09) for y in np.arange(-36, 37, 9.0)]
    wires = [_rod([0, -36, z], [0, 36, z], 0.012, 4) for z in np.arange(0.6, tall, 0.6)]
    drops = [_rod([0, y, 0], [0, y, tall], 0.010, 4) for y in np.arange(-36, 36, 0.9)]
    return [_part("net", [*posts, *wires, *drops], (0.06, 0.07, 0.06))]


def _hut(rng: np.random.Generator) -> list[Part]:
    wide, deep, tall = rng.uniform(6, 12), rng.uniform(4, 6), rng.uniform(2.6, 3.4)
    walls = box(np.array([-deep, -wide / 2, 0]), np.array([0, wide / 2, tall]))
    eaves = 0.5
    roof = loft(
        np.array(
            [
                [[x, -wide / 2 - eaves, tall], [x, wide / 2 + eaves, tall], [x, 0, tall + 1.6]]
                for x in (-deep - eaves, eaves)
            ]
        )
    )
    panes = [
        box(np.array([0.0, y - 0.6, 1.0]), np.array([0.03, y + 0.6, 2.1]))
        for y in np.arange(-wide / 2 + 1.3, wide / 2 - 1, 2.4)
    ]
    wall = (0.55, 0.52, 0.45) if rng.random() < 0.5 else (0.20, 0.10, 0.06)
    return [
        _part("walls", [walls], wall),
        _part("roof", [roof], (0.12, 0.06, 0.05)),
        _part("panes", panes, (0.03, 0.04, 0.05), 0.2, 0.8),
    ]


BUILDERS: dict[str, Callable[[np.random.Generator], list[Part]]] = {
    "bag": _bag, "stick": _stick, "balls": _balls, "basket": _basket, "marker": _marker,
    "flag": _flag, "fence": _fence, "net": _net, "hut": _hut,
}  # fmt: skip


def tee_part(at: Floats) -> list[Part]:
    """A peg under a ball whose centre is `at`, where it is high enough for one."""
    top = float(at[2]) - 0.0214
    if top < 0.008:
        return []
    rings = np.array([[at[0], at[1], 0.0], [at[0], at[1], top * 0.8], [at[0], at[1], top]])
    shape = tube(rings, np.array([0.0022, 0.0026, 0.0055]), 8)
    return [_part("tee", [shape], (0.75, 0.72, 0.62))]

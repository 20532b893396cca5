"""Where each number of a scene lies in the row of floats that `scene.cu` reads."""

from __future__ import annotations

SIZE = 192
"""Pixels of a side of the crop; the network's own input size."""
SS = 2
"""Samples of a pixel along each axis."""
PHOTO = 384
"""Pixels of a side of a background photo."""
N_PRIMS, W_PRIM = 60, 10
N_MATS, W_MAT = 16, 9
N_LINES, W_LINE = 12, 17
N_CLUBS, W_LOOK = 3, 28

BLOCKS = {
    "CAM": 15,  # eye, right, down, forward, half width at 1 m, centre
    "LIGHT": 3,
    "LIGHTCOL": 3,
    "AMB": 1,
    "SHADOW": 1,
    "GAMMA": 1,
    "MELT": 1,
    "PXM": 1,  # pixels of a metre at 1 m
    "BACK": 12,  # photo, origin, zoom, tint, haze, aspect, haze colour
    "GROUND": 9,  # flag, colour, grain, contrast, photo, zoom, share
    "MAT": 12,  # centre, half sizes, turn, colour, edge, edge colour
    "COUNTS": 3,
    "BALLS": 12,
    "CLUB3": 9,
    "MATS": N_MATS * W_MAT,
    "PRIMS": N_PRIMS * W_PRIM,
    "LINES": N_LINES * W_LINE,
    "POSES": N_CLUBS * 27,
    "LOOKS": N_CLUBS * W_LOOK,
}
OFFSETS: dict[str, slice] = {}
_at = 0
for _name, _width in BLOCKS.items():
    OFFSETS[_name] = slice(_at, _at + _width)
    _at += _width
W_SCENE = _at


def defines() -> str:
    """The same layout as preprocessor lines."""
    sizes = {
        "SIZE": SIZE, "SS": SS, "PHOTO": PHOTO, "W_PRIM": W_PRIM, "W_MAT": W_MAT,
        "N_LINES": N_LINES, "W_LINE": W_LINE, "N_CLUBS": N_CLUBS, "W_LOOK": W_LOOK,
        "W_SCENE": W_SCENE,
    }  # fmt: skip
    sizes |= {f"O_{name}": where.start for name, where in OFFSETS.items()}
    return "".join(f"#define {name} {value}\n" for name, value in sizes.items())

"""A contact sheet: twelve golfers, each another body, dress, place, moment; both views.

`python -m studio sheet` writes docs/pictures/contact_sheet.jpg.
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from studio.archive import load_performance, save_performance
from studio.camera import DOWN_THE_LINE, FACE_ON
from studio.performance import Performance
from studio.scene import Filming, make_take
from studio.truth import mirrored

ACROSS, TILE = 4, (400, 712)
LARGEST_BYTES = 700_000


@dataclass(frozen=True, slots=True)
class Tile:
    """One picture of the sheet."""

    seed: int
    view: str
    moment: str
    place: str
    left_handed: bool = False
    club: str = "mid iron"


TILES = (
    Tile(201, FACE_ON, "address", "range", club="driver"),
    Tile(202, DOWN_THE_LINE, "top", "fairway"),
    Tile(203, FACE_ON, "top", "mat range", club="driver"),
    Tile(204, DOWN_THE_LINE, "impact", "hall"),
    Tile(205, FACE_ON, "shaft_level_down", "fairway"),
    Tile(206, DOWN_THE_LINE, "finish", "range", club="driver"),
    Tile(207, FACE_ON, "finish", "hall"),
    Tile(208, FACE_ON, "top", "range", left_handed=True),
    Tile(209, DOWN_THE_LINE, "address", "mat range", club="wedge"),
    Tile(210, FACE_ON, "impact", "range"),
    Tile(211, DOWN_THE_LINE, "arm_level_back", "fairway", club="driver"),
    Tile(212, FACE_ON, "shaft_level_through", "mat range"),
)


def kept_performance(folder: Path, tile: Tile) -> Performance:
    """The tile's swing, posed once and kept in a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"sheet_{tile.seed}.npz"
    if not path.exists():
        from studio.golfers import draw_golfer
        from studio.perform import perform

        golfer = draw_golfer(np.random.default_rng(tile.seed), tile.club, "skilled", {})
        save_performance(path, perform(golfer.build, golfer.swing, golfer.club, tile.seed))
    return load_performance(path)


def draw_tile(tile: Tile, folder: Path) -> Image.Image:
    """One golfer, filmed at 720p and shrunk."""
    performance = kept_performance(folder, tile)
    filming = Filming(view=tile.view, place=tile.place, left_handed=tile.left_handed, sound=False)
    take = make_take(performance, tile.seed, filming, f"tile {tile.seed}")
    picture = mirrored(take.stage.frame(performance.moments[tile.moment]), tile.left_handed)
    return Image.fromarray(picture).resize(TILE, Image.Resampling.LANCZOS)


def draw_sheet(folder: Path, tiles: tuple[Tile, ...] = TILES) -> NDArray[np.uint8]:
    """All tiles in rows of four."""
    pictures = [np.asarray(draw_tile(tile, folder)) for tile in tiles]
    rows = [
        np.hstack(pictures[start : start + ACROSS]) for start in range(0, len(pictures), ACROSS)
    ]
    return np.vstack(rows)


def save_sheet(picture: NDArray[np.uint8], path: Path) -> int:
    """Write a JPEG of at most 700 kB; gives its size in bytes."""
    path.parent.mkdir(parents=True, exist_ok=True)
    for quality in range(92, 40, -4):
        Image.fromarray(picture).save(path, quality=quality, optimize=True)
        if path.stat().st_size <= LARGEST_BYTES:
            break
    return path.stat().st_size


def main(arguments: list[str] | None = None) -> int:
    """Draw the sheet."""
    parser = argparse.ArgumentParser(prog="studio sheet", description=__doc__)
    parser.add_argument("--out", type=Path, default=Path("docs/pictures/contact_sheet.jpg"))
    parser.add_argument("--folder", type=Path, default=Path("out/performances"))
    wanted = parser.parse_args(arguments)
    size = save_sheet(draw_sheet(wanted.folder), wanted.out)
    print(f"{wanted.out}: {size / 1000:.0f} kB")
    return 0

"""Films one clip: `python -m studio film --seed 7 --view face-on --rate 60 --out DIR`.

The seed draws golfer, swing, clothes, place and phone; the same seed gives the same clip, and the
other view of the same swing.
"""

from __future__ import annotations

import argparse
import time
from pathlib import Path

import numpy as np

from studio.camera import DOWN_THE_LINE, FACE_ON
from studio.film import film
from studio.golfers import draw_golfer
from studio.perform import perform
from studio.place import KINDS
from studio.scene import SIZES, Filming, make_take


def main(arguments: list[str] | None = None) -> int:
    """Pose, film, and say what it took."""
    wanted = _parser().parse_args(arguments)
    golfer = draw_golfer(np.random.default_rng(wanted.seed), wanted.club)
    performance = perform(golfer.build, golfer.swing, golfer.club, wanted.seed)
    begin, begin_cpu = time.perf_counter(), time.process_time()
    filming = Filming(
        view=wanted.view,
        rate_hz=wanted.rate,
        size=wanted.size,
        landscape=wanted.landscape,
        left_handed=wanted.left,
        place=wanted.place,
    )
    name = f"{wanted.seed}_{wanted.view.replace('-', '_')}"
    take = make_take(performance, wanted.seed, filming, name)
    clip, truth = film(take, wanted.out)
    took, cpu = time.perf_counter() - begin, time.process_time() - begin_cpu
    frames = len(take.times_s)
    print(f"{clip} and {truth.name}: {frames} frames, {took:.1f} s, {cpu:.1f} s of CPU")
    return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="studio film", description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--view", choices=(FACE_ON, DOWN_THE_LINE), default=FACE_ON)
    parser.add_argument("--rate", type=float, default=60.0, help="frames in a second of real time")
    parser.add_argument("--size", choices=tuple(SIZES), default="720p")
    parser.add_argument("--landscape", action="store_true")
    parser.add_argument("--left", action="store_true", help="a left-handed golfer")
    parser.add_argument("--club", default=None)
    parser.add_argument("--place", choices=KINDS, default=None)
    parser.add_argument("--out", type=Path, default=Path("out/clips"))
    return parser

"""The clips of the demo scenario: who stands where, with which phone, on which day."""

from __future__ import annotations

import argparse
import gzip
import json
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

from studio.camera import Station
from studio.recording import Recording
from studio.scene import Filming
from studio.shoot import Shot, shoot

SCENARIO = Path("demo/scenario.json")
PERFORMANCES = Path(".cache/studio/demo")
MOST_BYTES = 8_000_000
"""Most that clips and truths may take together."""


@dataclass(frozen=True, slots=True)
class Player:
    """A golfer of the scenario: looks, and the place where the lessons are."""

    seed: int
    place: str
    left_handed: bool = False


PLAYERS = {
    "ivo": Player(seed=8230, place="range"),
    "reference": Player(seed=8163, place="fairway"),
    "nell": Player(seed=8168, place="mat range", left_handed=True),
    "dara": Player(seed=8167, place="range"),
}


@dataclass(frozen=True, slots=True)
class Phone:
    """One day's phone."""

    performance: str
    distance_m: float
    off_axis_deg: float
    height_m: float
    hfov_deg: float = 31.0
    rate_hz: float = 60.0
    bit_rate: int = 1_500_000
    slow_factor: int = 1
    held: bool = False
    roll_deg: float = 0.4
    size: str = "720p"
    sound_bit_rate: int = 96_000


def _again(performance: str, distance_m: float, off_axis_deg: float, height_m: float) -> Phone:
    """A phone on its mark, sending small: the further swings of a day."""
    return Phone(
        performance, distance_m, off_axis_deg, height_m, rate_hz=30.0, bit_rate=290_000,
        size="540p", sound_bit_rate=32_000,
    )  # fmt: skip


IVO_MARK = (3.3, 2.0, 1.05)
"""Where Ivo's phone stood face-on for the first lesson, and stands again since."""
DARA_MARK = (3.2, 1.5, 1.02)

PHONES = {
    "ivo_2026-04-06_face_on": Phone("ivo_first", *IVO_MARK, held=True),
    "ivo_2026-04-06_down_the_line": Phone("ivo_first", 3.4, -1.5, 1.00),
    "reference_mid_iron_down_the_line": Phone(
        "reference", 3.3, 0.5, 1.02, rate_hz=240.0, bit_rate=450_000, slow_factor=8
    ),
    "reference_mid_iron_face_on": Phone("reference", 3.2, -1.0, 1.04),
    "ivo_2026-05-04_down_the_line": Phone("ivo_later", 3.6, 1.5, 1.10, roll_deg=-0.6),
    "ivo_2026-05-04_face_on": Phone("ivo_later", *IVO_MARK, bit_rate=1_100_000),
    "nell_2026-04-08_face_on": Phone("nell_first", 3.1, -2.0, 0.98),
    "nell_2026-05-06_face_on": Phone(
        "nell_later", 3.3, 1.5, 1.08, rate_hz=30.0, bit_rate=1_100_000, held=True
    ),
    "dara_2026-04-13_down_the_line": Phone("dara_first", 3.2, 1.0, 1.06),
    "dara_2026-05-11_down_the_line": Phone(
        "dara_later", 3.4, -2.0, 0.98, bit_rate=700_000, held=True
    ),
    "ivo_2026-04-06_face_on_2": _again("ivo_first_2", *IVO_MARK),
    "ivo_2026-05-07_face_on": _again("ivo_next", *IVO_MARK),
    "dara_2026-04-13_face_on": _again("dara_first", *DARA_MARK),
    "dara_2026-04-13_face_on_2": _again("dara_first_2", *DARA_MARK),
    "dara_2026-04-13_face_on_3": _again("dara_first_3", *DARA_MARK),
    "dara_2026-05-11_face_on": _again("dara_later", *DARA_MARK),
    "dara_2026-05-11_face_on_2": _again("dara_later_2", *DARA_MARK),
    "dara_2026-05-11_face_on_3": _again("dara_later_3", *DARA_MARK),
}
"""Clip to phone; new ones stand last, for their place is their seed. The 240 Hz clip is stored to
play at 30, and says so, as phones do."""


def shots() -> list[Shot]:
    """The scenario's clips, in its order."""
    scenario = json.loads(SCENARIO.read_text(encoding="utf-8"))
    return [_shot(entry) for entry in scenario["clips"]]


def _shot(entry: dict[str, str]) -> Shot:
    name = Path(entry["file"]).stem
    phone = PHONES[name]
    player = PLAYERS[name.split("_")[0]]
    filming = Filming(
        view=entry["view"],
        rate_hz=phone.rate_hz,
        size=phone.size,
        hand_held=phone.held,
        left_handed=player.left_handed,
        place=player.place,
        recording=Recording(
            bit_rate=phone.bit_rate,
            sound_bit_rate=phone.sound_bit_rate,
            slow_factor=phone.slow_factor,
            says_capture_rate=phone.slow_factor > 1,
        ),
        before_s=0.55,
        after_s=0.95,
        station=_station(entry["view"], phone),
        clothes=_day(entry["date"]),
        phone=8200 + list(PHONES).index(name),
    )
    return Shot(name, phone.performance, player.seed, filming)


def _day(date: str) -> int:
    """What is worn goes by the day."""
    return int(date.replace("-", ""))


def _station(view: str, phone: Phone) -> Station:
    return Station(
        view=view,
        distance_m=phone.distance_m,
        height_m=phone.height_m,
        off_axis_deg=phone.off_axis_deg,
        hfov_deg=phone.hfov_deg,
        aim_height_m=1.06,
        roll_deg=phone.roll_deg,
    )


def _pack(folder: Path) -> None:
    """Truth files small enough to be committed."""
    for path in folder.glob("*.truth.json"):
        path.with_name(f"{path.name}.gz").write_bytes(gzip.compress(path.read_bytes(), mtime=0))
        path.unlink()


def main(arguments: list[str] | None = None) -> int:
    """Pose what is not posed yet, then film; 0 when all is written and small enough."""
    parser = argparse.ArgumentParser(prog="studio demo", description=__doc__)
    parser.add_argument("--out", type=Path, default=Path("demo/clips"))
    parser.add_argument("--performances", type=Path, default=PERFORMANCES)
    parser.add_argument("--pose-only", action="store_true", help="make the performances and stop")
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--only", nargs="*", help="names of clips")
    given = parser.parse_args(arguments)
    wanted = [shot for shot in shots() if not given.only or shot.name in given.only]
    needed = {shot.performance for shot in wanted}
    missing = {one for one in needed if not (given.performances / f"{one}.npz").exists()}
    if missing:
        import_module("studio.demo_cast").perform_all(given.performances, missing)
    if given.pose_only:
        return 0
    shoot(wanted, given.performances, given.out, given.workers)
    _pack(given.out)
    written = sum(path.stat().st_size for path in given.out.iterdir())
    print(f"{written / 1e6:.2f} MB in {given.out}")
    return int(written > MOST_BYTES)

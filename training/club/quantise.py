"""Turn the network that `export.py` wrote into one of 8-bit whole numbers, which is what ships.

    python quantise.py FOLDER_OF_club.xml FOLDER_OF_CLIPS OUT

Needs nncf (3.4) and openvino, and rendered training clips with their truth files: what each layer
takes on there sets its range. Weights are rounded for each channel by itself; nothing is trained.
"""

from __future__ import annotations

import gzip
import json
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import av
import nncf
import numpy as np
import openvino
from numpy.typing import NDArray

from causeline.club.reach import REACH
from causeline.model.clip import Frame
from causeline.model.tracks import Region
from causeline.sources import club_net

SQUARES = 14
"""Drawn from each clip, as often from afar as from near."""
SEED = 0
WRIST_ERROR = 0.008
"""Standard deviation of where the square lies, statures."""


def main() -> None:
    """Read, calibrate, write."""
    source, clips, out = (Path(each) for each in sys.argv[1:4])
    rng = np.random.default_rng(SEED)
    truths = sorted([*clips.glob("*.truth.json"), *clips.glob("*.truth.json.gz")])
    seen = [square for truth in truths for square in _squares(truth, rng)]
    half = club_net.LAYOUT.middle
    scaled = [(square[None].astype(np.float32) - half) / half for square in seen]
    model = openvino.Core().read_model(source / "club.xml")
    whole = nncf.quantize(
        model,
        nncf.Dataset(scaled),
        preset=nncf.QuantizationPreset.MIXED,
        subset_size=len(scaled),
        target_device=nncf.TargetDevice.CPU,
    )
    whole.outputs[0].get_tensor().set_names({"maps"})
    out.mkdir(parents=True, exist_ok=True)
    openvino.save_model(whole, out / "club.xml", compress_to_fp16=True)
    print(len(scaled), "squares,", sum(f.stat().st_size for f in out.glob("club.*")) / 1e6, "MB")


def _squares(truth: Path, rng: np.random.Generator) -> Iterator[NDArray[np.uint8]]:
    """Some squares around a clip's true wrists, from address to finish, far and near."""
    bytes_ = truth.read_bytes()
    facts = json.loads(gzip.decompress(bytes_) if truth.suffix == ".gz" else bytes_)
    wrists = np.mean([facts["points_px"][f"{s}_wrist"] for s in ("lead", "trail")], axis=0)
    nose, ankle = (np.array(facts["points_px"][n][0]) for n in ("nose", "lead_ankle"))
    stature = 1.06 * float(np.hypot(*(nose - ankle)))
    times = np.array(facts["frames"]["time_s"])
    moments = facts["moments"]
    ends = moments["address"]["time_s"], moments.get("finish", {"time_s": times[-1]})["time_s"]
    first, last = np.searchsorted(times, ends)
    middles = wrists[first : last + 1] + rng.normal(0, WRIST_ERROR * stature, (1, 2))
    regions = [Region(float(x), float(y), 2 * REACH * stature) for x, y in middles]
    clip = truth.with_name(truth.name.split(".truth")[0] + ".mp4")
    frames = _frames(clip, int(first), int(last))
    taken = {near: set(rng.choice(len(regions), SQUARES, replace=False)) for near in (1.0, 2.0)}
    for row, (region, trio) in enumerate(club_net._trios(frames, regions, mirrored=False)):
        for near, rows in taken.items():
            if row in rows:
                yield club_net._planes(trio, replace(region, size=region.size / near))


def _frames(clip: Path, first: int, last: int) -> Iterator[Frame]:
    with av.open(str(clip)) as container:
        for index, picture in enumerate(container.decode(video=0)):
            if first <= index <= last:
                yield Frame(index, picture.to_ndarray(format="rgb24"))


if __name__ == "__main__":
    main()

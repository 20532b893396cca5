"""Turn trained weights into the network that the package ships.

    python export.py net.pt ../../src/causeline/sources/club_weights

Needs torch and openvino. Writes `club.xml` and `club.bin` (half precision).
"""

from __future__ import annotations

import sys
from pathlib import Path

import openvino
import torch
from layout import SIZE
from net import CHANNELS_IN, ClubNet


def main() -> None:
    """Read, convert, write."""
    source, folder = Path(sys.argv[1]), Path(sys.argv[2])
    net = ClubNet()
    net.load_state_dict(torch.load(source, map_location="cpu", weights_only=True))
    shape = [1, CHANNELS_IN, SIZE, SIZE]
    model = openvino.convert_model(net.eval(), example_input=torch.zeros(shape), input=[shape])
    model.outputs[0].get_tensor().set_names({"maps"})
    folder.mkdir(parents=True, exist_ok=True)
    openvino.save_model(model, folder / "club.xml", compress_to_fp16=True)
    print(sum(f.stat().st_size for f in folder.glob("club.*")) / 1e6, "MB")


if __name__ == "__main__":
    main()

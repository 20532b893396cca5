"""The motion prior that the package ships: how golfers move, learned in training/motion."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np

from causeline.errors import EngineError
from causeline.model.motion import MotionPrior
from causeline.sources.lift_net import LiftNet

WEIGHTS = Path(__file__).parent / "motion_weights" / "prior.npz"
VERSION = f"motion/2 {LiftNet.version}"
"""Of what the body in space is fitted with; another file of weights is another version."""


@cache
def decode_prior(path: Path = WEIGHTS) -> MotionPrior:
    """Read a prior, and the lifter that goes with it.

    Raises EngineError where a file is missing or is none.
    """
    try:
        with np.load(path) as kept:
            arrays = {name: kept[name].astype(np.float64) for name in kept.files}
        return MotionPrior(**arrays, lift=LiftNet().lift_body)
    except (OSError, TypeError, ValueError) as error:
        raise EngineError(
            f"the motion prior {path.name} could not be read",
            "the file that the package ships was expected",
            "install the package again",
        ) from error

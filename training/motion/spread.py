"""By how much the ± of turns must be wider at each moment: what `body/told.py` calls INFLATE.

    python -m training.motion.spread --tapes FOLDER --every 4

Training swings alone, and of these only every N-th, which the lifter did not learn errors from.
Printed are factors on what the package states now; multiplied into INFLATE they make nine in ten
truths lie inside a 90 % interval.
"""

from __future__ import annotations

import argparse
from collections import defaultdict
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import numpy as np
from bench.readings import files_of
from bench.tapes import TRUTH_END
from bench.turns import MOMENTS, turns_of

from causeline.model.motion import TURNS
from causeline.quantities.uncertain import NORMAL_90


def main() -> None:
    """Fit every swing by itself and in pairs, then compare."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tapes", type=Path, required=True)
    parser.add_argument("--only", default="train")
    parser.add_argument("--every", type=int, default=4)
    parser.add_argument("--workers", type=int, default=1)
    given = parser.parse_args()
    swings: dict[int, list[Path]] = defaultdict(list)
    for file in files_of(given.tapes, given.only):
        number = int(file.name.split("_")[1])
        if file.name.endswith(TRUTH_END) and number % given.every == 0:
            swings[number].append(file)
    far: dict[tuple[str, str, str], list[float]] = defaultdict(list)
    with ProcessPoolExecutor(given.workers) as pool:
        for found in pool.map(turns_of, swings.values()):
            for one in found:
                if np.isfinite(one.error):
                    far[one.views, one.moment, one.turn].append(abs(one.error) / one.sd)
    for views in sorted({key[0] for key in far}):
        for moment in MOMENTS:
            ratios = [np.array(far[views, moment, turn]) for turn in TURNS]
            factors = [
                np.quantile(each, 0.9) / NORMAL_90 if len(each) else np.nan for each in ratios
            ]
            print(views, moment, len(ratios[0]), np.round(factors, 2))


if __name__ == "__main__":
    main()

"""By how much the ± of turns and of other measures must be wider or narrower.

    python -m training.motion.spread --tapes FOLDER --every 3

What `body/told.py` calls INFLATE and `measures/in_space.py` WIDER. Training swings alone, and of
these only every N-th, which the lifter did not learn errors from. Printed are factors on what the
package states now; multiplied into those tables they make nine in ten truths lie inside a 90 %
interval. Then how many of the learned ways the golfers take (`body/recover.py`, USUAL_WAYS).
"""

from __future__ import annotations

import argparse
from collections import defaultdict
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import numpy as np
from bench.readings import Beside, beside, beside_both, files_of
from bench.tapes import TRUTH_END
from bench.truths import true_value
from bench.turns import BOTH, MOMENTS, turns_of

from causeline.body.recover import USUAL_WAYS
from causeline.measures.in_space import WIDER
from causeline.model.measures import Measure
from causeline.model.motion import TURNS
from causeline.quantities.uncertain import NORMAL_90
from causeline.sources.motion_prior import decode_prior

Far = tuple[str, str, str, float]
"""View or views, moment, what, and error over ±."""


def main() -> None:
    """Judge every swing by itself and in pairs, then compare."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tapes", type=Path, required=True)
    parser.add_argument("--only", default="train")
    parser.add_argument("--every", type=int, default=3)
    parser.add_argument("--workers", type=int, default=1)
    given = parser.parse_args()
    swings: dict[int, list[Path]] = defaultdict(list)
    for file in files_of(given.tapes, given.only):
        number = int(file.name.split("_")[1])
        if file.name.endswith(TRUTH_END) and number % given.every == 0:
            swings[number].append(file)
    far: dict[tuple[str, str, str], list[float]] = defaultdict(list)
    with ProcessPoolExecutor(given.workers) as pool:
        for found in pool.map(far_of, swings.values()):
            for views, moment, what, ratio in found:
                for place in {moment, ""}:
                    far[views, place, what].append(ratio)
    for views in sorted({key[0] for key in far}):
        for moment in MOMENTS:
            told = [_told(far[views, moment, turn]) for turn in TURNS]
            print(views, moment, ", ".join(told))
        for name in WIDER:
            print(views, name, _told(far[views, "", name]))
        for share in (0.5, 0.9):
            print(views, f"ways, {share:.0%} below", np.quantile(far[views, "", "ways"], share))
    print("now taken to be usual:", USUAL_WAYS)


def far_of(files: list[Path]) -> list[Far]:
    """Of one swing: turns and other measures, from each view and from both."""
    alone = [beside(file) for file in files]
    found = [
        (one.views, one.moment, one.turn, abs(one.error) / one.sd)
        for one in turns_of(alone)
        if np.isfinite(one.error)
    ]
    found += [far for one in alone for far in _measured(one, one.view)]
    if len(files) > 1:
        found += [far for one in beside_both(files, alone) for far in _measured(one, BOTH)]
    return found


def _measured(one: Beside, views: str) -> Iterator[Far]:
    known = one.swing.motion.known if one.reading and one.swing.motion else None
    if known is not None:
        ways = known.values[: len(decode_prior().basis)]
        yield views, "", "ways", float(np.sqrt(np.mean(ways**2)))
    for measure in one.swing.measures if one.reading else ():
        moment = str(measure.moment or "")
        if measure.name in WIDER and isinstance(measure, Measure) and measure.sd > 0:
            true = true_value(one.truth, measure.name, measure.moment)
            if true is not None and np.isfinite(true):
                yield views, moment, measure.name, abs(measure.value - true) / measure.sd


def _told(ratios: list[float]) -> str:
    if not ratios:
        return "none"
    return f"{np.quantile(ratios, 0.9) / NORMAL_90:.2f} of {len(ratios)}"


if __name__ == "__main__":
    main()

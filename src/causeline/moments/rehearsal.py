"""Was a ball struck, or was it a practice swing? Told from body and sound, and so only guessed.

What the landmarks cannot show is the ball. The cues are weak, their weights are judgement and not
fitted to data: no sound of a strike, another swing soon after, a gentler downswing than that of
the clip's other swings. A single swing without sound stays near the prior of one in five.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from causeline.model.moments import SwingWindow

PRIOR = 0.2
"""Share of rehearsals among swings that golfers film: judgement."""
HEARD, NOT_HEARD = 0.03, 4.0
"""Odds where a strike was heard, and where there is sound but no strike in it."""
FOLLOWED, LAST = 3.0, 0.5
"""Odds where another swing follows soon, and where none does in a clip of several."""
SOON_S = 25.0
GENTLER_POWER, GENTLER_MOST, QUICKEST = 4.0, 6.0, 0.7
"""Odds by how much longer the downswing is than the quickest of the clip, and for the quickest."""


def find_rehearsal(
    windows: Sequence[SwingWindow], index: int, struck: Sequence[bool | None]
) -> float:
    """Probability that swing `index` of a clip was a practice swing without a ball, 0 to 1.

    `struck` holds for each swing whether the strike was heard; None where the clip has no sound in
    step with the pictures.
    """
    odds = PRIOR / (1.0 - PRIOR)
    if struck[index] is not None:
        odds *= HEARD if struck[index] else NOT_HEARD
    odds *= _odds_of_place(windows, index) * _odds_of_haste(windows, index)
    return odds / (1.0 + odds)


def _odds_of_place(windows: Sequence[SwingWindow], index: int) -> float:
    if len(windows) == 1:
        return 1.0
    if index + 1 == len(windows):
        return LAST
    wait_s = windows[index + 1].top_s - windows[index].top_s
    return FOLLOWED if wait_s <= SOON_S else 1.0


def _odds_of_haste(windows: Sequence[SwingWindow], index: int) -> float:
    falls = [window.fall_s for window in windows if math.isfinite(window.fall_s)]
    own = windows[index].fall_s
    if len(falls) < 2 or not math.isfinite(own):
        return 1.0
    longer = own / min(falls)
    return QUICKEST if longer <= 1.0 else min(GENTLER_MOST, float(longer**GENTLER_POWER))

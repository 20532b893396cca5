"""Whether two clips were filmed from one spot, by where the golfer stands in their pictures.

A phone that was moved, turned or set up anew shows the golfer elsewhere, or larger or smaller. One
that went round the golfer and was aimed again so exactly that neither changed is not told.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from causeline.model.progress import Placed, Swung

MOVED = 0.04
"""Of the picture's height: a golfer who stands to the ball anew moves less (judged: some 7 cm in
the usual picture)."""
GROWN = 0.04
"""Of the golfer's own size."""


def compare_spots(swings: Sequence[Swung]) -> tuple[str, ...]:
    """A word for each swing: the same for swings that were filmed from one spot.

    Swings of one clip share their spot. A clip in which the golfer's place is unknown has its own.
    """
    spots: list[tuple[str, Swung]] = []
    found: list[str] = []
    for swing in swings:
        word = next((word for word, known in spots if _one_spot(known, swing)), None)
        if word is None:
            word = f"{swing.view.value} {len({word for word, _ in spots}) + 1}"
        spots.append((word, swing))
        found.append(word)
    return tuple(found)


def _one_spot(a: Swung, b: Swung) -> bool:
    if a.clip == b.clip:
        return True
    if a.view is not b.view or a.placed is None or b.placed is None:
        return False
    return _near(a.placed, b.placed)


def _near(a: Placed, b: Placed) -> bool:
    apart = math.hypot(a.x - b.x, a.y - b.y)
    return apart <= MOVED and abs(a.size - b.size) <= GROWN * max(a.size, b.size)

"""What a learned lifter says of the turns, as one more thing that a fit must explain.

The lifter sees the same landmarks as the fit, so its errors are not independent of the fit's: its ±
is widened for that.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from causeline.body.turned import turn_from_above
from causeline.model.motion import POINTS, TURNS, Motion
from causeline.quantities.angle import Floats

PARTS = {"shoulder_turn_level": "shoulder", "pelvis_turn": "hip"}
"""The turns that are taken over, and whose line turns."""
WIDER = 1.4
"""The errors of fit and lifter go together by 0.6 on 15 training swings whose golfers neither was
made with: two measures of one thing that do are worth what independent ones 1.3 to 1.4 times as
wide would be."""
LASTING, DRIFT, FRESH = 0.25, 8.0, 0.03
"""Share of its error's variance that lasts, samples over which the rest drifts, share that is new
in every sample: as those of the landmarks that it rests on."""
FIRST = 6
"""Samples of the clock after address in which a turn is still near zero and tells nothing."""
LEAST_DEG = 1.0


@dataclass(frozen=True, slots=True, eq=False)
class Lifted:
    """Turns on the common clock."""

    turns: Floats
    """(P, 2) degrees since the first sample, in the order of `PARTS`."""
    roots: Floats
    """(2, P, P) inverse roots of each turn's covariance of errors; zero where nothing is said."""
    begun: Floats
    """(3,) degrees that the golfer had turned by the first sample, in the order of `TURNS`: the
    start is found late where the club first moves straight toward the camera, and the lifter has
    learned by how much."""

    def missed(self, points: Floats) -> Floats:
        """By how far a body (P, Q, 3) misses them, (2 P,) unit normals."""
        off = np.nan_to_num(self.turns - _turns(points))
        return np.concatenate([root @ off[:, i] for i, root in enumerate(self.roots)])

    def slopes(self, points: Floats, ways: Floats) -> Floats:
        """(2 P, K) change of the body's turns with ways (K, P, Q, 3), in unit normals."""
        rows = []
        for root, part in zip(self.roots, PARTS.values(), strict=True):
            line, moves = _line(points, part), _line(ways, part)
            square = (line**2).sum(axis=-1)
            change = (line[:, 1] * moves[..., 0] - line[:, 0] * moves[..., 1]) / square
            change = np.degrees(change - change[:, :1])
            rows.append(root @ change.T)
        return np.concatenate(rows)


def lifted_turns(motion: Motion | None, times: Floats) -> Lifted | None:
    """A lifter's answer on the common clock; None where it has none."""
    if motion is None:
        return None
    roots = []
    turns, spread = (
        np.stack([np.interp(times, motion.time_s, column) for column in each.T], axis=1)
        for each in (motion.turns, motion.turn_sd)
    )
    for name in PARTS:
        sd = WIDER * np.maximum(spread[:, TURNS.index(name)], LEAST_DEG)
        roots.append(_root(sd))
    chosen = [TURNS.index(name) for name in PARTS]
    begun = np.nan_to_num(turns[0])
    return Lifted((turns - begun)[:, chosen], np.stack(roots), begun)


def _root(sd: Floats) -> Floats:
    length = len(sd)
    apart = np.abs(np.subtract.outer(np.arange(length), np.arange(length)))
    drifting = (1 - FRESH) * np.exp(-apart / DRIFT) + FRESH * np.eye(length)
    mixed = LASTING + (1 - LASTING) * drifting
    root = np.zeros((length, length))
    said = np.flatnonzero(np.isfinite(sd) & (np.arange(length) >= FIRST))
    if len(said):
        covariance = mixed[np.ix_(said, said)] * np.outer(sd[said], sd[said])
        root[np.ix_(said, said)] = np.linalg.inv(np.linalg.cholesky(covariance))
    return root


def _turns(points: Floats) -> Floats:
    """(P, 2) degrees since the first sample."""
    turns = np.stack([turn_from_above(_line(points, part)) for part in PARTS.values()], axis=1)
    relative: Floats = turns - turns[:1]
    return relative


def _line(points: Floats, part: str) -> Floats:
    line: Floats = (
        points[..., POINTS.index(f"lead_{part}"), :2]
        - points[..., POINTS.index(f"trail_{part}"), :2]
    )
    return line

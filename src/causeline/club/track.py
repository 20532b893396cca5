"""The club of a whole swing: the path chosen, gaps bridged, and how sure each frame is."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator
from scipy.special import expit

from causeline.club.path import Path, track_path
from causeline.club.reach import track_arms, track_hands, track_stature_px
from causeline.club.steady import track_steady
from causeline.model.club import ClubGuesses
from causeline.model.tracks import BodyTrack, ClubTrack
from causeline.quantities.angle import Floats

CLUB_LENGTH = 0.57
"""Of a stature, grip end to hosel: irons 0.5, drivers 0.64 (common practice)."""

SURE = (-2.7, 3.6, -0.5, -2.2, 4.3, -1.0)
"""Log-odds that a chosen line is within 5°: none, its score, that of the frame's best line that
goes elsewhere, how far it bends from where the frames around put it, the mean score of the lines
chosen around it, the dearest step around it. Fitted on rendered clips of known truth; see
training/club/README.md. Not its length: a wrong line's is the wrong line's."""

ELSEWHERE = np.radians(12.0)
AROUND_S = 0.05
"""Half of the time around a frame that speaks for it."""
DEAREST_STEP = 6.0

BRIDGED = 0.35
"""Confidence right beside a seen frame; it halves every `HALVES_S`."""
HALVES_S = 0.05


def track_club(body: BodyTrack, guesses: tuple[ClubGuesses, ...]) -> ClubTrack:
    """Grip end, hosel and head in every frame of the body track; NaN when nothing was ever seen."""
    if len(guesses) != len(body):
        raise ValueError(f"got guesses of {len(guesses)} frames for {len(body)}; expected one each")
    hands = track_hands(body)
    length = CLUB_LENGTH * track_stature_px(body)
    path = track_path(guesses, body.time_s, track_arms(body), length)
    seen = path.chosen >= 0
    if not seen.any():
        return _nothing(len(body))
    tips = _picked_flags(guesses, path)
    grip, hosel, head = (
        _bridged(_picked(guesses, path, name) - hands, seen, body.time_s) + hands
        for name in ("butt", "hosel", "head")
    )
    reach = _lengths(grip, hosel, head, tips, body.time_s)
    hosel, head = _lengthened(grip, hosel, head, seen & ~tips, reach)
    confidence = _confidence(guesses, path, body.time_s)
    steady = grip + track_steady(hosel - grip, confidence, body.time_s, length)
    return ClubTrack(
        grip=grip,
        hosel=steady,
        head=head + (steady - hosel),
        confidence=confidence,
        head_seen=tips,
    )


def _nothing(n: int) -> ClubTrack:
    unseen = np.full((n, 2), np.nan)
    return ClubTrack(unseen, unseen, np.zeros(n), unseen, np.zeros(n, dtype=np.bool_))


def _picked(guesses: tuple[ClubGuesses, ...], path: Path, name: str) -> Floats:
    """(n, 2) one point of the chosen guesses; NaN where a frame is passed over."""
    points = np.full((len(guesses), 2), np.nan)
    for frame in np.flatnonzero(path.chosen >= 0):
        points[frame] = getattr(guesses[frame], name)[path.chosen[frame]]
    return points


def _picked_flags(guesses: tuple[ClubGuesses, ...], path: Path) -> NDArray[np.bool_]:
    return np.array(
        [
            row >= 0 and bool(one.tip_seen[row])
            for one, row in zip(guesses, path.chosen, strict=True)
        ]
    )


def _bridged(points: Floats, seen: NDArray[np.bool_], time_s: Floats) -> Floats:
    """Gaps filled on a smooth curve through what was seen, and the ends held.

    In the picture, not by turning: a club that turns through a line of sight becomes short there.
    """
    if seen.sum() < 2:
        return np.broadcast_to(points[seen][0], points.shape).copy()
    at = time_s[seen]
    filled = PchipInterpolator(at, points[seen])(np.clip(time_s, at[0], at[-1]))
    return np.where(seen[:, None], points, filled)


def _lengths(
    grip: Floats, hosel: Floats, head: Floats, tips: NDArray[np.bool_], time_s: Floats
) -> Floats:
    """(n, 2) distance from the grip end to hosel and to head, from the frames that show them."""
    both = np.stack([np.hypot(*(hosel - grip).T), np.hypot(*(head - grip).T)], -1)
    if not tips.any():
        return both
    between = [np.interp(time_s, time_s[tips], both[tips, k]) for k in (0, 1)]
    return np.where(tips[:, None], both, np.maximum(np.stack(between, -1), both))


def _lengthened(
    grip: Floats, hosel: Floats, head: Floats, endless: NDArray[np.bool_], reach: Floats
) -> tuple[Floats, Floats]:
    """Where only the shaft is seen, its end and the head lie as far out as before and after."""
    way = hosel - grip
    way = way / np.maximum(np.hypot(*way.T), 1e-9)[:, None]
    return (
        np.where(endless[:, None], grip + way * reach[:, :1], hosel),
        np.where(endless[:, None], grip + way * reach[:, 1:], head),
    )


def _confidence(guesses: tuple[ClubGuesses, ...], path: Path, time_s: Floats) -> Floats:
    """(n,)."""
    seen = path.chosen >= 0
    score, rival = np.transpose(
        [_best_two(one, int(row)) for one, row in zip(guesses, path.chosen, strict=True)]
    )
    near = np.abs(time_s[:, None] - time_s[None]) <= AROUND_S + 1e-6
    around = near @ score / near.sum(axis=1)
    jump = np.minimum(np.where(near, path.step_cost, 0.0).max(axis=1), DEAREST_STEP)
    evidence = np.stack([np.ones(len(seen)), score, rival, path.bend, around, jump], axis=-1)
    gap = np.abs(time_s[:, None] - time_s[seen][None]).min(axis=1)
    return np.where(seen, expit(evidence @ np.array(SURE)), BRIDGED * 0.5 ** (gap / HALVES_S))


def _best_two(guesses: ClubGuesses, row: int) -> tuple[float, float]:
    """Score of the chosen line, and of the best of those that go elsewhere; 0 where none is."""
    if row < 0:
        return 0.0, 0.0
    way = guesses.hosel - guesses.butt
    cross = way[:, 0] * way[row, 1] - way[:, 1] * way[row, 0]
    apart = np.abs(np.arctan2(cross, way @ way[row]))
    return float(guesses.score[row]), float(guesses.score[apart > ELSEWHERE].max(initial=0.0))

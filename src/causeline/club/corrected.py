"""Ends of the club that a person set right, in the track that everything else is computed from."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy.special import erf

from causeline.model.touched import ClubMark
from causeline.model.tracks import ClubTrack
from causeline.quantities.angle import Floats

CARRIES_S = 0.015
"""Over how long a correction is carried to the frames beside it. The club goes farther in a frame
than a joint does, and what misled the track, a blur or a fence post, is soon past. Judged."""
WITHIN = np.radians(5.0)
"""`ClubTrack.confidence` is the probability that the shaft lies within 5° of where it says."""


def track_corrected(
    club: ClubTrack, frames: NDArray[np.int64], time_s: Floats, marks: tuple[ClubMark, ...]
) -> ClubTrack:
    """The track through the ends that were set; `frames` and `time_s` are the body track's.

    A grip end is moved as it was set. Hosel and head are turned and drawn out about the grip end,
    and the frames beside them alike, less and less: a club turns. Where only one of hosel and head
    was set in a frame, the other goes with it. What lies outside the track is left alone.
    """
    places = {int(frame): row for row, frame in enumerate(frames)}
    mine = [mark for mark in marks if mark.frame in places]
    for mark in sorted(mine, key=lambda mark: mark.end != "grip"):
        row = places[mark.frame]
        near = np.exp(-0.5 * ((time_s - time_s[row]) / CARRIES_S) ** 2)
        club = _set(club, row, mark, near)
    for mark in mine:  # one end took the other along, which was set too
        club = _pinned(club, places[mark.frame], mark)
    return club


def _pinned(club: ClubTrack, row: int, mark: ClubMark) -> ClubTrack:
    at = np.array([mark.x, mark.y])
    if mark.end == "grip":
        return replace(club, grip=_only(club.grip, row, at))
    if mark.end == "hosel" and club.hosel is not None:
        return replace(club, hosel=_only(club.hosel, row, at))
    return replace(club, head=_only(club.head, row, at))


def _set(club: ClubTrack, row: int, mark: ClubMark, near: Floats) -> ClubTrack:
    at = np.array([mark.x, mark.y])
    if mark.end == "grip":
        return _surer(replace(club, grip=_moved(club.grip, row, at, near)), row, mark)
    ends = {"head": club.head} if club.hosel is None else {"hosel": club.hosel, "head": club.head}
    old = ends.get(mark.end, club.head)[row]
    turn, stretch = _turned(club.grip[row], old, at)
    if not np.isfinite([turn, stretch]).all():  # nothing was seen there: this frame alone
        alone = {name: _only(points, row, at) for name, points in ends.items()}
        return _surer(_with(club, alone), row, mark)
    moved = {name: _swung(club.grip, points, near * turn, near * np.log(stretch))
             for name, points in ends.items()}  # fmt: skip
    if mark.end in moved:
        moved[mark.end][row] = at
    return _surer(_with(club, moved), row, mark)


def _with(club: ClubTrack, ends: dict[str, Floats]) -> ClubTrack:
    return replace(club, head=ends["head"], hosel=ends.get("hosel", club.hosel))


def _moved(points: Floats, row: int, at: Floats, near: Floats) -> Floats:
    off = at - points[row]
    if not np.isfinite(off).all():
        return _only(points, row, at)
    moved: Floats = points + near[:, None] * off
    moved[row] = at
    return moved


def _only(points: Floats, row: int, at: Floats) -> Floats:
    alone = points.copy()
    alone[row] = at
    return alone


def _turned(grip: Floats, old: Floats, new: Floats) -> tuple[float, float]:
    """By how many radians and how many times the way from the grip end was changed."""
    before, after = old - grip, new - grip
    cross = before[0] * after[1] - before[1] * after[0]
    turn = float(np.arctan2(cross, before @ after))
    long = float(np.hypot(*before))
    return turn, float(np.hypot(*after)) / long if long > 0 else float("nan")


def _swung(grip: Floats, points: Floats, turn: Floats, log_stretch: Floats) -> Floats:
    """(n, 2) each point turned about the grip end of its frame, and drawn out."""
    way = points - grip
    cos, sin, long = np.cos(turn), np.sin(turn), np.exp(log_stretch)
    x = long * (cos * way[:, 0] - sin * way[:, 1])
    y = long * (sin * way[:, 0] + cos * way[:, 1])
    swung: Floats = grip + np.column_stack([x, y])
    return swung


def _surer(club: ClubTrack, row: int, mark: ClubMark) -> ClubTrack:
    """How likely the shaft is within 5° when both its ends are as sure as the one that was set."""
    long = float(np.hypot(*(club.shaft_end()[row] - club.grip[row])))
    sure = club.confidence.copy()
    if np.isfinite(long) and long > 0:
        sd = np.hypot(mark.sd_px, mark.sd_px) / long
        sure[row] = max(float(erf(WITHIN / (np.sqrt(2.0) * max(sd, 1e-9)))), float(sure[row]))
    seen = club.head_seen
    if seen is not None and mark.end == "head":
        seen = seen.copy()
        seen[row] = True
    return replace(club, confidence=sure, head_seen=seen)

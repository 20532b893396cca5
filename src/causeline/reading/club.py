"""What may be the club in each frame of one swing: look around the hands."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from causeline.club.guess import track_guesses
from causeline.club.reach import track_hands, track_hidden, track_regions
from causeline.model.clip import Frame
from causeline.model.seams import ClubNet
from causeline.model.seen import SeenClub, kept_guesses
from causeline.model.tracks import BodyTrack
from causeline.reading.ahead import run_ahead
from causeline.reading.follow import Report


def run_club(
    frames: Iterator[Frame], net: ClubNet, body: BodyTrack, report: Report
) -> SeenClub | None:
    """What may be the club in every frame of the body track; `frames` are those that decode.

    None where hands or size were never seen, or where frames are lacking.
    """
    regions = track_regions(body)
    if not regions:
        return None
    wanted = range(int(body.frames[0]), int(body.frames[-1]) + 1)
    hands, hidden, guesses = track_hands(body), track_hidden(body), []
    crops = run_ahead(net.find_club(_every(frames, wanted), regions, body.mirrored))
    for row, crop in enumerate(crops):
        guesses.append(kept_guesses(track_guesses(crop, hands[row], bool(hidden[row]))))
        report("following the club", row + 1, len(regions))
    whole = len(guesses) == len(body)
    return SeenClub(tuple(guesses), body.mirrored, body.width) if whole else None


def _every(frames: Iterator[Frame], wanted: range) -> Iterator[Frame]:
    """As many frames as wanted: one that does not decode is stood in for by the one before."""
    expected, last = wanted.start, None
    for frame in frames:
        for index in range(expected, frame.index):
            yield last or Frame(index, np.zeros_like(frame.picture), frame.shrink)
        yield frame
        expected, last = frame.index + 1, frame
    for _ in range(expected, wanted.stop):
        if last is not None:
            yield last

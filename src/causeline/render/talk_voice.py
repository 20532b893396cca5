"""The voice of a talk-through in one piece: what is played of each take, end to end."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from causeline.model.clip import Sound
from causeline.model.talk import Piece, Take, Talk
from causeline.quantities.angle import Floats

RATE_HZ = 48_000
FADE_S = 0.006
"""At both ends of a piece, so that no click is heard where two meet."""


def render_voice(talk: Talk, sounds: Mapping[str, Sound]) -> Sound | None:
    """The whole voice, 48,000 samples a second from the talk's time 0; None where nobody speaks.

    `sounds` are those of the takes, by their id, at that rate. Where a take has none, or it begins
    later or ends earlier than what is played of it, there is silence.
    """
    if not any(piece.take in sounds for piece in talk.pieces):
        return None
    whole = np.zeros(_samples(talk.lasts_ms), dtype=np.float32)
    for begins, piece, take in talk.placed():
        sound = sounds.get(take.id)
        if sound is not None and take.voice is not None:
            _lay(whole, _cut(piece, take, sound), _samples(begins))
    return Sound(whole, float(RATE_HZ), 0.0)


def _cut(piece: Piece, take: Take, sound: Sound) -> NDArray[np.float32]:
    """What is heard in a piece, faded at its ends."""
    if sound.rate_hz != RATE_HZ:
        raise ValueError(f"got a voice at {sound.rate_hz} Hz; expected {RATE_HZ}")
    starts_ms = 0 if take.voice is None else take.voice.starts_ms
    first = _samples(piece.start_ms - starts_ms)
    cut = np.zeros(_samples(piece.stop_ms - starts_ms) - first, dtype=np.float32)
    skip = max(-first, 0)
    heard = sound.samples[max(first, 0) : max(first + len(cut), 0)]
    cut[skip : skip + len(heard)] = heard
    return cut * _fade(len(cut))


def _fade(count: int) -> NDArray[np.float32]:
    long = min(round(FADE_S * RATE_HZ), count // 2)
    fade: Floats = np.ones(count)
    if long:
        rise = (np.arange(long) + 0.5) / long
        fade[:long], fade[count - long :] = rise, rise[::-1]
    return fade.astype(np.float32)


def _lay(whole: NDArray[np.float32], cut: NDArray[np.float32], at: int) -> None:
    whole[at : at + len(cut)] += cut[: max(len(whole) - at, 0)]


def _samples(at_ms: int) -> int:
    return round(at_ms * RATE_HZ / 1000)

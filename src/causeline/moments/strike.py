"""The sound of the strike: a sharp, short click near the instant at which impact is expected.

Wind and traffic are low and slow, voices swell over ten milliseconds and more; a struck ball is
high, begins within a millisecond or two and is gone after fifty. Only for clips in real time, whose
sound is in step with the pictures.
"""

from __future__ import annotations

import numpy as np
from scipy.signal import butter, sosfilt

from causeline.model.clip import Sound
from causeline.quantities.angle import Floats
from causeline.quantities.uncertain import Uncertain

LOW_HZ, HIGH_HZ = 1500.0, 9000.0
"""The band of a click that phones record and wind does not reach."""
HOP_S = 0.0005
ATTACK_S = 0.004
"""A strike rises within this, even after coding; speech and claps in a hall take longer."""
BEFORE_S = 0.04
DECAY_S = 0.06
LEAST_JUMP = 6.0
"""Times that the strike is louder than the forty milliseconds before it (15 dB)."""
LEAST_FADE = 2.0
LEAST_LEAD = 1.5
"""Times that it stands out more than any other click in the window, both weighed by how near they
are to what is expected."""
WINDOW_SIGMAS, LEAST_WINDOW_S = 3.0, 0.06
SPEED_M_S = 343.0
"""Of sound in air at 20 °C; 1 % from 14 °C to 26 °C."""
USUAL_DISTANCE_M, DISTANCE_SPREAD_M = 4.0, 1.5
"""From phone to ball, where the scale of the picture is not known (common practice)."""
STEP_SPREAD_S = 0.004
"""Sound and picture of phones are out of step by a few milliseconds (from memory)."""


def find_strike(
    sound: Sound, expected_s: float, sd_s: float, distance_m: float | None = None
) -> Uncertain | None:
    """When the ball was struck, in seconds of the clip, or None where no click stands out.

    `expected_s` ± `sd_s` is where the pictures put impact. The time that sound takes from the ball
    is taken off: `distance_m` from the phone, or a usual distance with its spread.
    """
    reach = max(WINDOW_SIGMAS * sd_s, LEAST_WINDOW_S)
    delay = (USUAL_DISTANCE_M if distance_m is None else distance_m) / SPEED_M_S
    time_s, loud = _loudness(sound, expected_s + delay - reach, expected_s + delay + reach)
    if len(loud) < 3:
        return None
    weight = np.exp(-0.5 * ((time_s - delay - expected_s) / max(sd_s, LEAST_WINDOW_S / 3)) ** 2)
    heard = _standing_out(loud) * weight
    best = int(np.argmax(heard))
    others = heard[np.abs(time_s - time_s[best]) > DECAY_S]
    alone = len(others) == 0 or heard[best] >= LEAST_LEAD * others.max()
    if heard[best] <= 0 or not alone:
        return None
    spread = 0.0 if distance_m is not None else DISTANCE_SPREAD_M / SPEED_M_S
    return Uncertain(float(time_s[best]) - delay, float(np.hypot(STEP_SPREAD_S, spread)))


def _loudness(sound: Sound, first_s: float, last_s: float) -> tuple[Floats, Floats]:
    """Times and root mean square of the band in steps of `HOP_S`, a decay more on either side."""
    rate = sound.rate_hz
    begin = max(0, int((first_s - BEFORE_S - sound.starts_s) * rate))
    end = min(len(sound.samples), int((last_s + DECAY_S - sound.starts_s) * rate))
    hop = max(1, round(HOP_S * rate))
    count = (end - begin) // hop
    if count < 3:
        return np.zeros(0), np.zeros(0)
    high = min(HIGH_HZ, 0.45 * rate)
    band = butter(4, [LOW_HZ / (rate / 2), high / (rate / 2)], btype="band", output="sos")
    heard = sosfilt(band, sound.samples[begin:end].astype(np.float64))[: count * hop]
    loud = np.sqrt(np.mean(heard.reshape(count, hop) ** 2, axis=1))
    return sound.starts_s + (begin + hop * np.arange(count)) / rate, loud


def _standing_out(loud: Floats) -> Floats:
    """How many times louder each step's attack is than what came before; 0 where it is no click."""
    attack, before, decay = (round(span / HOP_S) for span in (ATTACK_S, BEFORE_S, DECAY_S))
    floor = 1e-6 + 0.02 * float(np.median(loud))
    out = np.zeros(len(loud))
    for k in range(before, len(loud) - decay):
        quiet = float(np.quantile(loud[k - before : k - 1], 0.9)) + floor
        peak = float(loud[k : k + attack].max())
        faded = float(np.median(loud[k + decay // 2 : k + decay])) + floor
        if peak > LEAST_JUMP * quiet and peak > LEAST_FADE * faded and loud[k] > 0.3 * peak:
            out[k] = peak / quiet
    return _once_each(out, loud, attack, decay)


def _once_each(out: Floats, loud: Floats, attack: int, decay: int) -> Floats:
    """Each click counted once, where it is loudest: coding smears sound forward in time."""
    kept = np.zeros(len(out))
    k = 0
    while k < len(out):
        if out[k] > 0:
            loudest = k + int(np.argmax(loud[k : k + attack]))
            kept[loudest] = out[k : k + attack].max()
            k += decay
        else:
            k += 1
    return kept

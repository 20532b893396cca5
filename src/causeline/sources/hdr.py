"""High dynamic range toned down to ordinary 8-bit pictures.

The decoder gives R'G'B' in the file's own transfer (PQ or HLG) and BT.2020 primaries. Each channel
goes through one curve: to light (ITU-R BT.2100-2, tables 4 and 5; constants from memory), divided
by the 203 cd/m² of reference white (ITU-R BT.2408, section 2.1), highlights rolled off, coded as
sRGB (IEC 61966-2-1). A matrix on the coded values then brings BT.2020 colours to BT.709. It is the
least-squares stand-in for the exact matrix on light, several times cheaper, and within 6 levels of
255 for muted colours (skin, grass, sky), 20 for the most saturated.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from PIL import Image

from causeline.model.clip import Picture
from causeline.quantities.angle import Floats

PQ, HLG = 16, 18
"""Transfer characteristics of ITU-T H.273: SMPTE ST 2084, and ARIB STD-B67."""
WHITE_NITS = 203.0
"""Light of diffuse white in both systems (BT.2408)."""
_KNEE = 0.6
"""Share of reference white above which highlights are rolled off; a matter of taste."""
_TO_709 = np.array(
    [[1.6605, -0.5876, -0.0728], [-0.1246, 1.1329, -0.0083], [-0.0182, -0.1006, 1.1187]]
)
"""BT.2020 to BT.709 primaries on linear light (ITU-R BT.2407)."""


@dataclass(frozen=True, slots=True)
class Tone:
    """A curve of 256 levels for each channel, then a matrix on the coded channels."""

    curve: tuple[int, ...]
    matrix: tuple[float, ...]

    def apply(self, picture: Picture) -> Picture:
        """The same picture as ordinary sRGB; shape (h, w, 3) in and out."""
        image = Image.fromarray(picture).point(self.curve * 3).convert("RGB", self.matrix)
        return np.array(image)


@cache
def decode_tone(transfer: int) -> Tone | None:
    """The tone map for a transfer of H.273, or None where the picture is ordinary already."""
    if transfer not in (PQ, HLG):
        return None
    levels = np.arange(256) / 255.0
    light = (_pq_nits(levels) if transfer == PQ else _hlg_nits(levels)) / WHITE_NITS
    curve = tuple(int(v) for v in np.rint(255.0 * _srgb(_rolled_off(light))))
    return Tone(curve, _coded_matrix())


def _pq_nits(code: Floats) -> Floats:
    m1, m2 = 2610 / 16384, 2523 / 4096 * 128
    c1, c2, c3 = 3424 / 4096, 2413 / 4096 * 32, 2392 / 4096 * 32
    power = code ** (1 / m2)
    return 10000.0 * (np.maximum(power - c1, 0.0) / (c2 - c3 * power)) ** (1 / m1)


def _hlg_nits(code: Floats) -> Floats:
    """On a 1000 cd/m² screen, system gamma 1.2, each channel by itself."""
    a, b, c = 0.17883277, 0.28466892, 0.55991073
    scene = np.where(code <= 0.5, code**2 / 3.0, (np.exp((code - c) / a) + b) / 12.0)
    return 1000.0 * scene**1.2


def _rolled_off(light: Floats) -> Floats:
    room = 1.0 - _KNEE
    above = _KNEE + room * (1.0 - np.exp(-np.maximum(light - _KNEE, 0.0) / room))
    return np.where(light <= _KNEE, light, above)


def _srgb(light: Floats) -> Floats:
    light = np.clip(light, 0.0, 1.0)
    return np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)


def _light(code: Floats) -> Floats:
    return np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)


def _coded_matrix() -> tuple[float, ...]:
    """Rows of the least-squares matrix, each followed by an offset of 0; white stays white."""
    axis = np.linspace(0.1, 1.0, 7)
    grid = np.stack(np.meshgrid(axis, axis, axis), axis=-1).reshape(-1, 3)
    light = _light(grid) @ _TO_709.T
    wanted = _srgb(light)
    possible = np.all((light >= 0.0) & (light <= 1.0), axis=1)
    fit, *_ = np.linalg.lstsq(grid[possible], wanted[possible], rcond=None)
    rows = fit.T / fit.sum(axis=0)[:, None]
    return tuple(float(v) for row in rows for v in (*row, 0.0))

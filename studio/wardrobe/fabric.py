"""Fabrics: colour, pattern, sheen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

Colour = tuple[float, float, float]
PATTERNS = ("plain", "stripes", "bands", "check", "speckle", "block")


@dataclass(frozen=True, slots=True)
class Fabric:
    """A woven or knitted cloth. Colours are linear light."""

    colour: Colour
    second: Colour = (0.8, 0.8, 0.8)
    pattern: str = "plain"
    """plain, stripes (lying), bands (upright), check, speckle, block (two colours)."""
    repeat_m: float = 0.04
    crumple: float = 1.0
    """Depth of folds: 0.5 stretch, 1 cotton, 1.5 linen."""
    gloss: float = 0.05
    placket: bool = False
    """Buttons down from the collar."""
    weave: float = 0.5
    """How rough the surface looks close by."""

    def uniforms(self) -> dict[str, Any]:
        """What the cloth shader needs."""
        return {
            "base_colour": np.array(self.colour),
            "second_colour": np.array(self.second),
            "pattern": PATTERNS.index(self.pattern),
            "repeat": self.repeat_m,
            "crumple": self.crumple,
            "gloss": self.gloss,
            "placket": float(self.placket),
            "weave": self.weave,
            "cuff": 0.0,
            "waist": 0.0,
        }

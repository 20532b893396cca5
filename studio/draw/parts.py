"""What a figure is made of: meshes, each with the shader that paints it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from studio.draw.mesh import Mesh

Material = dict[str, ArrayLike]
"""Uniforms of a fragment shader; colours are linear light, 0 to 1."""
OPTIONS = {
    "placket": "BUTTONS",
    "waist": "STITCHED",
    "cuff": "CUFFED",
    "pattern": "PATTERNED",
}
"""Uniforms whose zero means that a part of the shader is not needed, and the word for it."""


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """One mesh with its material."""

    name: str
    mesh: Mesh
    shader: str
    """File of the fragment shader."""
    look: Mapping[str, ArrayLike]
    """A `Material` for that shader."""
    pictures: Mapping[str, NDArray[np.uint8]] = field(default_factory=dict)
    """Textures of that shader."""
    two_sided: bool = False
    """Seen from inside too, as an open hem is."""
    solid: bool = True
    """Casts a shadow."""

    def words(self) -> str:
        """What the shader must be able to do for this part."""
        return " ".join(word for name, word in OPTIONS.items() if np.any(self.look.get(name, 0)))

"""What a figure is made of: meshes, each with the shader that paints it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from studio.draw.mesh import Mesh


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """One mesh with its material."""

    name: str
    mesh: Mesh
    shader: str
    """File of the fragment shader."""
    look: Mapping[str, ArrayLike]
    """Uniforms of that shader; colours are linear light, 0 to 1."""
    pictures: Mapping[str, NDArray[np.uint8]] = field(default_factory=dict)
    """Textures of that shader."""
    two_sided: bool = False
    """Seen from inside too, as an open hem is."""
    solid: bool = True
    """Casts a shadow."""

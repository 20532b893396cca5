"""A swing performed by one body: what the renderer draws and what the truth file is made from.

Frame of reference (metres): x from the golfer toward the ball, y toward the target, z up; the
origin lies on the ground, midway between the ankles at address. Always a right-handed golfer:
left-handers are made by mirroring the picture and its truth.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Body:
    """A body at rest, ready for linear blend skinning. V vertices, F triangles, B bones."""

    vertices: Floats
    """(V, 3) rest positions."""
    faces: NDArray[np.int32]
    """(F, 3) triangles of the visible body; vertices outside them belong to `helpers`."""
    uv: Floats | None
    """(U, 2) texture coordinates, or None."""
    uv_faces: NDArray[np.int32] | None
    """(F, 3) rows of `uv` for the corners of `faces` (the seams have several)."""
    skin_bones: NDArray[np.int32]
    """(V, 8) bone indices."""
    skin_weights: Floats
    """(V, 8), each row sums to 1."""
    bones: tuple[str, ...]
    """Names of the B bones."""
    bone_parents: NDArray[np.int32]
    """(B,) index of each bone's parent, -1 for the root; parents come first."""
    bone_heads: Floats
    """(B, 3) where each bone turns, at rest."""
    helpers: dict[str, NDArray[np.int32]] = field(default_factory=dict)
    """Name to (F, 3): hull meshes for clothes and hair, over the same vertices and skin weights."""
    marks: dict[str, int] = field(default_factory=dict)
    """Name of a landmark on the skin to its vertex."""
    phenotype: dict[str, float] = field(default_factory=dict)
    """The parametric body's own settings: age, gender, height, weight, muscle ..."""
    stature_m: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Performance:
    """One swing, sampled at `time_s` (n,), real seconds; it may begin before 0.0."""

    body: Body
    time_s: Floats
    bone_transforms: NDArray[np.float32]
    """(n, B, 3, 4): rest vertex to world, metres; blend between samples for frames and blur."""
    joints: dict[str, Floats]
    """Name to (n, 3). At least: nose, and lead_/trail_ ear, shoulder, elbow, wrist, knuckle, hip,
    knee, ankle, heel, toe (joint centres where anatomy has one)."""
    butt: Floats
    """(n, 3) grip end of the club."""
    hands: Floats
    """(n, 3) middle of the two hands on the grip."""
    head: Floats
    """(n, 3) centre of the clubhead; `hosel` is where the shaft enters it."""
    hosel: Floats
    face_normal: Floats
    """(n, 3) unit vector out of the club's face."""
    ball: Floats
    """(3,) centre of the ball at address."""
    club: dict[str, Any]
    """kind ("driver", "iron" ...), length_m, lie_deg, head size ..."""
    moments: dict[str, float]
    """The ten moments' true times, in `time_s` seconds, by the house's names."""
    turns: dict[str, Floats]
    """Name of definition to (n,) degrees: shoulder_turn, shoulder_turn_level, pelvis_turn ..."""
    measures: dict[str, Floats] = field(default_factory=dict)
    """Name of a measure to (n,): posture, arms and travels by the catalogue's definitions, in
    degrees, centimetres and per cent of stature, and directions of the shaft."""
    rehearsal: bool = False
    """A practice swing: there is no ball to draw or strike."""
    rehearsals: tuple[dict[str, float], ...] = ()
    """The moments of each practice swing before the real one, in `time_s` seconds."""
    residuals: dict[str, float] = field(default_factory=dict)
    """How well the body met its targets: millimetres and degrees, worst over the swing."""
    faults: tuple[dict[str, Any], ...] = ()
    """Each: name, severity (0..1), role ("cause", "effect", "alone"), because (name or None)."""
    seed: int = 0

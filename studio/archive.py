"""Performances and bodies as files: compressed arrays, small enough to carry by the thousand."""

from __future__ import annotations

import json
from dataclasses import fields
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from studio.performance import Body, Floats, Performance

STILL = 2e-5
"""A bone whose transform, seen from its parent, never changes by more than this is stored once."""
QUANTUM_M = 5e-5
"""Step of stored translations; rotations are stored in steps of 1/32000."""
_ROTATION_STEPS = 32000

_CLUB_TRACKS = ("butt", "hands", "head", "hosel", "face_normal")
_NOTES = ("club", "moments", "faults", "rehearsal", "rehearsals", "residuals", "seed")


def save_performance(path: Path, performance: Performance, with_body: bool = True) -> None:
    """Write one performance; without its body it can be read with the body given."""
    moving, still, bones = _split_still(performance)
    arrays: dict[str, Any] = {
        "time_s": performance.time_s,
        "moving": bones,
        "still": still.astype(np.float32),
        "rotations": np.round(moving[..., :3] * _ROTATION_STEPS).astype(np.int16),
        "translations": np.round(moving[..., 3] / QUANTUM_M).astype(np.int32),
        "ball": performance.ball,
        "notes": json.dumps({name: getattr(performance, name) for name in _NOTES}),
    }
    arrays |= {f"joint:{k}": v.astype(np.float32) for k, v in performance.joints.items()}
    arrays |= {f"turn:{k}": v.astype(np.float32) for k, v in performance.turns.items()}
    arrays |= {f"measure:{k}": v.astype(np.float32) for k, v in performance.measures.items()}
    arrays |= {name: getattr(performance, name).astype(np.float32) for name in _CLUB_TRACKS}
    if with_body:
        arrays |= {f"body:{k}": v for k, v in _body_arrays(performance.body).items()}
    np.savez_compressed(path, **arrays)


def load_performance(path: Path, body: Body | None = None) -> Performance:
    """Read what `save_performance` wrote. `body`: for files written without one."""
    with np.load(path) as kept:
        arrays = {name: kept[name] for name in kept.files}
    if body is None:
        body = _body_of({k[5:]: v for k, v in arrays.items() if k.startswith("body:")})
    notes = json.loads(str(arrays["notes"]))
    notes |= {name: tuple(notes[name]) for name in ("faults", "rehearsals")}
    return Performance(
        body=body,
        time_s=arrays["time_s"],
        bone_transforms=_join_still(body, arrays),
        joints=_named(arrays, "joint:"),
        turns=_named(arrays, "turn:"),
        measures=_named(arrays, "measure:"),
        ball=arrays["ball"],
        **{name: arrays[name].astype(np.float64) for name in _CLUB_TRACKS},
        **notes,
    )


def _named(arrays: dict[str, Any], start: str) -> dict[str, Floats]:
    size = len(start)
    return {k[size:]: v.astype(np.float64) for k, v in arrays.items() if k.startswith(start)}


def _inverse(transforms: Floats) -> Floats:
    rotation = np.swapaxes(transforms[..., :3], -1, -2)
    return np.concatenate([rotation, -rotation @ transforms[..., 3:]], axis=-1)


def _product(one: Floats, other: Floats) -> Floats:
    rotation = one[..., :3] @ other[..., :3]
    return np.concatenate([rotation, one[..., :3] @ other[..., 3:] + one[..., 3:]], axis=-1)


def _split_still(performance: Performance) -> tuple[Floats, Floats, NDArray[np.int32]]:
    """Transforms of the moving bones (n, M, 3, 4), the still ones' (B, 3, 4), which move (M,)."""
    all_bones = performance.bone_transforms.astype(np.float64)
    parents = performance.body.bone_parents
    still = np.zeros(all_bones.shape[1:])
    moving = [0]
    for bone in range(1, len(parents)):
        seen = _product(_inverse(all_bones[:, parents[bone]]), all_bones[:, bone])
        if np.ptp(seen, axis=0).max() < STILL:
            still[bone] = seen.mean(axis=0)
        else:
            moving.append(bone)
    return all_bones[:, moving], still, np.array(moving, dtype=np.int32)


def _join_still(body: Body, arrays: dict[str, Any]) -> NDArray[np.float32]:
    moving = arrays["moving"]
    count = len(arrays["time_s"])
    out = np.empty((count, len(body.bones), 3, 4))
    rotations = arrays["rotations"] / _ROTATION_STEPS
    places = arrays["translations"] * QUANTUM_M
    out[:, moving] = np.concatenate([rotations, places[..., None]], axis=-1)
    for bone in sorted(set(range(len(body.bones))) - set(moving.tolist())):
        out[:, bone] = _product(out[:, body.bone_parents[bone]], arrays["still"][bone])
    return out.astype(np.float32)


def _body_arrays(body: Body) -> dict[str, Any]:
    arrays: dict[str, Any] = {
        "vertices": body.vertices.astype(np.float32),
        "faces": body.faces,
        "skin_bones": body.skin_bones.astype(np.uint8),
        "skin_weights": body.skin_weights.astype(np.float32),
        "bones": np.array(body.bones),
        "bone_parents": body.bone_parents,
        "bone_heads": body.bone_heads,
        "notes": json.dumps([body.marks, body.phenotype, body.stature_m]),
    }
    if body.uv is not None and body.uv_faces is not None:
        arrays |= {"uv": body.uv.astype(np.float32), "uv_faces": body.uv_faces}
    return arrays | {f"helper:{name}": faces for name, faces in body.helpers.items()}


def _body_of(arrays: dict[str, Any]) -> Body:
    marks, phenotype, stature = json.loads(str(arrays["notes"]))
    known = {f.name for f in fields(Body)}
    plain = {k: v for k, v in arrays.items() if k in known}
    return Body(
        **{
            **plain,
            "vertices": arrays["vertices"].astype(np.float64),
            "skin_bones": arrays["skin_bones"].astype(np.int32),
            "skin_weights": arrays["skin_weights"].astype(np.float64),
            "uv": arrays["uv"].astype(np.float64) if "uv" in arrays else None,
            "uv_faces": arrays.get("uv_faces"),
            "bones": tuple(str(name) for name in arrays["bones"]),
            "helpers": {k[7:]: v for k, v in arrays.items() if k.startswith("helper:")},
            "marks": marks,
            "phenotype": phenotype,
            "stature_m": stature,
        }
    )


def save_body(path: Path, body: Body) -> None:
    """Write a body alone."""
    np.savez_compressed(path, **_body_arrays(body))


def load_body(path: Path) -> Body:
    """Read what `save_body` wrote."""
    with np.load(path) as kept:
        return _body_of({name: kept[name] for name in kept.files})

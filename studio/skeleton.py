"""The golfer's joints: a short vector of angles moves every bone of a body.

`settings` are (n, D) radians (the first three, metres): rotations from the body's rest, in axes
of the rest pose. A bone's rotation vector is a linear map of the settings, so that a spine's
bones share one bend and a hinge is one number.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from studio.performance import Body, Floats
from studio.rotation import left_jacobian, turn_matrix, unit

SIDES = (("lead", "L"), ("trail", "R"))
AXES = np.eye(3)

_BALLS: tuple[tuple[str, tuple[tuple[str, float], ...]], ...] = (
    ("pelvis", (("root", 1.0),)),
    ("spine_low", (("spine05", 0.3), ("spine04", 0.35), ("spine03", 0.35))),
    ("spine_high", (("spine02", 0.5), ("spine01", 0.5))),
    ("neck", (("neck01", 0.2), ("neck02", 0.2), ("neck03", 0.2), ("head", 0.4))),
    *(
        ball
        for side, letter in SIDES
        for ball in (
            (f"{side}_clavicle", ((f"clavicle.{letter}", 0.6), (f"shoulder01.{letter}", 0.4))),
            (f"{side}_shoulder", ((f"upperarm01.{letter}", 1.0),)),
            (f"{side}_hip", ((f"upperleg01.{letter}", 1.0),)),
            (f"{side}_ankle", ((f"foot.{letter}", 1.0),)),
        )
    ),
)
"""Joints with three settings, named _x, _y, _z: the rest pose's forward, lead and up axes."""

_HINGES: tuple[tuple[str, tuple[tuple[str, float], ...]], ...] = tuple(
    hinge
    for side, letter in SIDES
    for hinge in (
        (f"{side}_upper_arm_twist", ((f"upperarm02.{letter}", 1.0),)),
        (f"{side}_elbow", ((f"lowerarm01.{letter}", 1.0),)),
        (f"{side}_forearm_twist", ((f"lowerarm02.{letter}", 0.6), (f"wrist.{letter}", 0.4))),
        (f"{side}_wrist_flexion", ((f"wrist.{letter}", 1.0),)),
        (f"{side}_wrist_deviation", ((f"wrist.{letter}", 1.0),)),
        (f"{side}_thigh_twist", ((f"upperleg02.{letter}", 1.0),)),
        (f"{side}_knee", ((f"lowerleg01.{letter}", 1.0),)),
        (f"{side}_shank_twist", ((f"lowerleg02.{letter}", 1.0),)),
        (f"{side}_toes", tuple((f"toe{toe}-1.{letter}", 1.0) for toe in range(1, 6))),
    )
)
"""Joints with one setting. Elbow and knee: more is more bent; twists: more turns the far end
inward for the lead side, outward for the trail side (the same sense about the bone, upward)."""

TRAVEL = ("pelvis_travel_x", "pelvis_travel_y", "pelvis_travel_z")


def setting_names() -> tuple[str, ...]:
    """The D settings in order; `club_roll` turns the club about its shaft, not a bone."""
    balls = [f"{name}_{axis}" for name, _ in _BALLS for axis in "xyz"]
    return (*TRAVEL, *balls, *(name for name, _ in _HINGES), "club_roll")


@dataclass(frozen=True, eq=False)
class Skeleton:
    """What moves in a body. K moving bones, in an order in which parents come first."""

    body: Body

    @cached_property
    def names(self) -> tuple[str, ...]:
        """The D settings."""
        return setting_names()

    @cached_property
    def index(self) -> dict[str, int]:
        """Setting to column."""
        return {name: i for i, name in enumerate(self.names)}

    @cached_property
    def moving(self) -> tuple[str, ...]:
        """Names of the K moving bones."""
        parts = [part for _, parts in (*_BALLS, *_HINGES) for part in parts]
        used = {bone for bone, _ in parts}
        return tuple(name for name in self.body.bones if name in used)

    @cached_property
    def slot(self) -> dict[str, int]:
        """Moving bone to its place among the K."""
        return {name: i for i, name in enumerate(self.moving)}

    @cached_property
    def parents(self) -> NDArray[np.int64]:
        """(K,) place of the nearest moving bone above, -1 for the root."""
        return np.array([self._moving_above(name) for name in self.moving])

    def _moving_above(self, name: str) -> int:
        bone = self.body.bones.index(name)
        while (bone := int(self.body.bone_parents[bone])) >= 0:
            if self.body.bones[bone] in self.slot:
                return self.slot[self.body.bones[bone]]
        return -1

    @cached_property
    def heads(self) -> Floats:
        """(K, 3) where each moving bone turns, at rest."""
        return self.body.bone_heads[[self.body.bones.index(name) for name in self.moving]]

    @cached_property
    def above(self) -> NDArray[np.bool_]:
        """(K, K) True where the second bone carries the first, or is it."""
        carried = np.eye(len(self.moving), dtype=np.bool_)
        for i, parent in enumerate(self.parents):
            if parent >= 0:
                carried[i] |= carried[parent]
        return carried

    @cached_property
    def mix(self) -> Floats:
        """(K, 3, D): rotation vectors of the bones from the settings."""
        mix = np.zeros((len(self.moving), 3, len(self.names)))
        for name, parts in _BALLS:
            for bone, share in parts:
                for k, axis in enumerate("xyz"):
                    mix[self.slot[bone], k, self.index[f"{name}_{axis}"]] += share
        for name, parts in _HINGES:
            for bone, share in parts:
                mix[self.slot[bone], :, self.index[name]] += share * self.hinge_axis(name)
        return mix

    def at(self, bone: str) -> Floats:
        """(3,) a bone's head at rest."""
        return self.body.bone_heads[self.body.bones.index(bone)]

    def hinge_axis(self, name: str) -> Floats:
        """(3,) unit axis of a hinge in the rest pose."""
        side, joint = name.split("_", 1)
        letter = dict(SIDES)[side]
        if joint == "toes":
            return np.array([0.0, -1.0, 0.0])
        hip, knee, ankle = (self.at(f"{b}.{letter}") for b in ("upperleg01", "lowerleg01", "foot"))
        shoulder, elbow, wrist = (
            self.at(f"{b}.{letter}") for b in ("upperarm01", "lowerarm01", "wrist")
        )
        across = self.at(f"finger2-1.{letter}") - self.at(f"finger5-1.{letter}")
        flexion = unit(across - (across @ unit(wrist - elbow)) * unit(wrist - elbow))
        axes = {
            "upper_arm_twist": shoulder - elbow,
            "elbow": np.cross(elbow - shoulder, wrist - elbow),
            "forearm_twist": elbow - wrist,
            "wrist_flexion": flexion,
            "wrist_deviation": np.cross(flexion, unit(wrist - elbow)),
            "thigh_twist": hip - knee,
            "knee": np.cross(knee - hip, ankle - knee),
            "shank_twist": knee - ankle,
        }
        return unit(axes[joint])

    def vectors(self, settings: Floats) -> Floats:
        """(n, K, 3) rotation vectors of the moving bones."""
        return np.einsum("kcd,nd->nkc", self.mix, settings)

    def pose(self, settings: Floats) -> tuple[Floats, Floats]:
        """World rotations (n, K, 3, 3) from rest, and places (n, K, 3) of the bones' heads."""
        local = turn_matrix(self.vectors(settings))
        world, places = np.empty_like(local), np.empty(local.shape[:3])
        for i, parent in enumerate(self.parents):
            if parent < 0:
                world[:, i] = local[:, i]
                places[:, i] = self.heads[i] + settings[:, : len(TRAVEL)]
                continue
            world[:, i] = world[:, parent] @ local[:, i]
            step = self.heads[i] - self.heads[parent]
            places[:, i] = places[:, parent] + world[:, parent] @ step
        return world, places

    def turning_axes(self, settings: Floats, world: Floats) -> Floats:
        """(n, K, 3, 3) world axes (columns) about which each bone's rotation vector turns it."""
        axes = left_jacobian(self.vectors(settings))
        carried = np.broadcast_to(np.eye(3), axes.shape).copy()
        held = self.parents >= 0
        carried[:, held] = world[:, self.parents[held]]
        return carried @ axes

    def bone_transforms(self, settings: Floats, curls: dict[str, Floats]) -> Floats:
        """(n, B, 3, 4) for every bone of the body; `curls` turn the still ones (fingers)."""
        world, places = self.pose(settings)
        out = np.empty((len(settings), len(self.body.bones), 3, 4))
        for i, name in enumerate(self.body.bones):
            head = self.body.bone_heads[i]
            if name in self.slot:
                rotation, place = world[:, self.slot[name]], places[:, self.slot[name]]
            else:
                above = out[:, self.body.bone_parents[i]]
                rotation = above[..., :3] @ turn_matrix(curls.get(name, np.zeros(3)))
                place = above[..., :3] @ head + above[..., 3]
            out[:, i, :, :3] = rotation
            out[:, i, :, 3] = place - rotation @ head
        return out

"""How golfers look: colouring, hair, clothes, clubs, by chance and the same for the same seed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from studio.draw.club import ClubLook
from studio.performance import Body
from studio.wardrobe.bottoms import Bottom
from studio.wardrobe.fabric import Colour, Fabric
from studio.wardrobe.golfer import Outfit, Person
from studio.wardrobe.hair import Hair
from studio.wardrobe.headwear import Headwear
from studio.wardrobe.skin import Complexion
from studio.wardrobe.tops import Top

SKINS: tuple[Colour, ...] = (
    (0.60, 0.41, 0.33), (0.54, 0.35, 0.27), (0.50, 0.31, 0.22), (0.42, 0.25, 0.17),
    (0.34, 0.20, 0.13), (0.26, 0.148, 0.090), (0.19, 0.103, 0.063), (0.13, 0.069, 0.043),
    (0.085, 0.045, 0.030),
)  # fmt: skip
"""From very light to very dark, linear light (set by eye)."""
HAIRS: tuple[Colour, ...] = (
    (0.010, 0.008, 0.007), (0.022, 0.014, 0.009), (0.050, 0.028, 0.014), (0.10, 0.055, 0.022),
    (0.22, 0.13, 0.055), (0.30, 0.19, 0.09), (0.14, 0.045, 0.015),
)  # fmt: skip
IRISES: tuple[Colour, ...] = (
    (0.04, 0.02, 0.01),
    (0.09, 0.05, 0.02),
    (0.07, 0.09, 0.04),
    (0.06, 0.11, 0.18),
)
VIVID: tuple[Colour, ...] = (
    (0.62, 0.03, 0.03), (0.03, 0.10, 0.45), (0.02, 0.30, 0.32), (0.70, 0.20, 0.02),
    (0.55, 0.05, 0.25), (0.10, 0.35, 0.06), (0.75, 0.55, 0.03), (0.20, 0.05, 0.35),
    (0.15, 0.45, 0.75),
)  # fmt: skip
PALE: tuple[Colour, ...] = (
    (0.82, 0.82, 0.80), (0.70, 0.72, 0.74), (0.62, 0.70, 0.80), (0.75, 0.60, 0.60),
    (0.72, 0.74, 0.60),
)  # fmt: skip
DARK: tuple[Colour, ...] = (
    (0.026, 0.026, 0.029), (0.024, 0.034, 0.075), (0.06, 0.06, 0.065), (0.028, 0.055, 0.038),
    (0.10, 0.10, 0.11),
)  # fmt: skip
EARTH: tuple[Colour, ...] = (
    (0.42, 0.34, 0.22),
    (0.50, 0.45, 0.36),
    (0.22, 0.17, 0.11),
    (0.30, 0.30, 0.28),
    (0.15, 0.16, 0.09),
)


@dataclass(frozen=True, slots=True)
class Look:
    """A person, what he or she wears, and the club."""

    person: Person
    outfit: Outfit
    club: ClubLook


def make_look(rng: np.random.Generator, body: Body) -> Look:
    """A golfer by chance, fitting the body's sex and age."""
    woman = body.phenotype.get("gender", 0.0) > 0.5
    age = float(np.clip((body.phenotype.get("age", 0.67) - 0.5) * 1.6 + rng.normal(0, 0.12), 0, 1))
    return Look(_person(rng, woman, age), _outfit(rng, woman), _club(rng))


def _person(rng: np.random.Generator, woman: bool, age: float) -> Person:
    tone = int(rng.integers(len(SKINS)))
    dark = tone > 3
    hair_colour = HAIRS[int(rng.integers(2 if dark else len(HAIRS)))]
    grey = float(np.clip(age * 1.4 - 0.5 + rng.normal(0, 0.15), 0, 1))
    style = (
        str(rng.choice(["bob", "pony", "pony", "short", "full"]))
        if woman
        else str(
            rng.choice(["cropped", "short", "short", "full", "bald"], p=[0.25, 0.3, 0.2, 0.15, 0.1])
        )
    )
    skin = np.array(SKINS[tone]) * rng.uniform(0.92, 1.08, 3)
    return Person(
        Complexion(
            skin=_colour(skin),
            iris=IRISES[int(rng.integers(2 if dark else 4))],
            brow=_colour(np.array(hair_colour) * 0.8 * (1 - 0.4 * grey) + 0.05 * grey),
            brow_width=float(rng.uniform(0.7, 1.0) if woman else rng.uniform(0.9, 1.5)),
            beard=0.0
            if woman
            else float(rng.choice([0.0, 0.25, 0.5, 0.95], p=[0.4, 0.25, 0.15, 0.2])),
            flush=float(rng.uniform(0.3, 1.0)) * (0.5 if dark else 1.0),
            freckles=float(rng.choice([0.0, 0.5], p=[0.75, 0.25])) * (tone < 3),
            age=age,
            lips=float(rng.uniform(0.5, 1.0) if woman else rng.uniform(0.2, 0.5)),
        ),
        Hair(
            style,
            hair_colour,
            grey,
            0.0 if woman else float(np.clip(age - 0.3, 0, 1) * rng.uniform(0, 1.5)),
        ),
    )


def _outfit(rng: np.random.Generator, woman: bool) -> Outfit:
    kind = str(
        rng.choice(
            ["trousers", "shorts", "skirt"], p=[0.4, 0.2, 0.4] if woman else [0.65, 0.35, 0.0]
        )
    )
    bottom = Bottom(kind, _bottom_cloth(rng), float(rng.uniform(0.85, 1.12)))
    gloved = rng.random() < 0.85
    white = rng.random() < 0.75
    return Outfit(
        top=_top(rng),
        bottom=bottom,
        shoe=_pick(rng, (PALE, 0.6), (DARK, 0.3), (VIVID, 0.1)),
        sole=_pick(rng, (PALE, 0.7), (EARTH, 0.2), (DARK, 0.1)),
        trim=_pick(rng, (DARK, 0.4), (VIVID, 0.4), (PALE, 0.2)),
        sock=None
        if kind != "trousers" and rng.random() < 0.2
        else _pick(rng, (PALE, 0.7), (DARK, 0.3)),
        belt=_pick(rng, (DARK, 0.5), (EARTH, 0.3), (PALE, 0.2)),
        glove=((0.72, 0.72, 0.70) if white else _pick(rng, (DARK, 0.6), (VIVID, 0.4)))
        if gloved
        else None,
        headwear=Headwear(
            kind=str(rng.choice(["cap", "visor", "bucket", "none"], p=[0.55, 0.12, 0.05, 0.28])),
            colour=_pick(rng, (PALE, 0.45), (DARK, 0.35), (VIVID, 0.2)),
            brim=_pick(rng, (PALE, 0.35), (DARK, 0.45), (VIVID, 0.2)),
            badge=_pick(rng, (DARK, 0.4), (VIVID, 0.4), (PALE, 0.2)),
        ),
    )


def _top(rng: np.random.Generator) -> Top:
    pattern = str(
        rng.choice(
            ["plain", "stripes", "check", "speckle", "block"], p=[0.56, 0.2, 0.08, 0.08, 0.08]
        )
    )
    main = _pick(rng, (VIVID, 0.4), (PALE, 0.3), (DARK, 0.2), (EARTH, 0.1))
    style = str(rng.choice(["polo", "pullover", "jacket", "tee"], p=[0.68, 0.14, 0.08, 0.10]))
    fabric = Fabric(
        colour=main,
        second=_pick(rng, (PALE, 0.5), (DARK, 0.3), (VIVID, 0.2)),
        pattern=pattern if style in ("polo", "tee") else str(rng.choice(["plain", "block"])),
        repeat_m=float(rng.uniform(0.02, 0.09))
        if pattern != "block"
        else float(rng.uniform(0.115, 0.13)),
        crumple=float(rng.uniform(0.7, 1.4)),
        gloss=float(rng.uniform(0.01, 0.08)),
        placket=style == "polo",
        weave=float(rng.uniform(0.2, 1.0)),
    )
    ease = float(rng.uniform(0.007, 0.018))
    if style == "pullover":
        return Top(
            fabric,
            sleeve="long",
            collar=str(rng.choice(["round", "stand"])),
            tucked=False,
            ease=ease + 0.006,
            name="pullover",
            hem=0.93,
        )
    if style == "jacket":
        return Top(fabric, "long", "stand", False, ease + 0.010, "jacket", hem=0.91)
    sleeve = (
        str(rng.choice(["short", "half", "none"], p=[0.8, 0.12, 0.08]))
        if style == "polo"
        else "short"
    )
    return Top(
        fabric, sleeve, "polo" if style == "polo" else "round", bool(rng.random() < 0.6), ease,
        cuff=bool(style == "polo" and rng.random() < 0.3),
    )  # fmt: skip


def _bottom_cloth(rng: np.random.Generator) -> Fabric:
    colour = _pick(rng, (EARTH, 0.35), (DARK, 0.40), (PALE, 0.17), (VIVID, 0.08))
    pattern = "check" if rng.random() < 0.08 else "plain"
    second = _colour(np.array(colour) * 0.7)
    return Fabric(colour, second, pattern, 0.035, float(rng.uniform(0.6, 1.2)), 0.02, False, 0.5)


def _club(rng: np.random.Generator) -> ClubLook:
    steel = rng.random() < 0.65
    shaft = (
        np.array([0.55, 0.56, 0.58]) * rng.uniform(0.7, 1.05)
        if steel
        else np.array(_pick(rng, (DARK, 0.6), (VIVID, 0.3), (PALE, 0.1)))
    )
    return ClubLook(
        grip=_pick(rng, (DARK, 0.85), (VIVID, 0.15)),
        shaft=_colour(shaft),
        head=_pick(rng, (DARK, 0.75), (VIVID, 0.15), (PALE, 0.1)),
        ball=(0.85, 0.85, 0.83) if rng.random() < 0.9 else (0.75, 0.72, 0.05),
    )


def _pick(rng: np.random.Generator, *groups: tuple[tuple[Colour, ...], float]) -> Colour:
    """A colour of one of the groups, chosen with their weights, a little off."""
    weights = np.array([weight for _, weight in groups])
    group = groups[int(rng.choice(len(groups), p=weights / weights.sum()))][0]
    return _colour(np.array(group[int(rng.integers(len(group)))]) * rng.uniform(0.85, 1.12))


def _colour(values: np.ndarray) -> Colour:
    red, green, blue = (float(np.clip(value, 0.003, 0.9)) for value in values)
    return red, green, blue

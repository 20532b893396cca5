"""Readings of every shape, for hypothesis: any numbers that the model allows, NaN included."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
from hypothesis import strategies as st

from causeline.model.clip import Called, Clip, Hand, ScaleFrom, View
from causeline.model.filming import Advice, Severity
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import Moment, MomentName, Moments
from causeline.model.motion import TURNS, Motion, SecondView
from causeline.model.reading import Reading, Swing
from causeline.model.tracks import BODY_LANDMARKS, BodyTrack, ClubTrack
from causeline.quantities.clock import Clock

WORDS = st.text(max_size=12)
CHANCES = st.floats(0, 1)
NUMBERS = st.floats(-1e6, 1e6)
SPREADS = st.floats(0, 1e3)
MOMENT_NAMES = st.sampled_from(MomentName)


@st.composite
def readings(draw: st.DrawFn) -> Reading:
    """A whole reading with up to two swings."""
    clip = draw(_clips())
    return Reading(
        clip=clip,
        view=Called(draw(st.sampled_from(View)).value, draw(CHANCES)),
        hand=Called(draw(st.sampled_from(Hand)).value, draw(CHANCES)),
        swings=tuple(draw(st.lists(_swings(len(clip.clock)), max_size=2))),
        filming=tuple(draw(st.lists(st.builds(Advice, WORDS, st.sampled_from(Severity), WORDS)))),
        engine=draw(st.dictionaries(WORDS, WORDS, max_size=3)),
    )


@st.composite
def _clips(draw: st.DrawFn) -> Clip:
    gaps = draw(st.lists(st.integers(1, 5000), max_size=12))
    clock = Clock(
        np.cumsum([0, *gaps]),
        Fraction(1, draw(st.integers(1, 90_000))),
        draw(st.sampled_from([Fraction(1), Fraction(8), Fraction(1, 2), Fraction(1001, 250)])),
    )
    return Clip(
        name=draw(st.text(st.characters(codec="utf-8"), max_size=20)),
        sha256=draw(st.text("0123456789abcdef", min_size=64, max_size=64)),
        width=draw(st.integers(1, 8000)),
        height=draw(st.integers(1, 8000)),
        clock=clock,
        rotation_deg=draw(st.sampled_from([0, 90, 180, 270])),
        codec=draw(WORDS),
        time_scale_from=draw(st.sampled_from(ScaleFrom)),
        repeated=np.array(draw(st.lists(st.booleans(), min_size=len(clock), max_size=len(clock)))),
        damaged=draw(st.integers(0, 9)),
        has_audio=draw(st.booleans()),
    )


@st.composite
def _swings(draw: st.DrawFn, frames: int) -> Swing:
    body = draw(_bodies(frames))
    names = draw(st.lists(MOMENT_NAMES, unique=True))
    found = (Moment(n, draw(NUMBERS), draw(SPREADS), draw(st.integers(0, 99)), "") for n in names)
    missing = tuple((name, draw(WORDS)) for name in MomentName if name not in names)
    rows = len(body)
    club = ClubTrack(_holed(draw, (rows, 2)), _holed(draw, (rows, 2)), _holed(draw, (rows,)))
    return Swing(
        first_frame=0,
        last_frame=frames - 1,
        rehearsal=draw(st.booleans()),
        moments=Moments(tuple(found), missing),
        measures=tuple(draw(st.lists(_measures(), max_size=6))),
        body=body,
        club=draw(st.sampled_from([None, club])),
        motion=draw(st.none() | _motions(body)),
    )


@st.composite
def _motions(draw: st.DrawFn, body: BodyTrack) -> Motion:
    joints, turns = (len(body), len(BODY_LANDMARKS), 3), (len(body), len(TURNS))
    second = SecondView(draw(WORDS), "0" * 64, draw(st.sampled_from(View)), draw(st.booleans()))
    return Motion(
        body.frames,
        body.time_s,
        _holed(draw, joints),
        np.abs(_holed(draw, joints)),
        _holed(draw, turns) * 100,
        np.abs(_holed(draw, turns)),
        "made up",
        second=draw(st.sampled_from([None, second])),
    )


def _measures() -> st.SearchStrategy[Measure | Refusal]:
    moments = st.none() | MOMENT_NAMES
    any_float = st.floats()
    return st.builds(Measure, WORDS, moments, any_float, SPREADS, WORDS, WORDS) | st.builds(
        Refusal, WORDS, moments, WORDS
    )


@st.composite
def _bodies(draw: st.DrawFn, frames: int) -> BodyTrack:
    shape = (frames, len(BODY_LANDMARKS))
    return BodyTrack(
        frames=np.arange(frames),
        time_s=np.arange(frames) / 60,
        xy=_holed(draw, (*shape, 2)) * 1000,
        confidence=np.nan_to_num(_holed(draw, shape)),
        sd_px=_holed(draw, shape),
        width=draw(st.integers(1, 8000)),
        mirrored=draw(st.booleans()),
    )


def _holed(draw: st.DrawFn, shape: tuple[int, ...]) -> np.ndarray:
    """Numbers from 0 to 1 with holes of NaN, seeded: element by element hypothesis is too slow."""
    rng = np.random.default_rng(draw(st.integers(0, 2**16)))
    values = rng.random(shape)
    return np.where(rng.random(shape) < draw(st.sampled_from([0.0, 0.3, 1.0])), np.nan, values)

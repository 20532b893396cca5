"""What the bench is told of a swing, from the records that hold it."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
from scipy.special import erfinv

from causeline.model.clip import Hand
from causeline.model.library import Coach, State
from causeline.model.measures import Refusal
from causeline.model.reading import Swing
from causeline.model.touched import BY_HAND
from causeline.model.tracks import BODY_LANDMARKS, BodyTrack, ClubTrack
from causeline.quantities.angle import Floats
from causeline.reading.bench import run_places, run_scale
from causeline.render.numbers import render_uncertain
from causeline.render.words import MOMENT_SHORT, MOMENT_TITLES, VIEW_WORDS
from causeline.store.library_clips import load_clip, load_clip_cards, load_references
from causeline.store.library_people import load_golfer
from causeline.web.asking import clip_settings
from causeline.web.bench_touch import Touched
from causeline.web.contract.bench import (
    FilmTold,
    MeasureTold,
    MissingTold,
    MomentTold,
    OtherTold,
    PointTold,
    ReadingTold,
    StatureTold,
)
from causeline.web.desk import Desk
from causeline.web.proxying import ProxyState
from causeline.web.shelf import ShelfSwing, swing_name
from causeline.web.words import clip_day, short_day
from causeline.web.work import told as job_told

PLACES = 2
"""Decimals of a pixel that are sent: the tracks tremble by a hundred times as much."""


def swing_title(one: ShelfSwing) -> str:
    """The golfer and the day."""
    return f"{one.golfer.golfer.name}, {short_day(clip_day(one.clip))}"


def about_of(one: ShelfSwing) -> str:
    """View, hand and club in words."""
    parts = [VIEW_WORDS[one.view], f"{one.shown.reading.hand.name}-handed"]
    if one.clip.club is not None:
        parts.append(one.clip.club.value)
    if len(one.shown.reading.swings) > 1:
        parts.append(f"swing {one.shown.number}")
    return " · ".join(parts)


def film_of(one: ShelfSwing, state: ProxyState) -> FilmTold:
    """The frames with their real seconds, on the time scale that the clip was read with."""
    proxy = state.proxy
    if proxy is None or state.film_key is None:
        job = None if state.job is None else job_told(state.job)
        return FilmTold(
            address=None, job=job, width=0, height=0, places_hz=1, numbers=(), seconds=()
        )
    clock = one.shown.reading.clip.clock
    seconds = clock.at_stamps(np.array(proxy.stamps, dtype=np.int64))
    return FilmTold(
        address=f"/bench/{one.name}/film.mp4?v={state.film_key[:16]}",
        job=None,
        width=proxy.width,
        height=proxy.height,
        places_hz=proxy.places_hz,
        numbers=proxy.frames,
        seconds=tuple(float(at) for at in seconds),
    )


def reading_told(one: ShelfSwing, touched: Iterable[Touched]) -> ReadingTold:
    """Tracks, moments and measures as the clip shows them."""
    swing = one.shown.swing
    return ReadingTold(
        reading=one.entry.id,
        numbers=tuple(int(frame) for frame in swing.body.frames),
        points=_points(swing),
        moments=_moments(swing),
        missing=tuple(
            MissingTold(name=name, title=MOMENT_TITLES[name], why=why)
            for name, why in swing.moments.missing
        ),
        measures=_measures(swing),
        stature=_stature(one),
        touched=tuple(told for _, told in touched),
    )


def _moments(swing: Swing) -> tuple[MomentTold, ...]:
    return tuple(
        MomentTold(
            name=moment.name,
            title=MOMENT_TITLES[moment.name],
            short=MOMENT_SHORT[moment.name],
            time_s=moment.time_s,
            sd_s=moment.sd_s,
            frame=moment.frame,
            by_hand=moment.rule == BY_HAND,
        )
        for moment in swing.moments.found
    )


def _points(swing: Swing) -> dict[str, PointTold]:
    body, club = swing.body, swing.club
    shown = body.shown_xy()
    points = {
        name: _point(shown[:, k], body.sd_px[:, k], body.confidence[:, k])
        for k, name in enumerate(BODY_LANDMARKS)
    }
    if club is not None:
        ends = {"grip": club.grip, "hosel": club.shaft_end(), "head": club.head}
        for name, xy in ends.items():
            points[name] = _point(_as_shown(xy, body), _end_sd(club), club.confidence)
    return points


def _end_sd(club: ClubTrack) -> Floats:
    """± of an end along each axis, pixels: what its confidence says of the shaft's direction.

    Confidence is the chance to lie within 5°; both ends have their share in the error.
    """
    sure = np.clip(club.confidence, 0.05, 0.997)
    turn = math.radians(5.0) / (math.sqrt(2.0) * erfinv(sure))
    way = club.shaft_end() - club.grip
    return np.asarray(turn * np.hypot(way[:, 0], way[:, 1]) / math.sqrt(2.0), dtype=float)


def _as_shown(xy: Floats, body: BodyTrack) -> Floats:
    if not body.mirrored:
        return xy
    return np.column_stack([body.width - 1 - xy[:, 0], xy[:, 1]])


def _point(xy: Floats, sd: Floats, sure: Floats) -> PointTold:
    return PointTold(
        x=_numbers(xy[:, 0]),
        y=_numbers(xy[:, 1]),
        sd=_numbers(sd),
        sure=tuple(0.0 if math.isnan(one) else round(one, 3) for one in sure.tolist()),
    )


def _numbers(values: Floats) -> tuple[float | None, ...]:
    return tuple(round(one, PLACES) if math.isfinite(one) else None for one in values.tolist())


def _measures(swing: Swing) -> tuple[MeasureTold, ...]:
    """Lengths once, not again as shares of the stature."""
    places = run_places()
    return tuple(
        MeasureTold(
            moment=each.moment,
            title=places[each.name][0],
            number=(
                ""
                if isinstance(each, Refusal)
                else render_uncertain(each.value, each.sd, each.unit)
            ),
            refused=each.refused if isinstance(each, Refusal) else "",
            points=places[each.name][1],
        )
        for each in swing.measures
        if not each.name.endswith("_percent") and each.name in places
    )


def _stature(one: ShelfSwing) -> StatureTold | None:
    stature = clip_settings(one.golfer.golfer, one.clip).stature_m
    scale = run_scale(one.shown.reading.clip, one.view, one.shown.swing, stature)
    if scale is None:
        return None
    px = scale.stature_px
    return StatureTold(
        px=px.value,
        px_sd=px.sd,
        cm=stature.value * 100 if stature else None,
        cm_sd=stature.sd * 100 if stature else None,
    )


def others_of(desk: Desk, coach: Coach, one: ShelfSwing) -> tuple[OtherTold, ...]:
    """The golfer's other swings, the newest first, then the coach's references."""
    found: dict[str, OtherTold] = {}
    for card in load_clip_cards(desk.library, one.golfer.id):
        if card.reading is None or card.reading.state is not State.READY:
            continue
        for swing in card.swings:
            name = swing_name(card.entry.id, swing.number)
            if swing.rehearsal or name == one.name:
                continue
            found[name] = OtherTold(
                swing=name,
                title=f"{one.golfer.golfer.name}, {short_day(clip_day(card.entry))}",
                about=f"{VIEW_WORDS[swing.view]} · {Hand(swing.hand).value}-handed",
                same_view=swing.view is one.view,
            )
    for reference in load_references(desk.library, coach.id):
        name = swing_name(reference.clip, reference.swing)
        if name == one.name or name in found:
            continue
        clip = load_clip(desk.library, reference.clip)
        whose = load_golfer(desk.library, clip.golfer).golfer.name
        found[name] = OtherTold(
            swing=name,
            title=reference.title or whose,
            about=f"reference · {VIEW_WORDS[reference.view] if reference.view else 'view unknown'}",
            same_view=reference.view is one.view,
        )
    return tuple(sorted(found.values(), key=lambda other: not other.same_view))

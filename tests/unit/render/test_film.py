"""The film: at rest on the very frame of the moment, never backward, words well to be read."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache
from itertools import groupby, pairwise

import numpy as np
import pytest

from causeline.model.clip import Frame, Hand, View
from causeline.model.comparison import Fit
from causeline.model.measures import Measure
from causeline.model.moments import MomentName, Moments
from causeline.progress.align import compare_times
from causeline.progress.beside import compare_fit
from causeline.render.film import HEIGHT, INK, MARK, PAPER, QUIET, WIDTH, render_card, render_film
from causeline.render.film import render_film_length as film_length
from causeline.render.film_panel import _label, render_panel, render_panels
from causeline.render.film_parts import Act, Card, Cast, Film, Partner
from causeline.render.film_plan import RATE_HZ, Beside, Rest, render_plan
from causeline.render.ink import Ink, render_ink
from causeline.render.lettering import TEXT, Style, render_lines_of_text, render_text_width
from causeline.render.marks import SHAPES, Mark, render_mark
from causeline.render.stills import Crop, render_lines
from tests.drawn import drawn_reading

TOP, IMPACT = MomentName.TOP, MomentName.IMPACT


@cache
def _cast(hand: Hand = Hand.RIGHT) -> Cast:
    """A drawn swing whose pictures tell their number in the colour of every pixel."""
    reading = drawn_reading(View.FACE_ON, hand).reading
    clip = reading.clip

    def footage(wanted: Sequence[int], longest: int) -> Iterator[Frame]:
        shrink = min(1.0, longest / max(clip.width, clip.height))
        height, width = round(clip.height * shrink), round(clip.width * shrink)
        for index in wanted:
            if index % 7 or index == wanted[0]:  # some do not decode
                yield Frame(index, np.full((height, width, 3), index % 256, np.uint8), shrink)

    return Cast(reading.swings[0], clip, footage, "You", View.FACE_ON)


def _rest(cast: Cast, name: MomentName, *measures: str) -> Rest:
    moment = cast.swing.moments.get(name)
    assert moment is not None
    taken = tuple(
        each
        for each in cast.swing.measures
        if isinstance(each, Measure) and each.name in measures and each.moment == name
    )
    return Rest(moment, "Here your hips have moved toward the target. Well done.", taken)


def _film(*acts: Act) -> Film:
    card = Card("The one thing", "Keep the knee where it is.", ("For Ivo",))
    return Film(card, acts, card, lambda name: name.value, lambda unit: (1.0, unit))


def test_at_a_rest_both_swings_show_the_frame_of_their_moment() -> None:
    cast, other = _cast(), _cast(Hand.LEFT)
    times = compare_times(cast.swing.moments, other.swing.moments)
    assert times is not None
    beside = Beside(other.swing, lambda time: float(times.to_b(time)))
    rests = [_rest(cast, IMPACT), _rest(cast, TOP)]
    shots = render_plan(cast.swing, rests, beside)
    held = [shot for shot in shots if shot.rest]
    for rest in rests:
        frames = {(shot.frame, shot.other) for shot in held if shot.rest == rest}
        theirs = other.swing.moments.get(rest.moment.name)
        assert theirs is not None
        assert frames == {(rest.moment.frame, theirs.frame)}
        lasts = sum(shot.rest == rest for shot in held) / RATE_HZ
        assert lasts == pytest.approx(rest.lasts_s, abs=0.5 / RATE_HZ)


def test_the_swing_never_runs_backward_and_comes_to_rest_gently() -> None:
    cast = _cast()
    shots = render_plan(cast.swing, [_rest(cast, TOP)])
    assert all(one.time_s <= two.time_s for one, two in pairwise(shots))
    moving = [next(group) for _, group in groupby(shots, key=lambda shot: shot.time_s)]
    steps = np.diff([shot.time_s for shot in moving])
    at = next(i for i, shot in enumerate(moving) if shot.rest)
    assert steps[at - 1] < 0.3 * steps[: at - 1].max()
    assert steps[at] < 0.3 * steps[at:].max()


def test_a_film_has_as_many_pictures_as_it_says_and_ends_whole() -> None:
    whole = _cast()
    short = Moments(whole.swing.moments.found[4:6])
    cast = replace(whole, swing=replace(whole.swing, moments=short))
    partner = Partner(cast, fit=Fit(1.0, 0.0, 0.0, None), to_other=lambda time: time)
    film = _film(Act("Ivo, face-on", cast, (_rest(cast, TOP, "trunk_side_bend"),), partner))
    shapes = [picture.shape for picture in render_film(film)]
    assert len(shapes) == film_length(film)
    assert set(shapes) == {(HEIGHT, WIDTH, 3)}


def test_the_picture_of_a_rest_is_the_frame_of_the_moment() -> None:
    """A frame that does not decode is stood in for by the one before it."""
    cast = _cast()
    (panel,) = render_panels(cast, None, (Crop(0, 0, 400, 420),), lambda unit: (1.0, unit))
    frames = [3, 5, 5, 7, 9]
    assert [frame.index for frame in panel.stream(frames)] == [3, 5, 5, 5, 9]


def test_a_golfer_laid_on_another_stands_at_the_same_height() -> None:
    cast, other = _cast(), _cast(Hand.LEFT)
    fit = compare_fit(cast.swing, other.swing, mirrored=True)
    assert fit is not None
    room = (Crop(0, 100, 500, 800), Crop(520, 100, 500, 800))
    partner = Partner(other, fit, lambda time: time)
    one, two = render_panels(cast, partner, room, lambda unit: (1.0, unit))
    ankles = [
        panel.place(panel.cast.swing.body.shown_xy()[10, 15])
        for panel in (one, two)
    ]  # fmt: skip
    assert ankles[1][1] == pytest.approx(ankles[0][1], abs=2)
    assert ankles[1][0] - two.at[0] == pytest.approx(ankles[0][0] - one.at[0], abs=2)


def test_words_are_read_easily() -> None:
    """WCAG 2.2, 1.4.3: contrast of 4.5 at least between text and ground."""

    def light(colour: tuple[int, int, int]) -> float:
        parts = [c / 255 / 12.92 if c <= 10 else ((c / 255 + 0.055) / 1.055) ** 2.4 for c in colour]
        return float(np.dot(parts, (0.2126, 0.7152, 0.0722)))

    for colour in (INK, QUIET, MARK):
        assert (light(PAPER) + 0.05) / (light(colour) + 0.05) > 4.5


def test_a_card_keeps_its_words_inside_its_edges() -> None:
    page = render_card(
        Card("Kicker", "A long headline that goes on and on. " * 6, ("Note. " * 60,))
    )
    inked = np.any(page != PAPER, axis=(1, 2)), np.any(page != PAPER, axis=(0, 2))
    assert not inked[1][:60].any()
    assert not inked[1][-60:].any()


def test_lines_of_text_are_no_wider_than_asked() -> None:
    style = Style(TEXT, 40, INK)
    lines = render_lines_of_text("At the top your left knee has moved away. " * 3, style, 400)
    assert all(render_text_width(line, style) <= 400 for line in lines)
    assert " ".join(lines).split() == ("At the top your left knee has moved away. " * 3).split()


def test_ink_covers_what_its_width_and_length_say() -> None:
    """A line of length 60 and width 8 with round ends covers 480 + 16 π pixels."""
    picture = np.zeros((100, 100, 3), np.uint8)
    render_ink(picture, (Ink(np.array([[20.3, 50.7], [80.3, 50.7]]), 8.0, (255, 255, 255)),))
    assert picture[..., 0].sum() / 255 == pytest.approx(480 + 16 * np.pi, rel=0.01)
    assert picture[10].sum() == 0


@pytest.mark.parametrize("name", ["pelvis_toward_target", "head_toward_target"])
def test_a_way_is_drawn_from_the_place_at_address_to_the_place_now(name: str) -> None:
    cast = _cast()
    measure = Measure(name, IMPACT, 6.0, 1.0, "cm", "")
    mark = render_mark(cast.swing, measure, View.FACE_ON)
    assert mark is not None
    body, found = cast.swing.body, cast.swing.moments
    part = "hip" if name.startswith("pelvis") else "ear"
    rows = [found.get(each) for each in (MomentName.ADDRESS, IMPACT)]
    xs = [body.middle(part)[row.frame, 0] for row in rows if row]
    arrow = next(line for line in mark.lines if not line.guide)
    assert arrow.points[:, 0] == pytest.approx(xs)


def test_every_drawing_names_a_measure_of_the_catalogue() -> None:
    from causeline.measures.club_catalogue import FULL_CATALOGUE

    views = {spec.name: spec.views for spec in FULL_CATALOGUE}
    assert set(SHAPES) <= set(views)
    turns = {name for name in SHAPES if "turn" in name}  # of no single view
    assert {name: set(seen) for name, (_, seen) in SHAPES.items() if name not in turns} == {
        name: set(views[name]) for name in SHAPES if name not in turns
    }


def test_no_drawing_where_a_point_is_not_known() -> None:
    cast = _cast()
    tempo = Measure("tempo_ratio", None, 3.0, 0.1, "ratio", "")
    assert render_mark(cast.swing, tempo, View.FACE_ON) is None
    measure = Measure("pelvis_toward_target", IMPACT, 6.0, 1.0, "cm", "")
    assert render_mark(cast.swing, measure, View.DOWN_THE_LINE) is None


def test_no_line_leaves_its_picture() -> None:
    """The club of a finish is longer than the room above a golfer."""
    cast = _cast()
    (panel,) = render_panels(cast, None, (Crop(100, 300, 400, 200),), lambda unit: (1.0, unit))
    page = np.full((800, 600, 3), 255, np.uint8)
    finish = cast.swing.moments.get(MomentName.FINISH)
    assert finish is not None
    frame = next(iter(panel.stream([finish.frame])))
    render_panel(page, panel, frame, finish.frame, Rest(finish, ""))
    left, top = panel.at
    page[top : top + panel.size[1], left : left + panel.size[0]] = 255
    assert (page == 255).all()


def test_two_numbers_at_one_place_do_not_lie_on_each_other() -> None:
    """Far above the picture both are brought inside, and one gives way."""
    cast = _cast()
    (panel,) = render_panels(cast, None, (Crop(0, 0, 700, 760),), lambda unit: (1.0, unit))
    swing = cast.swing
    row = int(np.argmin(np.abs(swing.body.frames - 40)))
    drawing = render_lines(swing.body, row, panel.window)
    measure = Measure("pelvis_toward_target", IMPACT, 6.0, 1.0, "cm", "")
    mark = Mark(measure, (), np.array([300.0, -400.0]))
    page = np.zeros((760, 700, 3), np.uint8)
    first = _label(page, panel, drawing, mark, [])
    second = _label(page, panel, drawing, mark, [first])
    assert second[1] >= first[3] or second[3] <= first[1]
    assert min(first[1], second[1]) >= 0

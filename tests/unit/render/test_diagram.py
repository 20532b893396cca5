from __future__ import annotations

import math
import re
from xml.etree import ElementTree

import pytest

from causeline.lesson.choose import compose_resolved
from causeline.lesson.voice import Voice
from causeline.model.clip import Hand
from causeline.model.drill import Diagram, Drill, Mark, Seen
from causeline.model.lesson import Golfer
from causeline.render.diagram import LETTER, TEXT, WIDTH, render_diagram
from causeline.store.drill_files import load_drills
from causeline.store.languages import load_languages, load_words

DRILLS = load_drills()
NAMES = [drill.name for drill in DRILLS]
SVG = "{http://www.w3.org/2000/svg}"


def _root(diagram: Diagram, hand: Hand = Hand.RIGHT) -> ElementTree.Element:
    return ElementTree.fromstring(render_diagram(diagram, hand))


def _numbers(root: ElementTree.Element) -> list[float]:
    return [
        float(number)
        for one in root.iter()
        for key in ("points", "d", "cx", "cy", "x", "y")
        for number in re.findall(r"-?\d+\.?\d*", one.get(key, ""))
    ]


@pytest.mark.parametrize("language", load_languages())
@pytest.mark.parametrize("hand", list(Hand))
@pytest.mark.parametrize("drill", DRILLS, ids=NAMES)
def test_every_drills_picture_lies_within_its_sheet(
    drill: Drill, hand: Hand, language: str
) -> None:
    voice = Voice(load_words(language), Golfer(hand=hand, language=language))
    root = _root(compose_resolved(voice, drill).diagram, hand)
    _, _, width, height = map(float, (root.get("viewBox") or "").split())
    assert width == WIDTH
    for text in root.iter(f"{SVG}text"):
        half = LETTER * TEXT * len(text.text or "") / 2
        x, y = float(text.get("x", "nan")), float(text.get("y", "nan"))
        assert x - half >= 0, text.text
        assert x + half <= width, text.text
        assert TEXT / 2 <= y <= height, text.text
    for one in root.iter(f"{SVG}circle"):
        assert -1 <= float(one.get("cx", "nan")) <= width + 1
        assert -1 <= float(one.get("cy", "nan")) <= height + 1


@pytest.mark.parametrize("drill", DRILLS, ids=NAMES)
def test_no_text_is_small_and_no_number_is_missing(drill: Drill) -> None:
    root = _root(drill.diagram)
    sizes = [float(text.get("font-size", "0")) for text in root.iter(f"{SVG}text")]
    assert all(size >= 13 for size in sizes)
    assert all(math.isfinite(number) for number in _numbers(root))


def test_a_left_handers_picture_is_mirrored_but_its_words_are_not() -> None:
    marks = (Mark("ball", (40, 0)), Mark("ball", (0, 0)), Mark("label", (0, 30), label="here"))
    diagram = Diagram(Seen.ABOVE, "A caption", marks)
    right, left = (
        [float(one.get("cx", "nan")) for one in _root(diagram, hand).iter(f"{SVG}circle")]
        for hand in (Hand.RIGHT, Hand.LEFT)
    )
    assert right[0] - right[1] == pytest.approx(left[1] - left[0], abs=0.2)
    texts = [text.text for text in _root(diagram, Hand.LEFT).iter(f"{SVG}text")]
    assert texts == ["here"]


def test_the_caption_is_the_title_and_is_escaped() -> None:
    diagram = Diagram(Seen.ABOVE, "Feet < hips & so on", (Mark("ball", (0, 0)),))
    title = _root(diagram).find(f"{SVG}title")
    assert title is not None
    assert title.text == "Feet < hips & so on"

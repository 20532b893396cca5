"""Measures and refusals in words: which are told where, and under what title."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName
from causeline.model.reading import Swing
from causeline.render.contract import MeasureBlock, MeasureValue, PlateMeasure, Refused
from causeline.render.numbers import Shown, render_number
from causeline.render.words import MOMENT_PLACES, MOMENT_SHORT, MOMENT_TITLES

FOREMOST = (
    "shoulder_turn",
    "pelvis_turn",
    "stance_width",
    "trunk_forward_bend",
    "trunk_side_bend",
    "posture_change",
    "hands_height",
    "hands_depth",
    "lead_knee_flexion",
    "head_toward_target",
    "head_toward_ball",
    "pelvis_toward_target",
    "pelvis_toward_ball",
    "head_rise",
    "lead_arm_angle",
)
"""Measures that go under a picture first; any other follows in the reading's own order."""

PLATE_MOST = 4
"""Numbers under one picture: more are in the table."""

_NUMBER = r"\d+(?:\.\d+)?"
_UNSIZED = "The number came out without a size or without a ±"


@dataclass(frozen=True, slots=True)
class MeasureText:
    """What the catalogue says of a measure, for people."""

    name: str
    title: str
    explains: str
    """One line: what it is and where its zero lies."""
    direction: str = ""
    """Which way is positive, as in `toward the target`; empty where there is no sign."""


Texts = Mapping[str, MeasureText]


def render_plate_measures(
    swing: Swing, moment: MomentName, texts: Texts
) -> tuple[PlateMeasure, ...]:
    """The few measures told under a moment's picture, the foremost first."""
    here = [one for one in _told(swing, texts) if one.moment == moment]
    here.sort(key=_place)
    return tuple(
        PlateMeasure(_text(one.name, texts).title, _shown(one)) for one in here[:PLATE_MOST]
    )


def render_measures(swing: Swing, texts: Texts, whole: bool) -> tuple[MeasureBlock, ...]:
    """Every measure with its values: those of the whole swing, or those at moments."""
    numbers = {moment.name: place for place, moment in enumerate(swing.moments.found, 1)}
    told = [one for one in _told(swing, texts) if (one.moment is None) == whole]
    blocks: dict[str, list[Measure]] = {}
    for one in told:
        blocks.setdefault(_text(one.name, texts).title, []).append(one)
    return tuple(
        MeasureBlock(
            title=title,
            explains=_explained(_text(ones[0].name, texts)),
            values=tuple(_value(one, numbers) for one in ones),
        )
        for title, ones in blocks.items()
    )


def render_refused(swing: Swing, texts: Texts) -> tuple[Refused, ...]:
    """What could not be told, one entry for each reason, in the order in which reasons come.

    Reasons that differ only in their numbers are one reason with a range. A measure at a moment
    that was not found is not listed: the moment itself is.
    """
    reasons: dict[str, _Reason] = {}
    for name, why in swing.moments.missing:
        _reason(reasons, why).add(MOMENT_TITLES[name], None)
    lost = {name for name, _ in swing.moments.missing}
    done = {(_text(one.name, texts).title, one.moment) for one in _told(swing, texts)}
    for one, why in _untold(swing):
        title = _text(one.name, texts).title
        if one.moment not in lost and (title, one.moment) not in done:
            _reason(reasons, why).add(title, one.moment)
            done.add((title, one.moment))
    return tuple(reason.refused() for reason in reasons.values())


def render_title(name: str, texts: Texts) -> str:
    """A measure's title; the name made readable where the catalogue lacks it."""
    return _text(name, texts).title


def render_tempo(swing: Swing) -> Shown | None:
    """Backswing to downswing as the measures give it, or None."""
    taken = (one for one in _finite(swing) if one.name == "tempo_ratio")
    return next((_shown(one) for one in taken), None)


@dataclass(slots=True)
class _Reason:
    """One reason being gathered: words around numbers, the numbers' ranges, what it refuses."""

    words: list[str]
    ranges: list[tuple[str, str]]
    whats: dict[str, list[MomentName]]

    def widen(self, numbers: list[str]) -> None:
        """Stretch each range over one more set of numbers."""
        pairs = zip(self.ranges, numbers, strict=True)
        self.ranges = [
            (min(low, number, key=float), max(high, number, key=float))
            for (low, high), number in pairs
        ]

    def add(self, title: str, moment: MomentName | None) -> None:
        """One more thing refused for this reason."""
        moments = self.whats.setdefault(title, [])
        if moment is not None and moment not in moments:
            moments.append(moment)

    def refused(self) -> Refused:
        """The reason as the page tells it."""
        numbers = [low if low == high else f"{low} to {high}" for low, high in self.ranges]
        gaps = zip(self.words, [*numbers, ""], strict=True)
        why = "".join(word + number for word, number in gaps)
        return Refused("; ".join(_what(*what) for what in self.whats.items()), why)


def _reason(reasons: dict[str, _Reason], why: str) -> _Reason:
    """The reason with these words, whatever its numbers, made when it is new."""
    words = re.split(_NUMBER, render_sentence(why))
    numbers = re.findall(_NUMBER, why)
    reason = reasons.setdefault("#".join(words), _Reason(words, [(n, n) for n in numbers], {}))
    reason.widen(numbers)
    return reason


def _what(title: str, moments: list[MomentName]) -> str:
    """`Lead elbow (address, top)`; a measure of one moment says it in words."""
    if len(moments) == 1:
        return f"{title}, {MOMENT_PLACES[moments[0]]}"
    places = ", ".join(MOMENT_SHORT[moment].lower() for moment in moments)
    return f"{title} ({places})" if moments else title


def _finite(swing: Swing) -> Iterator[Measure]:
    for one in swing.measures:
        if isinstance(one, Measure) and math.isfinite(one.value) and math.isfinite(one.sd):
            yield one


def _told(swing: Swing, texts: Texts) -> tuple[Measure, ...]:
    """Finite measures; where two share title and moment (centimetres and per cent), the first."""
    kept: dict[tuple[str, MomentName | None], Measure] = {}
    for one in _finite(swing):
        kept.setdefault((_text(one.name, texts).title, one.moment), one)
    return tuple(kept.values())


def _untold(swing: Swing) -> Iterator[tuple[Measure | Refusal, str]]:
    finite = set(map(id, _finite(swing)))
    for one in swing.measures:
        if isinstance(one, Refusal):
            yield one, one.refused
        elif id(one) not in finite:
            yield one, _UNSIZED


def _place(one: Measure) -> int:
    return FOREMOST.index(one.name) if one.name in FOREMOST else len(FOREMOST)


def _value(one: Measure, numbers: Mapping[MomentName, int]) -> MeasureValue:
    if one.moment is None:
        return MeasureValue(0, "", _shown(one))
    return MeasureValue(numbers.get(one.moment, 0), MOMENT_SHORT[one.moment], _shown(one))


def _shown(one: Measure) -> Shown:
    return render_number(one.value, one.sd, one.unit)


def _text(name: str, texts: Texts) -> MeasureText:
    """The catalogue's words; for a measure it lacks, the name itself made readable."""
    plain = name.replace("_", " ")
    return texts.get(name) or MeasureText(name, plain[:1].upper() + plain[1:], "")


def _explained(text: MeasureText) -> str:
    direction = f"positive: {text.direction}" if text.direction else ""
    return " ".join(render_sentence(part) for part in (text.explains, direction) if part)


def render_sentence(text: str) -> str:
    """A sentence with capital and stop, the model's names of moments turned into words."""
    text = text.strip()
    for name in MomentName:
        if "_" in name:
            text = re.sub(rf"\b{name}\b", MOMENT_TITLES[name].lower(), text)
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "!", "?")) or not text else ".")

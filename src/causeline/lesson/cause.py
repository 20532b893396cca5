"""The one thing: what it is, what shows it, what follows from it, how sure that is."""

from __future__ import annotations

from collections.abc import Sequence

from causeline.lesson.faults import FAULTS
from causeline.lesson.telling import compose_base, compose_measured, compose_usual
from causeline.lesson.voice import Voice
from causeline.model.clip import View
from causeline.model.findings import Evidence, Finding, Findings
from causeline.model.lesson import Brief, Line, Link, Part, Still
from causeline.model.words import msg

MOST_EVIDENCE = 3
CLEAR = 1.0
"""Least distance outside a band, in the value's own ±, at which a further value is shown."""


def compose_cause(voice: Voice, cause: Finding, brief: Brief) -> list[Line]:
    """Headline, what it is and costs, its evidence, its effects, how sure."""
    said = FAULTS[cause.name]
    shown = compose_evidence(cause)
    what = voice.say(
        msg("In this swing {does}. It costs you {costs}."),
        does=voice.put(said.does), costs=voice.put(said.costs),
    )  # fmt: skip
    lines = [
        Line("cause.headline", Part.CAUSE, voice.say(said.change), (cause.name,)),
        Line("cause.what", Part.CAUSE, what, (cause.name,), _stills(shown[:1])),
    ]
    lines += [_shown(voice, place, one) for place, one in enumerate(shown, start=1)]
    lines += _effects(voice, cause, brief)
    lines.append(Line("cause.sure", Part.CAUSE, _sure(voice, cause), (cause.name,)))
    return lines


def compose_no_cause(voice: Voice, brief: Brief) -> list[Line]:
    """That nothing is sure enough, and what would settle it."""
    views = {swing.view for swing in brief.swings}
    headline = voice.say(msg("Nothing to change yet."))
    what = voice.say(
        msg("Nothing in this swing stands out surely enough to change it on the strength of one "
            "clip. Swings differ, and good ones do too: studies have found no single ideal. So "
            "there is no drill this time.")
    )  # fmt: skip
    more = (
        voice.say(msg("Five more swings from the same two places would tell."))
        if len(views) == len(View)
        else voice.say(msg("Five more swings would tell, filmed face-on and down the line."))
    )
    return [
        Line("cause.headline", Part.CAUSE, headline),
        Line("cause.what", Part.CAUSE, what),
        Line("cause.more", Part.CAUSE, more),
    ]


def compose_chain(voice: Voice, cause: Finding | None, findings: Findings) -> tuple[Link, ...]:
    """The cause and what follows from it, in order of the swing."""
    if cause is None:
        return ()
    links = [Link(cause.name, voice.put(FAULTS[cause.name].title), None)]
    for name in cause.explains:
        effect = findings.get(name)
        if effect is not None and name in FAULTS:
            because = effect.because or cause.name
            links.append(Link(name, voice.put(FAULTS[name].title), because))
    return tuple(links)


def compose_evidence(cause: Finding) -> list[Evidence]:
    """The clearest values that speak for it, each measure once."""
    ranked = sorted(
        (one for one in cause.evidence if one.speaks_for and one.outside > 0),
        key=lambda one: -one.outside,
    )
    found: dict[str, Evidence] = {}
    for place, one in enumerate(ranked):
        if place == 0 or one.outside >= CLEAR:
            found.setdefault(compose_base(one.measure), one)
    return list(found.values())[:MOST_EVIDENCE]


def _of_its_own(effect: Finding) -> list[Evidence]:
    """The value to show with an effect's words; the clearest where none is clear.

    Evidence comes in the order of the fault's signs: first what means this fault and no other.
    """
    clear = [one for one in effect.evidence if one.speaks_for and one.outside >= CLEAR]
    return (clear or compose_evidence(effect))[:1]


def _shown(voice: Voice, place: int, one: Evidence) -> Line:
    end = _crossed(one)
    usual = compose_usual(voice, one.measure, one.value, end, one.unit) if end is not None else ""
    text = f"{compose_measured(voice, one)} {usual}".strip()
    return Line(f"cause.evidence.{place}", Part.CAUSE, text, (one.measure,), _stills([one]))


def _crossed(one: Evidence) -> float | None:
    """The end of the band that the value lies beyond."""
    if one.low is not None and one.value < one.low:
        return one.low
    if one.high is not None and one.value > one.high:
        return one.high
    return None


def _stills(shown: Sequence[Evidence]) -> tuple[Still, ...]:
    return tuple(
        Still(one.moment, one.view, (one.measure,)) for one in shown if one.moment is not None
    )


def _effects(voice: Voice, cause: Finding, brief: Brief) -> list[Line]:
    """One line for each effect with its reason, and what to do about them: nothing."""
    lines: list[Line] = []
    for name in cause.explains:
        effect = brief.findings.get(name)
        if effect is None or name not in FAULTS:
            continue
        does = voice.put(FAULTS[name].does)
        why = brief.whys.get((effect.because or cause.name, name), "")
        text = (
            voice.say(msg("{does}: {why}."), does=does, why=voice.put(why))
            if why and voice.words.knows(why)
            else voice.say(msg("{does}."), does=does)
        )
        shown = _of_its_own(effect)
        lines.append(Line(f"cause.effect.{name}", Part.CAUSE, text, (name,), _stills(shown)))
    if not lines:
        return []
    text = voice.count(
        msg("This follows from it. Leave it alone for now: it should ease when the cause does, and "
            "if it does not, we take it up next."),
        msg("These follow from it. Leave them alone for now: they should ease when the cause does, "
            "and what does not we take up next."), len(lines),
    )  # fmt: skip
    return [*lines, Line("cause.leave", Part.CAUSE, text, tuple(cause.explains))]


def _sure(voice: Voice, cause: Finding) -> str:
    if cause.rulings:
        return voice.say(msg("I have looked at it and see it so."))
    tenths = min(int(cause.probability * 10), 9)
    return voice.count(
        msg("How sure is that? About {number} in 10, from what can be measured in this film."),
        msg("How sure is that? About {number} in 10, from what can be measured in this film."),
        tenths,
    )

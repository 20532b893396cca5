"""An answer to what the golfer said they were working on, out of their own swing."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from causeline.lesson.cause import compose_evidence
from causeline.lesson.faults import COMING_DOWN, FAULTS
from causeline.lesson.intents import BACK, HURTS, INTENTS, NOT, Intent
from causeline.lesson.strengths import compose_chance_inside
from causeline.lesson.telling import compose_measured
from causeline.lesson.voice import MIRRORED, Voice, compose_listed
from causeline.model.clip import Hand, View
from causeline.model.findings import Finding, Findings
from causeline.model.lesson import Back, Golfer, Line, Part, Still
from causeline.model.measures import Measure, Refusal
from causeline.model.words import msg

Seen = Mapping[View, Sequence[Measure | Refusal]]

MOST = 3
FOR_A_CLINICIAN = msg(
    "You write that something hurts. That is nothing a lesson can answer: please have a clinician "
    "look at it before you practise, and tell me what they say."
)
SOUND = 0.7
"""Least probability that a measure lies where nothing is wrong."""
_ANY_HURT = "|".join(HURTS.values())
_ANY_BACK = "|".join(BACK.values())
"""In whatever language it is written: nobody is to be misunderstood here."""
STEMS = {"en": {"left": "left", "right": "right"}, "de": {"left": "link", "right": "recht"}}


@dataclass(frozen=True, slots=True)
class Swing:
    """What an answer may speak from."""

    seen: Seen
    findings: Findings
    cause: Finding | None
    """The one thing to change, if there is one."""


@dataclass(frozen=True, slots=True)
class Understood:
    """What of the golfer's words was understood."""

    intents: tuple[Intent, ...]
    not_understood: tuple[str, ...]
    """Sentences that only the coach can answer."""
    hurts: tuple[str, ...] = ()
    """Sentences that speak of pain or injury: they are for a clinician."""
    back_hurts: bool = False


def compose_understood(said: str, hand: Hand, language: str) -> Understood:
    """Each sentence searched for what golfers speak of; one said with "not" goes to the coach."""
    tongue = language.split("-")[0]
    tongue = tongue if tongue in NOT else "en"
    found: list[Intent] = []
    unknown: list[str] = []
    hurts: list[str] = []
    for sentence in (part.strip() for part in re.split(r"[.!?;\n]+", said)):
        small = sentence.lower()
        if not sentence or re.search(_ANY_HURT, small):
            hurts += [sentence] if sentence else []
            continue
        hits = [one for one in INTENTS if _speaks_of(one, small, hand, tongue)]
        found += [one for one in hits if one not in found]
        if not hits:
            unknown.append(sentence)
    back = any(re.search(_ANY_BACK, one.lower()) for one in hurts)
    return Understood(tuple(found), tuple(unknown), tuple(hurts), back)


def compose_spared(golfer: Golfer) -> Golfer:
    """The golfer, their back troubled where they wrote so and nobody has said it is well."""
    understood = compose_understood(golfer.said, golfer.hand, golfer.language)
    if understood.back_hurts and golfer.back is Back.NOT_ASKED:
        return replace(golfer, back=Back.TROUBLED)
    return golfer


def compose_answers(voice: Voice, swing: Swing) -> tuple[list[Line], list[str]]:
    """Lines for the golfer, and what the coach is asked to answer."""
    said = voice.golfer.said.strip()
    if not said:
        return [], []
    understood = compose_understood(said, voice.golfer.hand, voice.words.language)
    ask = [
        f"Your golfer wrote “{sentence}”: nothing here knows what is meant. Please answer yourself."
        for sentence in understood.not_understood
    ]
    ask += [f"Your golfer wrote “{one}”: that is for a clinician." for one in understood.hurts]
    lines = [Line("answer.said", Part.ANSWER, voice.say(msg("You wrote: “{said}”"), said=said))]
    if understood.hurts:
        lines.append(Line("answer.hurts", Part.ANSWER, voice.say(FOR_A_CLINICIAN)))
    for intent in understood.intents[:MOST]:
        line = _answer(voice, intent, swing)
        if line is None:
            topic = voice.put(intent.topic)
            ask.append(
                f"Your golfer speaks of: {topic}. This swing does not tell. Please answer yourself."
            )
        else:
            lines.append(line)
    ask += [
        f"Your golfer also speaks of: {voice.put(one.topic)}. Three answers are enough in one "
        "lesson; this one is yours."
        for one in understood.intents[MOST:]
    ]
    if len(lines) == 1:
        lines.append(
            Line("answer.coach", Part.ANSWER, voice.say(msg("I shall answer that myself.")))
        )
    return lines, ask


def _speaks_of(intent: Intent, sentence: str, hand: Hand, tongue: str) -> bool:
    lead = "left" if hand is Hand.RIGHT else "right"
    stems = STEMS[tongue]
    pattern = intent.patterns[tongue].replace("LEADSIDE", stems[lead])
    pattern = pattern.replace("TRAILSIDE", stems[MIRRORED[lead]])
    return any(
        not re.search(NOT[tongue], sentence[: hit.start()])
        for hit in re.finditer(pattern, sentence)
    )


def _answer(voice: Voice, intent: Intent, swing: Swing) -> Line | None:
    for tried in (_chased, _seen, _follows, _sound):
        line = tried(voice, intent, swing)
        if line is not None:
            return line
    return None


def _chased(voice: Voice, intent: Intent, swing: Swing) -> Line | None:
    """The golfer worked on something until it hurt: said kindly, from their own numbers."""
    found = [one for one in map(swing.findings.get, intent.chased) if one is not None]
    if not found or swing.cause is None:
        return None
    shown = [one for finding in found for one in compose_evidence(finding)[:1]]
    parts = [_kindly(voice, done=found[0].name == intent.chased[0])]
    parts += [compose_measured(voice, one) for one in shown[:1]]
    parts += _what_came(voice, swing.cause)
    parts.append(
        voice.say(
            msg("So for these weeks turn a little less on purpose. It will feel too short; that is "
                "how it should feel. More turn is not better in itself, only turn that you can "
                "swing from."))
    )  # fmt: skip
    source = (*(finding.name for finding in found), *(one.measure for one in shown[:1]))
    stills = tuple(
        Still(one.moment, one.view, (one.measure,)) for one in shown[:1] if one.moment is not None
    )
    return Line(f"answer.{intent.name}", Part.ANSWER, " ".join(parts), source, stills)


def _kindly(voice: Voice, *, done: bool) -> str:
    """`done`: the turn itself was found to be large, not only what comes of it."""
    if done:
        return voice.say(
            msg("You have been working on turning more, and you have done it. That took work, and "
                "it is a good thing to want. But a turn is worth as much as what holds it.")
        )  # fmt: skip
    return voice.say(
        msg("You have been working on turning more. That is a good thing to want, but a turn is "
            "worth as much as what holds it.")
    )  # fmt: skip


def _what_came(voice: Voice, cause: Finding) -> list[str]:
    """What follows in the downswing, if anything does."""
    effects = [voice.put(FAULTS[name].does) for name in cause.explains if name in COMING_DOWN]
    if not effects:
        return []
    return [
        voice.say(
            msg("From there you have to find your way back in a hurry, and so {effects}."),
            effects=compose_listed(voice, effects[:3]),
        )
    ]


def _seen(voice: Voice, intent: Intent, swing: Swing) -> Line | None:
    """What the golfer feels is there: as the cause, as an effect, or beside it."""
    finding = next((one for one in map(swing.findings.get, intent.faults) if one), None)
    if finding is None or intent.flight or finding.name not in FAULTS:
        return None
    does = voice.put(FAULTS[finding.name].does)
    cause = swing.cause
    if cause is None:
        text = voice.say(
            msg("You may be right that {does}: one clip does not settle it."), does=does
        )
    elif finding.name == cause.name:
        text = voice.say(
            msg("You felt the right thing: {does}. It is the one thing to work on."), does=does
        )
    elif finding.name in cause.explains:
        text = voice.say(
            msg("You are right that {does}. In this swing it follows from something earlier: "
                "{cause}. Work on that, and leave this alone for now."),
            does=does, cause=voice.put(FAULTS[cause.name].does),
        )  # fmt: skip
    else:
        text = voice.say(
            msg("You are right that {does}. There is something that explains more of this swing, "
                "so this comes second."), does=does,
        )  # fmt: skip
    return Line(f"answer.{intent.name}", Part.ANSWER, text, (finding.name,))


def _follows(voice: Voice, intent: Intent, swing: Swing) -> Line | None:
    """What the ball does, from what was found to bring it about."""
    if not intent.flight or swing.cause is None:
        return None
    finding = next((one for one in map(swing.findings.get, intent.faults) if one), None)
    if finding is None or finding.name not in FAULTS:
        return None
    topic, does = voice.put(intent.topic), voice.put(FAULTS[finding.name].does)
    if finding.name == swing.cause.name:
        text = voice.say(
            msg("{topic} goes with what your swing shows: {does}. It should ease as that does; "
                "tell me if it does not."), topic=topic, does=does,
        )  # fmt: skip
    else:
        text = voice.say(
            msg("{topic} goes with what your swing shows: {does}. Leave it alone for now. It "
                "should ease as the one thing above changes; tell me if it does not."),
            topic=topic, does=does,
        )  # fmt: skip
    return Line(f"answer.{intent.name}", Part.ANSWER, text, (finding.name,))


def _sound(voice: Voice, intent: Intent, swing: Swing) -> Line | None:
    """Measured, and nothing is wrong there."""
    sound = intent.sound
    if sound is None:
        return None
    wanted = (sound.measure, sound.moment)
    for view, measures in swing.seen.items():
        for one in measures:
            if not isinstance(one, Measure) or (one.name, one.moment) != wanted:
                continue
            if compose_chance_inside(one.value, one.sd, sound.low, sound.high) < SOUND:
                continue
            text = voice.say(
                msg("{topic}: {told} Nothing is wrong with that in this swing; leave it alone."),
                topic=voice.put(intent.topic), told=compose_measured(voice, one),
            )  # fmt: skip
            stills = () if one.moment is None else (Still(one.moment, view, (one.name,)),)
            return Line(f"answer.{intent.name}", Part.ANSWER, text, (one.name,), stills)
    return None

"""Headings and captions of a lesson's page and film, in the golfer's language."""

from __future__ import annotations

from causeline.lesson.telling import MOMENTS
from causeline.lesson.voice import Voice
from causeline.model.words import msg

LABELS: dict[str, str] = {
    "lesson": msg("Lesson"),
    "lesson.for": msg("For {name}"),
    "lesson.by": msg("From {coach}"),
    "part.strengths": msg("What you do well"),
    "part.cause": msg("The one thing"),
    "part.answer": msg("What you asked"),
    "part.drills": msg("How to practise it"),
    "part.later": msg("For later"),
    "part.checkpoint": msg("How you will know"),
    "part.plan": msg("Your plan"),
    "part.expect": msg("What to expect"),
    "part.film": msg("Filming again"),
    "part.care": msg("Take care"),
    "cause.sign": msg("What shows it"),
    "cause.chain": msg("What follows from it"),
    "drill.purpose": msg("What it is for"),
    "drill.equipment": msg("You need"),
    "drill.nothing": msg("nothing but a club"),
    "drill.place": msg("Where"),
    "drill.indoors": msg("indoors"),
    "drill.outdoors": msg("outdoors"),
    "drill.either": msg("indoors or outdoors"),
    "drill.setup": msg("Set it up"),
    "drill.steps": msg("Do it"),
    "drill.dose": msg("How many"),
    "drill.feel": msg("How it should feel"),
    "drill.cue": msg("Think only of this"),
    "drill.slips": msg("When it goes wrong"),
    "drill.cautions": msg("Mind"),
    "drill.stages": msg("Stages"),
    "drill.move_on": msg("Go on when"),
    "check.now": msg("now"),
    "check.target": msg("next"),
    "check.band": msg("usual"),
    "plan.day": msg("Day"),
    "plan.time": msg("Time"),
    "plan.minutes": msg("Minutes"),
    "plan.done": msg("Done"),
    "film.day": msg("Film again"),
    "swing.yours": msg("You"),
    "swing.reference": msg("A sound swing"),
    "view.face-on": msg("face-on"),
    "view.down-the-line": msg("down the line"),
}


def compose_labels(voice: Voice, coach: str) -> dict[str, str]:
    """Every label by its key; `moment.top` and the like name the moments."""
    name = voice.golfer.name
    said = {key: voice.put(text, name=name, coach=coach) for key, text in LABELS.items()}
    moments = {
        f"moment.{moment.value}": voice.say(text)
        for moment, text in MOMENTS.items()
        if moment is not None
    }
    return said | moments

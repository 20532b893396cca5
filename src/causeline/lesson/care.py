"""What has to be said wherever there is something to practise."""

from __future__ import annotations

from collections.abc import Sequence

from causeline.lesson.voice import Voice
from causeline.model.drill import Drill
from causeline.model.lesson import Back, Line, Part
from causeline.model.words import msg

WARM_UP = msg(
    "Warm up first, moving: five minutes of walking, arm circles, easy turns and slow half swings "
    "that grow longer. Leave long held stretches for afterwards."
)
PAIN = msg(
    "Stop when something hurts, and do not swing through it. If it is not gone by the next day, "
    "see a clinician before you go on."
)
BACK_ASKED = msg(
    "Before you start: do you have trouble with your back, or have you had it in the last year? "
    "Then leave the turning drills out until a clinician has said that they are fine for you, and "
    "tell me."
)
BACK_TROUBLED = msg(
    "You told me about your back, so the drills that turn it hard are left out. Ask a clinician "
    "before you practise these ones, and stop at the first sign."
)
ROOM = msg(
    "Look round before every swing: nobody within two club lengths, nothing overhead, nobody in "
    "the way of the ball. Sticks stand so that you cannot fall onto them, and balls that you do "
    "not hit lie where you cannot step on them."
)
JUNIOR = msg(
    "You are still growing, so keep it short: twice a week is plenty, with other sports on the "
    "other days, and somebody grown up close by."
)
MEASURE = msg(
    "More is not simply better: a bigger turn or a harder swing is no aim here. Nothing in this "
    "lesson says anything about your health."
)
RULES = msg(
    "Where your range, club or teacher has rules of their own, those come first. Your teaching "
    "professional decides; this lesson is there to support that."
)


def compose_care(voice: Voice, drills: Sequence[Drill], left_out: bool) -> list[Line]:
    """The lines of care; those of the back and of growing only where they concern the golfer."""
    lines = {"warm_up": WARM_UP, "pain": PAIN}
    if voice.golfer.back is Back.TROUBLED or left_out:
        lines["back"] = BACK_TROUBLED
    elif voice.golfer.back is Back.NOT_ASKED and any(drill.rotation for drill in drills):
        lines["back"] = BACK_ASKED
    if voice.golfer.junior:
        lines["junior"] = JUNIOR
    lines |= {"room": ROOM, "measure": MEASURE, "rules": RULES}
    return [Line(f"care.{key}", Part.CARE, voice.say(text)) for key, text in lines.items()]

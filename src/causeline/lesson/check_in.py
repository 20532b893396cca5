"""What a check-in is answered with, in the golfer's words: short, warm, never scolding."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from babel.dates import format_skeleton

from causeline.lesson.telling import MOMENTS, compose_measured
from causeline.lesson.voice import Voice
from causeline.model.clip import Hand, View
from causeline.model.filming import Advice, Severity
from causeline.model.lesson import Checkpoint
from causeline.model.measures import Measure
from causeline.model.practice import Moved, Why, Word
from causeline.model.words import msg
from causeline.quantities.uncertain import Uncertain

WORDS: dict[Word, str] = {
    Word.THERE: msg("You are there."),
    Word.NEARLY: msg("Nearly."),
    Word.NOT_YET: msg("Not yet."),
    Word.UNSEEN: msg("It could not be seen this time."),
}
MOVED: dict[Moved, str] = {
    Moved.RIGHT_WAY: msg("Since your lesson it has moved the right way."),
    Moved.OTHER_WAY: msg(
        "Since your lesson it has gone a little the other way. That happens while something new is "
        "being learned, and your coach sees it too."
    ),
    Moved.NOT_TOLD: msg(
        "One film cannot yet tell it from the swing of your lesson. That says nothing against your "
        "practice."
    ),
}
NEXT: dict[Word, str] = {
    Word.THERE: msg("Film it once more on another day: what is still there then has stayed."),
    Word.NEARLY: msg("Go on just as you are."),
    Word.NOT_YET: msg("Go on with the next practice as planned; there is no hurry."),
}
AGAIN = msg("That is the second day on which it was there. What comes next is on its way to you.")
KEPT = msg("Your clip is kept, and your coach can look at it.")
VIEWS: dict[View, str] = {
    View.FACE_ON: msg("from the front"),
    View.DOWN_THE_LINE: msg("from behind your hands"),
}
HANDS: dict[Hand, str] = {Hand.LEFT: msg("left-handed"), Hand.RIGHT: msg("right-handed")}


def compose_outcome(
    voice: Voice, checkpoint: Checkpoint, seen: tuple[Word, Moved, Uncertain, int], again: bool
) -> tuple[str, ...]:
    """The word, what was measured with its ±, the step, where it goes, what to do next.

    `seen` is the word, where it moved, the mean and of how many swings; `again` says that it was
    there on an earlier day too.
    """
    word, moved, value, swings = seen
    one = Measure(checkpoint.measure, checkpoint.moment, value.value, value.sd, checkpoint.unit, "")
    following = AGAIN if word is Word.THERE and again else NEXT[word]
    return (
        voice.say(WORDS[word]),
        compose_measured(voice, one),
        voice.say(msg("The step was: {title}."), title=_begun_small(checkpoint.title)),
        *(() if word is Word.THERE else (voice.say(MOVED[moved]),)),
        _swings(voice, swings),
        voice.say(following),
    )


def compose_unseen(voice: Voice, *reasons: str) -> tuple[str, ...]:
    """That it could not be seen, why, and that nothing is lost."""
    return (voice.say(WORDS[Word.UNSEEN]), *reasons, voice.say(KEPT))


def compose_same(voice: Voice, day: date | None) -> str:
    """The clip came before: on that day, or as the lesson's own where there is none."""
    if day is None:
        return voice.say(
            msg("This is the clip that your lesson was made from. Send one that you filmed since.")
        )
    return voice.say(
        msg("You sent this clip already, on {day}. Its answer stays as it was."),
        day=voice.day(day),
    )


def compose_old(voice: Voice, filmed: date, lesson: date) -> str:
    """The clip is older than the lesson; years are told, for it may be last year's."""
    return voice.say(
        msg("This clip was filmed on {day}, before your lesson on {lesson}. Send one that you "
            "filmed since."),
        day=_dated(voice, filmed), lesson=_dated(voice, lesson),
    )  # fmt: skip


def compose_wrong_view(voice: Voice, shown: View, wanted: View) -> str:
    """Filmed from the other place."""
    return voice.say(
        msg("This clip shows you {shown}. What you are working on can only be seen {wanted}: stand "
            "the phone there next time, as the page shows."),
        shown=voice.put(VIEWS[shown]), wanted=voice.put(VIEWS[wanted]),
    )  # fmt: skip


def compose_other_hand(voice: Voice, shown: Hand) -> str:
    """Somebody who plays the other way round, or a mirrored film."""
    return voice.say(
        msg("Whoever swings in this clip plays {hand}, and you do not. Is it somebody else, or was "
            "it filmed with the selfie camera, which mirrors you? Use the camera on the back."),
        hand=voice.put(HANDS[shown]),
    )  # fmt: skip


def compose_why(voice: Voice, why: Why) -> str:
    """The reasons that need nothing put in."""
    return voice.say(_WHYS[why])


def compose_not_measured(voice: Voice, checkpoint: Checkpoint, refused: str) -> tuple[str, ...]:
    """Refused, with the reading's own reason where the language has it."""
    when = voice.put(MOMENTS[checkpoint.moment])
    told = voice.say(
        msg("What you are working on could not be measured {when} in this clip."), when=when
    )
    return (told, refused) if refused and voice.words.knows(refused) else (told,)


def compose_unsure(voice: Voice, checkpoint: Checkpoint, sd: float) -> str:
    """Measured, but less surely than the whole step."""
    return voice.say(
        msg("It could be measured only to ± {amount}, which is more than the whole step."),
        amount=voice.amount(sd, checkpoint.unit),
    )


def compose_better(voice: Voice, filming: Sequence[Advice]) -> tuple[str, ...]:
    """The costliest thing to do better when filming, where the language has the words."""
    for severity in (Severity.SPOILS, Severity.COSTS):
        for one in filming:
            if one.severity is severity and voice.words.knows(one.advice):
                return (voice.say(one.advice),)
    return ()


_WHYS: dict[Why, str] = {
    Why.UNREADABLE: msg(
        "No whole swing could be read from this clip. All of you and the club should be in the "
        "picture, from before you start until the finish."
    ),
    Why.FAILED: msg("Something went wrong on our side, not with your clip. It will be read again."),
    Why.NO_CHECKPOINT: msg(
        "No number in a film tells how this one goes. Count as your lesson says."
    ),
    Why.NO_BALL: msg(
        "Only practice swings were found in this clip. Film some with a ball, at full speed: that "
        "is where it counts."
    ),
}


def _swings(voice: Voice, swings: int) -> str:
    if swings == 1:
        return voice.say(msg("That is from one swing; three to five tell more."))
    return voice.count(
        msg("That is the mean of {number} swing."), msg("That is the mean of {number} swings."),
        swings,
    )  # fmt: skip


def _begun_small(title: str) -> str:
    return title[:1].lower() + title[1:]


def _dated(voice: Voice, day: date) -> str:
    """`4 May 2026`, as the language has it."""
    return str(format_skeleton("yMMMMd", day, locale=voice.locale))

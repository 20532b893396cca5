"""What stands on the golfer's own page beside the lesson's lines, in the golfer's language."""

from __future__ import annotations

from causeline.lesson.voice import Voice
from causeline.model.words import msg

# A name in brackets is put in by the page itself, in the browser.
# fmt: off
PRACTICE: dict[str, str] = {
    "today": msg("Today"),
    "today.practice": msg("Practice [number] of [count], about [minutes] minutes"),
    "today.late": msg("This one was for [day]. Today is just as good."),
    "today.rest": msg("Nothing today: rest is part of the plan. Next practice: [day]."),
    "today.early": msg("Practise now all the same"),
    "today.film": msg("Today is for filming, before you practise."),
    "today.over": msg("All practices are done. Film again, and see what has stayed."),
    "count": msg("Count"),
    "count.one": msg("One done"),
    "count.of": msg("[number] of [count]"),
    "count.set": msg("Set [number] of [count]"),
    "count.all": msg("All sets done"),
    "count.again": msg("Count from the start"),
    "clock.start": msg("Start the clock"),
    "clock.pause": msg("Pause"),
    "clock.over": msg("Time is up. That is enough for today."),
    "tick": msg("Practice done"),
    "tick.undo": msg("Take it back"),
    "ticked": msg("Done. Good that you did it."),
    "felt": msg("How did it feel?"),
    "felt.hint": msg("A word or two, as you would tell me at the range."),
    "felt.send": msg("Send to {coach}"),
    "felt.send.nobody": msg("Send"),
    "send.waits": msg("Kept on this phone. It goes by itself as soon as there is a network."),
    "send.sent": msg("Sent."),
    "send.refused": msg("It could not be taken: [reason]"),
    "send.sending": msg("Sending, [percent] %"),
    "send.slow": msg("Too much came at once. It goes again by itself in a minute."),
    "reminders": msg("Remind me, in my own words"),
    "reminders.why": msg("Plans that hang on something you do anyway are kept more often. Say it "
                         "as you would say it."),
    "reminders.cue": msg("When …"),
    "reminders.cue.such": msg("I get home on Tuesday"),
    "reminders.act": msg("… then"),
    "reminders.act.such": msg("I do ten swings with the towel"),
    "reminders.day": msg("Day"),
    "reminders.no_day": msg("No fixed day"),
    "reminders.hour": msg("Hour, if your calendar should ring"),
    "reminders.keep": msg("Keep it"),
    "reminders.away": msg("Take it back"),
    "reminders.amiss": msg("Please write both: what happens anyway, and what you do then."),
    "reminders.calendar": msg("Fetch the calendar again, and it rings."),
    "reminders.back": msg("Back to your page"),
    "film": msg("Film yourself"),
    "film.show": msg("Show me where to stand"),
    "film.record": msg("Film with this page"),
    "film.stop": msg("Stop filming"),
    "film.close": msg("Close the camera"),
    "film.starts": msg("Filming starts in [seconds]"),
    "film.pick": msg("Choose a film"),
    "film.send": msg("Send this clip"),
    "film.best": msg("Your phone's own camera in slow motion shows more. Prop it up as the drawing "
                     "shows, film, and choose the film here."),
    "film.no_camera": msg("This page gets no camera here. Prop the phone up as the drawing shows, "
                          "film with the phone's own camera, and choose the film below."),
    "film.no_film": msg("That file is no film that can be opened. Choose another."),
    "film.too_large": msg("That film is too long or too large. Three to five swings are enough."),
    "film.again": msg("Film again: [day]"),
    "film.said": msg("What you were working on, or how it felt"),
    "film.day": msg("The day on which it was filmed, as your phone has it. Put it right if it is "
                    "wrong."),
    "film.place.face-on": msg("The phone stands upright, square to your chest, at the height of "
                              "your hands."),
    "film.place.down-the-line": msg("The phone stands upright behind your hands, looking along "
                                    "your feet at the target, at the height of your hands."),
    "film.line.head": msg("Head"),
    "film.line.feet": msg("Feet"),
    "film.line.ball": msg("Ball"),
    "film.line.hands": msg("Hands"),
    "film.line.phone": msg("Phone"),
    "film.line.target": msg("Target"),
    "film.alt.face-on": msg("Outline of a golfer seen from the front, with room for the club "
                            "above the head and on both sides"),
    "film.alt.down-the-line": msg("Outline of a golfer seen from behind the hands, with room for "
                                  "the club above the head and the ball in front"),
    "film.from_above": msg("From above: where you stand, and where the phone stands"),
    "talk": msg("{coach} talks you through it"),
    "talk.nobody": msg("Talked through"),
    "back": msg("What came back"),
    "back.reading": msg("Your clip has arrived and is being read. The answer will stand here."),
    "back.waits": msg("{coach} has it."),
    "back.waits.nobody": msg("Your coach has it."),
    "back.you": msg("You wrote"),
    "back.coach": msg("{coach} answers"),
    "back.coach.nobody": msg("Your coach answers"),
    "back.film": msg("Read from your clip"),
    "back.not_me": msg("That is not me"),
    "back.not_me.done": msg("Thank you. It does not count, and your coach knows."),
    "why": msg("Why this one thing"),
    "later": msg("More of the lesson"),
    "file": msg("The whole lesson in one file"),
    "calendar": msg("The practices for your calendar"),
    "offline": msg("No network. Everything here works all the same."),
    "withdrawn": msg("This page has been withdrawn. Ask your coach for a new one."),
    "kept": msg("This page can stay on your home screen: choose “Add to home screen” in the "
                "browser's menu. It then opens without a network."),
    "private": msg("This page is yours alone. Whoever has its address can see it: do not pass it "
                   "on."),
    "no_script": msg("Counting, ticking and sending need JavaScript. The lesson can be read "
                     "without."),
    "pictures": msg("The pictures are being drawn. Look again in a minute."),
}
# fmt: on


def compose_practice_labels(voice: Voice, coach: str) -> dict[str, str]:
    """Every label by its key. Without a coach's name those that need one take their other form."""
    said: dict[str, str] = {}
    for key, text in PRACTICE.items():
        nameless = PRACTICE.get(f"{key}.nobody")
        said[key] = voice.put(nameless if nameless and not coach else text, coach=coach)
    return said

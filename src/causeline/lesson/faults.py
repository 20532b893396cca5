"""Every fault, said to the golfer: its name, what they do, what it costs, what to do instead.

`does` is a clause that also stands before a colon; `costs` ends "It costs you …"; `change` is
the one thing to change, said as something to do. Sides are put in.
"""

from __future__ import annotations

from dataclasses import dataclass

from causeline.model.words import msg


@dataclass(frozen=True, slots=True)
class Said:
    """One fault in the second person."""

    title: str
    does: str
    costs: str
    change: str


# fmt: off
FAULTS: dict[str, Said] = {
    "stance_too_wide": Said(
        msg("Stance too wide"), msg("your feet stand far outside your hips"),
        msg("turn, and a smooth way over to your {lead} foot"),
        msg("Bring your feet closer together.")),
    "stance_too_narrow": Said(
        msg("Stance too narrow"), msg("your feet stand close together"),
        msg("balance when you swing hard"),
        msg("Give yourself a wider stance.")),
    "too_upright_at_address": Said(
        msg("Too upright at address"), msg("you stand almost upright to the ball"),
        msg("room for your arms to swing down instead of round"),
        msg("Bend from the hips until your arms hang free.")),
    "bent_over_at_address": Said(
        msg("Bent over at address"), msg("you bend far down to the ball"),
        msg("room to turn"),
        msg("Stand a little taller to the ball.")),
    "ball_too_far_back": Said(
        msg("Ball too far back"), msg("the ball lies too far back in your stance"),
        msg("height, and a clean meeting with the ball"),
        msg("Move the ball toward your {lead} foot.")),
    "ball_too_far_forward": Said(
        msg("Ball too far forward"), msg("the ball lies too far forward in your stance"),
        msg("a square start to the downswing: you have to reach for the ball"),
        msg("Move the ball back toward the middle.")),
    "over_turn": Said(
        msg("Over-turn"), msg("you turn further than your {lead} side can hold"),
        msg("the ground you want to swing from, and time to come back"),
        msg("Turn only as far as your {lead} leg stays quiet.")),
    "lead_knee_running_in": Said(
        msg("Lead knee running in"), msg("your {lead} knee runs in toward the other one"),
        msg("something to turn against, and something to land on"),
        msg("Let your {lead} knee stay where it is while you swing back.")),
    "club_inside": Said(
        msg("Club taken back inside"), msg("the club goes back behind you"),
        msg("a free way down: from behind you the club has to be lifted over"),
        msg("Keep the club in front of you as it goes back.")),
    "club_outside": Said(
        msg("Club taken back outside"), msg("the club goes back outside your hands"),
        msg("a way down from the inside"),
        msg("Let the club go back along the line, then in.")),
    "sway": Said(
        msg("Sway"), msg("your hips slide away from the target as you swing back"),
        msg("a steady low point: what slides away has to slide back in time"),
        msg("Turn over your {trail} foot instead of sliding onto it.")),
    "loss_of_posture": Said(
        msg("Loss of posture going back"), msg("you come up out of your bend as you swing back"),
        msg("a steady height above the ball"),
        msg("Keep your bend while you turn.")),
    "short_of_turn": Said(
        msg("Short of turn"), msg("your shoulders stop early and your arms lift on alone"),
        msg("speed that the body would give for nothing"),
        msg("Let your back turn to the target, as far as is easy for you.")),
    "bent_lead_arm": Said(
        msg("Bent lead arm"), msg("your {lead} arm folds as you swing back"),
        msg("width, and with it an even strike"),
        msg("Swing the club back wide.")),
    "past_level": Said(
        msg("Club past level at the top"), msg("the club goes on past level at the top"),
        msg("control of the club as it starts down"),
        msg("Make a shorter swing back.")),
    "across_the_line": Said(
        msg("Across the line"), msg("at the top the club points to the {trail} of the target"),
        msg("a plain way down: from there the club drops behind you or is pulled across"),
        msg("Point the club at the target at the top.")),
    "laid_off": Said(
        msg("Laid off"), msg("at the top the club points to the {lead} of the target"),
        msg("a plain way down: from there the club has to go out first"),
        msg("Point the club at the target at the top.")),
    "reverse_tilt": Said(
        msg("Reverse tilt"), msg("at the top your upper body leans toward the target"),
        msg("the step toward the target, because your weight is there already and falls back"),
        msg("Turn until your chest is over your {trail} foot.")),
    "quick_transition": Said(
        msg("Quick transition"), msg("you start down before you have finished going back"),
        msg("the order in which body, arms and club come down"),
        msg("Finish the swing back before you start down.")),
    "over_the_top": Said(
        msg("Over the top"), msg("your shoulders start down first and throw the club outward"),
        msg("a straight start: the path goes across the ball"),
        msg("Let the club fall before your shoulders turn.")),
    "steep": Said(
        msg("Steep coming down"), msg("the club comes down steeper than it went up"),
        msg("an even turf: the club digs, or your body has to make room for it"),
        msg("Swing the club round you, lower, on the way down.")),
    "club_below_trail_forearm": Said(
        msg("Club stuck below the trail forearm"), msg("the club drops behind you on the way down"),
        msg("a straight start: from there only the hands can find the ball"),
        msg("Bring the club down in front of your chest.")),
    "early_release": Said(
        msg("Early release"), msg("your wrists let the club go early"),
        msg("speed, spent before the ball"),
        msg("Keep the loudest part of the swing for after the ball.")),
    "slide": Said(
        msg("Slide toward the target"), msg("your hips slide toward the target instead of turning"),
        msg("a low point at the ball: your arms are left behind"),
        msg("Step onto your {lead} foot, then turn over it.")),
    "hanging_back": Said(
        msg("Hanging back"), msg("your weight stays on your {trail} foot through the ball"),
        msg("a low point at the ball: the club touches down behind it"),
        msg("Be on your {lead} foot when the club meets the ball.")),
    "early_extension": Said(
        msg("Early extension"), msg("your hips come in toward the ball before you hit it"),
        msg("room for your arms"),
        msg("Keep your hips back until the ball is gone.")),
    "standing_up": Said(
        msg("Standing up through the ball"), msg("you rise up through the ball"),
        msg("a full strike: the club rises with you"),
        msg("Stay in your bend until the ball is gone.")),
    "hands_behind": Said(
        msg("Hands behind the clubhead at impact"), msg("the clubhead overtakes your hands before the ball"),
        msg("a strong strike: loft is added"),
        msg("Let your hands lead the club to the ball.")),
    "lead_arm_folding": Said(
        msg("Lead arm folding through the ball"), msg("your {lead} arm folds through the ball"),
        msg("width through the ball, and with it the middle of the face"),
        msg("Swing long arms toward the target.")),
    "weak_grip": Said(
        msg("Weak grip"), msg("your {lead} hand sits too far to the target side of the grip"),
        msg("a face that comes back square by itself"),
        msg("Turn your {lead} hand on the grip, away from the target.")),
    "strong_grip": Said(
        msg("Strong grip"), msg("your {lead} hand sits too far away from the target on the grip"),
        msg("a face that stays square by itself"),
        msg("Turn your {lead} hand on the grip, toward the target.")),
    "face_open": Said(
        msg("Clubface open"), msg("the face looks to the {trail} of the club's path"),
        msg("a straight flight"),
        msg("Let the face turn with you.")),
    "face_shut": Said(
        msg("Clubface shut"), msg("the face looks to the {lead} of the club's path"),
        msg("a straight flight"),
        msg("Let the face open a little as you swing back.")),
    "pressure_stays_back": Said(
        msg("Pressure stays on the trail foot"), msg("the pressure under you does not go over to your {lead} foot"),
        msg("a low point at the ball"),
        msg("Press into your {lead} foot as you start down.")),
    "slice": Said(
        msg("Slice"), msg("your ball bends to the {trail}"), msg("distance and direction"),
        msg("Find out where the ball starts and where it bends.")),
    "hook": Said(
        msg("Hook"), msg("your ball bends to the {lead}"), msg("direction"),
        msg("Find out where the ball starts and where it bends.")),
    "fat": Said(
        msg("Fat strikes"), msg("the club meets the ground before the ball"), msg("distance"),
        msg("Find out where the club touches the ground.")),
    "thin": Said(
        msg("Thin strikes"), msg("the club meets the ball at its middle"), msg("height and control"),
        msg("Find out where the club touches the ground.")),
}
# fmt: on

COMING_DOWN = (
    "quick_transition", "over_the_top", "steep", "club_below_trail_forearm", "early_release",
    "slide", "hanging_back", "early_extension", "standing_up", "hands_behind", "lead_arm_folding",
)  # fmt: skip
"""What happens once the swing has turned round, in its order."""

FLIGHT = ("slice", "hook", "fat", "thin")
"""What the ball does: it is told, and is never itself the thing to change."""

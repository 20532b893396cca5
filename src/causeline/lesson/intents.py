"""What golfers say that they work on, by the words in which they say it.

The patterns are tried on one sentence at a time, in small letters. `LEADSIDE` and `TRAILSIDE` stand
for the golfer's own left and right. Words that nothing here knows go to the coach.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from causeline.model.moments import MomentName as M
from causeline.model.words import msg


@dataclass(frozen=True, slots=True)
class Sound:
    """A measure that tells that nothing is wrong there."""

    measure: str
    moment: M | None
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Intent:
    """One thing that golfers speak of."""

    name: str
    topic: str
    """As a noun, to begin an answer with."""
    patterns: Mapping[str, str]
    """By language: a regular expression."""
    faults: tuple[str, ...]
    """What it would be in a swing, likeliest first."""
    sound: Sound | None = None
    flight: bool = False
    """What the ball does: `faults` are what can bring it about."""
    chased: tuple[str, ...] = ()
    """What comes of it when it is worked on too hard."""


_BALL_EN = r"(hit\w*|miss\w*|start\w*|go|goes|going|fl[iy]\w*|ball\w*|shots?|it)\W+(\w+\W+){0,3}?"
_BALL_DE = r"(ball|bälle|schlag\w*|schläge|flieg\w*|start\w*|geht|gehen|es)\W+(\w+\W+){0,4}?"

# fmt: off
INTENTS: tuple[Intent, ...] = (
    Intent("turn_more", msg("Turning more"), {
        "en": r"turn\w* (more|further|farther|fully|enough|bigger|better)"
              r"|(more|bigger|fuller|full|longer|larger) (\w+ )?(turn|rotation|coil)|(rotat|coil)\w* (more|further|enough)",
        "de": r"(mehr|weiter|stärker|besser) (auf|ein|zu )?(zu)?dreh\w*|(mehr|größer\w*|volle\w*) (\w+)?(dreh|rotation)\w*"},
        ("short_of_turn",), Sound("shoulder_turn", M.TOP, 85, 103),
        chased=("over_turn", "lead_knee_running_in")),
    Intent("turn_less", msg("The length of your swing"), {
        "en": r"turn\w* (less|too far|too much)|over-?(turn|swing)\w*|too long|shorter (back)?swing|shorten\w*|past (level|parallel)",
        "de": r"(weniger|zu weit|zu viel) (auf)?dreh\w*|überdreh\w*|zu lang\w*|kürzer\w* (aus|rück)\w*"},
        ("over_turn", "past_level")),
    Intent("sway", msg("Swaying"), {
        "en": r"\bsway\w*|slid\w* (back|away|off)|hips? (\w+ )?(where they are|still|from moving)|off the ball|hips? (\w+ ){0,2}sideways",
        "de": r"\bsway\w*|schwank\w*|hüft\w* (\w+ ){0,3}(seit\w+|ruhig|wegschieb\w*|weg)|seitlich\w*"},
        ("sway",), Sound("pelvis_toward_target_percent", M.TOP, -1.6, 3.0)),
    Intent("slide", msg("Sliding toward the target"), {
        "en": r"slid\w* (forward|toward|to the target|through|past)",
        "de": r"(rutsch|schieb)\w* (\w+ ){0,3}(ziel|vorn\w*)"},
        ("slide",), Sound("pelvis_toward_target_percent", M.IMPACT, 2.9, 5.6)),
    Intent("posture", msg("Your posture"), {
        "en": r"\bposture|stand\w* up|early exten\w*|hips? (\w+ ){0,3}(toward|to|into|at) the ball"
              r"|(come|coming|came|rise|rising) up|(lose|losing|lost) my (bend|spine|height)|spine angle",
        "de": r"haltung|aufricht\w*|aufsteh\w*|steh\w* (\w+ ){0,3}auf\b|hüft\w* (\w+ ){0,3}zum ball|hochkomm\w*"},
        ("early_extension", "standing_up", "loss_of_posture"),
        Sound("posture_change", M.IMPACT, -8.5, 20)),
    Intent("over_the_top", msg("Coming over the top"), {
        "en": r"over the top|out(side)?[- ](to[- ])?in\b|across the ball|from (the )?outside|com(e|ing) over (it|the ball)",
        "de": r"over the top|von (au(ß|ss)en|oben)|au(ß|ss)en nach innen"},
        ("over_the_top", "steep"), Sound("hands_loop", None, -4, 7.5)),
    Intent("steep", msg("Coming down steeply"), {
        "en": r"\bsteep\w*|\bdig(s|ging)?\b|deep divots?",
        "de": r"\bsteil\w*|tiefe (divots?|löcher)"},
        ("steep", "over_the_top"), Sound("shaft_steepening", M.ARM_LEVEL_DOWN, -14, -1)),
    Intent("inside", msg("The club going back inside"), {
        "en": r"(too far|taking|take\w*|club|go\w*) (\w+ ){0,4}inside|behind me|stuck",
        "de": r"(zu weit|schläger|hol\w*) (\w+ ){0,4}innen|hinter (mich|mir|den körper)"},
        ("club_inside", "club_below_trail_forearm")),
    Intent("slice", msg("A ball that bends to the {trail}"), {
        "en": r"\bslic\w+|(curv|bend|fad)\w* (\w+ ){0,3}TRAILSIDE",
        "de": r"\bslice\w*|TRAILSIDEskurve\w*|kurve (\w+ ){0,2}TRAILSIDEs"},
        ("over_the_top", "face_open"), flight=True),
    Intent("hook", msg("A ball that bends to the {lead}"), {
        "en": r"\bhook\w*|(curv|bend|draw)\w* (\w+ ){0,3}LEADSIDE",
        "de": r"\bhook\w*|LEADSIDEskurve\w*|kurve (\w+ ){0,2}LEADSIDEs"},
        ("club_below_trail_forearm", "face_shut"), flight=True),
    Intent("starts_lead", msg("A ball to the {lead}"), {
        "en": rf"\bpull\w*|{_BALL_EN}LEADSIDE\b(?! (arm|hand|foot|knee|leg|elbow|shoulder|side|hip))",
        "de": rf"\bpull\w*|verzieh\w*|{_BALL_DE}LEADSIDEs\b"},
        ("over_the_top", "face_shut"), flight=True),
    Intent("starts_trail", msg("A ball to the {trail}"), {
        "en": rf"\bpush\w*|\bblock\w*|{_BALL_EN}TRAILSIDE\b(?! (arm|hand|foot|knee|leg|elbow|shoulder|side|hip))",
        "de": rf"\bpush\w*|\bblock\w*|{_BALL_DE}TRAILSIDEs\b"},
        ("club_below_trail_forearm", "face_open"), flight=True),
    Intent("fat", msg("Hitting the ground first"), {
        "en": r"\bfat\b|\bheavy\b|behind (the ball|it)\b|chunk\w*|duff\w*|ground (first|before)|hit\w* the ground",
        "de": r"\bfett\w*|boden vor dem ball|zuerst (in )?den boden|in den boden|\bhacke\w*"},
        ("steep", "hanging_back", "early_release"), flight=True),
    Intent("thin", msg("Hitting it thin"), {
        "en": r"\bthin\w*|\btop(s|ping|ped)\b|\btop (it|them|the ball)|\bblad(e|es|ed|ing)\b|\bskull\w*",
        "de": r"\bdünn\w*|\b(ge)?top(p|pe|pt|pen)\b"},
        ("standing_up", "early_extension", "lead_arm_folding", "hands_behind"), flight=True),
    Intent("distance", msg("Distance"), {
        "en": r"\bdistance|\b(hit|drive|carry|ball)\W+(\w+\W+){0,3}?(longer|further|farther|far)\b|\bpower\b|\bspeed|\byards\b",
        "de": r"\b(mehr )?(weite|länge)\b|weiter schlagen|\bkraft\b|geschwindigkeit|\bmeter\b"},
        ("early_release", "short_of_turn", "hands_behind"), flight=True),
    Intent("tempo", msg("Your tempo"), {
        "en": r"\btempo|\brhythm|too (fast|quick\w*)|\brush\w*|\bhurr\w+|slow\w* (down|my swing|back)",
        "de": r"\btempo|rhythmus|zu (schnell|hastig)|\beile\w*|langsamer"},
        ("quick_transition",), Sound("tempo_ratio", None, 2.3, 3.9)),
    Intent("weight", msg("Getting your weight across"), {
        "en": r"\bweight\b|(hang|fall)\w* back|\bpressure (on|to|into|onto|in|shift)|(back|front|lead|trail) foot",
        "de": r"gewicht\w*|\bdruck\b|hinten (hängen )?bleib\w*"},
        ("hanging_back", "pressure_stays_back", "reverse_tilt", "sway"),
        Sound("pelvis_toward_target_percent", M.IMPACT, 2.9, 5.6)),
    Intent("head", msg("Your head"), {
        "en": r"\bhead\b(?! ?speed)|look\w* up", "de": r"\bkopf\b|hochschau\w*|hochguck\w*"},
        ("loss_of_posture", "standing_up", "sway", "reverse_tilt"),
        Sound("head_rise_percent", M.TOP, -4, 2.2)),
    Intent("lead_arm", msg("A straight {lead} arm"), {
        "en": r"(straight\w*|bent|bend\w*|fold\w*) (\w+ ){0,3}(arm|elbow)|(arm|elbow) (\w+ ){0,3}(straight|bend\w*|fold\w*|bent)|chicken[- ]?wing",
        "de": r"(gerade\w*|gestreckt\w*|gebeugt\w*|krumm\w*) (\w+ ){0,2}(arm|ellbogen)|(arm|ellbogen) (\w+ ){0,3}(gerade|streck\w*|beug\w*|gestreckt)"},
        ("bent_lead_arm", "lead_arm_folding"), Sound("lead_elbow_angle", M.TOP, 156, 181)),
    Intent("release", msg("Letting the club go early"), {
        "en": r"\blag\b|\breleas\w*|\bcast(ing|s)?\b|\bflip\w*|\bscoop\w*|\bwrists?\b",
        "de": r"\blag\b|früh\w* (\w+ )?(auf)?lös\w*|löffel\w*|handgelenk\w*"},
        ("early_release", "hands_behind"), Sound("wrist_hinge", M.ARM_LEVEL_DOWN, 40, 115)),
    Intent("grip", msg("Your grip"), {
        "en": r"\bgrip\w*|hold(ing)? the club", "de": r"\bgriff\w*|schläger (halte|greife)\w*"},
        ("weak_grip", "strong_grip")),
)
# fmt: on

HURTS = {
    "en": r"\b(hurt|pain|ache|aching|sore|injur|strain|surgery|slipped disc|sciatica)\w*|backache",
    "de": r"schmerz\w*|\bweh\b|\bwehtu\w*|verletz\w*|entzünd\w*|bandscheibe\w*|hexenschuss|\boperiert",
}
"""What is for a clinician: no drill answers it."""
BACK = {
    "en": r"\b(back|spine|disc|sciatica|lumbar)\b|backache",
    "de": r"rücken\w*|kreuz\b|wirbel\w*|bandscheibe\w*|hexenschuss",
}

NOT = {
    "en": r"(\bnot|(?<!ca)n't|(?<!ca)n’t|\bnever|\bno longer|\bno more|\bwithout|\bstopped|\bused to|\bfixed)\W+(\w+\W+){0,2}$",
    "de": r"(\bnicht( mehr)?|\bnie|\bkein\w*|\bohne|\bfrüher)\W+(\w+\W+){0,2}$",
}
"""What turns the words after it round: the coach reads such a sentence."""

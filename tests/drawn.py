"""A reading of the puppet's swing with pictures drawn by hand: nobody was filmed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache

import numpy as np
from PIL import Image, ImageDraw, ImageFilter

from causeline.findings import explain_findings
from causeline.model.clip import Called, Clip, Frame, Hand, Picture, ScaleFrom, View
from causeline.model.filming import Advice, Severity
from causeline.model.findings import ClubSort, Findings, Ruling, Say
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import Moment, MomentName, Moments
from causeline.model.reading import Reading, Swing
from causeline.model.tracks import BODY_LANDMARKS, BodyTrack, ClubTrack
from causeline.quantities.angle import Floats
from causeline.quantities.clock import Clock
from causeline.render.telling import MeasureText
from tests.motions.puppet import Camera, Puppet
from tests.unit.findings.swings import SCENARIO, seen

SHIRT, TROUSERS, SKIN, SHOE, CAP = "#7c2d3a", "#2f3b46", "#c99b79", "#e9e6df", "#f4f2ec"
"""Clothes of the drawn golfer."""

ENGINE = {"causeline": "0.1.0", "landmarks": "drawn by hand", "numpy": "2.x"}

TEXTS = (
    MeasureText("backswing_time", "Backswing time", "Time from the start to the top"),
    MeasureText("downswing_time", "Downswing time", "Time from the top to impact"),
    MeasureText("tempo_ratio", "Tempo", "Backswing time ÷ downswing time"),
    MeasureText(
        "head_toward_target",
        "Head, toward the target",
        "Travel of the middle of the ears since address, across the picture",
        "toward the target",
    ),
    MeasureText(
        "head_toward_target_percent",
        "Head, toward the target",
        "Travel of the middle of the ears since address, across the picture",
        "toward the target",
    ),
    MeasureText(
        "pelvis_toward_target",
        "Pelvis, toward the target",
        "Travel of the middle of the hips since address, across the picture",
        "toward the target",
    ),
    MeasureText(
        "trunk_side_bend",
        "Trunk, side bend",
        "Lean of the line from hips to shoulders; zero upright",
        "away from the target",
    ),
    MeasureText(
        "lead_arm_angle",
        "Lead arm, from hanging down",
        "Angle of the line from lead shoulder to lead wrist; zero hanging, 90 level",
    ),
    MeasureText("hands_height", "Hands, above the shoulders", "Height of the wrists’ middle"),
    MeasureText("stance_width", "Stance width, ankle to ankle", "Across the picture, at address"),
    MeasureText("shoulder_turn", "Shoulder turn, about the trunk", "Degrees from address"),
    MeasureText("pelvis_turn", "Pelvis turn, about the vertical", "Degrees from address"),
    MeasureText("posture_change", "Posture, change since address", "Change of the forward bend"),
)


@dataclass(frozen=True)
class Drawn:
    """A reading, and the frames of its moments for each swing."""

    reading: Reading
    frames: tuple[dict[int, Frame], ...]


def drawn_reading(view: View = View.FACE_ON, hand: Hand = Hand.RIGHT, swings: int = 1) -> Drawn:
    """One puppet swing filmed at 240 Hz and slowed eight times, told `swings` times."""
    puppet = _puppet(view, hand)
    made = tuple(_swing(puppet, rehearsal=swings > 1 and i == 0) for i in range(swings))
    reading = Reading(
        clip=_clip(puppet),
        view=Called(view.value, 0.97),
        hand=Called(hand.value, 1.0),
        swings=made,
        filming=_advice(),
        engine=dict(ENGINE),
    )
    return Drawn(reading, (_frames(puppet, made[0]),) * swings)


def drawn_picture(puppet: Puppet, row: int) -> Picture:
    """The golfer at one row of the puppet's track, drawn with clothes, ground and sky."""
    width, height = puppet.camera.width, puppet.camera.height
    image = _ground(width, height).copy()
    draw = ImageDraw.Draw(image)
    body = puppet.body()
    xy = body.shown_xy()[row]
    tall = float(np.ptp(body.xy[0, :, 1]))
    _paint_club(draw, puppet, row, tall)
    _paint_body(draw, dict(zip(BODY_LANDMARKS, map(tuple, xy), strict=True)), tall)
    soft = image.filter(ImageFilter.GaussianBlur(width / 900))
    grain = np.random.default_rng(row).normal(0, 3.0, (height, width, 1))
    return np.clip(np.asarray(soft) + grain, 0, 255).astype(np.uint8)


def _puppet(view: View, hand: Hand) -> Puppet:
    return Puppet(camera=Camera(view), hand=hand, rate_hz=240.0, duration_s=3.2)


def _clip(puppet: Puppet) -> Clip:
    stamps = np.arange(len(puppet.time_s))
    clock = Clock(stamps, Fraction(1, 30), Fraction(8))
    return Clip(
        name="Practice ground, seven iron.mov",
        sha256="5f3c" * 16,
        width=puppet.camera.width,
        height=puppet.camera.height,
        clock=clock,
        rotation_deg=90,
        codec="hevc",
        time_scale_from=ScaleFrom.CONTAINER,
        repeated=np.zeros(len(stamps), bool),
    )


def _swing(puppet: Puppet, rehearsal: bool) -> Swing:
    body = puppet.body(sd_px=2.5)
    confidence = body.confidence.copy()
    confidence[:, BODY_LANDMARKS.index("trail_elbow")] = 0.4
    body = replace(body, confidence=confidence)
    grip, head = puppet.club()
    club = ClubTrack(grip, head, np.full(len(body), 0.9))
    moments = _moments(puppet, body)
    found = None if rehearsal else drawn_findings(moments)
    return Swing(0, len(body) - 1, rehearsal, moments, _measures(puppet), body, club, found)


def drawn_findings(moments: Moments) -> Findings:
    """The worked case, with one fault pinned and one struck."""
    rulings = (
        Ruling("weak_grip", Say.PRESENT, "one knuckle", "coach"),
        Ruling("slice", Say.ABSENT, "they fly straight", "golfer"),
    )
    frames = dict.fromkeys(View, moments)
    return explain_findings(seen(SCENARIO), ClubSort.IRON, rulings, frames)


def _moments(puppet: Puppet, body: BodyTrack) -> Moments:
    rules = {
        MomentName.ADDRESS: "the last instant at which hands and feet stand still",
        MomentName.START: "the hands leave their place for good",
        MomentName.TOP: "the lead arm stops going back",
        MomentName.IMPACT: "the hands pass their place at address, coming down",
    }
    times = dict(puppet.moments)
    times[MomentName.ADDRESS] = times[MomentName.START] - 0.08
    found = tuple(
        Moment(
            name,
            time,
            0.021 if name in (MomentName.ADDRESS, MomentName.FINISH) else 0.0043,
            int(np.argmin(np.abs(body.time_s - time))),
            rules.get(name, ""),
        )
        for name, time in times.items()
    )
    return Moments(found)


def _measures(puppet: Puppet) -> tuple[Measure | Refusal, ...]:
    def across(name: str, scale: float, sd: float) -> list[Measure | Refusal]:
        shares = (0.0, -0.2, -0.5, -1.0, -0.4, 0.3, 0.8, 1.0, 1.6)
        return [
            Measure(name, moment, scale * share, sd, "cm", "drawn")
            for moment, share in zip(list(MomentName)[1:], shares, strict=True)
        ]

    top, impact, address = MomentName.TOP, MomentName.IMPACT, MomentName.ADDRESS
    one_side = "one camera cannot tell a turn from a narrower body; film a second view as well"
    return (
        Measure("backswing_time", None, 0.84, 0.0061, "s", "drawn"),
        Measure("downswing_time", None, 0.26, 0.0061, "s", "drawn"),
        Measure("tempo_ratio", None, 3.23, 0.084, "ratio", "drawn"),
        Measure("stance_width", address, 45.6, 2.9, "cm", "drawn"),
        Measure("trunk_side_bend", address, 4.3, 2.6, "°", "drawn"),
        Measure("trunk_side_bend", top, -3.1, 2.8, "°", "drawn"),
        Measure("trunk_side_bend", impact, 17.9, 3.2, "°", "drawn"),
        Measure("lead_arm_angle", top, 152.4, 4.1, "°", "drawn"),
        Measure("lead_arm_angle", impact, -6.2, 3.7, "°", "drawn"),
        Measure("hands_height", top, 18.4, 3.3, "cm", "drawn"),
        *across("head_toward_target", 3.4, 1.1),
        Measure("head_toward_target_percent", top, -1.9, 0.6, "% of stature", "drawn"),
        *across("pelvis_toward_target", 6.1, 1.4),
        Refusal("shoulder_turn", None, one_side),
        Refusal("pelvis_turn", None, one_side),
        Refusal("posture_change", None, "Filmed face-on, this can be seen only down the line."),
        Refusal("lead_elbow_angle", top, "Your forearm points at the camera here, about 41°."),
    )


def _advice() -> tuple[Advice, ...]:
    return (
        Advice("shutter", Severity.NOTE, "In this light the club is a streak. Brighter is better."),
        Advice(
            "feet_cut",
            Severity.COSTS,
            "The trail foot leaves the picture at the finish. Stand a step farther back.",
        ),
    )


def _frames(puppet: Puppet, swing: Swing) -> dict[int, Frame]:
    return {
        moment.frame: Frame(moment.frame, drawn_picture(puppet, moment.frame))
        for moment in swing.moments.found
    }


@cache
def _ground(width: int, height: int) -> Image.Image:
    rows = np.linspace(0, 1, height)[:, None]
    horizon = 0.5
    sky = np.array([203, 214, 219]) + (rows / horizon) * np.array([24, 18, 8])
    grass = np.array([119, 136, 96]) - (rows - horizon) * np.array([52, 42, 60])
    column = np.where(rows < horizon, sky, grass)
    image = Image.fromarray(np.repeat(column[:, None], width, 1).clip(0, 255).astype(np.uint8))
    draw = ImageDraw.Draw(image)
    rng = np.random.default_rng(4)
    for x in range(0, width, 26):
        top = height * (horizon - 0.055 - 0.03 * rng.random())
        draw.ellipse([x - 34, top, x + 34, height * horizon + 26], fill=(92, 110, 92))
    draw.rectangle([0, height * horizon, width, height * horizon + 6], fill=(128, 143, 104))
    return image.filter(ImageFilter.GaussianBlur(5))


def _paint_club(draw: ImageDraw.ImageDraw, puppet: Puppet, row: int, tall: float) -> None:
    grip, head = (ends[row].copy() for ends in puppet.club())
    if puppet.hand == Hand.LEFT:
        grip[0], head[0] = (puppet.camera.width - 1 - ends[0] for ends in (grip, head))
    draw.line([tuple(grip), tuple(head)], fill="#d9d9d6", width=max(2, round(tall / 130)))
    size = tall / 45
    draw.ellipse([*(head - size), *(head + size)], fill="#23282c")


def _paint_body(draw: ImageDraw.ImageDraw, at: dict[str, tuple[float, float]], tall: float) -> None:
    def limb(names: tuple[str, ...], thick: float, colour: str) -> None:
        width = thick * tall
        points = [at[name] for name in names]
        draw.line(points, fill=colour, width=round(width), joint="curve")
        for x, y in points:
            draw.ellipse([x - width / 2, y - width / 2, x + width / 2, y + width / 2], fill=colour)

    for side in ("trail", "lead"):
        limb((f"{side}_heel", f"{side}_toe"), 0.035, SHOE)
        limb((f"{side}_hip", f"{side}_knee", f"{side}_ankle"), 0.075, TROUSERS)
    limb(("trail_shoulder", "trail_elbow", "trail_wrist"), 0.052, SHIRT)
    trunk = [at[name] for name in ("lead_shoulder", "trail_shoulder", "trail_hip", "lead_hip")]
    limb(("lead_shoulder", "trail_shoulder"), 0.075, SHIRT)
    draw.polygon(trunk, fill=SHIRT)
    limb(("lead_shoulder", "lead_hip"), 0.09, SHIRT)
    limb(("trail_shoulder", "trail_hip"), 0.09, SHIRT)
    limb(("lead_hip", "trail_hip"), 0.10, TROUSERS)
    limb(("lead_shoulder", "lead_elbow"), 0.055, SHIRT)
    limb(("lead_elbow", "lead_wrist"), 0.042, SKIN)
    limb(("lead_wrist", "lead_knuckle"), 0.05, CAP)
    _paint_head(draw, at, tall)


def _paint_head(draw: ImageDraw.ImageDraw, at: dict[str, tuple[float, float]], tall: float) -> None:
    ears: Floats = np.array([at["lead_ear"], at["trail_ear"]])
    x, y = ears.mean(axis=0)
    size = 0.062 * tall
    draw.ellipse([x - size * 0.8, y - size, x + size * 0.8, y + size], fill=SKIN)
    draw.chord([x - size * 0.88, y - size * 1.15, x + size * 0.88, y + size * 0.6], 180, 360, CAP)

"""An invented swing with its findings, made by hand: over-turn, and what follows from it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

from causeline.model.clip import View
from causeline.model.drill import Drill
from causeline.model.findings import ClubSort, Evidence, Finding, Findings, Role, Ruling, Say
from causeline.model.lesson import Brief, Golfer, SwingRef
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName as M
from tests.unit.lesson.drills import a_drill

FACE_ON, BEHIND = View.FACE_ON, View.DOWN_THE_LINE
STATURE_CM = 180.0
WHYS = {
    ("over_turn", "lead_knee_running_in"): "the turn pulls the lead side off its foot",
    ("over_turn", "over_the_top"): "from too far round the shoulders must hurry back first",
    ("over_the_top", "steep"): "thrown outward the shaft stands up",
}


def evidence(
    measure: str, moment: M | None, value: float, sd: float, outside: float, **band: float
) -> Evidence:
    """A face-on value that speaks for a fault."""
    unit = "% of stature" if measure.endswith("_percent") else "°"
    low, high = band.get("low"), band.get("high")
    return Evidence(
        measure, moment, FACE_ON, 10, value, sd, unit, low, high, outside, speaks_for=True
    )


def finding(
    name: str,
    role: Role,
    shown: Sequence[Evidence] = (),
    explains: Sequence[str] = (),
    because: str | None = None,
    probability: float = 0.9,
) -> Finding:
    """A finding of that name, its title made of it."""
    return Finding(
        name=name,
        title=name,
        role=role,
        probability=probability,
        severity=0.5,
        evidence=tuple(shown),
        explains=tuple(explains),
        because=because,
        explained_share=0.7,
        sentence="",
    )


KNEE = evidence("lead_knee_toward_target_percent", M.TOP, -9.0, 1.0, 3.2, low=-5.8)
ARM = evidence("lead_arm_angle", M.TOP, 152.0, 4.0, 3.0, high=139.0)
LOOP = evidence("hands_loop", None, 12.0, 2.0, 2.2, high=7.5)


def over_turned(probability: float = 0.9) -> Findings:
    """Over-turn, a running knee, over the top, steep: the first explains the rest."""
    effects = ("lead_knee_running_in", "over_the_top", "steep")
    return Findings(
        (
            finding("over_turn", Role.CAUSE, (ARM,), effects, probability=probability),
            finding("lead_knee_running_in", Role.EFFECT, (KNEE,), (), "over_turn"),
            finding("over_the_top", Role.EFFECT, (LOOP,), ("steep",), "over_turn"),
            finding("steep", Role.EFFECT, (), (), "over_the_top"),
        ),
        (),
        (("over_turn", probability),),
    )


NOTHING = Findings((), (), ())


def measures() -> dict[View, tuple[Measure | Refusal, ...]]:
    """What was measured: the knee in both units, and things that are as they should be."""

    def length(name: str, moment: M, percent: float, sd: float) -> list[Measure]:
        cm = STATURE_CM / 100
        return [
            Measure(name, moment, percent * cm, sd * cm * 1.5, "cm", ""),
            Measure(f"{name}_percent", moment, percent, sd, "% of stature", ""),
        ]

    face_on: list[Measure | Refusal] = [
        Measure("tempo_ratio", None, 3.04, 0.2, "ratio", ""),
        *length("lead_knee_toward_target", M.TOP, -9.0, 1.0),
        *length("lead_knee_toward_target", M.SHAFT_LEVEL_DOWN, 2.0, 1.0),
        *length("head_rise", M.TOP, 0.4, 1.0),
        Measure("lead_arm_angle", M.TOP, 152.0, 4.0, "°", ""),
        Refusal("shaft_lean", M.IMPACT, "The club cannot be made out at impact."),
    ]
    behind = [Measure("posture_change", M.IMPACT, -2.0, 3.0, "°", "")]
    return {FACE_ON: tuple(face_on), BEHIND: tuple(behind)}


def brief(
    golfer: Golfer | None = None,
    findings: Findings | None = None,
    drills: Sequence[Drill] | None = None,
    club: ClubSort | None = None,
) -> Brief:
    """A lesson to compose, on the seventh of April, practising from the ninth."""
    golfer = golfer or Golfer("Ivo", time_zone="Europe/Berlin")
    return Brief(
        golfer=golfer,
        swings=(SwingRef("one.mp4", "aa", FACE_ON, 1), SwingRef("two.mp4", "bb", BEHIND, 1)),
        measures=measures(),
        findings=over_turned() if findings is None else findings,
        drills=(a_drill(),) if drills is None else tuple(drills),
        made=date(2026, 4, 7),
        starts=datetime(2026, 4, 9, 18, 30, tzinfo=ZoneInfo(golfer.time_zone)),
        coach="Maren Oakes",
        club=club,
        whys=WHYS,
    )


def pinned(name: str) -> Findings:
    """One fault that the coach saw and video does not show."""
    one = finding(name, Role.ALONE, probability=0.98)
    seen = Ruling(name, Say.PRESENT, "seen on the range")
    return Findings((replace(one, rulings=(seen,)),), (), ((name, 0.98),))

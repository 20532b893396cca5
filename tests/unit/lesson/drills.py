"""A drill with every part filled, for tests."""

from __future__ import annotations

from causeline.model.clip import View
from causeline.model.drill import (
    Aim,
    Diagram,
    Dose,
    Drill,
    Mark,
    Place,
    Seen,
    Slip,
    Stage,
)
from causeline.model.moments import MomentName


def a_drill(name: str = "still_knee", *, rotation: bool = False) -> Drill:
    """Keeps the lead knee still."""
    return Drill(
        name=name,
        title="Ball against the knee",
        treats=("lead_knee_running_in", "over_turn"),
        purpose="Keeps your {lead} leg where it is.",
        equipment=("a soft ball",),
        place=Place.EITHER,
        setup=("Stand as for a mid iron.",),
        diagram=Diagram(Seen.ABOVE, "From above", (Mark("ball", (0, 60)),)),
        steps=("Swing back to the top and stop.", "Swing through."),
        dose=Dose(2, 5, 6),
        feel="Your {lead} foot grows heavy.",
        cue="Point your belt buckle at the camera.",
        aim=Aim(
            "lead_knee_toward_target_percent",
            MomentName.TOP,
            View.FACE_ON,
            "% of stature",
            -5.8,
            None,
        ),
        slips=(Slip("The knee stiffens.", "Keep it soft."),),
        cautions=(),
        rotation=rotation,
        stages=(Stage("No ball", "Slowly.", "Five in a row."),),
        source="common practice",
    )

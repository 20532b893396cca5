"""The bands: where good golfers' values lie, by measure, moment and club.

They are wide on purpose. A review of 92 studies found no agreement on methods and contradictory
results (Bourgain et al. 2022, Sports 10:91), so no band is an ideal: inside it nothing is said, and
outside it counts only together with the rest of the swing. Ends without another source are common
practice: what coaches let pass. Where they are, the usual value, the ends and the distance at which
severity is 1 were set beside studio golfers of two skills whose faults are known, training seeds
alone (`bench.findings_truth`). When those golfers came to stand otherwise at the top, the ends
moved by as much as 32 of them did, and went apart as golfers did. Travels in per cent of stature:
1 % is about 1.75 cm.
"""

from __future__ import annotations

from causeline.findings.spec import ANY_VIEW, Band, Beside, Watched
from causeline.model.clip import View
from causeline.model.findings import ClubSort
from causeline.model.moments import MomentName as M

FACE_ON, DOWN_THE_LINE = (View.FACE_ON,), (View.DOWN_THE_LINE,)
DRIVER, WEDGE = ClubSort.DRIVER, ClubSort.WEDGE
TURN_SOURCE = "common practice; above 90° in good golfers' drives: Burden et al. 1998, J Sports Sci"
TEMPO_SOURCE = "0.70 to 1.00 s and near 3 : 1 in professionals: Grober & Cholewicki 2006"
RELEASE_SOURCE = (
    "common practice; group difference of 6 to 7°: Fedorcik et al. 2012, J Sci Med Sport"
)

BANDS: dict[str, Band] = {
    # How far the body turns
    "shoulder_turn_top": Band(
        "shoulder_turn", M.TOP, 81, 107, 94, 12, source=TURN_SOURCE,
        beside=Beside("lead_arm_angle", M.TOP, 0.65, 118.0, 13.0)),
    "pelvis_turn_top": Band(
        "pelvis_turn", M.TOP, 31, 56, 43.5, 6,
        beside=Beside("lead_arm_angle", M.TOP, 0.25, 118.0, 13.0)),
    "lead_arm_top": Band("lead_arm_angle", M.TOP, None, 147, 132, 12, FACE_ON, turns_at=120),
    "shoulder_turn_down": Band("shoulder_turn", M.ARM_LEVEL_DOWN, 42, None, 56.5, 10),
    "separation_down": Band("separation", M.ARM_LEVEL_DOWN, 15, None, 33, 12),
    # The club going back and at the top
    "plane_back": Band("head_off_plane", M.SHAFT_LEVEL_BACK, -4, 7, 1.5, 17, DOWN_THE_LINE),
    "plane_arm_back": Band("head_off_plane", M.ARM_LEVEL_BACK, -9, 5, -2.5, 8, DOWN_THE_LINE),
    "plane_top": Band("head_off_plane", M.TOP, -8, 4, -2, 12, DOWN_THE_LINE),
    "shaft_top": Band("shaft_angle", M.TOP, None, 276, 258, 20, FACE_ON, turns_at=200),
    # The club coming down
    "steepening": Band("shaft_steepening", M.ARM_LEVEL_DOWN, -14, -1, -7, 14, DOWN_THE_LINE),
    "plane_arm_down": Band("head_off_plane", M.ARM_LEVEL_DOWN, -16, -3, -9.7, 13, DOWN_THE_LINE),
    "plane_shaft_down": Band(
        "head_off_plane", M.SHAFT_LEVEL_DOWN, -5.5, 2.5, -1.7, 10, DOWN_THE_LINE),
    "hands_loop": Band("hands_loop", None, -3, 9.5, 3.5, 6, DOWN_THE_LINE),
    "head_loop": Band("head_loop", None, None, 11, -6.5, 15, DOWN_THE_LINE),
    "hinge_arm_down": Band(
        "wrist_hinge", M.ARM_LEVEL_DOWN, None, 116, 83, 15, FACE_ON, source=RELEASE_SOURCE),
    "hinge_shaft_down": Band(
        "wrist_hinge", M.SHAFT_LEVEL_DOWN, None, 142, 130, 9, FACE_ON, source=RELEASE_SOURCE),
    "lead_arm_shaft_down": Band(
        "lead_arm_angle", M.SHAFT_LEVEL_DOWN, None, 47, 35, 10, FACE_ON, turns_at=30),
    "shaft_lean_impact": Band(
        "shaft_lean", M.IMPACT, -1, None, 6.5, 12, FACE_ON, by_club={DRIVER: (-4, None)}),
    # Arms
    "lead_elbow_top": Band("lead_elbow_angle", M.TOP, 156, None, 165, 13),
    "lead_elbow_down": Band("lead_elbow_angle", M.ARM_LEVEL_DOWN, 156, None, 165, 13),
    "lead_elbow_impact": Band("lead_elbow_angle", M.IMPACT, 158, None, 174, 20),
    # Legs and pelvis
    "lead_knee_arm_back": Band(
        "lead_knee_toward_target_percent", M.ARM_LEVEL_BACK, -4.8, None, -3.4, 2, FACE_ON),
    "lead_knee_top": Band(
        "lead_knee_toward_target_percent", M.TOP, -6.6, None, -4.7, 2.8, FACE_ON),
    "lead_knee_impact": Band(
        "lead_knee_toward_target_percent", M.IMPACT, None, 2.3, 1.3, 1.8, FACE_ON),
    "pelvis_target_arm_back": Band(
        "pelvis_toward_target_percent", M.ARM_LEVEL_BACK, -2.4, None, -1.1, 2.2, FACE_ON),
    "pelvis_target_top": Band(
        "pelvis_toward_target_percent", M.TOP, -1.6, None, 0, 3.3, FACE_ON),
    "pelvis_target_down": Band(
        "pelvis_toward_target_percent", M.SHAFT_LEVEL_DOWN, 2.4, 4.9, 3.6, 2.5, FACE_ON),
    "pelvis_target_impact": Band(
        "pelvis_toward_target_percent", M.IMPACT, 2.8, 5.6, 4.2, 3.6, FACE_ON),
    "pelvis_target_finish": Band(
        "pelvis_toward_target_percent", M.FINISH, 5, None, 8.2, 4.7, FACE_ON),
    "pelvis_ball_down": Band(
        "pelvis_toward_ball_percent", M.SHAFT_LEVEL_DOWN, None, .8, 0, 2.1, DOWN_THE_LINE),
    "pelvis_ball_impact": Band(
        "pelvis_toward_ball_percent", M.IMPACT, None, 1.5, .6, 3.5, DOWN_THE_LINE),
    "pelvis_rise_impact": Band("pelvis_rise_percent", M.IMPACT, None, -.1, -.9, .8),
    "pelvis_rise_down": Band("pelvis_rise_percent", M.SHAFT_LEVEL_DOWN, None, -.8, -1.5, 1),
    # Trunk and head
    "posture_top": Band("posture_change", M.TOP, -8.5, None, -5, 11, DOWN_THE_LINE),
    "posture_impact": Band(
        "posture_change", M.IMPACT, -9, None, -4.8, 5, DOWN_THE_LINE,
        by_club={DRIVER: (-12, None)}),
    "side_bend_top": Band("trunk_side_bend", M.TOP, 1.4, None, 7.4, 8, FACE_ON),
    "side_bend_impact": Band("trunk_side_bend", M.IMPACT, 13, 23, 18, 4, FACE_ON),
    "head_target_top": Band(
        "head_toward_target_percent", M.TOP, -4.2, 1.8, -1.2, 5, FACE_ON),
    "head_target_down": Band(
        "head_toward_target_percent", M.SHAFT_LEVEL_DOWN, -.4, 2.9, 1.4, 2.5, FACE_ON),
    "head_target_impact": Band(
        "head_toward_target_percent", M.IMPACT, -3.3, None, -1.5, 6, FACE_ON),
    "head_rise_top": Band("head_rise_percent", M.TOP, None, 2.6, 1.2, 2.2),
    "head_rise_down": Band("head_rise_percent", M.SHAFT_LEVEL_DOWN, None, .1, -.9, 2),
    "head_rise_impact": Band("head_rise_percent", M.IMPACT, None, 1, -.2, 1.3),
    # Tempo
    "tempo": Band("tempo_ratio", None, 2.3, None, 2.8, .4, source=TEMPO_SOURCE, rare=.08),
    "backswing": Band("backswing_time", None, .70, None, .84, .1, source=TEMPO_SOURCE, rare=.05),
    # Set-up
    "stance": Band(
        "stance_width_percent", M.ADDRESS, 14, 32, 23, 10, FACE_ON,
        by_club={DRIVER: (18, 37), WEDGE: (9, 29)}),
    "bend_address": Band("trunk_forward_bend", M.ADDRESS, 18, 52, 33, 14, DOWN_THE_LINE),
    "ball": Band(
        "ball_position", M.ADDRESS, 1, 18, 9.5, 8, FACE_ON,
        by_club={DRIVER: (-3, 15), WEDGE: (3, 20)}),
}  # fmt: skip
"""Key → measure, moment, low, high, usual, full, views, ends by club, source."""

BACK, ARM_BACK, ARM_DOWN, DOWN = (
    M.SHAFT_LEVEL_BACK, M.ARM_LEVEL_BACK, M.ARM_LEVEL_DOWN, M.SHAFT_LEVEL_DOWN,
)  # fmt: skip
THROUGH = M.SHAFT_LEVEL_THROUGH
ALONG = (BACK, ARM_BACK, M.TOP, ARM_DOWN, DOWN, M.IMPACT, THROUGH, M.FINISH)

_ALSO: tuple[tuple[str, tuple[M | None, ...], tuple[View, ...]], ...] = (
    ("trunk_forward_bend", (M.TOP, M.IMPACT), ANY_VIEW),
    ("lead_knee_flexion", (M.TOP, M.IMPACT), ANY_VIEW),
    ("hands_depth_percent", (M.TOP,), ANY_VIEW),
    ("hands_beside_chest_percent", (ARM_BACK, M.TOP, ARM_DOWN, M.IMPACT), ANY_VIEW),
    ("trail_elbow_angle", (ARM_BACK, M.TOP, ARM_DOWN, M.IMPACT), ANY_VIEW),
    ("head_toward_ball_percent", ALONG[:-1], ANY_VIEW),
    ("head_toward_target_percent", (BACK, ARM_BACK, ARM_DOWN, THROUGH, M.FINISH), ANY_VIEW),
    ("head_rise_percent", (BACK, ARM_BACK, ARM_DOWN, THROUGH), ANY_VIEW),
    ("pelvis_toward_ball_percent", (M.TOP, ARM_DOWN, THROUGH), ANY_VIEW),
    ("pelvis_toward_target_percent", (BACK, ARM_DOWN, THROUGH), ANY_VIEW),
    ("pelvis_rise_percent", (M.TOP, ARM_DOWN, THROUGH), ANY_VIEW),
    ("lead_knee_toward_ball_percent", ALONG[:-1], ANY_VIEW),
    ("lead_knee_toward_target_percent", (BACK, ARM_DOWN, DOWN, THROUGH, M.FINISH), ANY_VIEW),
    ("shoulder_turn", (ARM_BACK, M.IMPACT, M.FINISH), ANY_VIEW),
    ("pelvis_turn", (ARM_BACK, ARM_DOWN, M.IMPACT, M.FINISH), ANY_VIEW),
    ("separation", (M.TOP, M.IMPACT), ANY_VIEW),
    ("downswing_time", (None,), ANY_VIEW),
    ("hands_height_percent", (M.TOP,), FACE_ON),
    ("lead_arm_angle", (BACK, M.IMPACT, THROUGH), FACE_ON),
    ("wrist_hinge", (ARM_BACK, M.TOP, M.IMPACT), FACE_ON),
    ("shaft_from_upright", (ARM_BACK, ARM_DOWN), DOWN_THE_LINE),
    ("head_outside_hands", (BACK,), DOWN_THE_LINE),
    ("shaft_against_address", (ARM_BACK, ARM_DOWN), DOWN_THE_LINE),
)

WATCHED: dict[str, Watched] = {
    f"{name}_{moment.value if moment else 'whole'}": Watched(name, moment, views)
    for name, moments, views in _ALSO
    for moment in moments
}
"""Measures without a band, by name and moment: beside the others they tell faults apart."""

"""The bands: where good golfers' values lie, by measure, moment and club.

They are wide on purpose. A review of 92 studies found no agreement on methods and contradictory
results (Bourgain et al. 2022, Sports 10:91), so no band is an ideal: inside it nothing is said, and
outside it counts only together with the rest of the swing. Ends without another source are common
practice: what coaches let pass. Travels in per cent of stature: 1 % is about 1.75 cm.
"""

from __future__ import annotations

from causeline.findings.spec import Band, Beside
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
        "shoulder_turn", M.TOP, 88, 103, 3, 24, source=TURN_SOURCE,
        beside=Beside("lead_arm_angle", M.TOP, 0.65, 125.0, 13.0)),
    "pelvis_turn_top": Band(
        "pelvis_turn", M.TOP, 27, 46, 2.5, 16,
        beside=Beside("lead_arm_angle", M.TOP, 0.25, 125.0, 13.0)),
    "lead_arm_top": Band("lead_arm_angle", M.TOP, None, 139, 4, 30, FACE_ON, turns_at=120),
    # The club going back and at the top
    "plane_back": Band("head_off_plane", M.SHAFT_LEVEL_BACK, -4, 7, 1.3, 16, DOWN_THE_LINE),
    "plane_arm_back": Band("head_off_plane", M.ARM_LEVEL_BACK, -9, 5, 1.5, 14, DOWN_THE_LINE),
    "plane_top": Band("head_off_plane", M.TOP, -8, 3, 1.3, 18, DOWN_THE_LINE),
    "shaft_top": Band("shaft_angle", M.TOP, None, 276, 5, 45, FACE_ON, turns_at=200),
    # The club coming down
    "steepening": Band("shaft_steepening", M.ARM_LEVEL_DOWN, -14, -1, 1.8, 13, DOWN_THE_LINE),
    "plane_arm_down": Band("head_off_plane", M.ARM_LEVEL_DOWN, -16, -4, 1.7, 14, DOWN_THE_LINE),
    "plane_shaft_down": Band(
        "head_off_plane", M.SHAFT_LEVEL_DOWN, -5.5, 2.5, 1.2, 10, DOWN_THE_LINE),
    "hands_loop": Band("hands_loop", None, -4, 7.5, 1.3, 12, DOWN_THE_LINE),
    "head_loop": Band("head_loop", None, None, 2, 3, 28, DOWN_THE_LINE),
    "hinge_arm_down": Band(
        "wrist_hinge", M.ARM_LEVEL_DOWN, None, 120, 5, 45, FACE_ON, source=RELEASE_SOURCE),
    "hinge_shaft_down": Band(
        "wrist_hinge", M.SHAFT_LEVEL_DOWN, None, 139, 2, 22, FACE_ON, source=RELEASE_SOURCE),
    "lead_arm_shaft_down": Band(
        "lead_arm_angle", M.SHAFT_LEVEL_DOWN, None, 45, 2.5, 25, FACE_ON, turns_at=30),
    "shaft_lean_impact": Band(
        "shaft_lean", M.IMPACT, 0, None, 2.5, 12, FACE_ON, by_club={DRIVER: (-4, None)}),
    # Arms
    "lead_elbow_top": Band("lead_elbow_angle", M.TOP, 156, None, 2.5, 40),
    "lead_elbow_down": Band("lead_elbow_angle", M.ARM_LEVEL_DOWN, 157, None, 2.5, 30),
    "lead_elbow_impact": Band("lead_elbow_angle", M.IMPACT, 158, None, 4, 40),
    # Legs and pelvis
    "lead_knee_arm_back": Band(
        "lead_knee_toward_target_percent", M.ARM_LEVEL_BACK, -4.3, None, .3, 4, FACE_ON),
    "lead_knee_top": Band(
        "lead_knee_toward_target_percent", M.TOP, -5.8, None, .4, 5, FACE_ON),
    "lead_knee_impact": Band(
        "lead_knee_toward_target_percent", M.IMPACT, None, 2.3, .3, 3, FACE_ON),
    "pelvis_target_arm_back": Band(
        "pelvis_toward_target_percent", M.ARM_LEVEL_BACK, -2.4, None, .3, 3.5, FACE_ON),
    "pelvis_target_top": Band(
        "pelvis_toward_target_percent", M.TOP, -1.6, None, .3, 4, FACE_ON),
    "pelvis_target_down": Band(
        "pelvis_toward_target_percent", M.SHAFT_LEVEL_DOWN, 2.4, 4.9, .3, 3, FACE_ON),
    "pelvis_target_impact": Band(
        "pelvis_toward_target_percent", M.IMPACT, 2.9, 5.6, .3, 3.5, FACE_ON),
    "pelvis_target_finish": Band(
        "pelvis_toward_target_percent", M.FINISH, 4.8, None, .7, 5, FACE_ON),
    "pelvis_ball_down": Band(
        "pelvis_toward_ball_percent", M.SHAFT_LEVEL_DOWN, None, .8, .25, 2.5, DOWN_THE_LINE),
    "pelvis_ball_impact": Band(
        "pelvis_toward_ball_percent", M.IMPACT, None, 1.5, .3, 3.2, DOWN_THE_LINE),
    "pelvis_rise_impact": Band("pelvis_rise_percent", M.IMPACT, None, .2, .25, 2),
    "pelvis_rise_down": Band("pelvis_rise_percent", M.SHAFT_LEVEL_DOWN, None, -.5, .25, 2),
    # Trunk and head
    "posture_top": Band("posture_change", M.TOP, -8.5, None, 1, 10, DOWN_THE_LINE),
    "posture_impact": Band(
        "posture_change", M.IMPACT, -8.5, None, 1.5, 10, DOWN_THE_LINE,
        by_club={DRIVER: (-12, None)}),
    "side_bend_top": Band("trunk_side_bend", M.TOP, 1.5, None, 1, 11, FACE_ON),
    "side_bend_impact": Band("trunk_side_bend", M.IMPACT, None, 25, 2, 10, FACE_ON),
    "head_target_top": Band(
        "head_toward_target_percent", M.TOP, -3.6, 1.6, .5, 5, FACE_ON),
    "head_target_impact": Band(
        "head_toward_target_percent", M.IMPACT, -3.8, None, .6, 6, FACE_ON),
    "head_rise_top": Band("head_rise_percent", M.TOP, None, 2.2, .3, 3),
    "head_rise_down": Band("head_rise_percent", M.SHAFT_LEVEL_DOWN, None, .1, .3, 3),
    "head_rise_impact": Band("head_rise_percent", M.IMPACT, None, 1, .3, 3),
    # Tempo
    "tempo": Band("tempo_ratio", None, 2.3, None, .12, .8, source=TEMPO_SOURCE, rare=.08),
    "backswing": Band("backswing_time", None, .72, None, .03, .2, source=TEMPO_SOURCE, rare=.12),
    # Set-up
    "stance": Band(
        "stance_width_percent", M.ADDRESS, 14, 32, 1.5, 10, FACE_ON,
        by_club={DRIVER: (18, 37), WEDGE: (9, 29)}),
    "bend_address": Band("trunk_forward_bend", M.ADDRESS, 18, 52, 3, 14, DOWN_THE_LINE),
    "ball": Band(
        "ball_position", M.ADDRESS, 1, 18, 1.5, 8, FACE_ON,
        by_club={DRIVER: (-3, 15), WEDGE: (3, 20)}),
}  # fmt: skip
"""Key → measure, moment, low, high, fade, full, views, ends by club, source."""

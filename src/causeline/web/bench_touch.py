"""What a coach sets right on the bench: with an honest ±, kept as a judgement, told as a touch."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from datetime import datetime
from itertools import pairwise

import numpy as np

from causeline.errors import SettingError
from causeline.model.library import Judgement, Touch, new_id
from causeline.model.moments import MomentName
from causeline.model.reading import Swing
from causeline.model.touched import CLUB_ENDS
from causeline.model.tracks import BODY_LANDMARKS
from causeline.store.library_clips import load_judgements
from causeline.web.contract.bench import CorrectionAsked, TouchTold
from causeline.web.desk import Desk
from causeline.web.shelf import ShelfSwing

JOINT_SHARE = 0.01
"""How well a person tells where a joint is under skin and cloth, one standard deviation, as a share
of the golfer's length in the picture: 1.8 cm. Judged."""
CLUB_SHARE = 0.004
"""The same for an end of the club, whose edge is seen: 0.7 cm. Judged."""
HAND_PX = 1.5
"""How well a hand sets a point on a screen, one standard deviation, screen pixels. Judged."""
FRAMES = 0.6
"""How well a person tells which frame a moment is in, one standard deviation, in frames: half of
them within the frame that was chosen. Judged."""

Touched = tuple[Judgement, TouchTold]
_KINDS = {Touch.JOINT: "joint", Touch.CLUB: "club", Touch.MOMENT: "moment"}


def judgement_of(one: ShelfSwing, asked: CorrectionAsked, by: str, now: datetime) -> Judgement:
    """What was asked, as it is kept. Raises SettingError for what this swing does not have."""
    swing = one.shown.swing
    if asked.touch == "moment":
        touch, content = Touch.MOMENT, _moment(swing, asked)
    else:
        touch = Touch.JOINT if asked.touch == "joint" else Touch.CLUB
        content = _point(swing, asked)
    return Judgement(new_id(), one.clip.id, one.shown.number, touch, content, by, now)


def _point(swing: Swing, asked: CorrectionAsked) -> dict[str, object]:
    joint = asked.touch == "joint"
    names, what = (BODY_LANDMARKS, "landmark") if joint else (CLUB_ENDS, "end")
    if asked.name not in names:
        raise _no("a point", asked.name, names)
    if asked.frame not in swing.body.frames:
        raise _no("a frame", asked.frame, (int(swing.body.frames[0]), int(swing.body.frames[-1])))
    share = JOINT_SHARE if joint else CLUB_SHARE
    sd = math.hypot(share * _length_px(swing), HAND_PX * asked.screen_px)
    return {what: asked.name, "frame": asked.frame, "x": asked.x, "y": asked.y, "sd_px": sd}


def _moment(swing: Swing, asked: CorrectionAsked) -> dict[str, object]:
    if asked.name not in list(MomentName):
        raise _no("a moment", asked.name, tuple(MomentName))
    time_s = swing.body.time_s
    if not time_s[0] <= asked.time_s <= time_s[-1]:
        raise _no("an instant", f"{asked.time_s:.3f} s", (f"{time_s[0]:.3f}", f"{time_s[-1]:.3f}"))
    interval = float(np.median(np.diff(time_s))) if len(time_s) > 1 else 0.0
    return {"name": asked.name, "time_s": asked.time_s, "sd_s": FRAMES * interval}


def _no(what: str, came: object, known: Sequence[object]) -> SettingError:
    shown = f"{known[0]} to {known[-1]}" if len(known) == 2 else ", ".join(map(str, known))
    return SettingError(
        f"{what} that this swing does not have was to be set: {came}",
        f"one of these was expected: {shown}",
        "open the bench again, and set it there",
    )


def _length_px(swing: Swing) -> float:
    """From the golfer's head to the feet at the first frame that shows both, pixels."""
    heights = [swing.body.point(name)[:, 1] for name in ("nose", "lead_ankle", "trail_ankle")]
    tall = np.maximum(heights[1], heights[2]) - heights[0]
    seen = tall[np.isfinite(tall)]
    return float(np.abs(seen).max()) if len(seen) else 0.0


def check_order(judgements: Iterable[Judgement], swing: int) -> None:
    """Raises SettingError where moments that were set do not come in the swing's order."""
    mine = [each for each in judgements if each.touch is Touch.MOMENT and each.swing == swing]
    at = {MomentName(each.content["name"]): float(each.content["time_s"]) for each in mine}
    ordered = [(name, at[name]) for name in MomentName if name in at]
    for (one, first), (other, second) in pairwise(ordered):
        if second <= first:
            raise SettingError(
                f"{_words(other)} was set at {second:.3f} s, and {_words(one)} at {first:.3f} s",
                "moments in the order of the swing were expected",
                f"set {_words(one)} first, or let it be found again",
            )


def _words(name: MomentName) -> str:
    return name.value.replace("_", " ")


def touches(
    desk: Desk, one: ShelfSwing, judgements: Iterable[Judgement] | None = None
) -> tuple[Touched, ...]:
    """What people set of this swing and holds, in the order in which they did."""
    held = load_judgements(desk.library, one.clip.id) if judgements is None else judgements
    return tuple(
        (each, _told(one.shown.swing, each))
        for each in held
        if each.touch in _KINDS and each.swing == one.shown.number
    )


def _told(swing: Swing, judgement: Judgement) -> TouchTold:
    content = judgement.content
    name = content.get("landmark") or content.get("end") or content["name"]
    frame = content.get("frame")
    if frame is None:
        nearest = int(np.argmin(np.abs(swing.body.time_s - content["time_s"])))
        frame = int(swing.body.frames[nearest])
    return TouchTold.model_validate(
        {
            "id": judgement.id,
            "touch": _KINDS[judgement.touch],
            "name": name,
            "frame": frame,
            "by": judgement.by,
            "made_at": judgement.made_at.isoformat(),
        }
    )

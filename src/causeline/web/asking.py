"""What a reading is asked with: what is known of golfer and clip, and what people changed of it."""

from __future__ import annotations

from collections.abc import Iterable

from causeline.model.findings import Ruling, Say
from causeline.model.lesson import Golfer
from causeline.model.library import ClipEntry, Judgement, Touch
from causeline.model.moments import MomentName
from causeline.model.motion import Correction
from causeline.model.touched import ClubMark, MomentMark
from causeline.quantities.uncertain import Uncertain
from causeline.reading.doors import Settings

STATURE_SD_M = 0.01
"""How well people know their own height, one standard deviation: judged."""


def clip_settings(
    golfer: Golfer, clip: ClipEntry, judgements: Iterable[Judgement] = ()
) -> Settings:
    """The settings under which a clip is read now: the same ones give the same reading.

    The golfer's hand is left to the pictures, which see it; a coach corrects it by a judgement.
    """
    held = tuple(judgements)
    stature = golfer.stature_cm
    return Settings(
        view=clip.view,
        capture_hz=clip.capture_hz,
        stature_m=Uncertain(stature / 100, STATURE_SD_M) if stature else None,
        club=clip.club,
        rulings=tuple(_ruling(each) for each in held if each.touch is Touch.RULING),
        corrections=tuple(Correction(**each.content) for each in held if each.touch is Touch.JOINT),
        club_marks=tuple(ClubMark(**each.content) for each in held if each.touch is Touch.CLUB),
        moment_marks=tuple(_moment(each) for each in held if each.touch is Touch.MOMENT),
    )


def _moment(judgement: Judgement) -> MomentMark:
    told = judgement.content
    return MomentMark(MomentName(told["name"]), told["time_s"], told["sd_s"])


def _ruling(judgement: Judgement) -> Ruling:
    told = judgement.content
    return Ruling(told["fault"], Say(told["say"]), told["reason"], judgement.by)

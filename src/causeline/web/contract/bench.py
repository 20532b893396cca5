"""The bench: what its page shows before any script runs, and what its script is told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from causeline.model.moments import MomentName
from causeline.web.work import JobTold

MARKS_FORMAT = "causeline.marks/1"
MOST_MARKS = 400
MOST_SPOTS = 4000
Px = Annotated[float, Field(allow_inf_nan=False, ge=-1e6, le=1e6)]


class _Told(BaseModel):
    model_config = ConfigDict(frozen=True)


@dataclass(frozen=True, slots=True)
class BenchPage:
    """One or more swings on the bench."""

    title: str
    """`Ivo Lindgard, 6 April`: of the first swing."""
    swing: str
    beside: tuple[str, ...]
    moment: str
    """Where it opens; empty for address."""
    back: str
    """Address of the sheet that the swing is on."""


class FilmTold(_Told):
    """The swing's frames, ready to be shown one by one; or the work that makes them so."""

    address: str | None
    """None where it is not made yet."""
    job: JobTold | None
    width: int
    height: int
    places_hz: int
    numbers: tuple[int, ...]
    """Frame of the clip at each place of the film."""
    seconds: tuple[float, ...]
    """Real seconds of each from the clip's first frame."""


class MomentTold(_Told):
    """One moment."""

    name: MomentName
    title: str
    short: str
    time_s: float
    sd_s: float
    frame: int
    by_hand: bool


class MissingTold(_Told):
    """A moment that was not found, and why."""

    name: MomentName
    title: str
    why: str


class PointTold(_Told):
    """A tracked point over the frames; pixels of the clip as shown, null where it is missing."""

    x: tuple[float | None, ...]
    y: tuple[float | None, ...]
    sd: tuple[float | None, ...]
    """± along each axis, pixels; null where the track gives none."""
    sure: tuple[float, ...]
    """0 to 1."""


class StatureTold(_Told):
    """How long the golfer, standing, is in the picture, and how tall."""

    px: float
    px_sd: float
    cm: float | None
    """None where nobody gave it."""
    cm_sd: float | None


class MeasureTold(_Told):
    """One measure at a moment: its number with ± as it is read, or why there is none."""

    moment: MomentName | None
    title: str
    number: str
    refused: str
    points: tuple[str, ...]
    """Names of the points that it is taken from, without lead or trail."""


class TouchTold(_Told):
    """What a person set, and holds."""

    id: str
    touch: Literal["joint", "club", "moment"]
    name: str
    frame: int
    by: str
    made_at: str


class ReadingTold(_Told):
    """What the reading that holds says of the swing."""

    reading: str
    numbers: tuple[int, ...]
    """Frames of the clip that the points are of."""
    points: dict[str, PointTold]
    moments: tuple[MomentTold, ...]
    missing: tuple[MissingTold, ...]
    measures: tuple[MeasureTold, ...]
    stature: StatureTold | None
    touched: tuple[TouchTold, ...]
    waiting: bool = False
    """What was set is kept, but this reading does not hold it yet: the clip is read again first."""


class MarkKept(_Told):
    """One mark, as frontend/src/scene/marks.ts has it."""

    id: str = Field(min_length=1, max_length=64)
    kind: Literal["line", "arrow", "angle", "circle", "freehand", "text", "follow"]
    spots: tuple[tuple[Px, Px] | tuple[Px, Px, str], ...] = Field(max_length=MOST_SPOTS)
    text: str = Field(max_length=400)
    follow: str | None = Field(max_length=32)
    outline: tuple[tuple[Px, Px] | tuple[Px, Px, str], ...] = Field(max_length=MOST_SPOTS)
    ink: int = Field(ge=0, le=9)
    from_: MomentName | None = Field(alias="from")
    to: MomentName | None

    model_config = ConfigDict(frozen=True, populate_by_name=True)


class MarksDocument(_Told):
    """Everything that is drawn on one swing."""

    format: Literal["causeline.marks/1"]
    marks: tuple[MarkKept, ...] = Field(max_length=MOST_MARKS)


class MarksTold(_Told):
    """The marks, and which version of them this is: 0 where nothing was kept yet."""

    version: int
    document: MarksDocument


class BenchTold(_Told):
    """One swing on the bench."""

    swing: str
    title: str
    """The golfer and the day."""
    about: str
    """View, hand and club in words."""
    width: int
    height: int
    """Of the clip as shown, pixels."""
    rate_hz: float
    left_handed: bool
    film: FilmTold
    reading: ReadingTold
    marks: MarksTold


class OtherTold(_Told):
    """A swing that may be put beside this one."""

    swing: str
    title: str
    about: str
    same_view: bool


class CorrectionAsked(BaseModel):
    """A point or a moment, as a person sets it."""

    touch: Literal["joint", "club", "moment"]
    name: str = Field(max_length=40)
    frame: int = Field(default=0, ge=0)
    x: Px = 0.0
    y: Px = 0.0
    screen_px: float = Field(default=1.0, gt=0, le=1000, allow_inf_nan=False)
    """Pixels of the clip for one of the screen: how finely the hand could set it."""
    time_s: float = Field(default=0.0, allow_inf_nan=False)


def plain_marks(document: MarksDocument) -> list[dict[str, Any]]:
    """The marks as JSON keeps them."""
    return [mark.model_dump(mode="json", by_alias=True) for mark in document.marks]

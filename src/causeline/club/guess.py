"""Lines of one frame that may be the shaft, read off the network's maps."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import maximum_filter, maximum_filter1d
from scipy.special import expit

from causeline.club.polish import track_edge
from causeline.model.club import CLUB_MAPS, ClubCrop, ClubGuesses
from causeline.quantities.angle import Floats

TIPS, RAYS, POLISHED = 4, 2, 2
"""How many ends of a shaft, and how many lines without a seen end, are followed up; and how many of
the likeliest are laid on the picture's own streaks."""

ODDS = (-12.8, -0.9, 11.0, 0.1, -0.1, 5.7)
"""Log-odds that a line is the shaft: none, the hosel's map at its end, the shaft's map along it,
the head's map by its end, its length in sides of the usual crop, how far the direction's map agrees
along it. See training/club/README.md."""

NEAR_ODDS = (-10.6, 0.4, 7.8, 0.0, 4.8, 4.3)
"""The same in a crop from nearer."""

FAINTEST = 0.05
"""Peaks of a map below this are no ends."""

DARK = 0.03
"""Cells of the shaft's map below this say nothing of where the line lies."""

FAR_HANDS, GRIP_SEEN = 0.06, 0.3
"""A grip seen farther from the hands than this, in sides of the usual crop, and surer than this is
another place where the club may be held."""

END_REACH, HIDDEN_REACH = 0.12, 0.2
"""How much of a shaft before its end says how it lies there, and how far from it hidden hands may
seem to be, in sides of the usual crop."""

HEAD_REACH = 0.085
"""Farthest that the head's middle lies from the hosel, in sides of the crop (about 0.2 m)."""

HEAD_BEYOND = 0.02
"""How far along the shaft the head's middle lies beyond the hosel where only the shaft is seen."""

SAME_PLACE = 0.05
"""Ends of two lines of two looks within so many sides of the crop are the same end."""

SAME_DEG = 6.0
"""A line without an end within this of one with an end is the same one."""

SHARES = np.linspace(0.25, 0.97, 20)
"""Places along a line that are asked what speaks for it."""

RAY_STEPS = 40
RAYS_REACH = np.linspace(0.05, 0.5, RAY_STEPS)
RAYS_WAYS = np.stack([f(np.radians(np.arange(0, 360, 4.0))) for f in (np.cos, np.sin)], axis=-1)


@dataclass(frozen=True, slots=True, eq=False)
class _Maps:
    """Probabilities on the crop's coarse grid, and where the hands are on it."""

    grip: Floats
    hosel: Floats
    head: Floats
    line: Floats
    """(3, side, side) the shaft, and its direction, doubled."""
    hands: Floats
    zoom: float
    """How much nearer than the usual crop."""
    lit: Floats
    """(k, 3) x, y of the cells where the shaft's map is not dark, and its square there."""

    @property
    def side(self) -> int:
        return len(self.grip)

    @property
    def usual(self) -> float:
        """Cells of this grid along a side of the usual crop."""
        return len(self.grip) * self.zoom


def track_guesses(crop: ClubCrop, hands: Floats, hidden: bool = False) -> ClubGuesses:
    """Every line that may be the shaft held at `hands` (2,), clip pixels; the likeliest first.

    Hands that are `hidden` may be elsewhere: lines are then also laid through the end of the shaft
    as the shaft lies there. Where there is a second look from nearer, its lines stand for those
    that it shows again.
    """
    wide = _crop_guesses(crop, hands, 1.0, hidden)
    if crop.closer is None:
        return wide
    zoom = crop.region.size / crop.closer.region.size
    near = _crop_guesses(crop.closer, hands, zoom, hidden)
    return _merged(near, wide, SAME_PLACE * crop.region.size)


def _crop_guesses(crop: ClubCrop, hands: Floats, zoom: float, hidden: bool) -> ClubGuesses:
    side = crop.maps.shape[-1]
    cell = crop.region.size / side
    corner = np.array([crop.region.x, crop.region.y]) - crop.region.size / 2
    prob = expit(crop.maps[: CLUB_MAPS.index("cos2")].astype(float))
    maps = _Maps(
        prob[0],
        prob[1],
        prob[2],
        np.concatenate([prob[3:], crop.maps[-2:]]),
        (hands - corner) / cell - 0.5,
        zoom,
        _lit(prob[3]),
    )
    held = _held(maps)
    tips = _peaks(maps.hosel, TIPS)
    found = [
        max((_with_end(one, tip) for one in held), key=lambda line: line.score) for tip in tips
    ]
    if hidden:
        found += [line for tip in tips if (line := _from_end(maps, tip)) is not None]
    found += [_without_end(one, ray) for one in held for ray in _rays(one, RAYS)]
    kept = _distinct(found)
    best = [_polished(maps, line, crop.grey[1]) for line in kept[:POLISHED]]
    return _gathered(best + kept[POLISHED:], corner, cell)


def _held(maps: _Maps) -> list[_Maps]:
    """The maps with the hands where the body has them, and where the grip is seen far from there.

    Hands that hide behind the head are often taken to be elsewhere.
    """
    y, x = np.unravel_index(int(np.argmax(maps.grip)), maps.grip.shape)
    grip = _centre(maps.grip, int(x), int(y))
    far = float(np.hypot(*(grip - maps.hands))) > FAR_HANDS * maps.usual
    if not far or maps.grip[y, x] < GRIP_SEEN:
        return [maps]
    return [maps, replace(maps, hands=grip)]


@dataclass(frozen=True, slots=True, eq=False)
class _Line:
    """One guess on the coarse grid."""

    hands: Floats
    butt: Floats
    hosel: Floats
    head: Floats
    score: float
    seen: bool

    @property
    def deg(self) -> float:
        way = self.hosel - self.butt
        return float(np.degrees(np.arctan2(way[1], way[0])))


def _with_end(maps: _Maps, tip: Floats) -> _Line:
    start, end = _fitted(maps, maps.hands, tip)
    head, head_prob = _head(maps, end)
    evidence = (float(_at(maps.hosel, tip[None])[0]), head_prob)
    return _Line(maps.hands, start, end, head, _score(maps, start, end, evidence), seen=True)


def _from_end(maps: _Maps, tip: Floats) -> _Line | None:
    """A line through an end as the shaft lies there, held where it passes the hands; or none.

    None where the shaft's map is dark there, or the line passes the hands too far off.
    """
    off = maps.lit[:, :2] - tip
    near = (off**2).sum(axis=1) < (END_REACH * maps.usual) ** 2
    if not near.any():
        return None
    x, y = maps.lit[near, :2].astype(int).T
    double = maps.line[1:, y, x] @ maps.lit[near, 2]
    angle = float(np.arctan2(double[1], double[0])) / 2
    way = np.array([np.cos(angle), np.sin(angle)])
    back = maps.hands - tip
    way = way if way @ back > 0 else -way
    aside = float(np.linalg.norm(back - (way @ back) * way))
    if aside > HIDDEN_REACH * maps.usual:
        return None
    start, end = _fitted(maps, tip + way * max(float(way @ back), END_REACH * maps.usual), tip)
    hands = start + (end - start) * np.clip(
        (maps.hands - start) @ (end - start) / max(float((end - start) @ (end - start)), 1e-6), 0, 1
    )
    return _with_end(replace(maps, hands=hands), tip)


def _without_end(maps: _Maps, ray: Floats) -> _Line:
    start, end = _fitted(maps, maps.hands, maps.hands + ray)
    way = (end - start) / max(float(np.hypot(*(end - start))), 1e-6)
    head = end + way * HEAD_BEYOND * maps.usual
    return _Line(maps.hands, start, end, head, _score(maps, start, end, (0.0, 0.0)), seen=False)


def _score(maps: _Maps, start: Floats, end: Floats, tip: tuple[float, float]) -> float:
    odds = ODDS if maps.zoom == 1.0 else NEAR_ODDS
    return float(expit(np.dot(odds, _evidence(maps, start, end, tip))))


def _evidence(
    maps: _Maps, start: Floats, end: Floats, tip: tuple[float, float]
) -> tuple[float, ...]:
    """What `ODDS` weighs; `tip` holds what the maps of hosel and head say at the line's end."""
    length = float(np.hypot(*(end - start))) / maps.usual
    support, agreement = _along(maps, start, end)
    return (1.0, tip[0], support, tip[1], length, agreement)


def _polished(maps: _Maps, line: _Line, grey: NDArray[np.float32]) -> _Line:
    start, end = track_edge(grey, line.butt, line.hosel, grey.shape[-1] / maps.side)
    return replace(line, butt=_butt(replace(maps, hands=line.hands), start, end), hosel=end)


def _peaks(prob: Floats, most: int) -> Floats:
    """(k, 2) x, y of the highest local peaks, to a fraction of a cell."""
    top = (prob == maximum_filter(prob, 5)) & (prob > FAINTEST)
    y, x = np.nonzero(top)
    order = np.argsort(-prob[y, x])[:most]
    return np.array([_centre(prob, x[i], y[i]) for i in order]).reshape(-1, 2)


def _centre(prob: Floats, x: int, y: int) -> Floats:
    x0, y0 = max(x - 2, 0), max(y - 2, 0)
    near = prob[y0 : y + 3, x0 : x + 3]
    across, down = near.sum(axis=0), near.sum(axis=1)
    middle = [across @ np.arange(len(across)), down @ np.arange(len(down))]
    return np.asarray(np.array([x0, y0]) + np.array(middle) / across.sum())


def _rays(maps: _Maps, most: int) -> list[Floats]:
    """Vectors from the hands along which the shaft's map is strong, whatever its end."""
    reach = RAYS_REACH * maps.side
    points = maps.hands + RAYS_WAYS[:, None] * reach[None, :, None]
    along = _at(maps.line[0], points.reshape(-1, 2)).reshape(points.shape[:2])
    total = along.sum(axis=1)
    wrapped = maximum_filter1d(total, 9, mode="wrap")
    order = [i for i in np.argsort(-total) if total[i] == wrapped[i] and total[i] > 4][:most]
    return [RAYS_WAYS[i] * _ray_end(along[i], reach) for i in order]


def _ray_end(along: Floats, reach: Floats) -> float:
    strong = np.flatnonzero(along > 0.3)
    return float(reach[strong[-1]]) if len(strong) else float(reach[-1]) / 2


def _at(prob: Floats, points: Floats) -> Floats:
    """Bilinear values of (..., s, s) at (n, 2) x, y; nothing outside."""
    last = prob.shape[-1] - 1
    cell = np.clip(points.astype(int), 0, last - 1)
    right, low = (points - cell).T
    x, y = cell.T
    upper = prob[..., y, x] * (1 - right) + prob[..., y, x + 1] * right
    lower = prob[..., y + 1, x] * (1 - right) + prob[..., y + 1, x + 1] * right
    inside = ((points >= 0) & (points <= last)).all(axis=1)
    return np.asarray((upper * (1 - low) + lower * low) * inside)


def _along(maps: _Maps, start: Floats, end: Floats) -> tuple[float, float]:
    """The shaft's map along a line, and how much the direction there is the line's own.

    That is 1 where it is, -1 where it is square to it.
    """
    at = start + SHARES[:, None] * (end - start)
    shaft, double_x, double_y = _at(maps.line, at).mean(axis=1)
    way = (end - start) / max(float(np.hypot(*(end - start))), 1e-6)
    own = (way[0] ** 2 - way[1] ** 2) * double_x + 2 * way[0] * way[1] * double_y
    return float(shaft), float(own)


def _fitted(maps: _Maps, start: Floats, tip: Floats) -> tuple[Floats, Floats]:
    """The line through the shaft's map between hands and tip, by weighted least squares."""
    points, square = maps.lit[:, :2], maps.lit[:, 2]
    way = tip - start
    length = max(float(np.hypot(*way)), 1e-6)
    unit = way / length
    off = points - start
    along, across = off @ unit, off @ np.array([-unit[1], unit[0]])
    wide = 1.5 + 0.06 * np.clip(along, 0, None)
    weight = square * ((np.abs(across) < wide) & (along > -1) & (along < length + 1))
    if weight.sum() < 1.5 or length < 2:
        return start, tip
    tip_weight = 2.0 * float(_at(maps.hosel, tip[None])[0])
    at, away = np.append(along, length), np.append(across, 0.0)
    slope, level = _straight(at, away, np.append(weight, tip_weight))
    normal = np.array([-unit[1], unit[0]])
    return start + normal * level, start + unit * length + normal * (level + slope * length)


def _lit(shaft: Floats) -> Floats:
    y, x = np.nonzero(shaft > DARK)
    return np.stack([x, y, shaft[y, x] ** 2], axis=-1)


def _straight(x: Floats, y: Floats, weight: Floats) -> tuple[float, float]:
    total = weight.sum()
    mx, my = (weight * x).sum() / total, (weight * y).sum() / total
    spread = (weight * (x - mx) ** 2).sum()
    slope = float((weight * (x - mx) * (y - my)).sum() / max(spread, 1e-6))
    return slope, float(my - slope * mx)


def _head(maps: _Maps, hosel: Floats) -> tuple[Floats, float]:
    """The head's middle near a hosel, and its probability; just beyond it where there is none."""
    reach = HEAD_REACH * maps.usual
    x0, y0 = (max(int(np.ceil(middle - reach)), 0) for middle in hosel)
    x1, y1 = (max(int(np.floor(middle + reach)) + 1, 0) for middle in hosel)
    square = maps.head[y0:y1, x0:x1]
    if not square.size:
        return hosel, 0.0
    rows, columns = np.arange(y0, y0 + len(square)), np.arange(x0, x0 + square.shape[1])
    far = (rows[:, None] - hosel[1]) ** 2 + (columns - hosel[0]) ** 2 >= reach**2
    prob = np.where(far, 0.0, square)
    y, x = np.unravel_index(int(np.argmax(prob)), prob.shape)
    if prob[y, x] < FAINTEST:
        return hosel, float(prob[y, x])
    return _centre(maps.head, x0 + int(x), y0 + int(y)), float(prob[y, x])


def _butt(maps: _Maps, start: Floats, end: Floats) -> Floats:
    """The grip end: on the line, as far behind the hands as the grip's map says, within reason."""
    way = end - start
    length = max(float(np.hypot(*way)), 1e-6)
    unit = way / length
    back = np.linspace(-0.06, 0.03, 19) * maps.usual
    at = start + unit * ((maps.hands - start) @ unit) + back[:, None] * unit
    weight = _at(maps.grip, at) + 1e-3
    return np.asarray((weight[:, None] * at).sum(axis=0) / weight.sum())


def _distinct(found: list[_Line]) -> list[_Line]:
    kept: list[_Line] = []
    for line in sorted(found, key=lambda line: (not line.seen, -line.score)):
        twins = [abs((line.deg - other.deg + 180) % 360 - 180) < SAME_DEG for other in kept]
        if line.seen or not any(twins):
            kept.append(line)
    return sorted(kept, key=lambda line: -line.score)


def _merged(near: ClubGuesses, wide: ClubGuesses, same_px: float) -> ClubGuesses:
    """Both, less the wide lines that end where a near one ends."""
    apart = np.linalg.norm(wide.hosel[:, None] - near.hosel[None], axis=-1)
    new = ~((apart < same_px) & near.tip_seen[None] & wide.tip_seen[:, None]).any(axis=1)
    joined = {
        name: np.concatenate([getattr(near, name), getattr(wide, name)[new]])
        for name in ("butt", "hosel", "head", "score", "tip_seen")
    }
    order = np.argsort(-joined["score"], kind="stable")
    return ClubGuesses(**{name: values[order] for name, values in joined.items()})


def _gathered(lines: list[_Line], corner: Floats, cell: float) -> ClubGuesses:
    def clip_px(points: list[Floats]) -> Floats:
        return (np.array(points).reshape(-1, 2) + 0.5) * cell + corner

    return ClubGuesses(
        butt=clip_px([line.butt for line in lines]),
        hosel=clip_px([line.hosel for line in lines]),
        head=clip_px([line.head for line in lines]),
        score=np.array([line.score for line in lines]),
        tip_seen=np.array([line.seen for line in lines], dtype=np.bool_),
    )

"""One path through the guesses of all frames, by dynamic programming.

A frame may be passed over at a price. Going from one guess to a later one costs more the farther
the club must turn than arms and wrists allow in that time.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from causeline.model.club import ClubGuesses
from causeline.quantities.angle import Floats

PASSING = 1.25
"""Price of a frame without a guess: that of a guess of score 0.29."""

LONGEST_GAP_S = 0.3
MOST_FRAMES = 30
"""Longest run of frames passed over."""

AT_REST = 3.0
"""Lengths of the club in a second that its end may move while the hands are still."""

WITH_HANDS = 6.5
"""More of them for each length in a second that the hands move: the club whips round the wrists."""

SLACK = 0.04
"""Lengths of the club by which a guess may be off."""

DEAREST = 12.0
"""Most that one turn can cost."""

MOST_BEND = 1.5
"""Radians; beyond that a guess is no more astray."""

HINGED, FOLDED = 0.8, 6.0
"""Cosine of the smallest angle between forearm and shaft that costs nothing (37°), and the price of
a whole one more. At full hinge they are near 90° (common practice), but the angle comes out of two
lengths in the picture, and is easily 30° off."""

BROAD, ON_BODY = 0.12, 3.0
"""Half a leg's breadth, in lengths of the club, and the price of an end of a shaft that lies on the
body while the hands are behind it."""

LEAP = 2.0
"""A guess farther than this from where the frames around it put the club, in what it may be off,
is looked at again."""
BEND, BEND_SHARE = 0.1, 0.3
"""How far it may be off: lengths of the club, and share of its way past the frame."""
WIDEST_GAP_S = 0.15
"""Frames around a frame that lie farther apart say nothing about it."""
LEAPS_PRICE = 4.0
"""A guess dearer than this, its distance priced in, is no better than none."""
AT_HOME, HOMES_PRICE = 1.0, 2.0
"""A frame passed over gets a guess nearer than this to where the frames around put the club, in
what that may be off, and cheaper than this. See training/club/README.md."""


@dataclass(frozen=True, slots=True, eq=False)
class Arms:
    """What holds the club."""

    hands: Floats
    """(n, 2) pixels."""
    forearms: Floats
    """(2, n, 2) lead and trail, from wrist to elbow, as shares of a forearm's whole length."""
    bones: Floats | None = None
    """(k, n, 2, 2) both ends of legs and trunk, pixels, where the hands are hidden; else NaN."""


@dataclass(frozen=True, slots=True, eq=False)
class Path:
    """Chosen guess of each frame, -1 where it is passed over."""

    chosen: NDArray[np.int64]
    """(n,)."""
    step_cost: Floats
    """(n,) what it cost to come to the frame's guess."""
    bend: Floats
    """(n,) radians between the frame's guess and where the frames around put the club, as far as
    `MOST_BEND`; 0 where they do not say."""


def track_path(
    guesses: tuple[ClubGuesses, ...], time_s: Floats, arms: Arms, length_px: float
) -> Path:
    """The cheapest path through all frames; `length_px` is the club's from grip end to hosel."""
    hands = arms.hands
    ways = [_way(one, length_px) for one in guesses]
    price = [
        -np.log(np.clip(one.score, 0.02, 0.98))
        + _folded(way, arms, i)
        + _on_body(one, arms, i, length_px)
        for i, (one, way) in enumerate(zip(guesses, ways, strict=True))
    ]
    freedom = _freedom(time_s, hands / length_px)
    total, came = _cheapest(ways, price, freedom, time_s)
    path = _walked_back(total, came, ways, freedom, time_s)
    return _settled(path, ways, price, time_s)


def _cheapest(
    ways: list[Floats], price: list[Floats], freedom: Floats, time_s: Floats
) -> tuple[list[Floats], list[NDArray[np.int64]]]:
    """What the cheapest path to each guess of each frame costs, and where it comes from.

    That is a frame and a guess of it, (k, 2); -1 where the path begins there.
    """
    n, most = len(ways), max((len(way) for way in ways), default=0)
    places, costs = np.zeros((n, most, 2)), np.full((n, most), np.inf)
    total: list[Floats] = []
    came: list[NDArray[np.int64]] = []
    for j, (way, own) in enumerate(zip(ways, price, strict=True)):
        best = own + PASSING * j
        source = np.full((len(own), 2), -1, dtype=np.int64)
        before = _before(j, time_s)
        if len(before) and len(own):
            earlier = slice(before.start, before.stop)
            gap_s = time_s[j] - time_s[earlier]
            # The freest moment between each of the earlier frames and this one.
            most_free = np.maximum.accumulate(freedom[before.start : j + 1][::-1])[::-1][:-1]
            turn = _turn_costs(places[earlier], way, most_free * gap_s)
            passed = PASSING * (j - 1 - np.arange(before.start, before.stop))
            cost = costs[earlier, :, None] + turn + passed[:, None, None] + own
            flat = cost.reshape(-1, len(own))
            least = flat.argmin(axis=0)
            cheapest = flat[least, np.arange(len(own))]
            better = cheapest < best
            best = np.where(better, cheapest, best)
            from_frame, from_row = np.divmod(least[better], most)
            source[better] = np.stack([before.start + from_frame, from_row], -1)
        places[j, : len(way)], costs[j, : len(own)] = way, best
        total.append(best)
        came.append(source)
    return total, came


def _way(one: ClubGuesses, length_px: float) -> Floats:
    """(k, 2) grip end to hosel, in lengths of the club; nearly one long where the end is unseen."""
    way = (one.hosel - one.butt) / length_px
    long = np.maximum(np.linalg.norm(way, axis=1, keepdims=True), 1e-9)
    return np.where(one.tip_seen[:, None], way, way / long * np.maximum(long, 0.9))


def _folded(ways: Floats, arms: Arms, frame: int) -> Floats:
    """(k,) price of a shaft folded back along a forearm farther than any wrist hinges.

    Seen lengths leave the depths of forearm and shaft open but for their signs; the signs are
    taken that open the angle between them widest. It is only known as far as the lengths are.
    """
    cost = np.zeros(len(ways))
    for forearm in arms.forearms[:, frame]:
        if np.isfinite(forearm).all():
            deep_shaft = np.sqrt(np.clip(1 - (ways**2).sum(axis=1), 0, 1))
            deep_arm = np.sqrt(np.clip(1 - float(forearm @ forearm), 0, 1))
            least = ways @ forearm - deep_shaft * deep_arm
            cost = np.maximum(cost, FOLDED * np.clip(least - HINGED, 0, None))
    return np.minimum(cost, DEAREST)


def _on_body(one: ClubGuesses, arms: Arms, frame: int, length_px: float) -> Floats:
    """(k,) price of an end that lies on the legs or the trunk while the body hides the hands.

    There it would hide the club too.
    """
    if arms.bones is None or not len(one):
        return np.zeros(len(one))
    start, end = arms.bones[:, frame, None, 0], arms.bones[:, frame, None, 1]
    along = end - start
    share = ((one.hosel - start) * along).sum(-1) / np.maximum((along**2).sum(-1), 1e-9)
    apart = np.linalg.norm(one.hosel - start - np.clip(share, 0, 1)[..., None] * along, axis=-1)
    return np.where(np.fmin.reduce(apart, axis=0) < BROAD * length_px, ON_BODY, 0.0)


def _freedom(time_s: Floats, hands: Floats) -> Floats:
    """(n,) lengths in a second that the club's end may move around the hands."""
    if len(time_s) < 2:
        return np.full(len(time_s), AT_REST)
    speed = np.hypot(*np.gradient(hands, time_s, axis=0).T)
    return AT_REST + WITH_HANDS * np.nan_to_num(speed)


def _before(j: int, time_s: Floats) -> range:
    first = int(np.searchsorted(time_s, time_s[j] - LONGEST_GAP_S))
    return range(max(first, j - MOST_FRAMES, 0), j)


def _turn_costs(start: Floats, end: Floats, free: Floats) -> Floats:
    """(f, k, m): from each of k guesses in f frames, (f, k, 2), to each of m, (m, 2).

    `free` (f,) is how far the club's end may move meanwhile, in lengths of the club.
    """
    apart = np.linalg.norm(start[:, :, None] - end, axis=-1)
    return np.minimum(0.5 * (apart / (SLACK + free)[:, None, None]) ** 2, DEAREST)


def _walked_back(
    total: list[Floats],
    came: list[NDArray[np.int64]],
    ways: list[Floats],
    freedom: Floats,
    time_s: Floats,
) -> Path:
    n = len(total)
    chosen = np.full(n, -1, dtype=np.int64)
    step_cost = np.zeros(n)
    ends = [
        (float(costs.min()) + PASSING * (n - 1 - j), j)
        for j, costs in enumerate(total)
        if len(costs)
    ]
    if not ends:
        return Path(chosen, step_cost, np.zeros(n))
    frame = min(ends)[1]
    row = int(total[frame].argmin())
    while frame >= 0:
        chosen[frame] = row
        before, row_before = (int(v) for v in came[frame][row])
        if before >= 0:
            one, other = ways[before][None, [row_before]], ways[frame][[row]]
            gap_s = float(time_s[frame] - time_s[before])
            free = np.array([freedom[before : frame + 1].max() * gap_s])
            step_cost[frame] = _turn_costs(one, other, free)[0, 0, 0]
        frame, row = before, row_before
    return Path(chosen, step_cost, np.zeros(n))


def _settled(path: Path, ways: list[Floats], price: list[Floats], time_s: Floats) -> Path:
    """The same, less leaps aside and back, which going from frame to frame lets pass.

    In their stead comes the guess nearest to where the frames around put the club, or none.
    """
    chosen, step_cost = path.chosen.copy(), path.step_cost.copy()
    for _ in range(2):
        for frame in np.flatnonzero(chosen >= 0):
            place, reach = _expected(chosen, ways, time_s, int(frame))
            off = np.linalg.norm(ways[frame] - place, axis=1) / reach
            if not off[chosen[frame]] >= LEAP:
                continue
            cost = price[frame] + np.minimum(0.5 * off**2, DEAREST)
            row = int(cost.argmin())
            chosen[frame] = row if cost[row] < LEAPS_PRICE else -1
    _fill(chosen, ways, price, time_s)
    step_cost[chosen < 0] = 0.0
    return Path(chosen, step_cost, _bends(chosen, ways, time_s))


def _bends(chosen: NDArray[np.int64], ways: list[Floats], time_s: Floats) -> Floats:
    bends = np.zeros(len(chosen))
    for frame in np.flatnonzero(chosen >= 0):
        place, _ = _expected(chosen, ways, time_s, int(frame))
        here = ways[frame][chosen[frame]]
        cross, dot = here[0] * place[1] - here[1] * place[0], float(here @ place)
        bends[frame] = min(abs(np.nan_to_num(np.arctan2(cross, dot))), MOST_BEND)
    return bends


def _fill(
    chosen: NDArray[np.int64], ways: list[Floats], price: list[Floats], time_s: Floats
) -> None:
    """Give frames that were passed over the guess that lies where the frames around put the club.

    A shaft that turns fast and is short for a frame, as near shaft level coming down, costs two
    dear turns, though it bends as its neighbours say.
    """
    for frame in np.flatnonzero(chosen < 0):
        place, reach = _expected(chosen, ways, time_s, int(frame))
        if not len(price[frame]) or not np.isfinite(place).all():
            continue
        off = np.linalg.norm(ways[frame] - place, axis=1) / reach
        row = int((price[frame] + 0.5 * off**2).argmin())
        if off[row] < AT_HOME and price[frame][row] < HOMES_PRICE:
            chosen[frame] = row


def _expected(
    chosen: NDArray[np.int64], ways: list[Floats], time_s: Floats, frame: int
) -> tuple[Floats, float]:
    """Where up to four frames around put the club, and how far off it may be; NaN if they do not.

    A cubic through two frames before and two after, in lengths of the club.
    """
    near = np.arange(max(frame - 3, 0), min(frame + 4, len(chosen)))
    near = near[(chosen[near] >= 0) & (near != frame)]
    before, after = near[near < frame][-2:], near[near > frame][:2]
    if not len(before) or not len(after) or time_s[after[0]] - time_s[before[-1]] > WIDEST_GAP_S:
        return np.full(2, np.nan), 1.0
    known = np.concatenate([before, after])
    places = np.stack([ways[k][chosen[k]] for k in known])
    at = time_s[known] - time_s[frame]
    others = [np.delete(at, k) for k in range(len(at))]
    shares = np.array([np.prod(o / (o - t)) for o, t in zip(others, at, strict=True)])
    past = float(np.linalg.norm(places[len(before)] - places[len(before) - 1]))
    return shares @ places, BEND + BEND_SHARE * past

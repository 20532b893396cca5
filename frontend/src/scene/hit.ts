/** What lies under a hand: a mark, one of its spots, a joint or an end of the club. */
import { distance, distanceToStretch, isSomewhere, type Point } from "../geometry/vector";
import { isShown } from "./describe";
import { rowOf, type SwingFacts } from "./facts";
import type { Mark, MarksDocument, Spot } from "./marks";
import { spotsOf } from "./measured";

/** Points that a hand may take hold of and set right. */
export const SETTABLE = [
  "nose",
  ...["ear", "shoulder", "elbow", "wrist", "hip", "knee", "ankle", "heel", "toe"].flatMap(
    (part) => [`lead_${part}`, `trail_${part}`],
  ),
  "grip",
  "hosel",
  "head",
];

export interface Near {
  readonly name: string;
  readonly at: Point;
}

/** The tracked point nearest to a place, within `reach` clip pixels. */
export function nearestPoint(
  facts: SwingFacts,
  number: number,
  at: Point,
  reach: number,
): Near | null {
  const row = rowOf(facts.tracks, number);
  let best: Near | null = null;
  let least = reach;
  for (const name of SETTABLE) {
    const point = facts.tracks.points.get(name)?.xy[row];
    if (point === undefined || !isSomewhere(point)) continue;
    const off = distance(point, at);
    if (off <= least) [best, least] = [{ name, at: point }, off];
  }
  return best;
}

/** A spot at a place: pinned to the tracked point there, or free. */
export function spotAt(facts: SwingFacts, number: number, at: Point, reach: number): Spot {
  const near = nearestPoint(facts, number, at, reach);
  return near === null ? [at[0], at[1]] : [0, 0, near.name];
}

export interface Held {
  readonly mark: Mark;
  /** Which spot; -1 for the whole mark. */
  readonly spot: number;
}

/** The uppermost mark under a place that is shown at a frame. */
export function heldAt(
  document: MarksDocument,
  facts: SwingFacts,
  number: number,
  at: Point,
  reach: number,
): Held | null {
  for (const mark of [...document.marks].reverse()) {
    if (!isShown(mark, facts, number)) continue;
    const points = spotsOf(mark, facts, number).map((each) => each.at);
    const spot = mark.kind === "freehand" ? -1 : points.findIndex((p) => distance(p, at) <= reach);
    if (spot >= 0) return { mark, spot: mark.kind === "follow" ? -1 : spot };
    if (isOn(mark, points, at, reach)) return { mark, spot: -1 };
  }
  return null;
}

function isOn(mark: Mark, points: readonly Point[], at: Point, reach: number): boolean {
  const [first, second] = points;
  if (first === undefined || second === undefined) return false;
  if (mark.kind === "circle")
    return Math.abs(distance(first, at) - distance(first, second)) <= reach;
  return points.some(
    (point, k) => k > 0 && distanceToStretch(at, points[k - 1] as Point, point) <= reach,
  );
}

/** A mark with one spot put elsewhere, or moved as a whole by so many clip pixels. */
export function movedMark(mark: Mark, by: Point): Mark {
  const moved = (spot: Spot): Spot =>
    spot[2] === undefined
      ? [spot[0] + by[0], spot[1] + by[1]]
      : [spot[0] + by[0], spot[1] + by[1], spot[2]];
  return { ...mark, spots: mark.spots.map(moved), outline: mark.outline.map(moved) };
}

/** The mark pinned to a tracked point, or freed from all, where it now is. */
export function pinnedMark(
  mark: Mark,
  facts: SwingFacts,
  number: number,
  pin: string | null,
): Mark {
  const row = rowOf(facts.tracks, number);
  const origin = pin === null ? [0, 0] : (facts.tracks.points.get(pin)?.xy[row] ?? [NaN, NaN]);
  if (!isSomewhere(origin as Point)) return mark;
  const laid = (spot: Spot): Spot => {
    const on =
      spot[2] === undefined ? [0, 0] : (facts.tracks.points.get(spot[2])?.xy[row] ?? [0, 0]);
    const x = spot[0] + (on[0] as number) - (origin[0] as number);
    const y = spot[1] + (on[1] as number) - (origin[1] as number);
    return pin === null ? [x, y] : [x, y, pin];
  };
  return { ...mark, spots: mark.spots.map(laid), outline: mark.outline.map(laid) };
}

/**
 * Points and directions in a picture. Pixels have y down; every angle here has y up.
 *
 * The conventions are those of `quantities/angle.py`. A missing coordinate is NaN, and NaN in gives
 * NaN out.
 */

export type Point = readonly [x: number, y: number];

export const NOWHERE: Point = [NaN, NaN];

const DEGREES = 180 / Math.PI;

export function isSomewhere(point: Point): boolean {
  return Number.isFinite(point[0]) && Number.isFinite(point[1]);
}

export function add(a: Point, b: Point): Point {
  return [a[0] + b[0], a[1] + b[1]];
}

export function minus(a: Point, b: Point): Point {
  return [a[0] - b[0], a[1] - b[1]];
}

export function times(a: Point, by: number): Point {
  return [a[0] * by, a[1] * by];
}

export function middle(a: Point, b: Point): Point {
  return [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
}

export function distance(a: Point, b: Point): number {
  return Math.hypot(a[0] - b[0], a[1] - b[1]);
}

/**
 * Direction from `start` to `end`: zero to the right, positive counter-clockwise as seen.
 *
 * Range (-180, 180]. Degenerate: coincident points give NaN.
 */
export function directionDeg(start: Point, end: Point): number {
  const [x, y] = minus(end, start);
  if (!(Math.hypot(x, y) > 0)) return NaN;
  const angle = Math.atan2(-y, x) * DEGREES;
  return angle <= -180 ? 180 : angle;
}

/**
 * Slope of a line that has no direction of its own: zero level, positive rising to the right.
 *
 * Range (-90, 90]; 90 is upright. Degenerate: coincident points give NaN.
 */
export function slopeDeg(one: Point, other: Point): number {
  const angle = directionDeg(one, other);
  if (angle > 90) return angle - 180;
  if (angle <= -90) return angle + 180;
  return angle;
}

/**
 * Angle at `joint` between the ways to `first` and `second`: 180 is straight.
 *
 * Range [0, 180], no sign. Degenerate: a limb without length gives NaN. The form that stays exact
 * near 0 and 180: W. Kahan, "How Futile are Mindless Assessments of Roundoff", 2006, section 12.
 */
export function jointDeg(first: Point, joint: Point, second: Point): number {
  const a = unit(minus(first, joint));
  const b = unit(minus(second, joint));
  return 2 * Math.atan2(distance(a, b), Math.hypot(a[0] + b[0], a[1] + b[1])) * DEGREES;
}

function unit(vector: Point): Point {
  const length = Math.hypot(vector[0], vector[1]);
  return length > 0 ? times(vector, 1 / length) : NOWHERE;
}

/** How far a point lies from the stretch between two others; from the one where they coincide. */
export function distanceToStretch(point: Point, start: Point, end: Point): number {
  const way = minus(end, start);
  const long = way[0] ** 2 + way[1] ** 2;
  const off = minus(point, start);
  const share = long > 0 ? Math.min(Math.max((off[0] * way[0] + off[1] * way[1]) / long, 0), 1) : 0;
  return distance(point, add(start, times(way, share)));
}

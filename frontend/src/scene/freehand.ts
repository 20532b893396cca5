/** How a freehand stroke is filled, and what of it is kept. */
import { getStroke } from "perfect-freehand";
import { distance, type Point } from "../geometry/vector";
import type { Spot } from "./marks";

/** Size is that of a picture `REFERENCE_PX` high; speed does not thin the stroke by much. */
export const FREEHAND = { size: 4.5, thinning: 0.35, smoothing: 0.6, streamline: 0.45 } as const;

/** The stroke's points without those nearer to the last kept one than `apart`, and its edge. */
export function finishStroke(
  points: readonly Point[],
  size: number,
  apart: number,
): { spots: Spot[]; outline: Spot[] } {
  const kept: Point[] = [];
  for (const point of points) {
    const last = kept.at(-1);
    if (last === undefined || distance(last, point) >= apart) kept.push(point);
  }
  const edge = getStroke(kept as [number, number][], { ...FREEHAND, size, last: true }) as Point[];
  return { spots: kept.map(rounded), outline: edge.map(rounded) };
}

function rounded(point: Point): Spot {
  return [Math.round(point[0] * 10) / 10, Math.round(point[1] * 10) / 10];
}

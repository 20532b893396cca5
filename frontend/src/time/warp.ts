/**
 * One swing's time told in another's: moments fall together, between them time is warped.
 *
 * The same map as `progress/align.py`, which has the reasons; a fixture that both sides' tests read
 * holds them together.
 */
import { monotoneCurve, type Curve } from "./curve";

export interface Instant {
  readonly name: string;
  readonly time_s: number;
  readonly sd_s: number;
}

/** Moments nearer to each other than this, in either swing, count as one. */
export const LEAST_APART_S = 1e-4;

interface Pair {
  readonly a: Instant;
  readonly b: Instant;
}

/** From seconds of swing A to seconds of swing B. */
export type Warp = (a_s: number) => number;

/** The map from A's time to B's; null where they have no moment in common. */
export function warpBetween(a: readonly Instant[], b: readonly Instant[]): Warp | null {
  const pairs = rising(a, b);
  const first = pairs[0];
  const last = pairs.at(-1);
  if (first === undefined || last === undefined) return null;
  const curve = curveOf(pairs);
  return (at) => {
    if (curve === null || at < first.a.time_s) return at - first.a.time_s + first.b.time_s;
    if (at > last.a.time_s) return at - last.a.time_s + last.b.time_s;
    return curve(at);
  };
}

function curveOf(pairs: readonly Pair[]): Curve | null {
  if (pairs.length < 2) return null;
  return monotoneCurve(
    pairs.map((pair) => pair.a.time_s),
    pairs.map((pair) => pair.b.time_s),
  );
}

/** The surest moments whose times rise in both swings, in order. */
function rising(a: readonly Instant[], b: readonly Instant[]): Pair[] {
  const both = a.flatMap((one) => {
    const other = b.find((each) => each.name === one.name);
    return other === undefined ? [] : [{ a: one, b: other }];
  });
  const surestFirst = [...both].sort((p, q) => doubt(p) - doubt(q));
  let kept: Pair[] = [];
  for (const pair of surestFirst) {
    const trial = [...kept, pair].sort((p, q) => p.a.time_s - q.a.time_s);
    if (trial.every((later, k) => k === 0 || apart(trial[k - 1] as Pair, later))) kept = trial;
  }
  return kept;
}

function doubt(pair: Pair): number {
  return pair.a.sd_s + pair.b.sd_s;
}

function apart(earlier: Pair, later: Pair): boolean {
  return (
    later.a.time_s - earlier.a.time_s > LEAST_APART_S &&
    later.b.time_s - earlier.b.time_s > LEAST_APART_S
  );
}

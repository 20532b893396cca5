/**
 * The scale that all rows share: ruled by moments, so that quick and slow parts of a swing have room.
 *
 * Between two moments time runs evenly. How much room a stretch gets grows with the root of how long
 * it lasts, and none gets less than a word needs: the downswing lasts a quarter of a second.
 */

export interface Ruler {
  /** Instants, rising: the first frame, the moments, the last frame. */
  readonly at_s: readonly number[];
  /** Where each stands, shares of the scale's length, from 0 to 1. */
  readonly share: readonly number[];
}

/** Room that even the shortest stretch has, as a share of that of an even scale. */
const LEAST = 0.6;

export function rulerOf(first_s: number, moments_s: readonly number[], last_s: number): Ruler {
  const inner = moments_s.filter((at) => at > first_s && at < last_s).sort((a, b) => a - b);
  const at_s = [first_s, ...new Set(inner), last_s];
  const long = at_s.slice(1).map((at, k) => Math.sqrt(Math.max(at - (at_s[k] as number), 0)));
  const whole = long.reduce((sum, each) => sum + each, 0) || 1;
  const room = long.map((each) => LEAST / long.length + ((1 - LEAST) * each) / whole);
  const share = [0];
  for (const each of room) share.push((share.at(-1) as number) + each);
  share[share.length - 1] = 1;
  return { at_s, share };
}

/** Where an instant stands on the scale, held at its ends. */
export function shareAt(ruler: Ruler, at_s: number): number {
  return between(ruler.at_s, ruler.share, at_s);
}

/** The instant at a place of the scale. */
export function instantAt(ruler: Ruler, share: number): number {
  return between(ruler.share, ruler.at_s, share);
}

function between(from: readonly number[], to: readonly number[], at: number): number {
  const last = from.length - 1;
  if (!(at > (from[0] as number))) return to[0] as number;
  if (at >= (from[last] as number)) return to[last] as number;
  let k = 0;
  while (at >= (from[k + 1] as number)) k += 1;
  const [low, high] = [from[k] as number, from[k + 1] as number];
  const [start, end] = [to[k] as number, to[k + 1] as number];
  return start + ((at - low) / (high - low)) * (end - start);
}

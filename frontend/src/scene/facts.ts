/** What is known of the swings on the bench: nothing here is changed by looking at it. */
import { NOWHERE, middle, type Point } from "../geometry/vector";
import type { Size } from "../geometry/view";
import { placeAt, secondsAt, type FrameTable } from "../time/frames";
import { warpBetween, type Instant, type Warp } from "../time/warp";
import { cursorAt, type BenchState } from "./state";

export interface MomentFact extends Instant {
  readonly title: string;
  readonly frame: number;
  /** Set by a person. */
  readonly by_hand: boolean;
}

/** A tracked point over the frames of `Tracks.numbers`: clip pixels as shown, NaN where missing. */
export interface TrackedPoint {
  readonly xy: readonly Point[];
  readonly sd_px: readonly number[];
  readonly confidence: readonly number[];
}

export interface Tracks {
  readonly numbers: readonly number[];
  readonly points: ReadonlyMap<string, TrackedPoint>;
}

/** How long a standing golfer is in the picture, and how tall; each with its ±. */
export interface StatureFact {
  readonly px: number;
  readonly px_sd: number;
  readonly cm: number | null;
  readonly cm_sd: number | null;
}

export interface SwingFacts {
  readonly swing: string;
  readonly reading: string;
  readonly clip: Size;
  readonly table: FrameTable;
  readonly moments: readonly MomentFact[];
  readonly tracks: Tracks;
  readonly stature: StatureFact | null;
  /** Frames at which a person set a point, by the point's name. */
  readonly touched: ReadonlyMap<string, ReadonlySet<number>>;
}

export type Facts = ReadonlyMap<string, SwingFacts>;

/** Points that are made of two others. */
const BETWEEN: Readonly<Record<string, readonly [string, string]>> = {
  hands: ["lead_wrist", "trail_wrist"],
  shoulders: ["lead_shoulder", "trail_shoulder"],
  hips: ["lead_hip", "trail_hip"],
};

/** Place of a frame number in the tracks; -1 where they do not have it. */
export function rowOf(tracks: Tracks, number: number): number {
  const guess = number - (tracks.numbers[0] ?? 0);
  return tracks.numbers[guess] === number ? guess : tracks.numbers.indexOf(number);
}

/** A point of body or club at a place of the tracks; NaN where it is not known. */
export function pointAt(tracks: Tracks, name: string, row: number): Point {
  const pair = BETWEEN[name];
  if (pair !== undefined) {
    return middle(pointAt(tracks, pair[0], row), pointAt(tracks, pair[1], row));
  }
  return tracks.points.get(name)?.xy[row] ?? NOWHERE;
}

/** Its standard deviation along each axis, pixels; NaN where it is not known. */
export function spreadAt(tracks: Tracks, name: string, row: number): number {
  const pair = BETWEEN[name];
  if (pair !== undefined) {
    return Math.hypot(spreadAt(tracks, pair[0], row), spreadAt(tracks, pair[1], row)) / 2;
  }
  return tracks.points.get(name)?.sd_px[row] ?? NaN;
}

export function momentOf(facts: SwingFacts, name: string): MomentFact | null {
  return facts.moments.find((each) => each.name === name) ?? null;
}

/** What is shown of one row: the place in its table, its frame's number and its instant. */
export interface Shown {
  readonly swing: string;
  readonly place: number;
  readonly number: number;
  readonly time_s: number;
}

/** What every row shows at a time of the bench's clock, from the first row to the last. */
export function shownAt(state: BenchState, facts: Facts, now: number): (Shown | null)[] {
  const cursor = cursorAt(state, now);
  return state.rows.map((row, place) => {
    const own = facts.get(row.swing);
    return own === undefined ? null : shownOf(own, instantOf(state, facts, place, cursor));
  });
}

function shownOf(facts: SwingFacts, at_s: number): Shown {
  return shownAtPlace(facts, placeAt(facts.table, at_s));
}

export function shownAtPlace(facts: SwingFacts, place: number): Shown {
  return {
    swing: facts.swing,
    place,
    number: facts.table.numbers[place] as number,
    time_s: secondsAt(facts.table, place),
  };
}

/** Instant of a row's own clip when the leading row is at `cursor`. */
export function instantOf(state: BenchState, facts: Facts, row: number, cursor: number): number {
  if (row === state.lead) return cursor;
  const leading = facts.get(state.rows[state.lead]?.swing ?? "");
  const own = facts.get(state.rows[row]?.swing ?? "");
  if (leading === undefined || own === undefined) return cursor;
  const warp = warpOf(leading, own);
  const offset = state.rows[row]?.offset_s ?? 0;
  if (warp !== null) return warp(cursor) + offset;
  return cursor - secondsAt(leading.table, 0) + secondsAt(own.table, 0) + offset;
}

const warps = new WeakMap<SwingFacts, WeakMap<SwingFacts, Warp | null>>();

/** The warp from one swing's time to another's, worked out once for each pair. */
function warpOf(from: SwingFacts, to: SwingFacts): Warp | null {
  const known = warps.get(from) ?? new WeakMap<SwingFacts, Warp | null>();
  warps.set(from, known);
  let warp = known.get(to);
  if (warp === undefined) {
    warp = warpBetween(from.moments, to.moments);
    known.set(to, warp);
  }
  return warp;
}

/** Everything of the bench that a coach can change, and nothing that follows from the clips. */
import { WHOLE, type View } from "../geometry/view";
import { NO_MARKS, type Mark, type MarksDocument } from "./marks";

export const LAYERS = ["body", "club", "marks", "numbers"] as const;
export type Layer = (typeof LAYERS)[number];

/** One swing on the bench. */
export interface Row {
  readonly swing: string;
  readonly mirrored: boolean;
  /** Seconds by which this row runs ahead of where the moments put it. */
  readonly offset_s: number;
  readonly view: View;
}

/** A run of pictures that began at an instant of the bench's clock. */
export interface Run {
  /** Milliseconds of the bench's clock at which it began. */
  readonly since: number;
  /** Instant of the leading swing at which it began. */
  readonly from_s: number;
  /** Real seconds of the swing in a second of the clock; negative runs backward. */
  readonly rate: number;
  /** Between which instants it runs, and whether it begins again at the end. */
  readonly low_s: number;
  readonly high_s: number;
  readonly again: boolean;
}

export interface Command {
  readonly swing: string;
  readonly id: string;
  readonly before: Mark | null;
  readonly after: Mark | null;
}

export interface BenchState {
  readonly rows: readonly Row[];
  /** Place in `rows` of the swing whose clock leads. */
  readonly lead: number;
  /** Instant of the leading swing, where nothing runs. */
  readonly at_s: number;
  readonly run: Run | null;
  readonly rate: number;
  /** Whether zoom and pan of one row are those of all. */
  readonly together: boolean;
  readonly layers: Readonly<Record<Layer, boolean>>;
  /** What the next stroke draws; "hand" moves and selects. */
  readonly tool: string;
  readonly ink: number;
  readonly marks: Readonly<Record<string, MarksDocument>>;
  /** A mark on its way: drawn, not yet kept. */
  readonly draft: { readonly swing: string; readonly mark: Mark } | null;
  readonly selected: { readonly swing: string; readonly id: string } | null;
  readonly pointing: { readonly swing: string; readonly at: readonly [number, number] } | null;
  readonly done: readonly Command[];
  readonly undone: readonly Command[];
}

export function newRow(swing: string, view: View = WHOLE): Row {
  return { swing, mirrored: false, offset_s: 0, view };
}

export function newBench(rows: readonly Row[], at_s: number): BenchState {
  return {
    rows,
    lead: 0,
    at_s,
    run: null,
    rate: 0.25,
    together: true,
    layers: { body: true, club: true, marks: true, numbers: true },
    tool: "hand",
    ink: 0,
    marks: {},
    draft: null,
    selected: null,
    pointing: null,
    done: [],
    undone: [],
  };
}

export function marksOf(state: BenchState, swing: string): MarksDocument {
  return state.marks[swing] ?? NO_MARKS;
}

/** Instant of the leading swing at a time of the bench's clock (milliseconds). */
export function cursorAt(state: BenchState, now: number): number {
  const { run } = state;
  if (run === null) return state.at_s;
  const moved = run.from_s + (Math.max(now - run.since, 0) / 1000) * run.rate;
  const span = run.high_s - run.low_s;
  if (!run.again || !(span > 0)) return Math.min(Math.max(moved, run.low_s), run.high_s);
  const into = (moved - run.low_s) % span;
  return run.low_s + (into < 0 ? into + span : into);
}

/** Whether a run that does not begin again has come to its end. */
export function runEnded(state: BenchState, now: number): boolean {
  const { run } = state;
  if (run === null || run.again) return false;
  const moved = run.from_s + (Math.max(now - run.since, 0) / 1000) * run.rate;
  return run.rate < 0 ? moved <= run.low_s : moved >= run.high_s;
}

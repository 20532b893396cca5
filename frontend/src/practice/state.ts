/** What the app and the page tell each other; mirrors web/contract/practice.py. */

import type { Practice } from "./plan";
import type { Waiting } from "./waiting";

export interface CheckIn {
  readonly id: string;
  readonly at: string;
  readonly felt: string;
  readonly clip: boolean;
  readonly reading: boolean;
  readonly word: string;
  readonly lines: readonly string[];
  readonly picture: string;
  readonly not_me: boolean;
  readonly answer: string;
  readonly answered: string | null;
  readonly talk: string;
}

export interface State {
  readonly lesson: string;
  readonly version: number;
  readonly drawn: boolean;
  readonly film_again: string;
  readonly sessions: readonly Practice[];
  readonly ticks: readonly { readonly id: string; readonly session: string; readonly at: string }[];
  readonly check_ins: readonly CheckIn[];
  readonly change: readonly string[];
}

export interface Drill {
  readonly name: string;
  readonly title: string;
  readonly sets: number;
  readonly repeats: number;
  readonly minutes: number;
}

export interface Data {
  readonly root: string;
  readonly language: string;
  readonly labels: Readonly<Record<string, string>>;
  readonly state: State;
  readonly drills: readonly Drill[];
  readonly film: string;
}

/** Sessions that are ticked: those the app has, and those that still wait on the phone. */
export function ticks(state: State, waiting: readonly Waiting[]): { session: string; at: string }[] {
  const own = waiting.flatMap((one) => (one.kind === "tick" ? [{ session: one.session, at: one.at }] : []));
  return [...state.ticks, ...own];
}

/** Check-ins as they are shown: those the app has, and those that wait on the phone, newest first. */
export function shown(state: State, waiting: readonly Waiting[]): (CheckIn & { readonly waits: boolean })[] {
  const known = new Set(state.check_ins.map((one) => one.id));
  const own = waiting.flatMap((one) =>
    (one.kind === "words" || one.kind === "clip") && !known.has(one.id)
      ? [{ ...EMPTY, id: one.id, at: one.at, felt: one.felt, clip: one.kind === "clip", waits: true }]
      : [],
  );
  const kept = state.check_ins.map((one) => ({ ...one, waits: false }));
  return [...own, ...kept].toSorted((one, other) => Date.parse(other.at) - Date.parse(one.at));
}

const EMPTY = { reading: false, word: "", lines: [], picture: "", not_me: false, answer: "", answered: null, talk: "" };

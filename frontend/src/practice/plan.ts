/** Which practice today asks for. Days are the golfer's own, as ISO text; nothing here has a clock. */

/** One practice of the plan. */
export interface Practice {
  readonly uid: string;
  readonly day: string;
  /** The day in words. */
  readonly told: string;
  readonly minutes: number;
  readonly drills: readonly string[];
  readonly note: string;
}

/** What today is. */
export type Today =
  | { readonly kind: "practise"; readonly practice: Practice; readonly number: number; readonly late: boolean }
  | { readonly kind: "done"; readonly practice: Practice; readonly number: number }
  | { readonly kind: "rest"; readonly next: Practice; readonly number: number }
  | { readonly kind: "film" }
  | { readonly kind: "over" };

/**
 * Today's practice: the day's own; else the newest of the last days that was missed, as long as the
 * next one does not lie within a day; else rest until the next. What was missed before that is let go.
 */
export function today(
  plan: readonly Practice[],
  ticked: ReadonlySet<string>,
  tickedToday: ReadonlySet<string>,
  day: string,
  filmDay: string,
): Today {
  const numbered = plan.map((practice, place) => ({ practice, number: place + 1 }));
  const done = numbered.find(({ practice }) => tickedToday.has(practice.uid));
  if (done !== undefined) return { kind: "done", ...done };
  const own = numbered.find(({ practice }) => practice.day === day && !ticked.has(practice.uid));
  if (own !== undefined) return { kind: "practise", ...own, late: false };
  const next = numbered.find(({ practice }) => practice.day > day && !ticked.has(practice.uid));
  const missed = numbered.findLast(({ practice }) => practice.day < day);
  const free = next === undefined || days(day, next.practice.day) > 1;
  const recent = missed !== undefined && !ticked.has(missed.practice.uid) && days(missed.practice.day, day) <= LATE;
  if (recent && free) return { kind: "practise", ...missed, late: true };
  if (day >= filmDay) return { kind: "film" };
  if (next !== undefined) return { kind: "rest", next: next.practice, number: next.number };
  return { kind: "over" };
}

/** A practice may be done so many days later. */
const LATE = 3;

/** Days from one day to a later one. */
export function days(from: string, to: string): number {
  return Math.round((Date.parse(to) - Date.parse(from)) / 86_400_000);
}

/** The day of an instant on this phone's clock. */
export function dayOf(at: Date): string {
  const two = (value: number) => String(value).padStart(2, "0");
  return `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
}

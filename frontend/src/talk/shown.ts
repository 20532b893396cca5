/** Between the bench and the record: what of the bench's state is to be seen, and back. */
import type { Facts, Shown, SwingFacts } from "../scene/facts";
import { instantOf } from "../scene/facts";
import { MARKS_FORMAT, type Mark, type MarksDocument } from "../scene/marks";
import type { BenchState, Row as BenchRow } from "../scene/state";
import type { Drawn, Row, Screen, Sight } from "./screen";

const SHARES = 1e5;

/**
 * What is to be seen of a state. `swings` are the take's, in its order; one that is new is put at
 * its end. A row whose frame is not known yet shows its first.
 */
export function screenOf(state: BenchState, shown: readonly (Shown | null)[], swings: string[]): Screen {
  const rows = state.rows.map((row, place): Row => ({
    swing: placeIn(swings, row.swing),
    frame: shown[place]?.number ?? 0,
    sight: sightOf(row),
    mirrored: row.mirrored,
  }));
  return { rows, marks: marksOf(state, swings), layers: state.layers, pointer: null };
}

function placeIn(swings: string[], swing: string): number {
  const place = swings.indexOf(swing);
  return place < 0 ? swings.push(swing) - 1 : place;
}

function sightOf(row: BenchRow): Sight {
  const rounded = (value: number): number => Math.round(value * SHARES) / SHARES;
  return { zoom: rounded(row.view.zoom), x: rounded(row.view.x), y: rounded(row.view.y) };
}

/** Marks of the rows' swings; one on its way lies where it will. */
function marksOf(state: BenchState, swings: string[]): Drawn[] {
  const drawn: Drawn[] = [];
  for (const row of state.rows) {
    const swing = placeIn(swings, row.swing);
    const marks = [...(state.marks[row.swing]?.marks ?? [])];
    const draft = state.draft?.swing === row.swing ? state.draft.mark : null;
    if (draft !== null) {
      const place = marks.findIndex((mark) => mark.id === draft.id);
      if (place < 0) marks.push(draft);
      else marks[place] = draft;
    }
    for (const mark of marks) drawn.push({ swing, mark: asData(mark) });
  }
  return drawn;
}

const kept = new WeakMap<Mark, Drawn["mark"]>();

/** The same object for the same mark, so that what did not change is told without looking into it. */
function asData(mark: Mark): Drawn["mark"] {
  let data = kept.get(mark);
  if (data === undefined) {
    data = { ...mark };
    kept.set(mark, data);
  }
  return data;
}

/**
 * A state of the bench that shows a screen. Rows whose swing the bench does not know are left out;
 * where none is left, the answer is null.
 */
export function benchOf(
  screen: Screen,
  swings: readonly string[],
  facts: Facts,
  base: BenchState,
): BenchState | null {
  const known = screen.rows.filter((row) => facts.has(swings[row.swing] ?? ""));
  const first = known[0];
  if (first === undefined) return null;
  const leading = facts.get(swings[first.swing] as string) as SwingFacts;
  const rows = known.map((row): BenchRow => ({
    swing: swings[row.swing] as string,
    mirrored: row.mirrored,
    offset_s: 0,
    view: row.sight,
  }));
  const at_s = secondsOf(leading, first.frame);
  const still: BenchState = {
    ...base,
    rows,
    lead: 0,
    at_s,
    run: null,
    tool: "hand",
    layers: screen.layers,
    marks: documents(screen, swings),
    draft: null,
    selected: null,
    done: [],
    undone: [],
  };
  return { ...still, rows: rows.map((row, place) => shifted(row, place, still, facts, known[place] as Row)) };
}

/** A row moved against the leading one, so that it shows just its own frame. */
function shifted(row: BenchRow, place: number, state: BenchState, facts: Facts, wanted: Row): BenchRow {
  const own = facts.get(row.swing);
  if (place === 0 || own === undefined) return row;
  const would = instantOf(state, facts, place, state.at_s);
  return { ...row, offset_s: secondsOf(own, wanted.frame) - would };
}

function secondsOf(facts: SwingFacts, frame: number): number {
  const { numbers, seconds } = facts.table;
  const guess = frame - (numbers[0] ?? 0);
  const place = numbers[guess] === frame ? guess : nearest(numbers, frame);
  return seconds[place] as number;
}

function nearest(numbers: readonly number[], frame: number): number {
  let best = 0;
  numbers.forEach((number, place) => {
    if (Math.abs(number - frame) < Math.abs((numbers[best] as number) - frame)) best = place;
  });
  return best;
}

function documents(screen: Screen, swings: readonly string[]): Record<string, MarksDocument> {
  const found: Record<string, MarksDocument> = {};
  for (const { swing, mark } of screen.marks) {
    const name = swings[swing] ?? "";
    const before = found[name]?.marks ?? [];
    found[name] = { format: MARKS_FORMAT, marks: [...before, mark as unknown as Mark] };
  }
  return found;
}

/** A screen of one take as another take has it, whose swings are listed otherwise. */
export function renamed(screen: Screen, from: readonly string[], swings: string[]): Screen {
  const place = (swing: number): number => placeIn(swings, from[swing] ?? "");
  return {
    ...screen,
    rows: screen.rows.map((row) => ({ ...row, swing: place(row.swing) })),
    marks: screen.marks.map((one) => ({ ...one, swing: place(one.swing) })),
  };
}

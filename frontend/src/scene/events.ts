/**
 * Every change of the bench is one of these events; the state follows from them alone.
 *
 * `t` is the bench's clock in whole milliseconds from when it was opened. Played back in order over
 * the state that they began with, they give the same screens: a run of pictures is one event where
 * it begins and one where it stops, and `cursorAt` says what is shown between.
 */
import { held, type View } from "../geometry/view";
import { markOf, withMark, type Mark, type MarksDocument } from "./marks";
import { marksOf, type BenchState, type Command, type Layer, type Row } from "./state";

export type Change =
  /** Stop where it is, or go to an instant of the leading swing (seconds). */
  | { readonly do: "seek"; readonly at_s: number }
  | {
      readonly do: "run";
      readonly from_s: number;
      readonly rate: number;
      readonly low_s: number;
      readonly high_s: number;
      readonly again: boolean;
    }
  | { readonly do: "rate"; readonly rate: number }
  | { readonly do: "lead"; readonly row: number; readonly at_s: number }
  | { readonly do: "row.add"; readonly row: Row }
  | { readonly do: "row.remove"; readonly row: number; readonly at_s: number }
  | { readonly do: "row.move"; readonly row: number; readonly to: number }
  | { readonly do: "row.mirror"; readonly row: number; readonly mirrored: boolean }
  | { readonly do: "row.offset"; readonly row: number; readonly offset_s: number }
  | { readonly do: "view"; readonly row: number; readonly view: View }
  | { readonly do: "together"; readonly on: boolean }
  | { readonly do: "layer"; readonly layer: Layer; readonly on: boolean }
  | { readonly do: "tool"; readonly tool: string }
  | { readonly do: "ink"; readonly ink: number }
  | { readonly do: "select"; readonly swing: string; readonly id: string | null }
  | { readonly do: "draft"; readonly swing: string; readonly mark: Mark | null }
  /** Keep a mark under its id: a new one, another shape of one, or none (null). */
  | { readonly do: "mark"; readonly swing: string; readonly id: string; readonly mark: Mark | null }
  /** The whole document of a swing, as it was kept or as another tab left it. */
  | { readonly do: "marks"; readonly swing: string; readonly document: MarksDocument }
  /** Where the coach points, in pixels of a row's clip; null where not into its picture. */
  | { readonly do: "point"; readonly swing: string; readonly at: readonly [number, number] | null }
  /** The whole screen at once, as when something is played back. */
  | { readonly do: "show"; readonly state: BenchState }
  | { readonly do: "undo" }
  | { readonly do: "redo" }
  /** The tracks of a swing are others now: a correction, or its return. */
  | { readonly do: "reading"; readonly swing: string; readonly reading: string };

export type BenchEvent = Change & { readonly t: number };

/** The state after an event. What cannot be done (a row that is not there) changes nothing. */
export function reduce(state: BenchState, event: BenchEvent): BenchState {
  switch (event.do) {
    case "seek":
      return { ...state, run: null, at_s: event.at_s };
    case "run":
      return begun(state, event);
    case "rate":
      return { ...state, rate: event.rate };
    case "tool":
      return { ...state, tool: event.tool, draft: null };
    case "ink":
      return { ...state, ink: event.ink };
    case "together":
      return { ...state, together: event.on };
    case "layer":
      return { ...state, layers: { ...state.layers, [event.layer]: event.on } };
    case "view":
      return viewed(state, event.row, event.view);
    case "reading":
      return state;
    case "show":
      return event.state;
    case "point":
      return {
        ...state,
        pointing: event.at === null ? null : { swing: event.swing, at: event.at },
      };
    case "lead":
    case "row.add":
    case "row.remove":
    case "row.move":
    case "row.mirror":
    case "row.offset":
      return rowed(state, event);
    default:
      return marked(state, event);
  }
}

/** The states' end after many events. */
export function replay(state: BenchState, events: Iterable<BenchEvent>): BenchState {
  let now = state;
  for (const event of events) now = reduce(now, event);
  return now;
}

function begun(state: BenchState, event: Extract<BenchEvent, { do: "run" }>): BenchState {
  const { from_s, rate, low_s, high_s, again } = event;
  return { ...state, at_s: from_s, run: { since: event.t, from_s, rate, low_s, high_s, again } };
}

function viewed(state: BenchState, row: number, view: View): BenchState {
  const given = held(view);
  const rows = state.rows.map((each, place) =>
    place === row || state.together
      ? { ...each, view: place === row ? given : beside(each, state.rows[row], given) }
      : each,
  );
  return state.rows[row] === undefined ? state : { ...state, rows };
}

/** Another row's view, changed as much as the one that was touched: framings may differ. */
function beside(other: Row, touched: Row | undefined, given: View): View {
  if (touched === undefined) return other.view;
  const flip = other.mirrored === touched.mirrored ? 1 : -1;
  const grown = given.zoom / touched.view.zoom;
  return held({
    zoom: other.view.zoom * grown,
    x: other.view.x + flip * (given.x - touched.view.x),
    y: other.view.y + given.y - touched.view.y,
  });
}

type RowEvent = Extract<BenchEvent, { do: "lead" | `row.${string}` }>;

function rowed(state: BenchState, event: RowEvent): BenchState {
  const { rows } = state;
  if (event.do === "row.add") {
    const known = rows.some((row) => row.swing === event.row.swing);
    return known ? state : { ...state, rows: [...rows, event.row] };
  }
  if (rows[event.row] === undefined) return state;
  switch (event.do) {
    case "lead":
      return { ...state, lead: event.row, at_s: event.at_s, run: null };
    case "row.remove":
      return removed(state, event);
    case "row.move":
      return moved(state, event.row, event.to);
    case "row.mirror":
      return { ...state, rows: changed(rows, event.row, { mirrored: event.mirrored }) };
    case "row.offset":
      return { ...state, rows: changed(rows, event.row, { offset_s: event.offset_s }) };
  }
}

function removed(state: BenchState, event: Extract<BenchEvent, { do: "row.remove" }>): BenchState {
  if (state.rows.length === 1) return state;
  const rows = state.rows.filter((_, place) => place !== event.row);
  const lead = event.row < state.lead ? state.lead - 1 : Math.min(state.lead, rows.length - 1);
  const gone = event.row === state.lead;
  return gone ? { ...state, rows, lead, at_s: event.at_s, run: null } : { ...state, rows, lead };
}

function moved(state: BenchState, from: number, to: number): BenchState {
  const rows = [...state.rows];
  const [row] = rows.splice(from, 1);
  if (row === undefined) return state;
  const leading = state.rows[state.lead];
  rows.splice(Math.min(Math.max(to, 0), rows.length), 0, row);
  return { ...state, rows, lead: leading === undefined ? 0 : rows.indexOf(leading) };
}

function changed(rows: readonly Row[], at: number, part: Partial<Row>): Row[] {
  return rows.map((row, place) => (place === at ? { ...row, ...part } : row));
}

type MarkEvent = Extract<
  BenchEvent,
  { do: "select" | "draft" | "mark" | "marks" | "undo" | "redo" }
>;

function marked(state: BenchState, event: MarkEvent): BenchState {
  switch (event.do) {
    case "select":
      return {
        ...state,
        selected: event.id === null ? null : { swing: event.swing, id: event.id },
      };
    case "draft":
      return {
        ...state,
        draft: event.mark === null ? null : { swing: event.swing, mark: event.mark },
      };
    case "mark":
      return kept(state, event);
    case "marks":
      return {
        ...state,
        marks: { ...state.marks, [event.swing]: event.document },
        done: state.done.filter((each) => each.swing !== event.swing),
        undone: state.undone.filter((each) => each.swing !== event.swing),
      };
    case "undo":
      return undone(state);
    case "redo":
      return redone(state);
  }
}

function kept(state: BenchState, event: Extract<BenchEvent, { do: "mark" }>): BenchState {
  const before = markOf(marksOf(state, event.swing), event.id);
  if (before === null && event.mark === null) return state;
  const command = { swing: event.swing, id: event.id, before, after: event.mark };
  return {
    ...put(state, command.swing, command.id, command.after),
    draft: null,
    done: [...state.done, command],
    undone: [],
  };
}

function undone(state: BenchState): BenchState {
  const last = state.done.at(-1);
  if (last === undefined) return state;
  return {
    ...put(state, last.swing, last.id, last.before),
    done: state.done.slice(0, -1),
    undone: [...state.undone, last],
  };
}

function redone(state: BenchState): BenchState {
  const next: Command | undefined = state.undone.at(-1);
  if (next === undefined) return state;
  return {
    ...put(state, next.swing, next.id, next.after),
    done: [...state.done, next],
    undone: state.undone.slice(0, -1),
  };
}

/** A mark in its document; what is selected stays so while it is there. */
function put(state: BenchState, swing: string, id: string, mark: Mark | null): BenchState {
  const document = withMark(marksOf(state, swing), id, mark);
  const gone = mark === null && state.selected?.id === id;
  return {
    ...state,
    marks: { ...state.marks, [swing]: document },
    selected: gone ? null : state.selected,
  };
}

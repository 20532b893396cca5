/**
 * What is on the screen during a talk-through, as data: the same record as `model/talk.py`.
 *
 * Kept is what was to be seen, not what was pressed: so it plays back as it was, whatever becomes of
 * the bench, and the server can paint it. A fixture that both sides' tests read holds them together.
 */
import type {
  SchemaDrawn,
  SchemaLayers,
  SchemaPiece,
  SchemaRow,
  SchemaScreen,
  SchemaSight,
  SchemaTakeTold,
} from "../contract";

export type Screen = SchemaScreen;
export type Row = SchemaRow;
export type Sight = SchemaSight;
export type Drawn = SchemaDrawn;
export type Layers = SchemaLayers;
export type Piece = SchemaPiece;
export type Take = SchemaTakeTold;
export type TalkEvent = Take["events"][number];

/** The screen once something has changed; a change of a row that is not there changes nothing. */
export function after(screen: Screen, event: TalkEvent): Screen {
  switch (event.what) {
    case "rows":
      return { ...screen, rows: event.rows, pointer: null };
    case "step":
      return withRow(screen, event.row, { frame: event.frame });
    case "zoom":
      return withRow(screen, event.row, { sight: event.sight });
    case "mark":
      return { ...screen, marks: laid(screen.marks, { swing: event.swing, mark: event.mark }) };
    case "unmark":
      return { ...screen, marks: screen.marks.filter((one) => keyOf(one) !== `${event.swing} ${event.mark}`) };
    case "layers":
      return { ...screen, layers: event.layers };
    case "point":
      return { ...screen, pointer: event.pointer };
  }
}

/** What is on the screen at an instant of a take: changes of that instant included. */
export function screenAt(take: Take, at_ms: number): Screen {
  let screen = take.start;
  for (const event of take.events) {
    if (event.at_ms > at_ms) break;
    screen = after(screen, event);
  }
  return screen;
}

/** The events that make one screen of another. */
export function changes(before: Screen, now: Screen, at_ms: number): TalkEvent[] {
  const events: TalkEvent[] = [];
  if (otherRows(before.rows, now.rows)) {
    events.push({ what: "rows", at_ms, rows: now.rows });
  } else {
    now.rows.forEach((row, place) => {
      const was = before.rows[place] as Row;
      if (row.frame !== was.frame) events.push({ what: "step", at_ms, row: place, frame: row.frame });
      if (!sameSight(row.sight, was.sight)) events.push({ what: "zoom", at_ms, row: place, sight: row.sight });
    });
  }
  return [...events, ...markChanges(before.marks, now.marks, at_ms), ...overChanges(before, now, at_ms)];
}

function markChanges(before: readonly Drawn[], now: readonly Drawn[], at_ms: number): TalkEvent[] {
  if (before === now) return [];
  const events: TalkEvent[] = [];
  const kept = new Set(now.map(keyOf));
  const known = new Map(before.map((one) => [keyOf(one), one.mark]));
  for (const one of before) {
    if (!kept.has(keyOf(one))) events.push({ what: "unmark", at_ms, swing: one.swing, mark: idOf(one) });
  }
  for (const { swing, mark } of now) {
    if (known.get(keyOf({ swing, mark })) !== mark) events.push({ what: "mark", at_ms, swing, mark });
  }
  return events;
}

function overChanges(before: Screen, now: Screen, at_ms: number): TalkEvent[] {
  const events: TalkEvent[] = [];
  const [was, is] = [before.layers, now.layers];
  if (was.body !== is.body || was.club !== is.club || was.marks !== is.marks || was.numbers !== is.numbers) {
    events.push({ what: "layers", at_ms, layers: is });
  }
  const [from, to] = [before.pointer ?? null, now.pointer ?? null];
  if (from?.row !== to?.row || from?.x !== to?.x || from?.y !== to?.y) {
    events.push({ what: "point", at_ms, pointer: to });
  }
  return events;
}

function otherRows(before: readonly Row[], now: readonly Row[]): boolean {
  return (
    before.length !== now.length ||
    now.some((row, place) => row.swing !== before[place]?.swing || row.mirrored !== before[place]?.mirrored)
  );
}

function sameSight(one: Sight, other: Sight): boolean {
  return one.zoom === other.zoom && one.x === other.x && one.y === other.y;
}

function withRow(screen: Screen, at: number, part: Partial<Row>): Screen {
  if (screen.rows[at] === undefined) return screen;
  return { ...screen, rows: screen.rows.map((row, place) => (place === at ? { ...row, ...part } : row)) };
}

function laid(marks: readonly Drawn[], drawn: Drawn): Drawn[] {
  const key = keyOf(drawn);
  if (!marks.some((one) => keyOf(one) === key)) return [...marks, drawn];
  return marks.map((one) => (keyOf(one) === key ? drawn : one));
}

function idOf(drawn: Drawn): string {
  return String(drawn.mark["id"]);
}

function keyOf(drawn: Drawn): string {
  return `${drawn.swing} ${idOf(drawn)}`;
}

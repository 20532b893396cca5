/**
 * What a coach draws on a swing, as data: one document for each swing.
 *
 * A spot is a place of the picture in clip pixels, or, with the name of a tracked point, how far
 * from that point it lies: then it moves with the swing.
 */

export const MARKS_FORMAT = "causeline.marks/1";

export type Spot = readonly [x: number, y: number] | readonly [x: number, y: number, pin: string];

export const FREE = ["line", "arrow", "angle", "circle", "freehand", "text"] as const;
export type Free = (typeof FREE)[number];

/** Lines that the tracks draw. */
export const FOLLOWED = [
  "shaft",
  "address_shaft",
  "head_path",
  "hands_path",
  "lead_forearm",
  "trail_forearm",
  "shoulders",
  "hips",
] as const;
export type Followed = (typeof FOLLOWED)[number];

export interface Mark {
  readonly id: string;
  readonly kind: Free | "follow";
  readonly spots: readonly Spot[];
  /** Words of a text, or words that stand beside another mark. */
  readonly text: string;
  readonly follow: Followed | null;
  /** The edge of a freehand stroke as it is filled; empty for what is drawn by its spots alone. */
  readonly outline: readonly Spot[];
  /** Which of the inks, by its place in the palette. */
  readonly ink: number;
  /** The first and the last moment at which it is shown; null: from the start, to the end. */
  readonly from: string | null;
  readonly to: string | null;
}

export interface MarksDocument {
  readonly format: typeof MARKS_FORMAT;
  readonly marks: readonly Mark[];
}

export const NO_MARKS: MarksDocument = { format: MARKS_FORMAT, marks: [] };

/** Spots that a finished mark has; a freehand stroke has as many as the hand made. */
export const SPOTS: Readonly<Record<Free, number>> = {
  line: 2,
  arrow: 2,
  angle: 3,
  circle: 2,
  freehand: Infinity,
  text: 1,
};

export function newMark(id: string, kind: Free, spots: readonly Spot[], ink: number): Mark {
  return { id, kind, spots, text: "", follow: null, outline: [], ink, from: null, to: null };
}

export function followMark(id: string, follow: Followed, ink: number): Mark {
  return { ...newMark(id, "line", [], ink), kind: "follow", follow };
}

export function markOf(document: MarksDocument, id: string): Mark | null {
  return document.marks.find((mark) => mark.id === id) ?? null;
}

/** The document with a mark put in its own place, or at the end; null takes it away. */
export function withMark(document: MarksDocument, id: string, mark: Mark | null): MarksDocument {
  const place = document.marks.findIndex((each) => each.id === id);
  const marks = [...document.marks];
  if (place < 0) {
    if (mark !== null) marks.push(mark);
  } else if (mark === null) {
    marks.splice(place, 1);
  } else {
    marks[place] = mark;
  }
  return { ...document, marks };
}

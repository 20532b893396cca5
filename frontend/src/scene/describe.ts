/**
 * What stands on a row's picture, as shapes: the scene says what, the painter how.
 *
 * Places are clip pixels as the clip shows them. Widths, radii of discs and sizes of letters are
 * those of a picture `REFERENCE_PX` high on the screen, whatever the zoom.
 */
import { getStroke } from "perfect-freehand";
import { add, distance, isSomewhere, minus, times, type Point } from "../geometry/vector";
import { momentOf, pointAt, rowOf, type SwingFacts } from "./facts";
import { FREEHAND } from "./freehand";
import type { Mark, MarksDocument } from "./marks";
import { measured, placed, spotsOf, told } from "./measured";
import type { Layer } from "./state";

export const REFERENCE_PX = 720;

/** Names of inks: `ink0` to `ink3` are the coach's. */
export type Ink = "body" | "club" | "focus" | `ink${number}`;

export type Shape =
  | {
      readonly kind: "path";
      readonly points: readonly Point[];
      readonly ink: Ink;
      readonly width: number;
      readonly dash: readonly number[];
    }
  | { readonly kind: "area"; readonly points: readonly Point[]; readonly ink: Ink }
  /** A circle whose radius is clip pixels. */
  | {
      readonly kind: "ring";
      readonly at: Point;
      readonly radius: number;
      readonly ink: Ink;
      readonly width: number;
    }
  /** A small sign at a point: full, hollow, or square where a person set it. */
  | {
      readonly kind: "sign";
      readonly at: Point;
      readonly form: "full" | "hollow" | "square";
      readonly size: number;
      readonly ink: Ink;
    }
  | {
      readonly kind: "text";
      readonly at: Point;
      readonly text: string;
      readonly ink: Ink;
      readonly size: number;
    };

export interface Picture {
  readonly facts: SwingFacts;
  /** The clip's frame that is shown. */
  readonly number: number;
  readonly mirrored: boolean;
  readonly layers: Readonly<Record<Layer, boolean>>;
  readonly marks: MarksDocument;
  readonly draft: Mark | null;
  readonly selected: string | null;
}

const BONES: readonly (readonly [string, string])[] = [
  ["ear", "shoulder"],
  ["shoulder", "elbow"],
  ["elbow", "wrist"],
  ["shoulder", "hip"],
  ["hip", "knee"],
  ["knee", "ankle"],
  ["heel", "toe"],
];
const ACROSS = ["shoulder", "hip"] as const;
const JOINTS = ["shoulder", "elbow", "wrist", "hip", "knee", "ankle"] as const;
const SURE = 0.5;
const LABEL_SIZE = 15;

/** Everything on the picture, the first undermost. */
export function describe(picture: Picture): Shape[] {
  const row = rowOf(picture.facts.tracks, picture.number);
  const shapes: Shape[] = [];
  if (picture.layers.body) shapes.push(...body(picture.facts, row));
  if (picture.layers.club) shapes.push(...club(picture.facts, row));
  if (picture.layers.marks) {
    const all =
      picture.draft === null ? picture.marks.marks : drafted(picture.marks, picture.draft);
    for (const mark of all) {
      if (isShown(mark, picture.facts, picture.number)) shapes.push(...drawn(mark, picture));
    }
  }
  return shapes;
}

function drafted(document: MarksDocument, draft: Mark): Mark[] {
  return [...document.marks.filter((mark) => mark.id !== draft.id), draft];
}

/** Whether a mark is there at a frame: between its moments, where both are known. */
export function isShown(mark: Mark, facts: SwingFacts, number: number): boolean {
  const from = mark.from === null ? null : momentOf(facts, mark.from);
  const to = mark.to === null ? null : momentOf(facts, mark.to);
  return (from === null || number >= from.frame) && (to === null || number <= to.frame);
}

/** The lead side is drawn whole, the trail side broken: the two are told apart without colour. */
function body(facts: SwingFacts, row: number): Shape[] {
  const { tracks } = facts;
  const shapes: Shape[] = [];
  for (const side of ["trail", "lead"]) {
    const dash = side === "lead" ? [] : [5, 4];
    for (const [from, to] of BONES) {
      const ends = [pointAt(tracks, `${side}_${from}`, row), pointAt(tracks, `${side}_${to}`, row)];
      if (ends.every(isSomewhere))
        shapes.push({ kind: "path", points: ends, ink: "body", width: 1.6, dash });
    }
  }
  for (const part of ACROSS) {
    const ends = [pointAt(tracks, `trail_${part}`, row), pointAt(tracks, `lead_${part}`, row)];
    if (ends.every(isSomewhere))
      shapes.push({ kind: "path", points: ends, ink: "body", width: 1.6, dash: [] });
  }
  for (const part of JOINTS) {
    for (const side of ["trail", "lead"])
      shapes.push(...sign(facts, `${side}_${part}`, row, "body"));
  }
  return shapes;
}

function club(facts: SwingFacts, row: number): Shape[] {
  const { tracks } = facts;
  const grip = pointAt(tracks, "grip", row);
  const hosel = pointAt(tracks, "hosel", row);
  if (!isSomewhere(grip) || !isSomewhere(hosel)) return [];
  const sure = (tracks.points.get("hosel")?.confidence[row] ?? 0) >= SURE;
  return [
    { kind: "path", points: [grip, hosel], ink: "club", width: 2.2, dash: sure ? [] : [3, 5] },
    ...sign(facts, "grip", row, "club"),
    ...sign(facts, "head", row, "club"),
  ];
}

/** Full where the point is sure, hollow where it is a guess, square where a person set it. */
function sign(facts: SwingFacts, name: string, row: number, ink: Ink): Shape[] {
  const point = facts.tracks.points.get(name);
  const at = point?.xy[row];
  if (point === undefined || at === undefined || !isSomewhere(at)) return [];
  const number = facts.tracks.numbers[row] ?? -1;
  const set = facts.touched.get(name)?.has(number) === true;
  const form = set ? "square" : (point.confidence[row] ?? 0) >= SURE ? "full" : "hollow";
  return [{ kind: "sign", at, form, size: set ? 5 : 3, ink }];
}

function drawn(mark: Mark, picture: Picture): Shape[] {
  const chosen = mark.id === picture.selected;
  const ink: Ink = `ink${mark.ink}`;
  const points = spotsOf(mark, picture.facts, picture.number).map((each) => each.at);
  const shapes = lines(mark, picture, points, ink);
  if (chosen && mark.kind !== "freehand" && mark.kind !== "follow") {
    for (const at of points)
      if (isSomewhere(at)) shapes.push({ kind: "sign", at, form: "hollow", size: 6, ink: "focus" });
  }
  const at = labelPlace(mark, points);
  const words = picture.layers.numbers ? label(mark, picture) : mark.text;
  if (at !== null && words !== "")
    shapes.push({ kind: "text", at, text: words, ink: chosen ? "focus" : ink, size: LABEL_SIZE });
  return shapes;
}

function lines(mark: Mark, picture: Picture, points: readonly Point[], ink: Ink): Shape[] {
  const path = (way: readonly Point[], dash: readonly number[] = [], width = 2.6): Shape[] =>
    way.length > 1 && way.every(isSomewhere)
      ? [{ kind: "path", points: way, ink, width, dash }]
      : [];
  switch (mark.kind) {
    case "line":
      return path(points);
    case "angle":
      return [...path(points), ...arc(points, ink)];
    case "arrow":
      return [...path(points), ...path(barbs(points))];
    case "circle": {
      const [at, edge] = points;
      if (at === undefined || edge === undefined || !isSomewhere(at) || !isSomewhere(edge))
        return [];
      return [{ kind: "ring", at, radius: distance(at, edge), ink, width: 2.6 }];
    }
    case "freehand":
      return [{ kind: "area", points: outline(mark, picture), ink }];
    case "follow":
      return followed(mark, picture, points, ink);
    default:
      return [];
  }
}

/** A followed line is drawn on past its ends, so that it can be laid against something. */
function followed(mark: Mark, picture: Picture, points: readonly Point[], ink: Ink): Shape[] {
  if (mark.follow === "head_path" || mark.follow === "hands_path") return wayOf(mark, picture, ink);
  const [from, to] = points;
  if (from === undefined || to === undefined || !isSomewhere(from) || !isSomewhere(to)) return [];
  const way = minus(to, from);
  const on = mark.follow === "address_shaft" ? 1.2 : 0.5;
  const ends = [
    minus(from, times(way, mark.follow === "address_shaft" ? 0.1 : on)),
    add(to, times(way, on)),
  ];
  return [
    { kind: "path", points: ends, ink, width: 1.4, dash: [7, 5] },
    { kind: "path", points: [from, to], ink, width: 2.6, dash: [] },
  ];
}

/** The way a point has come since the club left the ball, and, broken, the way it still goes. */
function wayOf(mark: Mark, picture: Picture, ink: Ink): Shape[] {
  const { tracks } = picture.facts;
  const name = mark.follow === "head_path" ? "head" : "hands";
  const row = rowOf(tracks, picture.number);
  const first = rowAt(picture.facts, mark.from ?? "start", 0);
  const last = rowAt(picture.facts, mark.to ?? "finish", tracks.numbers.length - 1);
  const stretch = (low: number, high: number): Point[] => {
    const way: Point[] = [];
    for (let k = Math.max(low, 0); k <= high; k += 1) {
      const at = pointAt(tracks, name, k);
      if (isSomewhere(at)) way.push(at);
    }
    return way;
  };
  const gone = stretch(first, Math.min(row, last));
  const coming = stretch(Math.max(row, first), last);
  return [
    { kind: "path", points: coming, ink, width: 1.2, dash: [2, 6] },
    { kind: "path", points: gone, ink, width: 2.6, dash: [] },
  ];
}

function rowAt(facts: SwingFacts, moment: string, otherwise: number): number {
  const known = momentOf(facts, moment);
  return known === null ? otherwise : rowOf(facts.tracks, known.frame);
}

const ARC_SHARE = 0.3;

function arc(points: readonly Point[], ink: Ink): Shape[] {
  const [first, joint, second] = points;
  if (
    first === undefined ||
    joint === undefined ||
    second === undefined ||
    !points.every(isSomewhere)
  )
    return [];
  const radius = ARC_SHARE * Math.min(distance(first, joint), distance(second, joint));
  const start = Math.atan2(first[1] - joint[1], first[0] - joint[0]);
  const end = Math.atan2(second[1] - joint[1], second[0] - joint[0]);
  const turn = Math.atan2(Math.sin(end - start), Math.cos(end - start));
  const way = Array.from({ length: 25 }, (_, k): Point => {
    const at = start + (turn * k) / 24;
    return [joint[0] + radius * Math.cos(at), joint[1] + radius * Math.sin(at)];
  });
  return [{ kind: "path", points: way, ink, width: 1.6, dash: [] }];
}

function barbs(points: readonly Point[]): Point[] {
  const [from, to] = points;
  if (from === undefined || to === undefined) return [];
  const long = distance(from, to);
  const size = Math.min(0.25 * long, 28);
  const back = times(minus(from, to), size / Math.max(long, 1e-9));
  const turned = (by: number): Point => [
    back[0] * Math.cos(by) - back[1] * Math.sin(by),
    back[0] * Math.sin(by) + back[1] * Math.cos(by),
  ];
  return [add(to, turned(0.45)), to, add(to, turned(-0.45))];
}

function outline(mark: Mark, picture: Picture): Point[] {
  const row = rowOf(picture.facts.tracks, picture.number);
  const spots = mark.outline.length > 0 ? mark.outline : mark.spots;
  const points = spots.map((spot) => placed(spot, picture.facts, row).at);
  if (mark.outline.length > 0) return points;
  const size = FREEHAND.size * (picture.facts.clip.height / REFERENCE_PX);
  return getStroke(points as [number, number][], { ...FREEHAND, size }) as Point[];
}

function label(mark: Mark, picture: Picture): string {
  const [first] = measured(mark, picture.facts, picture.number, picture.mirrored);
  const number = first === undefined ? "" : told(first);
  return [mark.text, number].filter((part) => part !== "").join("  ");
}

function labelPlace(mark: Mark, points: readonly Point[]): Point | null {
  const [first, second] = points;
  const at =
    mark.kind === "angle" || mark.kind === "follow" || mark.kind === "arrow"
      ? (second ?? first)
      : first;
  return at === undefined || !isSomewhere(at) ? null : at;
}

/** What the app tells of a swing, turned into what the scene knows of it. */
import type { SchemaBenchTold, SchemaPointTold, SchemaReadingTold } from "../contract";
import type { Point } from "../geometry/vector";
import { viewOn, WHOLE, type Size, type View } from "../geometry/view";
import type { SwingFacts, TrackedPoint, Tracks } from "../scene/facts";
import type { Mark, MarksDocument } from "../scene/marks";
import { frameTable } from "../time/frames";

/** A swing whose film is ready, with everything that was told of it. */
export interface OpenSwing {
  readonly told: SchemaBenchTold;
  readonly facts: SwingFacts;
}

export function opened(told: SchemaBenchTold): OpenSwing {
  return { told, facts: factsOf(told, told.reading) };
}

/** The same swing with another reading, as after a correction. */
export function reread(swing: OpenSwing, reading: SchemaReadingTold): OpenSwing {
  const told = { ...swing.told, reading };
  return { told, facts: factsOf(told, reading) };
}

function factsOf(told: SchemaBenchTold, reading: SchemaReadingTold): SwingFacts {
  const touched = new Map<string, Set<number>>();
  for (const each of reading.touched) {
    if (each.touch === "moment") continue;
    touched.set(each.name, (touched.get(each.name) ?? new Set()).add(each.frame));
  }
  const { stature } = reading;
  return {
    swing: told.swing,
    reading: reading.reading,
    clip: { width: told.width, height: told.height },
    table: frameTable(told.film.numbers, told.film.seconds),
    moments: reading.moments,
    tracks: tracksOf(reading),
    stature,
    touched,
  };
}

function tracksOf(reading: SchemaReadingTold): Tracks {
  const points = new Map<string, TrackedPoint>();
  for (const [name, point] of Object.entries(reading.points)) points.set(name, tracked(point));
  return { numbers: reading.numbers, points };
}

function tracked(point: SchemaPointTold): TrackedPoint {
  return {
    xy: point.x.map((x, k): Point => [x ?? NaN, point.y[k] ?? NaN]),
    sd_px: point.sd.map((sd) => sd ?? NaN),
    confidence: point.sure,
  };
}

/** A kept document as the scene has it. */
export function documentOf(told: SchemaBenchTold["marks"]["document"]): MarksDocument {
  return { format: told.format, marks: told.marks as readonly Mark[] };
}

/** A view on the golfer and all that the club does, for a band of some size. */
export function viewOnGolfer(facts: SwingFacts, band: Size): View {
  const xs: number[] = [];
  const ys: number[] = [];
  for (const name of [
    "nose",
    "lead_ankle",
    "trail_ankle",
    "lead_wrist",
    "trail_wrist",
    "grip",
    "head",
  ]) {
    for (const [x, y] of facts.tracks.points.get(name)?.xy ?? []) {
      if (Number.isFinite(x) && Number.isFinite(y)) {
        xs.push(Math.min(Math.max(x, 0), facts.clip.width));
        ys.push(Math.min(Math.max(y, 0), facts.clip.height));
      }
    }
  }
  if (xs.length === 0) return WHOLE;
  const most = (list: number[], share: number): number => {
    const sorted = [...list].sort((a, b) => a - b);
    return sorted[Math.round(share * (sorted.length - 1))] as number;
  };
  // One wild frame in a hundred must not decide how large the golfer is.
  const low: Point = [most(xs, 0.01), most(ys, 0.01)];
  const high: Point = [most(xs, 0.99), most(ys, 0.99)];
  const room = 0.06 * (high[1] - low[1]);
  return viewOn(
    { low: [low[0] - room, low[1] - room], high: [high[0] + room, high[1] + room] },
    facts.clip,
    band,
  );
}

/** A point's name as people say it. */
export function pointWords(name: string): string {
  if (name === "grip") return "grip end";
  if (name === "hosel") return "hosel";
  if (name === "head") return "clubhead";
  return name.replace("_", " ");
}

/**
 * What a mark measures at a frame, with its ±: degrees in the picture, lengths in shares of the
 * golfer's stature. A point of the tracks brings its own ±, one set by hand that of a hand.
 */
import {
  directionDeg,
  distance,
  isSomewhere,
  jointDeg,
  slopeDeg,
  type Point,
} from "../geometry/vector";
import { momentOf, pointAt, rowOf, spreadAt, type SwingFacts, type Tracks } from "./facts";
import type { Mark, Spot } from "./marks";

/** How well a hand sets a point, one standard deviation: share of the picture's height. Judged. */
export const HAND_SHARE = 0.002;

/** A place of the picture with its standard deviation along each axis, clip pixels. */
export interface Placed {
  readonly at: Point;
  readonly sd_px: number;
}

export interface Measured {
  readonly value: number;
  readonly sd: number;
  readonly unit: "°" | "% of stature" | "cm";
  /** From where it counts, and which way is more. */
  readonly words: string;
}

/** Where a spot lies at a row of the tracks. */
export function placed(spot: Spot, facts: SwingFacts, row: number): Placed {
  const pin = spot[2];
  const hand = HAND_SHARE * facts.clip.height;
  if (pin === undefined) return { at: [spot[0], spot[1]], sd_px: hand };
  const [x, y] = pointAt(facts.tracks, pin, row);
  const own = spreadAt(facts.tracks, pin, row);
  const off = Math.hypot(spot[0], spot[1]) > 0 ? hand : 0;
  return { at: [x + spot[0], y + spot[1]], sd_px: Math.hypot(own, off) };
}

/** The points of a mark at a frame of the clip; a followed line has those of the tracks. */
export function spotsOf(mark: Mark, facts: SwingFacts, number: number): Placed[] {
  const row = rowOf(facts.tracks, number);
  if (mark.kind !== "follow") return mark.spots.map((spot) => placed(spot, facts, row));
  return ends(mark, facts, row).map(([name, at]) => tracked(facts.tracks, name, at));
}

function tracked(tracks: Tracks, name: string, row: number): Placed {
  return { at: pointAt(tracks, name, row), sd_px: spreadAt(tracks, name, row) };
}

/** Names and rows of the two ends of a followed line; none for a path. */
function ends(mark: Mark, facts: SwingFacts, row: number): [string, number][] {
  const stands = momentOf(facts, "address");
  switch (mark.follow) {
    case "shaft":
      return [
        ["grip", row],
        ["hosel", row],
      ];
    case "address_shaft": {
      const then = stands === null ? -1 : rowOf(facts.tracks, stands.frame);
      return [
        ["hosel", then],
        ["grip", then],
      ];
    }
    case "lead_forearm":
      return [
        ["lead_elbow", row],
        ["lead_wrist", row],
      ];
    case "trail_forearm":
      return [
        ["trail_elbow", row],
        ["trail_wrist", row],
      ];
    case "shoulders":
      return [
        ["trail_shoulder", row],
        ["lead_shoulder", row],
      ];
    case "hips":
      return [
        ["trail_hip", row],
        ["lead_hip", row],
      ];
    default:
      return [];
  }
}

/** What a mark measures; none for what measures nothing, or where a point is missing. */
export function measured(
  mark: Mark,
  facts: SwingFacts,
  number: number,
  mirrored: boolean,
): Measured[] {
  const points = spotsOf(mark, facts, number);
  if (points.length < 2 || points.some((each) => !isSomewhere(each.at))) return [];
  const [one, two, three] = points as [Placed, Placed, Placed | undefined];
  switch (mark.kind) {
    case "angle":
      return three === undefined ? [] : [angle(one, two, three)];
    case "circle":
      return lengths(one, two, facts, "from the middle to the edge");
    case "line":
      return [slope(one, two, mirrored), ...lengths(one, two, facts, "in the picture's plane")];
    case "arrow":
      return [heading(one, two, mirrored), ...lengths(one, two, facts, "in the picture's plane")];
    case "follow":
      return [slope(one, two, mirrored)];
    default:
      return [];
  }
}

/** ± of a direction from one point to another, degrees. */
function turnSd(one: Placed, two: Placed): number {
  return (Math.hypot(one.sd_px, two.sd_px) / distance(one.at, two.at)) * (180 / Math.PI);
}

function slope(one: Placed, two: Placed, mirrored: boolean): Measured {
  const seen = slopeDeg(one.at, two.at);
  const value = mirrored && seen < 90 ? -seen : seen;
  const words =
    Math.abs(value) > 89.5
      ? "upright"
      : value >= 0
        ? "rising to the right"
        : "falling to the right";
  return { value, sd: turnSd(one, two), unit: "°", words: `from level, ${words}` };
}

function heading(one: Placed, two: Placed, mirrored: boolean): Measured {
  const seen = directionDeg(one.at, two.at);
  const turned = 180 - seen;
  const value = mirrored ? (turned > 180 ? turned - 360 : turned) : seen;
  return { value, sd: turnSd(one, two), unit: "°", words: "from right, counter-clockwise" };
}

function angle(first: Placed, joint: Placed, second: Placed): Measured {
  const value = jointDeg(first.at, joint.at, second.at);
  // The joint moves both legs, each by its own length: never more than the two legs' ± together.
  const sd = Math.hypot(turnSd(first, joint), turnSd(joint, second));
  return { value, sd, unit: "°", words: "between the two legs; 180° is straight" };
}

function lengths(one: Placed, two: Placed, facts: SwingFacts, words: string): Measured[] {
  const { stature } = facts;
  if (stature === null || !(stature.px > 0)) return [];
  const long = distance(one.at, two.at);
  const share = long / stature.px;
  const sd =
    share * Math.hypot(Math.hypot(one.sd_px, two.sd_px) / long, stature.px_sd / stature.px);
  const told: Measured[] = [{ value: 100 * share, sd: 100 * sd, unit: "% of stature", words }];
  if (stature.cm !== null) {
    const cm_sd = Math.hypot(sd * stature.cm, share * (stature.cm_sd ?? 0));
    told.push({ value: share * stature.cm, sd: cm_sd, unit: "cm", words });
  }
  return told;
}

/** A direction that is less sure than this says nothing; a length, one as unsure as it is long. */
export const WIDEST_DEG = 20;

/** A number and its ± as people read them: as many digits as the ± leaves sense in, or why none. */
export function told(one: Measured): string {
  if (!Number.isFinite(one.value) || !Number.isFinite(one.sd)) return "not seen";
  if (one.sd > (one.unit === "°" ? WIDEST_DEG : one.value)) return "too unsure to tell";
  const digits = one.sd < 0.95 ? 1 : 0;
  const value = one.value
    .toFixed(digits)
    .replace("-", "−")
    .replace(/^−(0(\.0)?)$/, "$1");
  const sd = `± ${one.sd.toFixed(digits)}`;
  return one.unit === "°" ? `${value}° ${sd}` : `${value} ${sd} ${one.unit}`;
}

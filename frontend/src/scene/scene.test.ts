import { describe, expect, it } from "vitest";
import { NOWHERE, type Point } from "../geometry/vector";
import { frameTable } from "../time/frames";
import { describe as shapesOf, isShown } from "./describe";
import { shownAt, type SwingFacts, type TrackedPoint } from "./facts";
import { heldAt, movedMark, pinnedMark, spotAt } from "./hit";
import { followMark, newMark, type Mark } from "./marks";
import { measured, told } from "./measured";
import { instantAt, rulerOf, shareAt } from "./ruler";
import { newBench, newRow } from "./state";

const COUNT = 5;

/** A point that goes right by 10 px a frame, from a place. */
function moving(from: Point, sd = 2, by = 10): TrackedPoint {
  const list = Array.from({ length: COUNT }, (_, k) => k);
  return {
    xy: list.map((k): Point => [from[0] + by * k, from[1]]),
    sd_px: list.map(() => sd),
    confidence: list.map(() => 0.9),
  };
}

const POINTS = new Map<string, TrackedPoint>([
  ["lead_wrist", moving([100, 200])],
  ["lead_elbow", moving([100, 100])],
  ["lead_shoulder", moving([200, 100])],
  ["trail_shoulder", moving([100, 210])],
  ["grip", moving([300, 300])],
  ["hosel", moving([300, 400])],
  ["head", { ...moving([300, 410]), xy: Array.from({ length: COUNT }, () => NOWHERE) }],
]);

function facts(swing: string, shift_s = 0): SwingFacts {
  const numbers = Array.from({ length: COUNT }, (_, k) => 20 + k);
  const seconds = numbers.map((number) => number / 100 + shift_s);
  const moment = (name: string, k: number) => ({
    name,
    title: name,
    time_s: seconds[k] as number,
    sd_s: 0.01,
    frame: numbers[k] as number,
    by_hand: false,
  });
  return {
    swing,
    reading: "r",
    clip: { width: 1000, height: 1000 },
    table: frameTable(numbers, seconds),
    moments: [moment("address", 0), moment("top", 2), moment("impact", 4)],
    tracks: { numbers, points: POINTS },
    stature: { px: 500, px_sd: 10, cm: 180, cm_sd: 1 },
    touched: new Map([["lead_wrist", new Set([22])]]),
  };
}

const A = facts("a.1");
const LAYERS = { body: true, club: true, marks: true, numbers: true };

function picture(marks: Mark[], number = 22, selected: string | null = null) {
  return {
    facts: A,
    number,
    mirrored: false,
    layers: LAYERS,
    marks: { format: "causeline.marks/1" as const, marks },
    draft: null,
    selected,
  };
}

describe("marks", () => {
  it("that are pinned go with the swing; free ones stay", () => {
    const mark = newMark(
      "m",
      "line",
      [
        [0, 0, "lead_wrist"],
        [500, 500],
      ],
      0,
    );
    const path = (number: number) =>
      shapesOf(picture([mark], number)).find(
        (shape) => shape.kind === "path" && shape.ink === "ink0",
      );
    expect(path(20)).toMatchObject({
      points: [
        [100, 200],
        [500, 500],
      ],
    });
    expect(path(24)).toMatchObject({
      points: [
        [140, 200],
        [500, 500],
      ],
    });
  });

  it("are there from one moment to another", () => {
    const mark = {
      ...newMark(
        "m",
        "line",
        [
          [0, 0],
          [1, 1],
        ],
        0,
      ),
      from: "top",
      to: "impact",
    };
    expect([20, 21, 22, 24].map((number) => isShown(mark, A, number))).toEqual([
      false,
      false,
      true,
      true,
    ]);
    expect(isShown({ ...mark, from: "finish" }, A, 20)).toBe(true);
  });

  it("stay where they are when they are pinned, freed or moved", () => {
    const free = newMark(
      "m",
      "line",
      [
        [10, 20],
        [30, 40],
      ],
      0,
    );
    const pinned = pinnedMark(free, A, 21, "lead_wrist");
    expect(pinned.spots).toEqual([
      [-100, -180, "lead_wrist"],
      [-80, -160, "lead_wrist"],
    ]);
    expect(pinnedMark(pinned, A, 21, null).spots).toEqual(free.spots);
    expect(movedMark(pinned, [5, -5]).spots[0]).toEqual([-95, -185, "lead_wrist"]);
  });

  it("are found under a hand, the uppermost first, by their spots before their lines", () => {
    const one = newMark(
      "1",
      "line",
      [
        [0, 0],
        [100, 0],
      ],
      0,
    );
    const two = newMark(
      "2",
      "line",
      [
        [0, 0],
        [0, 100],
      ],
      0,
    );
    const document = { format: "causeline.marks/1" as const, marks: [one, two] };
    expect(heldAt(document, A, 22, [1, 1], 5)).toMatchObject({ mark: { id: "2" }, spot: 0 });
    expect(heldAt(document, A, 22, [50, 3], 5)).toMatchObject({ mark: { id: "1" }, spot: -1 });
    expect(heldAt(document, A, 22, [50, 9], 5)).toBeNull();
  });

  it("take hold of a tracked point that is near", () => {
    expect(spotAt(A, 22, [122, 203], 8)).toEqual([0, 0, "lead_wrist"]);
    expect(spotAt(A, 22, [150, 250], 8)).toEqual([150, 250]);
  });
});

describe("what a mark measures", () => {
  it("a line: degrees from level and its length, each with its ±", () => {
    const mark = newMark(
      "m",
      "line",
      [
        [0, 0, "lead_wrist"],
        [0, 0, "lead_elbow"],
      ],
      0,
    );
    const [slope, share, cm] = measured(mark, A, 22, false);
    // Two points of ± 2 px, 100 px apart: √8 / 100 rad.
    expect(slope).toMatchObject({ value: 90, unit: "°" });
    expect(slope?.sd).toBeCloseTo((Math.sqrt(8) / 100) * (180 / Math.PI), 9);
    // 100 of 500 px; 20 % × √((√8/100)² + (10/500)²).
    expect(share?.value).toBeCloseTo(20, 9);
    expect(share?.sd).toBeCloseTo(20 * Math.hypot(Math.sqrt(8) / 100, 0.02), 9);
    expect(cm?.value).toBeCloseTo(36, 9);
  });

  it("turns about with a mirrored row", () => {
    const mark = newMark(
      "m",
      "line",
      [
        [0, 100],
        [100, 0],
      ],
      0,
    );
    expect(measured(mark, A, 22, false)[0]?.value).toBeCloseTo(45, 9);
    expect(measured(mark, A, 22, true)[0]?.value).toBeCloseTo(-45, 9);
    const arrow = newMark(
      "m",
      "arrow",
      [
        [0, 0],
        [100, 0],
      ],
      0,
    );
    expect(measured(arrow, A, 22, true)[0]?.value).toBeCloseTo(180, 9);
  });

  it("an angle between three joints, and lines that follow the tracks", () => {
    const elbow = newMark(
      "m",
      "angle",
      [
        [0, 0, "lead_shoulder"],
        [0, 0, "lead_elbow"],
        [0, 0, "lead_wrist"],
      ],
      0,
    );
    expect(measured(elbow, A, 20, false)[0]?.value).toBeCloseTo(90, 9);
    expect(measured(followMark("m", "shaft", 0), A, 20, false)[0]?.value).toBeCloseTo(90, 9);
  });

  it("says nothing where a point is missing", () => {
    const mark = newMark(
      "m",
      "line",
      [
        [0, 0, "head"],
        [1, 1],
      ],
      0,
    );
    expect(measured(mark, A, 22, false)).toEqual([]);
    expect(shapesOf(picture([mark])).filter((shape) => shape.ink === "ink0")).toEqual([]);
  });

  it("is told with as many digits as its ± leaves sense in", () => {
    expect(told({ value: -33.46, sd: 0.71, unit: "°", words: "" })).toBe("−33.5° ± 0.7");
    expect(told({ value: 40.2, sd: 1.6, unit: "% of stature", words: "" })).toBe(
      "40 ± 2 % of stature",
    );
    expect(told({ value: -0.04, sd: 0.5, unit: "°", words: "" })).toBe("0.0° ± 0.5");
    expect(told({ value: -38, sd: 127, unit: "°", words: "" })).toBe("too unsure to tell");
    expect(told({ value: 2, sd: 3, unit: "cm", words: "" })).toBe("too unsure to tell");
    expect(told({ value: 12, sd: NaN, unit: "°", words: "" })).toBe("not seen");
  });
});

describe("what is drawn of the body", () => {
  it("a point that a person set is square at that frame", () => {
    const sign = (number: number) =>
      shapesOf(picture([], number)).find((shape) => shape.kind === "sign" && shape.at[1] === 200);
    expect(sign(22)).toMatchObject({ form: "square" });
    expect(sign(21)).toMatchObject({ form: "full" });
  });
});

describe("rows", () => {
  it("show the same moment, and an offset more", () => {
    const known = new Map([
      ["a.1", A],
      ["b.1", facts("b.1", 3)],
    ]);
    const state = { ...newBench([newRow("a.1"), newRow("b.1")], 0.22), at_s: 0.22 };
    expect(shownAt(state, known, 0).map((each) => each?.number)).toEqual([22, 22]);
    const later = { ...state, rows: [state.rows[0]!, { ...state.rows[1]!, offset_s: 0.02 }] };
    expect(shownAt(later, known, 0).map((each) => each?.number)).toEqual([22, 24]);
  });
});

describe("the scale", () => {
  it("goes there and back, never backward, with room for each stretch", () => {
    const ruler = rulerOf(0, [0.5, 1.4, 1.65, 1.7], 3);
    expect(ruler.share[0]).toBe(0);
    expect(ruler.share.at(-1)).toBe(1);
    for (let at = 0; at <= 3; at += 0.05)
      expect(instantAt(ruler, shareAt(ruler, at))).toBeCloseTo(at, 9);
    ruler.share
      .slice(1)
      .forEach((share, k) => expect(share - ruler.share[k]!).toBeGreaterThan(0.1));
  });
});

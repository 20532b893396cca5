/**
 * The server paints what the browser paints: both are held to the same shapes, in a fixture.
 *
 * After a change of the scene: `WRITE_FIXTURE=1 npx vitest run src/talk/scene.test.ts`, then mend
 * `render/talk_scene.py` until its own test agrees again.
 */
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, it } from "vitest";
import type { Point } from "../geometry/vector";
import { describe as shapesOf, type Shape } from "../scene/describe";
import type { SwingFacts, TrackedPoint } from "../scene/facts";
import { followMark, FOLLOWED, MARKS_FORMAT, newMark, type Mark } from "../scene/marks";
import { frameTable } from "../time/frames";

const FIXTURE = join(import.meta.dirname, "../../fixtures/talk_scene.json");
const COUNT = 6;
const FIRST = 20;

/** A point that moves by `by` pixels a frame; missing at the last frame where `gone`. */
function moving(from: Point, by: Point, sure = 0.9, gone = false): TrackedPoint {
  const list = Array.from({ length: COUNT }, (_, k) => k);
  return {
    xy: list.map((k): Point => (gone && k === COUNT - 1 ? [NaN, NaN] : [from[0] + by[0] * k, from[1] + by[1] * k])),
    sd_px: list.map(() => 2.5),
    confidence: list.map((k) => sure - 0.1 * k),
  };
}

const POINTS = new Map<string, TrackedPoint>(
  [
    ["lead_ear", moving([300, 110], [1, 0])],
    ["trail_ear", moving([280, 112], [1, 0])],
    ["lead_shoulder", moving([340, 180], [2, -1])],
    ["trail_shoulder", moving([240, 190], [3, 1], 0.55)],
    ["lead_elbow", moving([360, 270], [-10, -12])],
    ["trail_elbow", moving([230, 280], [-8, -9], 0.6)],
    ["lead_wrist", moving([330, 360], [-22, -31])],
    ["trail_wrist", moving([325, 350], [-22, -30])],
    ["lead_hip", moving([330, 400], [1, 0])],
    ["trail_hip", moving([260, 404], [1, 0])],
    ["lead_knee", moving([335, 520], [0, 0], 0.9, true)],
    ["lead_ankle", moving([338, 650], [0, 0])],
    ["grip", moving([320, 370], [-22, -31])],
    ["hosel", moving([420, 640], [-60, -40], 0.7)],
    ["head", moving([430, 646], [-61, -41], 0.7, true)],
  ],
);

function facts(stature: boolean): SwingFacts {
  const numbers = Array.from({ length: COUNT }, (_, k) => FIRST + k);
  const moment = (name: string, frame: number) => ({
    name,
    title: name,
    time_s: frame / 100,
    sd_s: 0.01,
    frame,
    by_hand: false,
  });
  return {
    swing: "a.1",
    reading: "r",
    clip: { width: 540, height: 720 },
    table: frameTable(numbers, numbers.map((number) => number / 100)),
    moments: [moment("address", FIRST), moment("start", FIRST + 1), moment("top", FIRST + 3)],
    tracks: { numbers, points: POINTS },
    stature: stature ? { px: 600, px_sd: 12, cm: 181, cm_sd: 1 } : null,
    touched: new Map([["lead_wrist", new Set([FIRST + 2])]]),
  };
}

const LAYERS = { body: true, club: true, marks: true, numbers: true };
const MARKS: readonly Mark[] = [
  { ...newMark("line", "line", [[100, 300], [300, 200]], 0), text: "here" },
  newMark("pinned", "line", [[0, 0, "lead_hip"], [12, -80, "lead_shoulder"]], 1),
  newMark("upright", "line", [[50, 50], [50, 400]], 1),
  newMark("level", "line", [[300, 120], [50, 120]], 1),
  newMark("angle", "angle", [[0, 0, "lead_shoulder"], [0, 0, "lead_elbow"], [0, 0, "lead_wrist"]], 2),
  newMark("arrow", "arrow", [[400, 400], [250, 460]], 3),
  newMark("circle", "circle", [[0, 0, "lead_ear"], [320, 150]], 0),
  { ...newMark("stroke", "freehand", [[10, 10], [20, 30], [40, 35]], 2), outline: [[9, 9], [21, 28], [41, 34], [39, 37], [18, 33]] },
  { ...newMark("words", "text", [[60, 500]], 3), text: "Weight stays here" },
  { ...newMark("later", "line", [[1, 2], [3, 4]], 0), from: "top" },
  { ...newMark("sooner", "line", [[1, 2], [3, 4]], 0), to: "start" },
  newMark("nowhere", "line", [[0, 0, "lead_toe"], [3, 4]], 0),
  newMark("unfinished", "angle", [[10, 10], [50, 50]], 0),
  ...FOLLOWED.map((follow, k) => ({ ...followMark(`f${k}`, follow, k % 4), text: k === 0 ? "shaft" : "" })),
];

const CASES = [0, 2, 5].flatMap((k) =>
  [false, true].map((mirrored) => ({ frame: FIRST + k, mirrored, stature: mirrored, layers: LAYERS })),
);
CASES.push({ frame: FIRST + 1, mirrored: false, stature: true, layers: { ...LAYERS, body: false, numbers: false } });
CASES.push({ frame: FIRST + 1, mirrored: false, stature: true, layers: { ...LAYERS, club: false, marks: false } });
CASES.push({ frame: 999, mirrored: false, stature: true, layers: LAYERS });

function shapes(one: (typeof CASES)[number]): unknown {
  const { frame: number, mirrored, stature, layers } = one;
  const marks = { format: MARKS_FORMAT, marks: MARKS } as const;
  return rounded(shapesOf({ facts: facts(stature), number, mirrored, layers, marks, draft: null, selected: null }));
}

/** JSON has no NaN: a point that is not there is null, as in the contract. */
function rounded(found: readonly Shape[]): unknown {
  const tell = (_: string, value: unknown): unknown =>
    typeof value === "number" ? (Number.isFinite(value) ? Math.round(value * 1e6) / 1e6 : null) : value;
  return JSON.parse(JSON.stringify(found, tell));
}

function plainFacts(): unknown {
  const points = [...POINTS].map(([name, { xy, sd_px, confidence }]) => [name, { xy, sd_px, sure: confidence }]);
  const { clip, tracks, moments, stature } = facts(true);
  const told = { clip, frames: tracks.numbers, points: Object.fromEntries(points) as unknown, stature };
  return { ...told, moments: moments.map(({ name, frame }) => ({ name, frame })), touched: { lead_wrist: [FIRST + 2] } };
}

it("describes what the fixture says, which the server is held to as well", () => {
  const cases = CASES.map((one) => ({ ...one, shapes: shapes(one) }));
  const now = JSON.stringify({ facts: plainFacts(), marks: MARKS, cases }, null, 1) + "\n";
  if (process.env["WRITE_FIXTURE"] !== undefined) writeFileSync(FIXTURE, now);
  const kept = JSON.parse(readFileSync(FIXTURE, "utf8")) as { cases: unknown };
  expect(JSON.parse(now)).toEqual(kept);
});

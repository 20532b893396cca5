import "fake-indexeddb/auto";
import { afterEach, describe, expect, it, vi } from "vitest";
import type { SwingFacts } from "../scene/facts";
import { shownAt } from "../scene/facts";
import { newMark, NO_MARKS } from "../scene/marks";
import { newBench, newRow } from "../scene/state";
import { BenchStore } from "../scene/store";
import { frameTable } from "../time/frames";
import { beginsOf, clockOf, lengthOf, placeOf } from "./line";
import { Recorder, type Around } from "./recorder";
import { after, changes, screenAt, type Screen, type Take, type TalkEvent } from "./screen";
import { Sender } from "./sender";
import { Shelf, type KeptTake } from "./shelf";
import { together } from "./strip";
import { benchOf, renamed, screenOf } from "./shown";

const LAYERS = { body: true, club: true, marks: true, numbers: true };
const BLANK: Screen = { rows: [], marks: [], layers: LAYERS, pointer: null };

function row(swing: number, frame: number, zoom = 1) {
  return { swing, frame, sight: { zoom, x: 0.5, y: 0.5 }, mirrored: false };
}

function facts(swing: string, first: number): SwingFacts {
  const numbers = Array.from({ length: 200 }, (_, k) => first + k);
  const seconds = numbers.map((number) => number / 100);
  const moment = (name: string, k: number) => ({
    name, title: name, time_s: seconds[k] as number, sd_s: 0.01, frame: numbers[k] as number, by_hand: false,
  });
  return {
    swing, reading: "r", clip: { width: 540, height: 720 }, table: frameTable(numbers, seconds),
    moments: [moment("address", 10), moment("top", 90), moment("impact", 120)],
    tracks: { numbers, points: new Map() }, stature: null, touched: new Map(),
  };
}

/** Numbers that look random and are the same each time. */
function* chances(seed: number): Generator<number, never> {
  let now = seed;
  for (;;) {
    now = (now * 1664525 + 1013904223) % 2 ** 32;
    yield now / 2 ** 32;
  }
}

function anyScreen(chance: Generator<number, never>): Screen {
  const pick = (count: number): number => Math.floor(chance.next().value * count);
  const rows = Array.from({ length: pick(3) }, () => row(pick(2), pick(100), 1 + pick(3)));
  const ids = ["m1", "m2", "m3"].filter(() => pick(2) === 1);
  const marks = ids.map((id) => ({ swing: pick(2), mark: { id, kind: "line", ink: pick(3) } }));
  const pointer = pick(2) === 0 ? null : { row: pick(2), x: pick(500), y: pick(700) };
  return { rows, marks, layers: { ...LAYERS, body: pick(2) === 1 }, pointer };
}

describe("the record", () => {
  it("tells one screen from another, and makes the one of the other again", () => {
    const chance = chances(7);
    for (let k = 0; k < 500; k += 1) {
      const [before, now] = [anyScreen(chance), anyScreen(chance)];
      const told = changes(before, now, 40).reduce(after, before);
      const sorted = (screen: Screen) => ({ ...screen, marks: [...screen.marks].sort((a, b) => (JSON.stringify(a) < JSON.stringify(b) ? -1 : 1)) });
      expect(sorted(told)).toEqual(sorted(now));
      expect(changes(now, now, 50)).toEqual([]);
    }
  });

  it("knows the screen of each instant, as the server does", () => {
    const events: TalkEvent[] = [
      { what: "step", at_ms: 100, row: 0, frame: 7 },
      { what: "step", at_ms: 100, row: 4, frame: 9 },
      { what: "mark", at_ms: 200, swing: 0, mark: { id: "m1", kind: "line", ink: 0 } },
      { what: "mark", at_ms: 300, swing: 0, mark: { id: "m2", kind: "line", ink: 0 } },
      { what: "mark", at_ms: 400, swing: 0, mark: { id: "m1", kind: "line", ink: 3 } },
      { what: "unmark", at_ms: 500, swing: 0, mark: "m2" },
    ];
    const take: Take = { id: "t", swings: ["a.1"], start: { ...BLANK, rows: [row(0, 0)] }, events, lasts_ms: 1000, voice: null };
    expect(screenAt(take, 99).rows[0]?.frame).toBe(0);
    expect(screenAt(take, 100).rows).toEqual([row(0, 7)]);
    expect(screenAt(take, 450).marks.map((one) => one.mark["ink"])).toEqual([3, 0]);
    expect(screenAt(take, 1000).marks.map((one) => one.mark["id"])).toEqual(["m1"]);
  });

  it("tells a moment that two rows show together once", () => {
    const one = { swing: "a.1", moment: "top", start_ms: 0, stop_ms: 900 } as const;
    const stretches = [one, { ...one, swing: "b.2", start_ms: 100, stop_ms: 1000 }, { ...one, start_ms: 5000, stop_ms: 6000 }];
    expect(together(stretches).map(({ start_ms, stop_ms }) => [start_ms, stop_ms])).toEqual([[0, 1000], [5000, 6000]]);
  });

  it("finds places in pieces", () => {
    const pieces = [{ take: "a", start_ms: 500, stop_ms: 900 }, { take: "b", start_ms: 0, stop_ms: 100 }];
    expect([lengthOf(pieces), beginsOf(pieces)]).toEqual([500, [0, 400]]);
    expect(placeOf(pieces, 399)).toEqual({ piece: 0, take: "a", at_ms: 899 });
    expect(placeOf(pieces, 400)).toEqual({ piece: 1, take: "b", at_ms: 0 });
    expect(placeOf(pieces, 9999)).toEqual({ piece: 1, take: "b", at_ms: 99 });
    expect(placeOf([], 0)).toBeNull();
    expect([clockOf(61_250), clockOf(61_250, true), clockOf(-5)]).toEqual(["1:01", "1:01.2", "0:00"]);
  });
});

describe("between bench and record", () => {
  const known = new Map([["a.1", facts("a.1", 0)], ["b.2", facts("b.2", 1000)]]);

  it("a bench that is made of a screen shows that very screen, every row its own frame", () => {
    for (const frames of [[30, 1040], [95, 1150], [0, 1000], [150, 1009]] as const) {
      const screen: Screen = { ...BLANK, rows: [row(1, frames[0], 2), { ...row(0, frames[1]), mirrored: true }] };
      const state = benchOf(screen, ["b.2", "a.1"], known, newBench([newRow("a.1")], 0));
      expect(state).not.toBeNull();
      const swings: string[] = ["b.2", "a.1"];
      if (state !== null) expect(screenOf(state, shownAt(state, known, 0), swings)).toEqual(screen);
    }
  });

  it("leaves out what the bench does not know, and says so where nothing is left", () => {
    const screen: Screen = { ...BLANK, rows: [row(0, 5), row(1, 30)] };
    const base = newBench([newRow("a.1")], 0);
    expect(benchOf(screen, ["gone.1", "a.1"], known, base)?.rows.map((one) => one.swing)).toEqual(["a.1"]);
    expect(benchOf(screen, ["gone.1", "gone.2"], known, base)).toBeNull();
  });

  it("keeps a mark on its way, and the same mark as the same object", () => {
    const mark = newMark("m1", "line", [[1, 2], [3, 4]], 0);
    const state = { ...newBench([newRow("a.1")], 0.3), marks: { "a.1": { ...NO_MARKS, marks: [mark] } } };
    const drawing = { ...state, draft: { swing: "a.1", mark: newMark("m2", "line", [[5, 6]], 1) } };
    const [swings, shown] = [[] as string[], shownAt(state, known, 0)];
    const [one, two] = [screenOf(state, shown, swings), screenOf(drawing, shown, swings)];
    expect(two.marks.map((each) => each.mark["id"])).toEqual(["m1", "m2"]);
    expect(one.marks[0]?.mark).toBe(two.marks[0]?.mark);
    expect(renamed(one, ["a.1"], ["z.9", "a.1"]).rows[0]?.swing).toBe(1);
  });
});

describe("recording", () => {
  afterEach(() => vi.unstubAllGlobals());

  it("puts a part on the shelf each second, and loses nothing at the end", async () => {
    vi.stubGlobal("requestAnimationFrame", () => 0);
    vi.stubGlobal("cancelAnimationFrame", () => undefined);
    vi.useFakeTimers({ toFake: ["setInterval", "clearInterval"] });
    let now = 0;
    const store = new BenchStore(newBench([newRow("a.1")], 0.5), () => now);
    const known = new Map([["a.1", facts("a.1", 0)]]);
    const shelf = await Shelf.open("record");
    const around: Around = {
      source: {
        seen: (swings) => screenOf(store.state, shownAt(store.state, known, store.now()), swings),
        moving: () => false,
        listen: (changed) => store.listen(changed),
      },
      shelf,
      wake: () => undefined,
      trouble: (why) => expect.fail(why),
      now: () => now,
    };
    const about = { swing: "a.1", lesson: null, check_in: "", title: "" };
    const recorder = await Recorder.begin(around, null, { id: "t1", talk: "k1", about, into: null });
    now = 400;
    store.dispatch({ do: "seek", at_s: 0.6 });
    now = 1000;
    vi.advanceTimersByTime(1000);
    now = 1300;
    store.dispatch({ do: "seek", at_s: 0.7 });
    store.dispatch({ do: "tool", tool: "line" }); // nothing that is to be seen
    now = 1500;
    vi.useRealTimers();
    const take = await recorder.end();
    const parts = await shelf.parts("t1");
    expect(parts.map((part) => [part.number, part.ends_ms])).toEqual([[0, 1000], [1, 1500]]);
    expect(parts.flatMap((part) => part.events)).toEqual([
      { what: "step", at_ms: 400, row: 0, frame: 60 },
      { what: "step", at_ms: 1300, row: 0, frame: 70 },
    ]);
    expect([take.parts, (await shelf.take("t1"))?.parts, take.start.rows[0]?.frame]).toEqual([2, 2, 50]);
    shelf.close();
  });
});

describe("on the way to the server", () => {
  afterEach(() => vi.unstubAllGlobals());

  it("asks again until everything is there, and says meanwhile what stands in the way", async () => {
    const shelf = await Shelf.open("way");
    const take: KeptTake = {
      id: "t1", talk: "k1", about: { swing: "a.1", lesson: null, check_in: "", title: "" }, swings: ["a.1"], start: BLANK,
      voice: "", starts_ms: 0, into: null, begun: 1, parts: 2,
    };
    await shelf.put(take);
    for (const number of [0, 1]) await shelf.putPart({ take: "t1", number, events: [], sound: null, ends_ms: 1000, sent: 0 });
    const asked: string[] = [];
    let answers = ["gone", "full", "fine"];
    vi.stubGlobal("document", { querySelector: () => null });
    vi.stubGlobal("fetch", async (address: string, told: { method: string }) => {
      const now = address.includes("/parts/1") ? (answers.length > 1 ? answers.shift() : answers[0]) : "fine";
      if (now === "gone") throw new TypeError("no network");
      if (now === "full") return new Response(JSON.stringify({ came: "no room", expected: "", remedy: "" }), { status: 507 });
      asked.push(`${told.method} ${address}`);
      return address.endsWith("/place") || address.endsWith("/close") || address === "/talk/k1" ? Response.json({ id: "k1" }) : new Response(null, { status: 204 });
    });
    const said: string[] = [];
    const placed = await new Promise((resolve) => {
      const sender = new Sender(shelf, () => true, (way) => said.push(`${way.waiting} ${way.trouble}`), resolve);
      sender.wake();
    });
    expect(placed).toEqual({ id: "k1" });
    expect(said[0]).toContain("1 Causeline does not answer.");
    expect(said[1]).toContain("1 No room.");
    expect(asked.filter((one) => one.includes("/parts/0"))).toHaveLength(1); // sent once, though asked again
    expect(asked.slice(-2)).toEqual(["POST /talk/k1/takes/t1/close", "POST /talk/k1/takes/t1/place"]);
    expect(await shelf.takes()).toEqual([]);
    answers = [];
    shelf.close();
  }, 10_000);
});

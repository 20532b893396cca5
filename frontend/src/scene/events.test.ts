import { describe, expect, it } from "vitest";
import { replay, reduce, type BenchEvent, type Change } from "./events";
import { newMark } from "./marks";
import { cursorAt, marksOf, newBench, newRow, runEnded } from "./state";
import { BenchStore } from "./store";

const OPEN = newBench([newRow("a.1"), newRow("b.1")], 0.5);
const LINE = newMark(
  "m1",
  "line",
  [
    [10, 20],
    [0, 0, "lead_wrist"],
  ],
  1,
);
const RUN = { do: "run", from_s: 1, rate: 0.5, low_s: 0, high_s: 2, again: false } as const;

function at(t: number, change: Change): BenchEvent {
  return { ...change, t };
}

describe("the bench's state", () => {
  it("follows from its events alone: played back, they give the same screens", () => {
    let clock = 0;
    const store = new BenchStore(OPEN, () => clock);
    const events: BenchEvent[] = [];
    const states = [store.state];
    store.listen((event, after) => {
      events.push(event);
      states.push(after);
    });
    const changes: Change[] = [
      { do: "seek", at_s: 0.7 },
      { do: "tool", tool: "line" },
      { do: "draft", swing: "a.1", mark: LINE },
      { do: "mark", swing: "a.1", id: "m1", mark: LINE },
      { do: "view", row: 0, view: { zoom: 2, x: 0.4, y: 0.6 } },
      RUN,
      { do: "row.mirror", row: 1, mirrored: true },
      { do: "undo" },
      { do: "redo" },
      { do: "row.offset", row: 1, offset_s: 0.02 },
      { do: "lead", row: 1, at_s: 0.9 },
      { do: "row.remove", row: 0, at_s: 0.9 },
    ];
    for (const change of changes) {
      clock += 40;
      store.dispatch(change);
    }
    events.forEach((_, k) => {
      const told = JSON.parse(JSON.stringify(events.slice(0, k + 1))) as BenchEvent[];
      expect(replay(JSON.parse(JSON.stringify(OPEN)), told)).toEqual(states[k + 1]);
    });
    expect(events.map((event) => event.t)).toEqual(changes.map((_, k) => 40 * (k + 1)));
  });

  it("runs by the clock, both ways, and holds or begins again at the end", () => {
    const state = reduce(OPEN, at(1000, RUN));
    expect(cursorAt(state, 1000)).toBe(1);
    expect(cursorAt(state, 2000)).toBe(1.5);
    expect(cursorAt(state, 9000)).toBe(2);
    expect([runEnded(state, 2999), runEnded(state, 3000)]).toEqual([false, true]);
    const back = reduce(OPEN, at(0, { ...RUN, rate: -1, again: true }));
    expect(cursorAt(back, 1500)).toBeCloseTo(1.5, 12);
  });

  it("keeps every mark through undo and redo, and forgets what was undone by a new one", () => {
    const drawn = replay(OPEN, [
      at(1, { do: "mark", swing: "a.1", id: "m1", mark: LINE }),
      at(2, { do: "mark", swing: "a.1", id: "m1", mark: { ...LINE, ink: 2 } }),
      at(3, { do: "mark", swing: "a.1", id: "m1", mark: null }),
    ]);
    expect(marksOf(drawn, "a.1").marks).toEqual([]);
    const back = replay(drawn, [at(4, { do: "undo" }), at(5, { do: "undo" })]);
    expect(marksOf(back, "a.1").marks).toEqual([LINE]);
    const forth = reduce(back, at(6, { do: "redo" }));
    expect(marksOf(forth, "a.1").marks[0]?.ink).toBe(2);
    const other = reduce(
      back,
      at(7, { do: "mark", swing: "a.1", id: "m2", mark: { ...LINE, id: "m2" } }),
    );
    expect(reduce(other, at(8, { do: "redo" }))).toEqual(other);
  });

  it("moves the other rows' views along only when they are kept together", () => {
    const view = { zoom: 2, x: 0.6, y: 0.4 };
    const along = reduce(OPEN, at(1, { do: "view", row: 0, view }));
    expect(along.rows.map((row) => row.view)).toEqual([view, view]);
    const mirrored = reduce(
      reduce(OPEN, at(1, { do: "row.mirror", row: 1, mirrored: true })),
      at(2, { do: "view", row: 0, view }),
    );
    expect(mirrored.rows[1]?.view.x).toBeCloseTo(0.4, 12);
    const apart = reduce(
      reduce(OPEN, at(1, { do: "together", on: false })),
      at(2, { do: "view", row: 0, view }),
    );
    expect(apart.rows[1]?.view.zoom).toBe(1);
  });

  it("leaves what cannot be done undone", () => {
    expect(reduce(OPEN, at(1, { do: "undo" }))).toBe(OPEN);
    expect(reduce(OPEN, at(1, { do: "row.mirror", row: 9, mirrored: true }))).toBe(OPEN);
    expect(reduce(OPEN, at(1, { do: "row.add", row: newRow("a.1") }))).toBe(OPEN);
    const alone = reduce(OPEN, at(1, { do: "row.remove", row: 0, at_s: 0 }));
    expect(reduce(alone, at(2, { do: "row.remove", row: 0, at_s: 0 }))).toBe(alone);
  });
});

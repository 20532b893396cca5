import { describe, expect, it } from "vitest";
import { frameTable, placeAt, secondsAt, stepped } from "./frames";

const UNEVEN = frameTable([10, 11, 13, 14], [0.1, 0.104, 0.2, 0.21]);

describe("which frame is shown", () => {
  it("is the nearest, of two alike the earlier", () => {
    expect(
      [-1, 0.1, 0.1019, 0.1021, 0.152, 0.1521, 0.206, 9].map((at) => placeAt(UNEVEN, at)),
    ).toEqual([0, 0, 0, 1, 1, 2, 3, 3]);
  });

  it("is the one named at its own instant, at 240 Hz too", () => {
    const seconds = Array.from({ length: 720 }, (_, k) => k / 240);
    const table = frameTable(
      seconds.map((_, k) => k),
      seconds,
    );
    seconds.forEach((at, k) => expect(placeAt(table, at)).toBe(k));
  });

  it("holds at the ends", () => {
    expect(secondsAt(UNEVEN, 99)).toBe(0.21);
    expect([stepped(UNEVEN, 0, -1), stepped(UNEVEN, 2, 1), stepped(UNEVEN, 3, 5)]).toEqual([
      0, 3, 3,
    ]);
  });

  it("refuses tables that say nothing", () => {
    expect(() => frameTable([], [])).toThrow("at least one");
    expect(() => frameTable([1, 2], [0.5, 0.5])).toThrow("frame 2");
  });
});

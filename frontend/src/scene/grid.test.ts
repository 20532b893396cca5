import { describe, expect, it } from "vitest";
import { moved } from "./grid";

const there = [
  [true, false, true],
  [true, true, true],
];

describe("moving through the sheet", () => {
  it("passes over what is not there", () => {
    expect(moved(there, { row: 0, column: 0 }, "right")).toEqual({ row: 0, column: 2 });
    expect(moved(there, { row: 1, column: 1 }, "up")).toEqual({ row: 1, column: 1 });
  });

  it("stays at the edge", () => {
    expect(moved(there, { row: 0, column: 0 }, "left")).toEqual({ row: 0, column: 0 });
    expect(moved(there, { row: 1, column: 2 }, "down")).toEqual({ row: 1, column: 2 });
  });

  it("goes to a row's ends", () => {
    expect(moved(there, { row: 0, column: 2 }, "first")).toEqual({ row: 0, column: 0 });
    expect(moved(there, { row: 0, column: 0 }, "last")).toEqual({ row: 0, column: 2 });
  });
});

import { describe, expect, it } from "vitest";
import { PassingShelf, newId, type Waiting } from "./waiting";

const said = (id: string, at: string): Waiting => ({ kind: "words", felt: id, id, at, from: 0 });

describe("where the browser keeps nothing", () => {
  it("things wait in order for as long as the page is open", async () => {
    const shelf = new PassingShelf();
    await shelf.put(said("b", "2026-04-09T10:00:00Z"));
    await shelf.put(said("a", "2026-04-07T10:00:00Z"));
    await shelf.put(said("b", "2026-04-09T10:00:00Z"));
    expect((await shelf.waiting()).map((one) => one.id)).toEqual(["a", "b"]);
    await shelf.drop("a");
    expect((await shelf.waiting()).map((one) => one.id)).toEqual(["b"]);
    await shelf.remember("state", 1);
    expect([await shelf.recall("state"), await shelf.recall("other")]).toEqual([1, undefined]);
  });
  it("names are 128 random bits", () => {
    expect(newId()).toMatch(/^[0-9a-f]{32}$/);
    expect(newId()).not.toBe(newId());
  });
});

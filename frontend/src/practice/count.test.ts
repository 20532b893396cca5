import { describe, expect, it } from "vitest";
import { NONE, clock, ended, onward, said } from "./count";

describe("counting", () => {
  const dose = { sets: 2, repeats: 3 };
  it("goes through the sets and stays at the end", () => {
    const steps = [1, 2, 3, 4, 5, 6, 7].reduce<{ sets: number; repeats: number }[]>(
      (told) => [...told, onward(told.at(-1) ?? NONE, dose)],
      [],
    );
    expect(steps.map((one) => `${one.sets}.${one.repeats}`)).toEqual(["0.1", "0.2", "1.0", "1.1", "1.2", "2.0", "2.0"]);
    expect(steps.map(ended)).toEqual([false, false, true, false, false, true, true]);
  });
  it("tells minutes and seconds", () => {
    expect([clock(600), clock(59.2), clock(0), clock(-3)]).toEqual(["10:00", "1:00", "0:00", "0:00"]);
  });
  it("puts names into sentences", () => {
    expect(said("Set [number] of [count], [x]", { number: 1, count: 3 })).toBe("Set 1 of 3, [x]");
  });
});

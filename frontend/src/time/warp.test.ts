import { describe, expect, it } from "vitest";
import fixture from "../../fixtures/warp.json";
import { warpBetween, type Instant } from "./warp";

interface Case {
  title: string;
  a: Instant[];
  b: Instant[];
  at_s: number[];
  to_s: number[] | null;
}

/** Held to SciPy's PchipInterpolator through the same file as tests/unit/progress/test_align.py. */
describe("time warped between moments", () => {
  for (const { title, a, b, at_s, to_s } of fixture.cases as Case[]) {
    it(title, () => {
      const warp = warpBetween(a, b);
      if (to_s === null) {
        expect(warp).toBeNull();
        return;
      }
      at_s.forEach((at, k) => expect(warp?.(at)).toBeCloseTo(to_s[k] as number, 9));
    });
  }

  it("has a point of every kind: the file was not emptied", () => {
    expect(fixture.cases.length).toBeGreaterThan(6);
  });
});

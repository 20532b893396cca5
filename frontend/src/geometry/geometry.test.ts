import { describe, expect, it } from "vitest";
import { directionDeg, distanceToStretch, jointDeg, slopeDeg, type Point } from "./vector";
import { lieOf, panned, toBand, toClip, viewOn, WHOLE, zoomed } from "./view";

const CLIP = { width: 1080, height: 1920 };
const BAND = { width: 1200, height: 600 };

describe("angles in a picture, y down, angles up (the cases of quantities/angle.py)", () => {
  const from: Point = [10, 10];
  it.each([
    [[20, 10], 0],
    [[10, 0], 90],
    [[0, 10], 180],
    [[10, 20], -90],
    [[20, 0], 45],
  ] as [Point, number][])("to %j is %d°", (to, degrees) => {
    expect(directionDeg(from, to)).toBeCloseTo(degrees, 12);
  });

  it("a slope has no direction: it rises or falls to the right", () => {
    expect(slopeDeg([0, 0], [-10, 10])).toBeCloseTo(45, 12);
    expect(slopeDeg([0, 0], [10, 10])).toBeCloseTo(-45, 12);
    expect(slopeDeg([0, 0], [0, 10])).toBeCloseTo(90, 12);
  });

  it("a joint is exact where it is nearly straight", () => {
    expect(jointDeg([-1, 0], [0, 0], [1, 1e-9])).toBeCloseTo(180 - (1e-9 * 180) / Math.PI, 9);
    expect(jointDeg([1, 0], [0, 0], [0, 1])).toBeCloseTo(90, 12);
  });

  it("what has no length has no angle", () => {
    expect(directionDeg(from, from)).toBeNaN();
    expect(jointDeg(from, from, [1, 1])).toBeNaN();
    expect(distanceToStretch([3, 4], [0, 0], [0, 0])).toBe(5);
  });
});

describe("how a picture lies in its band", () => {
  for (const mirrored of [false, true]) {
    it(`goes there and back${mirrored ? ", mirrored" : ""}`, () => {
      const lie = lieOf({ zoom: 2.5, x: 0.4, y: 0.7 }, CLIP, BAND, mirrored);
      const [x, y] = toClip(lie, toBand(lie, [321, 654]));
      expect(x).toBeCloseTo(321, 9);
      expect(y).toBeCloseTo(654, 9);
      expect(toBand(lie, [0.4 * 1080, 0.7 * 1920])[0]).toBeCloseTo(600, 9);
    });

    it(`keeps what lies under the pointer there when it grows${mirrored ? ", mirrored" : ""}`, () => {
      const at: Point = [450, 200];
      const before = toClip(lieOf(WHOLE, CLIP, BAND, mirrored), at);
      const view = zoomed(WHOLE, 1.7, at, { clip: CLIP, band: BAND, mirrored });
      const after = toClip(lieOf(view, CLIP, BAND, mirrored), at);
      expect(after[0]).toBeCloseTo(before[0], 6);
      expect(after[1]).toBeCloseTo(before[1], 6);
    });

    it(`follows the hand${mirrored ? ", mirrored" : ""}`, () => {
      const place = { clip: CLIP, band: BAND, mirrored };
      const view = { zoom: 3, x: 0.5, y: 0.5 };
      const lie = lieOf(view, CLIP, BAND, mirrored);
      const under = toClip(lie, [500, 300]);
      const moved = lieOf(panned(view, [20, -15], place), CLIP, BAND, mirrored);
      const [x, y] = toBand(moved, under);
      expect(x).toBeCloseTo(520, 6);
      expect(y).toBeCloseTo(285, 6);
    });
  }

  it("frames a box whole", () => {
    const view = viewOn({ low: [200, 500], high: [900, 1700] }, CLIP, BAND);
    const lie = lieOf(view, CLIP, BAND, false);
    const [left, top] = toBand(lie, [200, 500]);
    const [right, bottom] = toBand(lie, [900, 1700]);
    expect(Math.min(left, top)).toBeGreaterThan(0);
    expect(right).toBeLessThan(BAND.width);
    expect(bottom).toBeLessThan(BAND.height);
  });
});

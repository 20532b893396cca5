/**
 * A monotone cubic through rising points: it never runs backward, and has no jerk at the points.
 *
 * Slopes after Fritsch and Carlson, "Monotone Piecewise Cubic Interpolation" (SIAM J. Numer. Anal.
 * 17, 1980), with the weighted harmonic mean of Fritsch and Butland (1984) and one-sided ends kept
 * to the data's shape: what SciPy's PchipInterpolator computes, which the tests hold it to.
 */

export type Curve = (x: number) => number;

/** The curve through (x, y); outside it goes on with its end pieces. Two points at least. */
export function monotoneCurve(x: readonly number[], y: readonly number[]): Curve {
  if (x.length !== y.length || x.length < 2) {
    throw new RangeError(`got ${x.length} and ${y.length} values; expected as many, two at least`);
  }
  const width = gaps(x);
  const slope = gaps(y).map((rise, k) => rise / (width[k] as number));
  const tangent = tangents(width, slope);
  return (at) => {
    const k = pieceOf(x, at);
    const h = width[k] as number;
    const t = (at - (x[k] as number)) / h;
    const [y0, y1] = [y[k] as number, y[k + 1] as number];
    const [d0, d1] = [tangent[k] as number, tangent[k + 1] as number];
    const back = 1 - t;
    return (
      y0 * (1 + 2 * t) * back * back +
      h * d0 * t * back * back +
      y1 * t * t * (3 - 2 * t) -
      h * d1 * t * t * back
    );
  };
}

function gaps(values: readonly number[]): number[] {
  return values.slice(1).map((value, k) => value - (values[k] as number));
}

function pieceOf(x: readonly number[], at: number): number {
  let k = 0;
  while (k < x.length - 2 && at >= (x[k + 1] as number)) k += 1;
  return k;
}

function tangents(width: readonly number[], slope: readonly number[]): number[] {
  const last = slope.length - 1;
  if (last === 0) return [slope[0] as number, slope[0] as number];
  const inner = slope.slice(1).map((next, k) => {
    const here = slope[k] as number;
    if (here * next <= 0) return 0;
    const [h0, h1] = [width[k] as number, width[k + 1] as number];
    const [w0, w1] = [2 * h1 + h0, h1 + 2 * h0];
    return (w0 + w1) / (w0 / here + w1 / next);
  });
  return [
    endTangent(width[0], width[1], slope[0], slope[1]),
    ...inner,
    endTangent(width[last], width[last - 1], slope[last], slope[last - 1]),
  ];
}

function endTangent(h0 = 0, h1 = 0, s0 = 0, s1 = 0): number {
  const d = ((2 * h0 + h1) * s0 - h0 * s1) / (h0 + h1);
  if (Math.sign(d) !== Math.sign(s0)) return 0;
  if (Math.sign(s0) !== Math.sign(s1) && Math.abs(d) > 3 * Math.abs(s0)) return 3 * s0;
  return d;
}

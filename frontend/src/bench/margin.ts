/**
 * Numbers in the margin, each at the height of what it measures, with a hair's line to it.
 *
 * Pure: which labels fit, and where each stands.
 */
export interface Wanted {
  /** Where the label would like its middle, pixels from the top. */
  readonly at: number;
  readonly height: number;
}

/**
 * Tops of labels, in the order given, that neither overlap nor leave the margin.
 *
 * `wanted` must be sorted by `at`, and fit: their heights together are at most `room`.
 */
export function laidOut(wanted: readonly Wanted[], room: number): number[] {
  const tops: number[] = [];
  let free = 0;
  for (const each of wanted) {
    const top = Math.max(each.at - each.height / 2, free);
    tops.push(top);
    free = top + each.height;
  }
  let end = room;
  for (let k = wanted.length - 1; k >= 0; k -= 1) {
    const height = (wanted[k] as Wanted).height;
    tops[k] = Math.min(tops[k] as number, end - height);
    end = tops[k] as number;
  }
  return tops;
}

/** How many labels of that height fit. */
export function fitting(room: number, height: number): number {
  return Math.max(Math.floor(room / height), 0);
}

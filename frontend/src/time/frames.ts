/**
 * Which frame is shown at an instant.
 *
 * A frame's place is its position in the swing's own table, from 0; its number is that of the clip
 * it came from. Instants are real seconds from the clip's first frame, and rise with the place; the
 * steps between them may differ.
 */

export interface FrameTable {
  readonly numbers: readonly number[];
  readonly seconds: readonly number[];
}

/** A checked table. Throws RangeError where the lists differ, are empty or do not rise. */
export function frameTable(numbers: readonly number[], seconds: readonly number[]): FrameTable {
  if (numbers.length !== seconds.length || numbers.length === 0) {
    throw new RangeError(
      `got ${numbers.length} frame numbers and ${seconds.length} instants; expected as many, at least one`,
    );
  }
  const falls = seconds.findIndex((at, place) => place > 0 && !(at > (seconds[place - 1] ?? NaN)));
  if (falls >= 0) {
    throw new RangeError(`the instant of frame ${numbers[falls]} is not after the one before it`);
  }
  return { numbers, seconds };
}

/** Place of the frame whose instant is nearest; of two alike, the earlier. */
export function placeAt(table: FrameTable, at_s: number): number {
  const { seconds } = table;
  let low = 0;
  let high = seconds.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if ((seconds[middle] as number) <= at_s) low = middle;
    else high = middle;
  }
  const before = at_s - (seconds[low] as number);
  const after = (seconds[high] as number) - at_s;
  return before <= after ? low : high;
}

/** Instant of a place; places outside the table are taken as its ends. */
export function secondsAt(table: FrameTable, place: number): number {
  const last = table.seconds.length - 1;
  return table.seconds[Math.min(Math.max(place, 0), last)] as number;
}

/** The place `by` frames on, held at the ends. */
export function stepped(table: FrameTable, place: number, by: number): number {
  return Math.min(Math.max(place + by, 0), table.seconds.length - 1);
}

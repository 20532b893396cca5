/** The pieces of takes that a talk-through plays, one after the other; times are milliseconds. */
import type { Piece } from "./screen";

/** Where an instant of the talk-through is: in which piece, and where in its take. */
export interface Place {
  readonly piece: number;
  readonly take: string;
  readonly at_ms: number;
}

export function lengthOf(pieces: readonly Piece[]): number {
  return pieces.reduce((sum, piece) => sum + piece.stop_ms - piece.start_ms, 0);
}

/** When each piece begins. */
export function beginsOf(pieces: readonly Piece[]): number[] {
  let at = 0;
  return pieces.map((piece) => {
    const begins = at;
    at += piece.stop_ms - piece.start_ms;
    return begins;
  });
}

/** The place of an instant; the last one from the end on; null where nothing is played. */
export function placeOf(pieces: readonly Piece[], at_ms: number): Place | null {
  let left = Math.max(at_ms, 0);
  for (const [piece, one] of pieces.entries()) {
    const lasts = one.stop_ms - one.start_ms;
    if (left < lasts) return { piece, take: one.take, at_ms: one.start_ms + left };
    left -= lasts;
  }
  const last = pieces.at(-1);
  return last === undefined ? null : { piece: pieces.length - 1, take: last.take, at_ms: last.stop_ms - 1 };
}

/** Minutes and seconds; with tenths where asked. */
export function clockOf(at_ms: number, tenths = false): string {
  const whole = Math.max(at_ms, 0);
  const minutes = Math.floor(whole / 60_000);
  const seconds = tenths
    ? (Math.floor((whole % 60_000) / 100) / 10).toFixed(1).padStart(4, "0")
    : String(Math.floor((whole % 60_000) / 1000)).padStart(2, "0");
  return `${minutes}:${seconds}`;
}

/** Counting repeats in sets: plain numbers, so that they outlive a page that is closed. */

export interface Dose {
  readonly sets: number;
  readonly repeats: number;
}

export interface Counted {
  /** Sets that are whole. */
  readonly sets: number;
  /** Repeats of the set that is begun. */
  readonly repeats: number;
}

export const NONE: Counted = { sets: 0, repeats: 0 };

/** One more; what is beyond the last set stays at the end. */
export function onward(counted: Counted, dose: Dose): Counted {
  if (counted.sets >= dose.sets) return counted;
  const repeats = counted.repeats + 1;
  return repeats >= dose.repeats ? { sets: counted.sets + 1, repeats: 0 } : { ...counted, repeats };
}

/** Whether a set has just ended. */
export function ended(counted: Counted): boolean {
  return counted.repeats === 0 && counted.sets > 0;
}

/** `4:05`. */
export function clock(seconds: number): string {
  const whole = Math.max(0, Math.ceil(seconds));
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}

/** A sentence with its `[names]` put in. */
export function said(text: string, values: Readonly<Record<string, string | number>>): string {
  return text.replace(/\[(\w+)\]/g, (whole, name: string) => String(values[name] ?? whole));
}

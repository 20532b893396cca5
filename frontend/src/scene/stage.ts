/** Where other parts of the page (the talk-through) find the bench that is open. */
import type { Facts } from "./facts";
import type { BenchState } from "./state";
import type { BenchStore } from "./store";

export interface Stage {
  readonly store: BenchStore;
  /** What is known of the swings that are on the bench now. */
  readonly facts: () => Facts;
  /** Paints a state as the bench would show it at a time of its clock, once; resolves when done. */
  readonly show: (state: BenchState, now: number) => Promise<void>;
  /** While true the bench leaves the store alone and paints what `show` is given. */
  playback: boolean;
}

let found: (stage: Stage) => void = () => undefined;
const opened = new Promise<Stage>((resolve) => {
  found = resolve;
});

export function announceStage(stage: Stage): void {
  found(stage);
}

/** The bench, once it is ready to be used. */
export function whenStage(): Promise<Stage> {
  return opened;
}

/** Where other parts of the page (the talk-through) find the bench that is open. */
import type { BenchState } from "./state";
import type { BenchStore } from "./store";

export interface Stage {
  readonly store: BenchStore;
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

/** The one place where the bench's state changes; everybody else listens. */
import { reduce, type BenchEvent, type Change } from "./events";
import { cursorAt, type BenchState } from "./state";

export type Listener = (event: BenchEvent, after: BenchState, before: BenchState) => void;

export class BenchStore {
  #state: BenchState;
  readonly #listeners = new Set<Listener>();
  readonly #clock: () => number;
  readonly #opened: number;

  /** `clock` gives milliseconds that never run backward. */
  constructor(state: BenchState, clock: () => number = () => performance.now()) {
    this.#state = state;
    this.#clock = clock;
    this.#opened = clock();
  }

  get state(): BenchState {
    return this.#state;
  }

  /** The bench's clock now, in whole milliseconds. */
  now(): number {
    return Math.round(this.#clock() - this.#opened);
  }

  /** The leading swing's instant that is shown now. */
  cursor(): number {
    return cursorAt(this.#state, this.now());
  }

  dispatch(change: Change): void {
    const event: BenchEvent = { ...change, t: this.now() };
    const before = this.#state;
    this.#state = reduce(before, event);
    for (const listener of this.#listeners) listener(event, this.#state, before);
  }

  /** Put another state in place, as when a talk-through is played back. Listeners hear no event. */
  restore(state: BenchState): void {
    this.#state = state;
  }

  /** Hear every event after it was applied; gives how to stop hearing. */
  listen(listener: Listener): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }
}

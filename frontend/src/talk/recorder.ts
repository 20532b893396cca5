/**
 * Records one take: what is on the bench's screen, and the voice beside it, on one clock.
 *
 * The clock begins with the take. About once a second what has come is put on the shelf as a part:
 * the events since the last part, and the sound that the browser has coded meanwhile.
 */
import { shownAt } from "../scene/facts";
import type { Stage } from "../scene/stage";
import type { Microphone } from "./microphone";
import { changes, type Screen, type TalkEvent } from "./screen";
import type { KeptTake, Shelf } from "./shelf";
import { screenOf } from "./shown";

export const PART_MS = 1000;

/** Where the screens come from that a take records. */
export interface Source {
  /** What is to be seen now; a swing that `swings` lacks is put at its end. */
  seen(swings: string[]): Screen;
  /** Whether pictures change by themselves now, without a change being told. */
  moving(): boolean;
  listen(changed: () => void): () => void;
}

/** The bench itself, as the coach works on it. */
export function benchSource({ store, facts }: Stage): Source {
  return {
    seen: (swings) => screenOf(store.state, shownAt(store.state, facts(), store.now()), swings),
    moving: () => store.state.run !== null,
    listen: (changed) => store.listen(changed),
  };
}

/** Everything a recorder needs of its page. */
export interface Around {
  readonly source: Source;
  readonly shelf: Shelf;
  /** Something new is on the shelf. */
  readonly wake: () => void;
  /** What goes wrong, in words. */
  readonly trouble: (why: string) => void;
  readonly now: () => number;
}

export type Wanted = Pick<KeptTake, "id" | "talk" | "about" | "into">;

export class Recorder {
  readonly #around: Around;
  readonly #microphone: Microphone | null;
  readonly #began: number;
  readonly #swings: string[] = [];
  #screen: Screen;
  #take: KeptTake;
  #events: TalkEvent[] = [];
  #parts = 0;
  #ended = false;
  #frame = 0;
  #timer: ReturnType<typeof setInterval> | undefined;
  #coder: MediaRecorder | null = null;
  #stored: Promise<void> = Promise.resolve();
  readonly #unlisten: () => void;

  private constructor(around: Around, microphone: Microphone | null, wanted: Wanted) {
    this.#around = around;
    this.#microphone = microphone;
    this.#began = around.now();
    this.#screen = around.source.seen(this.#swings);
    this.#take = {
      ...wanted,
      swings: [...this.#swings],
      start: this.#screen,
      voice: microphone?.kind ?? "",
      starts_ms: 0,
      begun: Date.now(),
      parts: null,
    };
    this.#unlisten = around.source.listen(() => this.#look());
  }

  /** Begin a take. The microphone stays open when it ends; who opened it closes it. */
  static async begin(around: Around, microphone: Microphone | null, wanted: Wanted): Promise<Recorder> {
    const made = new Recorder(around, microphone, wanted);
    await around.shelf.put(made.#take);
    around.wake();
    made.#run();
    return made;
  }

  /** The take's clock, whole milliseconds. */
  get at_ms(): number {
    return Math.round(this.#around.now() - this.#began);
  }

  get take(): KeptTake {
    return this.#take;
  }

  /** End the take; resolves when all of it is on the shelf. */
  async end(): Promise<KeptTake> {
    if (!this.#ended) {
      this.#look();
      this.#ended = true;
      this.#unlisten();
      cancelAnimationFrame(this.#frame);
      clearInterval(this.#timer);
      await this.#silenced();
      this.#keep(null);
      await this.#stored;
      await this.#change({ parts: this.#parts });
      this.#around.wake();
    }
    return this.#take;
  }

  #run(): void {
    const each = (): void => {
      if (this.#ended) return;
      if (this.#around.source.moving()) this.#look();
      this.#frame = requestAnimationFrame(each);
    };
    this.#frame = requestAnimationFrame(each);
    if (this.#microphone === null) {
      this.#timer = setInterval(() => this.#keep(null), PART_MS);
      return;
    }
    const coder = this.#microphone.recorder();
    this.#coder = coder;
    // Its first sample comes 10 to 20 ms after this, and was spoken about as long before it came.
    // The coder's own "start" event comes 60 to 200 ms later, when it is ready to code.
    void this.#change({ starts_ms: this.at_ms });
    coder.ondataavailable = (event) => this.#keep(event.data);
    coder.onstop = () => this.#fellSilent();
    coder.start(PART_MS);
  }

  /** The microphone went away: the take goes on without it. */
  #fellSilent(): void {
    if (this.#ended) return;
    this.#around.trouble("The microphone has stopped. The recording goes on without a voice; what was said is kept.");
    this.#timer = setInterval(() => this.#keep(null), PART_MS);
  }

  /** The coder's last sound, where there is one. */
  #silenced(): Promise<void> {
    const coder = this.#coder;
    if (coder === null || coder.state === "inactive") return Promise.resolve();
    return new Promise((resolve) => {
      coder.onstop = () => resolve();
      coder.stop();
    });
  }

  /** Note what has changed on the screen. */
  #look(): void {
    if (this.#ended) return;
    const known = this.#swings.length;
    const now = this.#around.source.seen(this.#swings);
    this.#events.push(...changes(this.#screen, now, this.at_ms));
    this.#screen = now;
    if (this.#swings.length > known) void this.#change({ swings: [...this.#swings] });
  }

  /** Put a part on the shelf, after those before it. */
  #keep(sound: Blob | null): void {
    const events = this.#events;
    this.#events = [];
    const heard = sound !== null && sound.size > 0 ? sound : null;
    const number = this.#parts;
    this.#parts += 1;
    const part = { take: this.#take.id, number, events, ends_ms: this.at_ms, sent: 0 as const };
    this.#stored = this.#stored
      .then(async () => this.#around.shelf.putPart({ ...part, sound: heard === null ? null : await heard.arrayBuffer() }))
      .then(() => this.#around.wake())
      .catch((error: unknown) => this.#around.trouble(wordsFor(error)));
  }

  async #change(part: Partial<KeptTake>): Promise<void> {
    this.#take = { ...this.#take, ...part };
    const take = this.#take;
    this.#stored = this.#stored.then(() => this.#around.shelf.put(take)).catch((error: unknown) => {
      this.#around.trouble(wordsFor(error));
    });
    await this.#stored;
  }
}

function wordsFor(error: unknown): string {
  const full = error instanceof DOMException && error.name === "QuotaExceededError";
  return full
    ? "This browser has no room for more. What was recorded until now is kept."
    : `This browser cannot keep what is recorded (${error instanceof Error ? error.message : String(error)}).`;
}

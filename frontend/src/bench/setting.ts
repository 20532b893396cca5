/** What a coach sets right: sent to the app, judged there, shown when the reading follows. */
import type { SchemaReadingTold } from "../contract";
import type { Point } from "../geometry/vector";
import { ask, Gone } from "../page/ask";
import type { Bench } from "./bench";
import { pointWords } from "./told";

const ENDS = new Set(["grip", "hosel", "head"]);

export class Setting {
  readonly #bench: Bench;
  #last: Promise<void> = Promise.resolve();
  onWords: (words: string) => void = () => undefined;

  constructor(bench: Bench) {
    this.#bench = bench;
  }

  /** A joint or an end of the club is at a place of the clip (pixels) in a frame. */
  point(swing: string, name: string, frame: number, at: Point, screen_px: number): Promise<void> {
    const touch = ENDS.has(name) ? "club" : "joint";
    const asked = { touch, name, frame, x: at[0], y: at[1], screen_px };
    return this.#send(swing, `${pointWords(name)} set in frame ${frame}`, "POST", "", asked);
  }

  /** A moment is at an instant. */
  moment(swing: string, name: string, title: string, time_s: number): Promise<void> {
    return this.#send(swing, `${title} set at ${time_s.toFixed(3)} s`, "POST", "", {
      touch: "moment",
      name,
      time_s,
    });
  }

  /** Automatic again: what was set in a frame, or everything. */
  automatic(swing: string, frame: number | null): Promise<void> {
    const touched = this.#bench.swing(swing)?.told.reading.touched ?? [];
    const mine = touched.filter((each) => frame === null || each.frame === frame);
    if (mine.length === 0) {
      this.onWords(
        frame === null
          ? "Nothing of this swing was set by hand."
          : "Nothing was set by hand in this frame.",
      );
      return Promise.resolve();
    }
    const words =
      frame === null ? "everything is automatic again" : `frame ${frame} is automatic again`;
    return this.#send(swing, words, "DELETE", frame === null ? "" : `?frame=${frame}`);
  }

  /** Asks until somebody answers: what was set while the app was gone is not lost. */
  async #asked(
    address: string,
    method: "POST" | "DELETE",
    asked: unknown,
  ): Promise<SchemaReadingTold> {
    for (;;) {
      try {
        return await ask<SchemaReadingTold>(address, method, asked);
      } catch (error) {
        if (!(error instanceof Gone)) throw error;
        this.onWords(
          "Causeline does not answer. What you set is sent as soon as it does; leave this page open.",
        );
        await new Promise((done) => setTimeout(done, LOOK_MS));
      }
    }
  }

  /** A clip that is read anew: until it is. */
  async #await(swing: string): Promise<void> {
    for (;;) {
      await new Promise((done) => setTimeout(done, LOOK_MS));
      try {
        const reading = await ask<SchemaReadingTold>(`/bench/${swing}/reading`);
        if (reading.waiting) continue;
        this.#bench.reread(swing, reading);
        this.onWords("The clip is read anew, with what was set.");
        return;
      } catch (error) {
        this.onWords(error instanceof Error ? error.message : String(error));
      }
    }
  }

  /** One after the other: each is judged on top of the one before. */
  #send(
    swing: string,
    words: string,
    method: "POST" | "DELETE",
    query: string,
    asked?: unknown,
  ): Promise<void> {
    const begun = performance.now();
    this.onWords(`${capital(words)}: judging again …`);
    this.#last = this.#last.then(async () => {
      try {
        const reading = await this.#asked(`/bench/${swing}/corrections${query}`, method, asked);
        this.#bench.reread(swing, reading);
        const took = (performance.now() - begun) / 1000;
        this.onWords(
          reading.waiting ? READ_FIRST : `${capital(words)}. Judged again in ${took.toFixed(1)} s.`,
        );
        if (reading.waiting) void this.#await(swing);
      } catch (error) {
        this.#bench.preview(swing, null);
        this.onWords(error instanceof Error ? error.message : String(error));
      }
    });
    return this.#last;
  }
}

const LOOK_MS = 2000;
const READ_FIRST =
  "Kept. This clip was read by an earlier Causeline and is read anew first, which may take a minute; then the change shows.";

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

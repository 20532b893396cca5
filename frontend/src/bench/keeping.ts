/**
 * What is drawn is kept by itself, a moment after the hand rests.
 *
 * Until the app has it, it is kept in this browser. Where another page kept something meanwhile,
 * both are put together and kept: nothing that either drew is lost.
 */
import type { SchemaMarksTold } from "../contract";
import { ask, Gone, Told } from "../page/ask";
import { NO_MARKS, type MarksDocument } from "../scene/marks";
import { merged, same } from "../scene/merge";
import { marksOf } from "../scene/state";
import type { Bench } from "./bench";
import { newId } from "./hands";
import { documentOf } from "./told";

const REST_MS = 500;
const AGAIN_MS = 4000;
const OUTDATED = 409;

interface Kept {
  version: number;
  /** As the app has it at that version. */
  document: MarksDocument;
}

export class Keeping {
  readonly #bench: Bench;
  readonly #kept = new Map<string, Kept>();
  readonly #timers = new Map<string, number>();
  readonly #busy = new Set<string>();
  /** Whether there is something to take back once all is kept. */
  #said = false;
  /** Hears what is not kept, in words; empty once it is. */
  onWords: (words: string) => void = () => undefined;

  constructor(bench: Bench) {
    this.#bench = bench;
    bench.store.listen((event, after, before) => {
      if (event.do === "marks") return;
      for (const { swing } of after.rows) {
        if (marksOf(after, swing) !== marksOf(before, swing) && this.#kept.has(swing))
          this.#later(swing, REST_MS);
      }
    });
    addEventListener("beforeunload", (event) => {
      if (this.#open().length > 0) event.preventDefault();
    });
  }

  /** A swing's marks as the app has them, with what this browser still holds on top. */
  open(swing: string, told: SchemaMarksTold): void {
    const document = documentOf(told.document);
    this.#kept.set(swing, { version: told.version, document });
    const left = this.#left(swing);
    const now = left === null ? document : merged(left.base, left.mine, document, newId);
    this.#bench.store.dispatch({ do: "marks", swing, document: now });
    if (left !== null) this.#later(swing, 0);
  }

  /** Swings whose marks the app does not have yet. */
  #open(): string[] {
    const { state } = this.#bench.store;
    return [...this.#kept]
      .filter(
        ([swing, kept]) => swing in state.marks && !same(marksOf(state, swing), kept.document),
      )
      .map(([swing]) => swing);
  }

  #later(swing: string, ms: number): void {
    this.#hold(swing);
    clearTimeout(this.#timers.get(swing));
    this.#timers.set(
      swing,
      window.setTimeout(() => void this.#keep(swing), ms),
    );
  }

  async #keep(swing: string): Promise<void> {
    const kept = this.#kept.get(swing);
    if (kept === undefined) return;
    if (this.#busy.has(swing)) return this.#later(swing, REST_MS);
    const document = marksOf(this.#bench.store.state, swing);
    if (same(document, kept.document)) return this.#settled(swing);
    this.#busy.add(swing);
    try {
      const told = await ask<SchemaMarksTold>(`/bench/${swing}/marks`, "PUT", {
        version: kept.version,
        document,
      });
      this.#kept.set(swing, { version: told.version, document });
      this.#settled(swing);
    } catch (error) {
      await this.#failed(swing, kept, error);
    } finally {
      this.#busy.delete(swing);
    }
  }

  async #failed(swing: string, kept: Kept, error: unknown): Promise<void> {
    if (error instanceof Told && error.status === OUTDATED) {
      try {
        return await this.#together(swing, kept);
      } catch (second) {
        error = second;
      }
    }
    const why = error instanceof Error ? error.message : String(error);
    this.#say(`${error instanceof Gone ? "" : "What you drew is not kept yet. "}${why}`);
    this.#later(swing, AGAIN_MS);
  }

  /** Another page drew here too: theirs and ours. */
  async #together(swing: string, kept: Kept): Promise<void> {
    const theirs = await ask<SchemaMarksTold>(`/bench/${swing}/marks`);
    const document = documentOf(theirs.document);
    const both = merged(kept.document, marksOf(this.#bench.store.state, swing), document, newId);
    this.#kept.set(swing, { version: theirs.version, document });
    this.#bench.store.dispatch({ do: "marks", swing, document: both });
    this.#say("Another page drew on this swing too. Both drawings are here now.");
    this.#later(swing, 0);
  }

  #settled(swing: string): void {
    if (!same(marksOf(this.#bench.store.state, swing), this.#kept.get(swing)?.document))
      return this.#later(swing, REST_MS);
    localStorage.removeItem(name(swing));
    if (this.#open().length === 0 && this.#said) {
      this.#said = false;
      this.onWords("");
    }
  }

  #say(words: string): void {
    this.#said = true;
    this.onWords(words);
  }

  #hold(swing: string): void {
    const base = this.#kept.get(swing)?.document ?? NO_MARKS;
    const mine = marksOf(this.#bench.store.state, swing);
    try {
      localStorage.setItem(name(swing), JSON.stringify({ base, mine }));
    } catch {
      // The browser keeps nothing (private, or full): the app's own copy is all there is.
    }
  }

  #left(swing: string): { base: MarksDocument; mine: MarksDocument } | null {
    try {
      const left = JSON.parse(localStorage.getItem(name(swing)) ?? "null") as {
        base: MarksDocument;
        mine: MarksDocument;
      } | null;
      return left !== null && Array.isArray(left.base?.marks) && Array.isArray(left.mine?.marks)
        ? left
        : null;
    } catch {
      return null;
    }
  }
}

function name(swing: string): string {
  return `causeline.marks.${swing}`;
}

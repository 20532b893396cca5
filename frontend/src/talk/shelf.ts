/**
 * What is recorded is on this shelf first, in the browser's own store, and only then on its way to
 * the server: a page that is closed, or a server that is gone, loses less than a second.
 */
import { openDB, type DBSchema, type IDBPDatabase } from "idb";
import type { Screen, TalkEvent } from "./screen";

/** A take as the browser knows it. */
export interface KeptTake {
  readonly id: string;
  readonly talk: string;
  /** Whose golfer the talk-through is for, and of which lesson it is a part. */
  readonly about: {
    readonly swing: string;
    readonly lesson: string | null;
    readonly check_in: string;
    readonly title: string;
  };
  readonly swings: readonly string[];
  readonly start: Screen;
  /** Kind of the sound; empty where nobody speaks. */
  readonly voice: string;
  /** Where its sound begins, on its own clock. */
  readonly starts_ms: number;
  /** The passage that it takes the place of, in the talk-through as it was then; null: at the end. */
  readonly into: { readonly version: number; readonly start_ms: number; readonly stop_ms: number } | null;
  readonly begun: number;
  /** How many parts it has; null while it goes on. */
  readonly parts: number | null;
}

export interface KeptPart {
  readonly take: string;
  readonly number: number;
  readonly events: readonly TalkEvent[];
  readonly sound: ArrayBuffer | null;
  readonly ends_ms: number;
  /** 1 once the server has it: IndexedDB has no index over booleans. */
  readonly sent: 0 | 1;
}

interface Shape extends DBSchema {
  takes: { key: string; value: KeptTake };
  parts: { key: [string, number]; value: KeptPart };
}

export class Shelf {
  readonly #db: IDBPDatabase<Shape>;

  private constructor(db: IDBPDatabase<Shape>) {
    this.#db = db;
  }

  static async open(name = "causeline-talk"): Promise<Shelf> {
    const db = await openDB<Shape>(name, 1, {
      upgrade(made) {
        made.createObjectStore("takes", { keyPath: "id" });
        made.createObjectStore("parts", { keyPath: ["take", "number"] });
      },
    });
    return new Shelf(db);
  }

  async takes(): Promise<KeptTake[]> {
    const takes = await this.#db.getAll("takes");
    return takes.sort((one, other) => one.begun - other.begun);
  }

  async take(id: string): Promise<KeptTake | undefined> {
    return await this.#db.get("takes", id);
  }

  async put(take: KeptTake): Promise<void> {
    await this.#db.put("takes", take);
  }

  /** Parts of a take, in order. */
  async parts(take: string): Promise<KeptPart[]> {
    return await this.#db.getAll("parts", within(take));
  }

  async putPart(part: KeptPart): Promise<void> {
    await this.#db.put("parts", part);
  }

  async forget(take: string): Promise<void> {
    const change = this.#db.transaction(["takes", "parts"], "readwrite");
    await change.objectStore("parts").delete(within(take));
    await change.objectStore("takes").delete(take);
    await change.done;
  }

  close(): void {
    this.#db.close();
  }
}

function within(take: string): IDBKeyRange {
  return IDBKeyRange.bound([take, 0], [take, Number.MAX_SAFE_INTEGER]);
}

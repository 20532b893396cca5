/** What waits on the phone until there is a network, in IndexedDB: ticks, words, clips. */

export type Sent =
  | { readonly kind: "tick"; readonly session: string }
  | { readonly kind: "words"; readonly felt: string }
  | ({ readonly kind: "clip" } & Clip)
  | { readonly kind: "not-me"; readonly checkIn: string };

/** A film, and what goes with it. */
export interface Clip {
  readonly felt: string;
  /** Day of the file, or as the golfer says; empty where neither is known. */
  readonly filmed: string;
  /** Whether the golfer said that day. */
  readonly said: boolean;
  readonly file: string;
  readonly film: Blob;
}

export type Waiting = Sent & {
  /** 32 hexadecimal digits: the app keeps what comes twice once. */
  readonly id: string;
  /** When it was done on the phone, ISO with its zone. */
  readonly at: string;
  /** Not sent before this, in milliseconds, so that a slip of the thumb can be taken back. */
  readonly from: number;
};

/** A name that nothing else has. */
export function newId(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** Where things wait. */
export interface Shelf {
  /** Everything that waits, in the order in which it was done. */
  waiting(): Promise<Waiting[]>;
  put(one: Waiting): Promise<void>;
  drop(id: string): Promise<void>;
  remember(name: string, value: unknown): Promise<void>;
  recall<Value>(name: string): Promise<Value | undefined>;
  close(): void;
}

/** The page's shelf; where the browser keeps nothing, one that lasts as long as the page is open. */
export function openShelf(root: string): Promise<Shelf> {
  return KeptShelf.open(root).catch(() => new PassingShelf());
}

function inOrder(all: readonly Waiting[]): Waiting[] {
  return all.toSorted((one, other) => one.at.localeCompare(other.at));
}

export class PassingShelf implements Shelf {
  private readonly all = new Map<string, Waiting>();
  private readonly known = new Map<string, unknown>();

  waiting = async () => inOrder([...this.all.values()]);
  put = async (one: Waiting) => void this.all.set(one.id, one);
  drop = async (id: string) => void this.all.delete(id);
  remember = async (name: string, value: unknown) => void this.known.set(name, value);
  recall = async <Value>(name: string) => this.known.get(name) as Value | undefined;
  close(): void {}
}

/** The page's own address keeps golfers who share a phone apart. */
class KeptShelf implements Shelf {
  private constructor(private readonly base: IDBDatabase) {}

  static async open(root: string): Promise<KeptShelf> {
    const asked = indexedDB.open(shelfName(root), 1);
    asked.onupgradeneeded = () => {
      asked.result.createObjectStore("waiting", { keyPath: "id" });
      asked.result.createObjectStore("known");
    };
    return new KeptShelf(await answered(asked));
  }

  async waiting(): Promise<Waiting[]> {
    return inOrder(await answered(this.store("waiting", "readonly").getAll() as IDBRequest<Waiting[]>));
  }

  async put(one: Waiting): Promise<void> {
    await answered(this.store("waiting", "readwrite").put(one));
  }

  async drop(id: string): Promise<void> {
    await answered(this.store("waiting", "readwrite").delete(id));
  }

  async remember(name: string, value: unknown): Promise<void> {
    await answered(this.store("known", "readwrite").put(value, name));
  }

  async recall<Value>(name: string): Promise<Value | undefined> {
    return answered(this.store("known", "readonly").get(name) as IDBRequest<Value | undefined>);
  }

  private store(name: string, mode: IDBTransactionMode): IDBObjectStore {
    return this.base.transaction(name, mode).objectStore(name);
  }

  close(): void {
    this.base.close();
  }
}

export function shelfName(root: string): string {
  return `practice ${root}`;
}

function answered<Value>(asked: IDBRequest<Value>): Promise<Value> {
  return new Promise((done, failed) => {
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => failed(asked.error ?? new Error("the phone keeps nothing"));
  });
}

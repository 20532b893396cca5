/** Brings what is on the shelf to the server, again and again until it is there. */
import type { SchemaTakeTold, SchemaTalkTold } from "../contract";
import { ask, Gone, Told, TOKEN_HEADER, toldBy, token } from "../page/ask";
import type { KeptPart, KeptTake, Shelf } from "./shelf";

/** How far what was recorded is on its way. */
export interface Way {
  /** Parts that the server does not have yet. */
  readonly waiting: number;
  /** Why not, in words; empty where all is well. */
  readonly trouble: string;
}

export const FIRST_WAIT_MS = 500;
export const LONGEST_WAIT_MS = 8000;
const NO_ROOM = 507;

export class Sender {
  readonly #shelf: Shelf;
  readonly #say: (way: Way) => void;
  readonly #begun = new Set<string>();
  #running = false;
  #again = false;
  #wait_ms = FIRST_WAIT_MS;
  #timer: ReturnType<typeof setTimeout> | undefined;
  readonly #mine: (take: KeptTake) => boolean;
  readonly #placed: (talk: SchemaTalkTold) => void;

  /** `mine` says which takes of the shelf may be sent now; `placed` hears of each that is there. */
  constructor(
    shelf: Shelf,
    mine: (take: KeptTake) => boolean,
    say: (way: Way) => void,
    placed: (talk: SchemaTalkTold) => void,
  ) {
    this.#shelf = shelf;
    this.#mine = mine;
    this.#say = say;
    this.#placed = placed;
  }

  /** Send what there is, now. */
  wake(): void {
    clearTimeout(this.#timer);
    if (this.#running) this.#again = true;
    else void this.#run();
  }

  async #run(): Promise<void> {
    this.#running = true;
    try {
      do {
        this.#again = false;
        await this.#pass();
      } while (this.#again);
      this.#wait_ms = FIRST_WAIT_MS;
      this.#say({ waiting: 0, trouble: "" });
    } catch (error) {
      this.#say({ waiting: await this.#waiting(), trouble: wordsFor(error) });
      this.#timer = setTimeout(() => this.wake(), this.#wait_ms);
      this.#wait_ms = Math.min(this.#wait_ms * 2, LONGEST_WAIT_MS);
    } finally {
      this.#running = false;
    }
  }

  async #pass(): Promise<void> {
    let refused: unknown = null;
    for (const take of await this.#shelf.takes()) {
      if (!this.#mine(take)) continue;
      try {
        await this.#send(take);
      } catch (error) {
        // One that the server will not have must not keep the others from it.
        if (!(error instanceof Told) || error.status === NO_ROOM) throw error;
        refused = error;
      }
    }
    if (refused !== null) throw refused;
  }

  async #send(take: KeptTake): Promise<void> {
    const known = `${take.id} ${take.swings.length}`;
    if (!this.#begun.has(known)) {
      await ask(`/talk/${take.talk}`, "PUT", take.about);
      await put(`/talk/${take.talk}/takes/${take.id}`, begun(take));
      this.#begun.add(known);
    }
    for (const part of await this.#shelf.parts(take.id)) {
      if (part.sent === 1) continue;
      await put(`/talk/${take.talk}/takes/${take.id}/parts/${part.number}`, partForm(part, take.voice));
      await this.#shelf.putPart({ ...part, sent: 1 });
    }
    const now = await this.#shelf.take(take.id);
    if (now?.parts != null) await this.#close(now, now.parts);
  }

  async #close(take: KeptTake, parts: number): Promise<void> {
    const at = `/talk/${take.talk}/takes/${take.id}`;
    await ask<SchemaTakeTold>(`${at}/close`, "POST", { parts, starts_ms: take.starts_ms });
    const talk = await ask<SchemaTalkTold>(`${at}/place`, "POST", take.into ?? {});
    await this.#shelf.forget(take.id);
    this.#placed(talk);
  }

  async #waiting(): Promise<number> {
    let count = 0;
    for (const take of await this.#shelf.takes()) {
      if (this.#mine(take)) count += (await this.#shelf.parts(take.id)).filter((part) => part.sent === 0).length;
    }
    return count;
  }
}

function wordsFor(error: unknown): string {
  if (error instanceof Gone) return "Causeline does not answer. What you record is kept in this browser until it does.";
  if (error instanceof Told && error.status === NO_ROOM) {
    return `${error.message} Until then what you record is kept in this browser.`;
  }
  return error instanceof Error ? error.message : String(error);
}

function begun(take: KeptTake): FormData {
  const form = new FormData();
  form.set("swings", take.swings.join(" "));
  form.set("start", JSON.stringify(take.start));
  form.set("voice", take.voice);
  return form;
}

function partForm(part: KeptPart, kind: string): FormData {
  const form = new FormData();
  form.set("events", JSON.stringify(part.events));
  form.set("ends_ms", String(part.ends_ms));
  if (part.sound !== null) form.set("sound", new Blob([part.sound], { type: kind }), "sound");
  return form;
}

async function put(address: string, form: FormData): Promise<void> {
  const headers = { Accept: "application/json", [TOKEN_HEADER]: token() };
  let answer: Response;
  try {
    answer = await fetch(address, { method: "PUT", headers, body: form });
  } catch {
    throw new Gone();
  }
  if (!answer.ok) throw await toldBy(answer);
}

/** What can be done with a talk-through, and how far it is: the bar shows it, keys and hands ask for it. */
import type { SchemaJobTold, SchemaTalkLine, SchemaTalkTold } from "../contract";
import { ask } from "../page/ask";
import { listen } from "../page/live";
import type { Stage } from "../scene/stage";
import { lengthOf } from "./line";
import { NoMicrophone, openMicrophone, type Microphone } from "./microphone";
import { Player } from "./player";
import { benchSource, Recorder, type Source } from "./recorder";
import type { Piece } from "./screen";
import { Sender, type Way } from "./sender";
import { Shelf, type KeptTake } from "./shelf";
import type { Passage } from "./strip";

export type Doing =
  | { readonly what: "still" | "opening" | "playing" | "paused" }
  | { readonly what: "recording"; readonly silent: boolean };

export type Film =
  | { readonly state: "none" }
  | { readonly state: "making"; readonly words: string }
  | { readonly state: "ready"; readonly at: string };

/** A take that was cut off: in this browser, or in another one as far as the server knows. */
export interface Lost {
  readonly id: string;
  readonly lasts_ms: number;
  readonly here: boolean;
}

export interface About {
  readonly swing: string;
  readonly lesson: string | null;
  /** The check-in that is answered; empty where none is. */
  readonly check_in: string;
}

export class Desk {
  onchange: () => void = () => undefined;
  onmove: (at_ms: number) => void = () => undefined;
  talk: SchemaTalkTold | null = null;
  lines: readonly SchemaTalkLine[] = [];
  doing: Doing = { what: "still" };
  lost: Lost[] = [];
  film: Film = { state: "none" };
  readonly #stage: Stage;
  readonly #shelf: Shelf;
  readonly #about: About;
  readonly #sender: Sender;
  readonly #held = new Set<string>();
  #said = "";
  #way: Way = { waiting: 0, trouble: "" };
  #recorder: Recorder | null = null;
  #microphone: Microphone | null = null;
  #player: Player | null = null;
  #before: (readonly Piece[])[] = [];

  constructor(stage: Stage, shelf: Shelf, about: About) {
    this.#stage = stage;
    this.#shelf = shelf;
    this.#about = about;
    this.#sender = new Sender(
      shelf,
      (take) => take.parts !== null || this.#held.has(take.id),
      (way) => this.#onWay(way),
      (talk) => this.#onPlaced(talk),
    );
    addEventListener("online", () => this.#sender.wake());
    addEventListener("beforeunload", (event) => {
      if (this.#recorder !== null) event.preventDefault();
    });
  }

  /** See what there is already, here and at the server. */
  async begin(): Promise<void> {
    await this.#findLost();
    this.#sender.wake();
    try {
      this.lines = await ask<SchemaTalkLine[]>(`/talk/of/${this.#about.swing}`);
      const { lesson, check_in } = this.#about;
      const mine = this.lines.find((line) => line.check_in === check_in && (lesson === null ? line.here : line.lesson === lesson));
      if (mine !== undefined) this.#have(await ask<SchemaTalkTold>(`/talk/${mine.id}`));
    } catch (error) {
      this.#tell(wordsOf(error));
    }
    this.onchange();
  }

  /** What there is to say now: what stands in the way first. */
  get said(): string {
    const waits = this.#way.waiting > 0 ? ` ${this.#way.waiting} s of it are on their way.` : "";
    return this.#way.trouble === "" ? this.#said : `${this.#way.trouble}${waits}`;
  }

  get at_ms(): number {
    return this.#player?.at_ms ?? 0;
  }

  get recorded_ms(): number | null {
    return this.#recorder?.at_ms ?? null;
  }

  get undoable(): boolean {
    return this.#before.length > 0;
  }

  /** Address of the bench with every swing on it that the talk-through shows; empty where all are. */
  get withOthers(): string {
    const here = this.#stage.facts();
    const shown = new Set((this.talk?.takes ?? []).flatMap((take) => take.swings));
    const lacking = [...shown].filter((swing) => swing !== "" && !here.has(swing));
    if (lacking.length === 0) return "";
    const { swing, lesson, check_in } = this.#about;
    const asked = new URLSearchParams(lacking.map((one) => ["beside", one]));
    for (const row of this.#stage.store.state.rows) if (row.swing !== swing) asked.append("beside", row.swing);
    if (lesson !== null) asked.set("lesson", lesson);
    if (check_in !== "") asked.set("check_in", check_in);
    return `/bench/${swing}?${asked.toString()}`;
  }

  level(): number {
    return this.#microphone?.level() ?? 0;
  }

  /** Record on at the end, or in the place of a passage. */
  async record(how: { silent?: boolean; into?: Passage } = {}): Promise<void> {
    this.leave();
    await this.#record(benchSource(this.#stage), how);
  }

  /** The same pictures under another voice: they run as they did, and what is said now is kept. */
  async respeak(passage: Passage): Promise<void> {
    const player = this.#playing();
    if (player === null) return;
    player.pause();
    await player.seek(passage.start_ms);
    if (await this.#record(player.source(), { into: passage })) await player.play(passage.stop_ms, true);
  }

  async stop(): Promise<void> {
    const recorder = this.#recorder;
    if (recorder === null) return;
    await recorder.end();
    this.#recorder = null;
    this.#microphone?.close();
    this.#microphone = null;
    this.leave();
    this.#set({ what: "still" }, "Kept.");
  }

  /** Play, or pause. */
  async toggle(): Promise<void> {
    const player = this.#playing();
    if (player === null) return;
    if (player.playing) {
      player.pause();
    } else {
      this.#set({ what: "playing" }, "");
      try {
        await player.play();
      } catch (error) {
        this.#set({ what: "paused" }, `The voice cannot be played (${wordsOf(error)}).`);
      }
    }
  }

  async seek(at_ms: number): Promise<void> {
    const player = this.#playing();
    if (player === null) return;
    if (!player.playing && this.doing.what !== "paused") this.#set({ what: "paused" }, this.#said);
    await player.seek(at_ms);
    this.onmove(player.at_ms);
  }

  /** Give the bench back to the coach. */
  leave(): void {
    if (this.#player === null) return;
    this.#player.close();
    this.#player = null;
    this.#stage.playback = false;
    void this.#stage.show(this.#stage.store.state, this.#stage.store.now());
    if (this.doing.what === "playing" || this.doing.what === "paused") this.#set({ what: "still" }, "");
  }

  async cut(passage: Passage, keep: boolean): Promise<void> {
    const talk = this.talk;
    if (talk === null) return;
    const wanted = { version: talk.version, start_ms: passage.start_ms, stop_ms: passage.stop_ms, keep };
    const at = keep ? 0 : passage.start_ms;
    await this.#edit(() => ask<SchemaTalkTold>(`/talk/${talk.id}/cut`, "POST", wanted), keep ? "Only the passage is left." : "The passage is left out.", at);
  }

  /** Take back the last edit. */
  async undo(): Promise<void> {
    const talk = this.talk;
    const pieces = this.#before.pop();
    if (talk === null || pieces === undefined) return;
    // Going back is no step forward.
    if (await this.#play(talk, pieces, "Taken back.")) this.#before.pop();
  }

  /** Play every take again from its beginning to its end. */
  async everything(): Promise<void> {
    const talk = this.talk;
    if (talk === null) return;
    const pieces = talk.takes.map((take) => ({ take: take.id, start_ms: 0, stop_ms: take.lasts_ms }));
    await this.#play(talk, pieces.filter((piece) => piece.stop_ms > 0), "Everything is back.");
  }

  async keep(take: string): Promise<void> {
    const here = await this.#shelf.take(take);
    this.lost = this.lost.filter((one) => one.id !== take);
    if (here !== undefined) {
      const parts = await this.#shelf.parts(take);
      if (parts.length === 0) await this.#shelf.forget(take);
      else await this.#shelf.put({ ...here, parts: parts.length });
      this.#sender.wake();
    } else if (this.talk !== null) {
      const at = `/talk/${this.talk.id}/takes/${take}`;
      await this.#edit(async () => {
        await ask(`${at}/close`, "POST", {});
        return await ask<SchemaTalkTold>(`${at}/place`, "POST", {});
      }, "Kept.");
    }
    this.onchange();
  }

  async goOn(take: string): Promise<void> {
    const before = await this.#shelf.take(take);
    await this.keep(take);
    await this.record({ silent: before?.voice === "" });
  }

  async drop(take: string): Promise<void> {
    const here = await this.#shelf.take(take);
    this.lost = this.lost.filter((one) => one.id !== take);
    await this.#shelf.forget(take);
    const talk = here?.talk ?? this.talk?.id;
    try {
      if (talk !== undefined) await ask(`/talk/${talk}/takes/${take}`, "DELETE");
    } catch {
      // It never came to the server, or it is gone already: nothing of it is left here either.
    }
    this.#tell("Thrown away.");
    this.onchange();
  }

  async makeFilm(): Promise<void> {
    const talk = this.talk;
    if (talk === null || this.film.state !== "none") return;
    try {
      const job = await ask<SchemaJobTold>(`/talk/${talk.id}/film`, "POST", {});
      this.#follow(job);
    } catch (error) {
      this.#tell(wordsOf(error));
    }
    this.onchange();
  }

  #follow(job: SchemaJobTold): void {
    this.film = { state: "making", words: "The film waits for its turn" };
    this.onchange();
    listen<SchemaJobTold>(`/jobs/${job.id}/events`, (now) => {
      if (now.state === "ready") void this.#reload();
      else if (now.state === "working") {
        const share = now.total > 0 ? ` ${Math.round((100 * now.done) / now.total)} %` : "";
        this.film = { state: "making", words: `The film is drawn:${share}` };
      } else if (now.state !== "waiting") {
        this.film = { state: "none" };
        this.#tell(`The film was not made. ${now.error}`);
      }
      this.onchange();
      return now.state !== "working" && now.state !== "waiting";
    });
  }

  async #reload(): Promise<void> {
    if (this.talk === null) return;
    this.#have(await ask<SchemaTalkTold>(`/talk/${this.talk.id}`));
    this.onchange();
  }

  async #record(source: Source, how: { silent?: boolean; into?: Passage }): Promise<boolean> {
    if (this.#recorder !== null || this.doing.what === "opening") return false;
    const silent = how.silent === true;
    this.#set({ what: "opening" }, "");
    try {
      this.#microphone = silent ? null : await openMicrophone();
    } catch (error) {
      this.#set({ what: "still" }, error instanceof NoMicrophone ? error.message : wordsOf(error));
      return false;
    }
    const talk = this.talk?.id ?? fresh();
    const id = fresh();
    await this.#hold(id);
    const into = how.into && this.talk !== null ? { ...how.into, version: this.talk.version } : null;
    const about = { ...this.#about, title: "" };
    const around = {
      source,
      shelf: this.#shelf,
      wake: () => this.#sender.wake(),
      trouble: (why: string) => this.#tell(why),
      now: () => performance.now(),
    };
    try {
      this.#recorder = await Recorder.begin(around, this.#microphone, { id, talk, about, into });
    } catch (error) {
      this.#microphone?.close();
      this.#set({ what: "still" }, `This browser cannot keep what is recorded (${wordsOf(error)}).`);
      return false;
    }
    this.#set({ what: "recording", silent }, "");
    return true;
  }

  #playing(): Player | null {
    if (this.talk === null || this.#recorder !== null) return null;
    if (this.#player === null) {
      const player = new Player(this.#stage, this.talk);
      player.onmove = (at_ms, playing) => {
        this.onmove(at_ms);
        if (!playing && this.doing.what === "playing") this.#set({ what: "paused" }, "");
      };
      this.#player = player;
      this.#stage.playback = true;
    }
    return this.#player;
  }

  async #play(talk: SchemaTalkTold, pieces: readonly Piece[], said: string): Promise<boolean> {
    const wanted = { version: talk.version, pieces, title: talk.title };
    return await this.#edit(() => ask<SchemaTalkTold>(`/talk/${talk.id}/pieces`, "PUT", wanted), said);
  }

  /** An edit at the server; what another tab did meanwhile is shown, and nothing is lost. */
  async #edit(ask_it: () => Promise<SchemaTalkTold>, said: string, at_ms = 0): Promise<boolean> {
    const before = this.talk?.pieces;
    try {
      const talk = await ask_it();
      if (before !== undefined) this.#before.push(before);
      this.leave();
      this.#have(talk);
      this.#tell(said);
      await this.seek(Math.min(at_ms, lengthOf(talk.pieces)));
      this.onchange();
      return true;
    } catch (error) {
      this.#tell(wordsOf(error));
      await this.#reload().catch(() => undefined);
      return false;
    }
  }

  #have(talk: SchemaTalkTold): void {
    this.talk = talk;
    this.film = talk.film === "" ? { state: "none" } : { state: "ready", at: talk.film };
    const mine = new Set([...this.#held, ...this.lost.map((one) => one.id)]);
    for (const one of talk.going) {
      if (!mine.has(one.id)) this.lost.push({ id: one.id, lasts_ms: one.ends_ms, here: false });
    }
  }

  #onPlaced(talk: SchemaTalkTold): void {
    if (this.talk !== null && this.talk.id !== talk.id) return;
    if (this.talk !== null) this.#before.push(this.talk.pieces);
    this.leave();
    this.#have(talk);
    this.onchange();
  }

  #onWay(way: Way): void {
    if (way.waiting === this.#way.waiting && way.trouble === this.#way.trouble) return;
    this.#way = way;
    this.onchange();
  }

  async #findLost(): Promise<void> {
    for (const take of await this.#shelf.takes()) {
      if (take.parts !== null || !(await this.#hold(take.id))) continue;
      const parts = await this.#shelf.parts(take.id);
      if (parts.length === 0) await this.#shelf.forget(take.id);
      else if (take.about.swing === this.#about.swing) this.lost.push(lostOf(take, parts.at(-1)?.ends_ms ?? 0));
      else this.#said = "A recording on another swing was cut off. It is kept: open the bench of that swing to go on.";
    }
  }

  /** Whether this page alone has a take: another tab that records it holds it. */
  #hold(take: string): Promise<boolean> {
    return new Promise((resolve) => {
      void navigator.locks.request(`causeline-take-${take}`, { ifAvailable: true }, (lock) => {
        resolve(lock !== null);
        if (lock === null) return undefined;
        this.#held.add(take);
        return new Promise(() => undefined); // for as long as the page is there
      });
    });
  }

  #set(doing: Doing, said: string): void {
    this.doing = doing;
    this.#said = said;
    this.onchange();
  }

  #tell(said: string): void {
    this.#said = said;
    this.onchange();
  }
}

function lostOf(take: KeptTake, lasts_ms: number): Lost {
  return { id: take.id, lasts_ms, here: true };
}

/** 32 hexadecimal digits that nothing else has. */
function fresh(): string {
  return crypto.randomUUID().replaceAll("-", "");
}

function wordsOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}

/** The golfer's page comes alive: today's practice, counting, ticking, words, clips, what came back. */

import { Counter } from "./counter";
import { Filming } from "./filming";
import { said } from "./count";
import { dayOf, today, type Today } from "./plan";
import { sendAll, type Told } from "./send";
import { shown, ticks, type CheckIn, type Data, type State } from "./state";
import { newId, type Sent, type Shelf, type Waiting } from "./waiting";

const SLIP_MS = 6000;
/** Within so long a tick can be taken back. */
const AGAIN_MS = 60_000;
const LOOK_MS = 8000;

type Words = (key: string, values?: Readonly<Record<string, string | number>>) => string;

export class PracticePage {
  private state: State;
  private waiting: readonly Waiting[] = [];
  private early = false;
  private sending = false;
  /** Asked for while it was being done: done once more. */
  private again = false;
  private gone = false;
  /** What came back, as it stands there: drawn anew only when it differs, lest a talk-through that plays begin again. */
  private drawnBack = "";
  private readonly say: Words;
  private readonly counters: readonly Counter[];

  constructor(
    private readonly data: Data,
    private readonly shelf: Shelf,
  ) {
    this.state = data.state;
    this.say = (key, values = {}) => said(data.labels[key] ?? key, values);
    this.counters = data.drills.map((drill) => new Counter(drill, data.root, this.say));
    new Filming(this.say, (clip) => void this.send({ kind: "clip", ...clip }));
    this.listen();
  }

  /** Show what is known, then ask the app for what is new, now and then for as long as it is open. */
  async begin(): Promise<void> {
    await this.remembered();
    await this.redraw();
    await this.look();
    setInterval(() => void this.look(), AGAIN_MS);
  }

  private listen(): void {
    addEventListener("online", () => void this.look());
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "visible") void this.look();
    });
    on("tick", "click", () => void this.tick());
    on("tick-below", "click", () => void this.tick());
    on("undo", "click", () => void this.undo());
    on("early", "click", () => {
      this.early = true;
      void this.redraw();
    });
    on("felt", "submit", (event) => {
      event.preventDefault();
      const field = find<HTMLTextAreaElement>("felt-words");
      if (field.value.trim() === "") return field.focus();
      void this.send({ kind: "words", felt: field.value.trim() });
      field.value = "";
    });
  }

  private async tick(): Promise<void> {
    const now = this.today();
    if (now.kind !== "practise") return;
    await this.send({ kind: "tick", session: now.practice.uid }, SLIP_MS);
    this.early = false;
    navigator.vibrate?.(60);
  }

  /** A tick that has not left the phone is taken back. */
  private async undo(): Promise<void> {
    const last = this.waiting.findLast((one) => one.kind === "tick");
    if (last !== undefined) await this.shelf.drop(last.id);
    await this.redraw();
  }

  private async send(what: Sent, wait = 0): Promise<void> {
    await this.shelf.put({ ...what, id: newId(), at: new Date().toISOString(), from: Date.now() + wait });
    await this.redraw();
    setTimeout(() => void this.look(), wait + 50);
  }

  /** Send what waits, then ask how things stand. */
  private async look(): Promise<void> {
    if (this.gone) return;
    if (this.sending) {
      this.again = true;
      return;
    }
    this.sending = true;
    this.again = false;
    try {
      await sendAll(this.shelf, this.data.root, (told) => this.heard(told), (_, share) => {
        tell("send", share < 1 ? this.say("send.sending", { percent: Math.round(share * 100) }) : "");
      });
      await this.ask();
    } finally {
      this.sending = false;
    }
    await this.redraw();
    if (this.again) return this.look();
    if (this.state.check_ins.some((one) => one.reading) || !this.state.drawn) {
      setTimeout(() => void this.look(), LOOK_MS);
    }
  }

  private async ask(): Promise<void> {
    let answer: Response;
    try {
      answer = await fetch(`${this.data.root}state`, { headers: { Accept: "application/json" } });
    } catch {
      return offline(true, this.say("offline"));
    }
    if (answer.status === 410) return this.withdrawn();
    if (!answer.ok) return;
    offline(!navigator.onLine, this.say("offline"));
    const told = (await answer.json()) as State;
    const other = told.lesson !== this.state.lesson || told.version !== this.state.version;
    const drawn = told.drawn && !this.state.drawn;
    this.state = told;
    await this.shelf.remember("state", told);
    navigator.serviceWorker?.controller?.postMessage("keep");
    if ((other || drawn) && navigator.onLine && !busy()) location.reload();
  }

  private heard({ one, ended }: Told): void {
    if (ended.kind === "gone") return this.withdrawn();
    if (ended.kind === "kept") tell("send", one.kind === "tick" ? "" : this.say("send.sent"));
    if (ended.kind === "later") tell("send", this.say(ended.slow ? "send.slow" : "send.waits"));
    if (ended.kind === "refused") {
      const known = { 413: "film.too_large", 415: "film.no_film" }[ended.status];
      tell("send", known ? this.say(known) : this.say("send.refused", { reason: ended.reason || ended.status }));
    }
  }

  /** Nothing of the page stays, on the screen or on the phone. */
  private withdrawn(): void {
    this.gone = true;
    navigator.serviceWorker?.controller?.postMessage("forget");
    this.shelf.close();
    void caches.delete(`practice ${this.data.root}`);
    indexedDB.deleteDatabase(`practice ${this.data.root}`);
    Object.keys(localStorage)
      .filter((key) => key.includes(this.data.root))
      .forEach((key) => localStorage.removeItem(key));
    const words = document.createElement("p");
    words.className = "alone";
    words.textContent = this.say("withdrawn");
    document.body.replaceChildren(words);
  }

  private async remembered(): Promise<void> {
    const known = await this.shelf.recall<State>("state");
    const same = known?.lesson === this.state.lesson && known.version >= this.state.version;
    if (known !== undefined && same && !navigator.onLine) this.state = known;
  }

  private today(): Today {
    const all = ticks(this.state, this.waiting);
    const now = dayOf(new Date());
    const done = all.filter((one) => dayOf(new Date(one.at)) === now).map((one) => one.session);
    const told = today(
      this.state.sessions,
      new Set(all.map((one) => one.session)),
      new Set(done),
      now,
      this.state.film_again,
    );
    if (this.early && told.kind === "rest") {
      return { kind: "practise", practice: told.next, number: told.number, late: false };
    }
    return told;
  }

  private async redraw(): Promise<void> {
    if (this.gone) return;
    this.waiting = await this.shelf.waiting();
    const now = this.today();
    this.drawToday(now);
    const drills = now.kind === "practise" ? now.practice.drills : [];
    this.counters.forEach((one) => one.show(drills.includes(one.name), now.kind === "practise" ? now.practice : undefined));
    this.drawBack(shown(this.state, this.waiting));
  }

  private drawToday(now: Today): void {
    const count = this.state.sessions.length;
    const words = {
      practise: () =>
        now.kind === "practise"
          ? this.say("today.practice", { number: now.number, count, minutes: now.practice.minutes })
          : "",
      done: () => this.say("ticked"),
      rest: () => (now.kind === "rest" ? this.say("today.rest", { day: now.next.told }) : ""),
      film: () => this.say("today.film"),
      over: () => this.say("today.over"),
    }[now.kind]();
    tell("today-words", words);
    const late = now.kind === "practise" && now.late;
    tell("today-late", late ? this.say("today.late", { day: now.practice.told }) : "");
    tell("today-note", now.kind === "practise" ? now.practice.note : "");
    find("today").dataset["kind"] = now.kind;
    show("practise", now.kind === "practise");
    show("early", now.kind === "rest");
    show("tick-below", now.kind === "practise");
    show("film-below", now.kind !== "practise");
    show("undo", this.waiting.some((one) => one.kind === "tick" && one.from > Date.now()));
  }

  private drawBack(all: readonly (CheckIn & { waits: boolean })[]): void {
    const drawn = JSON.stringify([all, this.state.change, this.waiting.map((one) => one.id)]);
    if (drawn === this.drawnBack) return;
    this.drawnBack = drawn;
    show("back", all.length > 0);
    const [verdict = "", ...behind] = this.state.change ?? [];
    const change = [make("p", "large", verdict), ...behind.map((line) => make("p", "", line))];
    find("back-change").replaceChildren(...(verdict === "" ? [] : change));
    find("back-list").replaceChildren(...all.map((one) => this.entry(one)));
  }

  private entry(one: CheckIn & { waits: boolean }): HTMLElement {
    const entry = make("li", "entry");
    const when = new Date(one.at).toLocaleString(british(this.data.language), { dateStyle: "medium", timeStyle: "short" });
    entry.append(make("p", "when", when));
    if (one.felt !== "") entry.append(labelled(this.say("back.you"), one.felt));
    if (one.waits) entry.append(make("p", "quiet", this.say("send.waits")));
    else if (one.reading) entry.append(make("p", "quiet", this.say("back.reading")));
    if (one.word !== "") entry.append(this.answer(one));
    if (one.answer !== "") entry.append(labelled(this.say("back.coach"), one.answer, "coach"));
    else if (!one.waits && one.talk === "") entry.append(make("p", "quiet", this.say("back.waits")));
    if (one.talk !== "") entry.append(film(one.talk));
    return entry;
  }

  private answer(one: CheckIn): HTMLElement {
    const told = make("div", "told");
    told.dataset["word"] = one.word;
    told.append(make("p", "label", this.say("back.film")), make("p", "word", one.lines[0] ?? one.word));
    if (one.picture !== "") told.append(picture(one.picture, one.lines.slice(0, 2).join(" ")));
    told.append(...one.lines.slice(1).map((line) => make("p", "", line)));
    if (one.not_me) told.append(make("p", "quiet", this.say("back.not_me.done")));
    else if (one.word !== "could not be seen") {
      const button = make("button", "plain", this.say("back.not_me")) as HTMLButtonElement;
      button.type = "button";
      button.onclick = () => {
        button.disabled = true;
        void this.send({ kind: "not-me", checkIn: one.id });
      };
      told.append(button);
    }
    return told;
  }
}

/** English is British unless it says more, as in the lesson. */
function british(language: string): string {
  return language === "en" ? "en-GB" : language;
}

/** The part of the page with that name. */
export function find<Kind extends HTMLElement = HTMLElement>(name: string): Kind {
  const found = document.getElementById(name);
  if (found === null) throw new Error(`the page has no ${name}`);
  return found as Kind;
}

export function on(name: string, what: string, act: (event: Event) => void): void {
  document.getElementById(name)?.addEventListener(what, act);
}

/** Words in their place; the place is hidden where there are none. */
export function tell(name: string, words: string): void {
  const place = find(name);
  if (place.textContent !== words) place.textContent = words;
  place.hidden = words === "";
}

export function show(name: string, there: boolean): void {
  const place = document.getElementById(name);
  if (place !== null) place.hidden = !there;
}

function make(kind: string, name: string, words = ""): HTMLElement {
  const made = document.createElement(kind);
  if (name !== "") made.className = name;
  made.textContent = words;
  return made;
}

function labelled(label: string, words: string, name = ""): HTMLElement {
  const made = make("div", `words ${name}`.trim());
  made.append(make("p", "label", label), make("p", "", words));
  return made;
}

function picture(src: string, alt: string): HTMLElement {
  const made = document.createElement("img");
  made.src = src;
  made.alt = alt;
  made.loading = "lazy";
  return made;
}

function film(src: string): HTMLElement {
  const made = document.createElement("video");
  made.src = src;
  made.controls = true;
  made.preload = "metadata";
  made.playsInline = true;
  return made;
}

function offline(there: boolean, words: string): void {
  tell("offline", there ? words : "");
}

/** Whether a reload would take something out of the golfer's hands. */
function busy(): boolean {
  const words = document.getElementById("felt-words") as HTMLTextAreaElement | null;
  const open = document.querySelector("dialog[open]") !== null;
  const chosen = document.querySelector("#film-chosen:not([hidden])") !== null;
  const running = document.querySelector(".clock[data-runs]") !== null;
  return (words?.value ?? "") !== "" || open || chosen || running;
}

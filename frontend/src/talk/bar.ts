/** What the bench's page says and offers of the talk-through; the work itself is `Desk`'s. */
import { lettersAct } from "../bench/dialogs";
import type { SchemaTalkTold } from "../contract";
import type { Desk, Doing } from "./desk";
import { clockOf, lengthOf } from "./line";
import { button, make } from "./parts";
import { FINE_MS, STEP_MS, Strip, type Passage } from "./strip";

export class Bar {
  readonly #root: HTMLElement;
  readonly #desk: Desk;
  readonly #say = make("p", { class: "talk-say", role: "status" });
  readonly #body = make("div", { class: "talk-body" });
  #strip: Strip | null = null;
  #clock: HTMLElement | null = null;
  #meter: HTMLElement | null = null;
  #passage: { from: number | null; to: number | null } = { from: null, to: null };
  #shownFor = "";

  constructor(root: HTMLElement, desk: Desk) {
    this.#root = root;
    this.#desk = desk;
    root.replaceChildren(make("h2", { class: "kicker" }, "Talk-through"), this.#body, this.#say);
    root.hidden = false;
    root.addEventListener("keydown", (event) => this.#key(event));
    addEventListener("keydown", (event) => this.#anywhere(event));
    desk.onchange = () => this.draw();
    desk.onmove = (at_ms) => this.#move(at_ms);
    this.draw();
    this.#tick();
  }

  /** Say and offer what fits what is being done. */
  draw(): void {
    const { doing } = this.#desk;
    this.#root.dataset["doing"] = doing.what;
    this.#say.textContent = this.#desk.said;
    const shape = JSON.stringify([doing.what, this.#desk.talk?.id, this.#desk.talk?.version, this.#desk.film, this.#desk.lost.length]);
    if (shape === this.#shownFor) return;
    const focused = this.#root.contains(document.activeElement);
    const onStrip = document.activeElement?.classList.contains("talk-rail") === true;
    this.#shownFor = shape;
    this.#passage = { from: null, to: null };
    [this.#strip, this.#clock, this.#meter] = [null, null, null];
    this.#body.replaceChildren(...this.#parts(doing));
    if (!focused) return;
    const strip = this.#strip as Strip | null;
    if (onStrip && strip !== null) strip.focus();
    else this.#body.querySelector<HTMLElement>("button, [tabindex]")?.focus();
  }

  #parts(doing: Doing): HTMLElement[] {
    if (doing.what === "recording" || doing.what === "opening") return [this.#recording(doing)];
    const lost = this.#desk.lost.map((take) => this.#offer(take.id, take.lasts_ms, take.here));
    const talk = this.#desk.talk;
    if (talk === null || talk.pieces.length === 0) return [...lost, this.#begin(talk !== null)];
    return [...lost, this.#kept(talk, doing)];
  }

  #begin(had: boolean): HTMLElement {
    const words = had
      ? "Nothing of this talk-through is played. Record again, or bring everything back."
      : "Speak while you step, zoom and draw: it is kept as it happens, not as a film.";
    const acts = make("div", { class: "acts" }, button("Record", "r", () => void this.#desk.record(), "first"));
    acts.append(button("Record without a voice", "", () => void this.#desk.record({ silent: true })));
    if (had) acts.append(button("Bring everything back", "", () => void this.#desk.everything()));
    return make("div", { class: "talk-begin" }, acts, make("p", { class: "quiet" }, words));
  }

  #recording(doing: Doing): HTMLElement {
    this.#clock = make("span", { class: "talk-clock num" }, "0:00.0");
    const acts = make("div", { class: "acts" });
    if (doing.what === "recording") {
      acts.append(button("Stop", "r", () => void this.#desk.stop(), "first"));
      if (!doing.silent) {
        this.#meter = make("span", { class: "talk-level", role: "img", "aria-label": "Loudness of the microphone" });
        this.#meter.append(make("span", {}));
      }
    }
    const silent = doing.what === "recording" && doing.silent;
    const word = doing.what === "opening" ? "Waiting for the microphone" : silent ? "Recording without a voice" : "Recording";
    const state = make("span", { class: "state working" }, word);
    const line = make("div", { class: "talk-line" }, state, this.#clock, ...(this.#meter ? [this.#meter] : []), acts);
    return line;
  }

  #offer(take: string, lasts_ms: number, here: boolean): HTMLElement {
    const acts = make("div", { class: "acts" });
    if (here) acts.append(button("Go on recording", "", () => void this.#desk.goOn(take), "first"));
    acts.append(
      button("Keep it as it is", "", () => void this.#desk.keep(take), here ? "" : "first"),
      button("Throw it away", "", () => void this.#desk.drop(take)),
    );
    const told = `A recording of ${clockOf(lasts_ms)} was cut off when the page went away${here ? "" : ", in another browser"}. It is kept.`;
    return make("div", { class: "talk-lost" }, make("p", {}, told), acts);
  }

  #kept(talk: SchemaTalkTold, doing: Doing): HTMLElement {
    const desk = this.#desk;
    const playing = doing.what === "playing";
    this.#strip = new Strip(talk, (at_ms) => void desk.seek(at_ms));
    this.#clock = make("span", { class: "talk-clock num" });
    const line = make(
      "div",
      { class: "talk-line" },
      button(playing ? "Pause" : "Play", "space", () => void desk.toggle(), playing ? "" : "first"),
      this.#clock,
      button("Record on", "r", () => void desk.record()),
    );
    if (doing.what !== "still") line.append(button("Back to the bench", "esc", () => desk.leave()));
    line.append(this.#film(), make("a", { class: "button", href: `/talk/${talk.id}/file`, download: "" }, "Talk file"));
    if (desk.withOthers !== "") {
      line.append(make("a", { href: desk.withOthers, class: "talk-others" }, "It shows other swings too: set them beside"));
    }
    const passage = make("div", { class: "talk-cuts acts" });
    passage.append(
      make("span", { class: "quiet talk-chosen" }, "Choose a passage: its beginning with [ and its end with ]"),
      button("Begins here", "[", () => this.#mark("from")),
      button("Ends here", "]", () => this.#mark("to")),
    );
    this.#move(desk.at_ms);
    return make("div", { class: "talk-kept" }, line, this.#strip.element, passage);
  }

  #film(): HTMLElement {
    const { film, talk } = this.#desk;
    if (film.state === "ready") {
      return make("a", { class: "button", href: film.at, download: `${talk?.title || "talk-through"}.mp4` }, "Film");
    }
    if (film.state === "making") return make("span", { class: "state working" }, film.words);
    return button("Make the film", "f", () => void this.#desk.makeFilm());
  }

  #mark(end: "from" | "to"): void {
    this.#passage = { ...this.#passage, [end]: Math.round(this.#desk.at_ms) };
    this.#showPassage();
  }

  #chosen(): Passage | null {
    const lasts = lengthOf(this.#desk.talk?.pieces ?? []);
    const { from, to } = this.#passage;
    if (from === null && to === null) return null;
    const [start_ms, stop_ms] = [from ?? 0, to ?? lasts];
    return start_ms < stop_ms ? { start_ms, stop_ms } : null;
  }

  #showPassage(): void {
    const passage = this.#chosen();
    this.#strip?.choose(passage);
    const place = this.#body.querySelector<HTMLElement>(".talk-cuts");
    if (place === null) return;
    for (const old of [...place.querySelectorAll(".talk-act")]) old.remove();
    const told = place.querySelector<HTMLElement>(".talk-chosen");
    const { from, to } = this.#passage;
    if (told !== null) {
      told.textContent =
        passage !== null
          ? `From ${clockOf(passage.start_ms, true)} to ${clockOf(passage.stop_ms, true)}`
          : from !== null || to !== null
            ? "The passage ends before it begins: choose its ends again"
            : "Choose a passage: its beginning with [ and its end with ]";
    }
    if (passage === null) return;
    const act = (words: string, key: string, press: () => void): void => {
      const made = button(words, key, press);
      made.classList.add("talk-act");
      place.append(made);
    };
    act("Leave it out", "x", () => void this.#desk.cut(passage, false));
    act("Keep only this", "k", () => void this.#desk.cut(passage, true));
    act("Speak it anew", "s", () => void this.#desk.respeak(passage));
    act("Record it anew", "n", () => void this.#desk.record({ into: passage }));
  }

  #move(at_ms: number): void {
    this.#strip?.move(at_ms);
    const lasts = lengthOf(this.#desk.talk?.pieces ?? []);
    if (this.#clock !== null && this.#strip !== null) {
      this.#clock.textContent = `${clockOf(at_ms, true)} of ${clockOf(lasts, true)}`;
    }
  }

  /** Clock and level while something is recorded. */
  #tick(): void {
    const { recorded_ms } = this.#desk;
    if (this.#clock !== null && recorded_ms !== null) this.#clock.textContent = clockOf(recorded_ms, true);
    const bar = this.#meter?.firstElementChild as HTMLElement | null;
    if (bar) bar.style.width = `${Math.round(100 * this.#desk.level())}%`;
    requestAnimationFrame(() => this.#tick());
  }

  /** Keys wherever the focus is, unless something is being written or another dialog has them. */
  #anywhere(event: KeyboardEvent): void {
    if (isWriting(event) || event.defaultPrevented) return;
    const { what } = this.#desk.doing;
    if (event.key === "r" && lettersAct()) {
      event.preventDefault();
      if (what === "recording") void this.#desk.stop();
      else if (what !== "opening") void this.#desk.record();
    } else if (event.key === "Escape" && (what === "playing" || what === "paused")) {
      event.preventDefault();
      this.#desk.leave();
    }
  }

  #key(event: KeyboardEvent): void {
    if (isWriting(event) || this.#strip === null) return;
    const onButton = event.target instanceof HTMLButtonElement || event.target instanceof HTMLAnchorElement;
    const step = event.shiftKey ? FINE_MS : STEP_MS;
    const passage = this.#chosen();
    const desk = this.#desk;
    const keys: Record<string, (() => void) | undefined> = {
      " ": onButton ? undefined : () => void desk.toggle(),
      ArrowLeft: () => void desk.seek(desk.at_ms - step),
      ArrowRight: () => void desk.seek(desk.at_ms + step),
      Home: () => void desk.seek(0),
      End: () => void desk.seek(lengthOf(desk.talk?.pieces ?? [])),
      "[": () => this.#mark("from"),
      "]": () => this.#mark("to"),
      x: () => passage && void desk.cut(passage, false),
      k: () => passage && void desk.cut(passage, true),
      s: () => passage && void desk.respeak(passage),
      n: () => passage && void desk.record({ into: passage }),
      z: () => void desk.undo(),
      f: () => void desk.makeFilm(),
    };
    const press = event.ctrlKey || event.metaKey || event.altKey ? undefined : keys[event.key];
    if (press === undefined) return;
    event.preventDefault();
    event.stopPropagation();
    press();
  }
}

function isWriting(event: KeyboardEvent): boolean {
  const at = event.target;
  return at instanceof HTMLElement && (at.isContentEditable || /^(INPUT|TEXTAREA|SELECT)$/.test(at.tagName));
}

/** The scale that all rows share: moments as words, frames as ticks, the instant as a plumb line. */
import { placeAt, secondsAt } from "../time/frames";
import { instantAt, rulerOf, shareAt, type Ruler } from "../scene/ruler";
import type { Shown, SwingFacts } from "../scene/facts";
import { cursorAt, type BenchState } from "../scene/state";
import { nearestMoment, placeWords } from "./band";
import type { Bench, View } from "./bench";
import { make, say } from "./dom";

export class Scale implements View {
  readonly element: HTMLElement;
  readonly #bench: Bench;
  readonly #track: HTMLElement;
  readonly #ticks: HTMLCanvasElement;
  readonly #plumb: HTMLElement;
  readonly #moments: HTMLElement;
  readonly #told: HTMLElement;
  #of: SwingFacts | null = null;
  #ruler: Ruler = { at_s: [0, 1], share: [0, 1] };
  #asked: number | null = null;
  /** Whether a moment was dragged, so that the click at its end is none. */
  #dragged = false;

  constructor(bench: Bench, element: HTMLElement) {
    this.#bench = bench;
    this.element = element;
    this.#ticks = make("canvas", { className: "ticks", aria: { hidden: "true" } });
    this.#plumb = make("div", { className: "plumb", aria: { hidden: "true" } });
    this.#moments = make("div", { className: "moments" });
    this.#told = make("p", { className: "told num" });
    this.#track = make(
      "div",
      {
        className: "track",
        tabIndex: 0,
        aria: { role: "slider", label: "Instant of the swing", orientation: "horizontal" },
      },
      this.#ticks,
      this.#plumb,
    );
    element.append(this.#moments, this.#track, this.#told);
    this.#listen();
    new ResizeObserver(() => {
      this.#of = null;
      this.#bench.repaint();
    }).observe(this.#track);
  }

  paint(state: BenchState, now: number, shown: readonly (Shown | null)[]): void {
    const name = state.rows[state.lead]?.swing ?? "";
    const facts = this.#bench.facts.get(name);
    const each = shown[state.lead];
    if (facts === undefined || each === null || each === undefined) return;
    if (this.#of !== facts) this.#rule(facts);
    const share = shareAt(this.#ruler, cursorAt(state, now));
    this.#plumb.style.left = `${100 * share}%`;
    const words = placeWords(facts, each, nearestMoment(facts, each));
    say(this.#told, words);
    for (const button of this.#moments.children) {
      const here = Number((button as HTMLElement).dataset["frame"]) === each.number;
      button.setAttribute("aria-current", here ? "step" : "false");
    }
    if (state.run !== null) return;
    this.#track.setAttribute("aria-valuemin", "0");
    this.#track.setAttribute("aria-valuemax", String(facts.table.numbers.length - 1));
    this.#track.setAttribute("aria-valuenow", String(each.place));
    this.#track.setAttribute("aria-valuetext", `frame ${each.number}, ${words}`);
  }

  #rule(facts: SwingFacts): void {
    this.#of = facts;
    const first = secondsAt(facts.table, 0);
    const last = secondsAt(facts.table, facts.table.numbers.length - 1);
    this.#ruler = rulerOf(
      first,
      facts.moments.map((moment) => moment.time_s),
      last,
    );
    const told = this.#bench.swing(facts.swing)?.told.reading.moments ?? [];
    this.#moments.replaceChildren(
      ...told.map((moment, k) => {
        const button = make(
          "button",
          {
            type: "button",
            className: moment.by_hand ? "moment by-hand" : "moment",
            title: `${moment.title}: ${moment.time_s.toFixed(3)} s ± ${moment.sd_s.toFixed(3)}${moment.by_hand ? ", set by hand" : ""}`,
            data: { moment: moment.name, frame: String(moment.frame) },
          },
          make("span", {}, moment.short),
          make(
            "span",
            { className: "num" },
            `${moment.by_hand ? "▪ " : ""}± ${(1000 * moment.sd_s).toFixed(0)} ms`,
          ),
        );
        button.style.left = `${100 * shareAt(this.#ruler, moment.time_s)}%`;
        button.style.setProperty("--tier", String(k % 2));
        button.addEventListener("click", () => {
          if (this.#dragged) this.#dragged = false;
          else this.#bench.store.dispatch({ do: "seek", at_s: moment.time_s });
        });
        this.#draggable(button, moment.name, moment.title);
        return button;
      }),
    );
    this.#tick(facts);
  }

  /** Hears that a moment is to be at an instant. */
  onMoment: (swing: string, name: string, title: string, at_s: number) => void = () => undefined;

  /** While the hand sets things right, a moment goes where it is dragged: to a frame. */
  #draggable(button: HTMLElement, name: string, title: string): void {
    button.addEventListener("pointerdown", (event) => {
      if (this.#bench.store.state.tool === "set" && event.button === 0)
        button.setPointerCapture(event.pointerId);
    });
    button.addEventListener("pointermove", (event) => {
      if (!button.hasPointerCapture(event.pointerId)) return;
      const at_s = this.#frameAt(event.clientX);
      if (at_s === null) return;
      this.#dragged = true;
      button.style.left = `${100 * shareAt(this.#ruler, at_s)}%`;
      if (this.#bench.store.state.at_s !== at_s) this.#bench.store.dispatch({ do: "seek", at_s });
    });
    button.addEventListener("pointerup", (event) => {
      const at_s = this.#frameAt(event.clientX);
      if (!this.#dragged || at_s === null || this.#of === null) return;
      this.onMoment(this.#of.swing, name, title, at_s);
    });
  }

  /** Instant of the frame at a place of the screen. */
  #frameAt(x: number): number | null {
    if (this.#of === null) return null;
    const box = this.#track.getBoundingClientRect();
    const share = Math.min(Math.max((x - box.left) / box.width, 0), 1);
    const { table } = this.#of;
    return secondsAt(table, placeAt(table, instantAt(this.#ruler, share)));
  }

  /** A tick for each frame, and for each moment a bar as wide as its ±. */
  #tick(facts: SwingFacts): void {
    const box = this.#track.getBoundingClientRect();
    const ratio = devicePixelRatio || 1;
    this.#ticks.width = Math.max(Math.round(box.width * ratio), 1);
    this.#ticks.height = Math.max(Math.round(box.height * ratio), 1);
    const context = this.#ticks.getContext("2d");
    if (context === null) return;
    const { width, height } = this.#ticks;
    const style = getComputedStyle(this.#track);
    context.fillStyle = getComputedStyle(this.#plumb).outlineColor; // --band, as this theme has it
    for (const moment of facts.moments) {
      const low = shareAt(this.#ruler, moment.time_s - moment.sd_s) * width;
      const high = shareAt(this.#ruler, moment.time_s + moment.sd_s) * width;
      context.fillRect(low, 0, Math.max(high - low, 2 * ratio), height);
    }
    context.fillStyle = style.color;
    let last = -10;
    for (const at of facts.table.seconds) {
      const x = Math.round(shareAt(this.#ruler, at) * (width - 1));
      if (x - last < 3 * ratio) continue;
      last = x;
      context.globalAlpha = 0.45;
      context.fillRect(x, height * 0.55, ratio, height * 0.45);
    }
    context.globalAlpha = 1;
    for (const moment of facts.moments) {
      context.fillRect(
        Math.round(shareAt(this.#ruler, moment.time_s) * (width - 1)),
        0,
        1.5 * ratio,
        height,
      );
    }
  }

  /** A hand on the scale: the latest place is gone to, once for each picture that is painted. */
  #listen(): void {
    this.#track.addEventListener("pointerdown", (event) => {
      if (event.button !== 0) return;
      this.#track.setPointerCapture(event.pointerId);
      this.#scrub(event);
    });
    this.#track.addEventListener("pointermove", (event) => {
      if (this.#track.hasPointerCapture(event.pointerId)) this.#scrub(event);
    });
  }

  #scrub(event: PointerEvent): void {
    const box = this.#track.getBoundingClientRect();
    const waiting = this.#asked !== null;
    this.#asked = Math.min(Math.max((event.clientX - box.left) / box.width, 0), 1);
    if (!waiting) requestAnimationFrame(() => this.#go());
  }

  #go(): void {
    const share = this.#asked;
    this.#asked = null;
    if (share === null || this.#of === null) return;
    const { table } = this.#of;
    const at_s = secondsAt(table, placeAt(table, instantAt(this.#ruler, share)));
    const { state } = this.#bench.store;
    if (state.run === null && state.at_s === at_s) return;
    this.#bench.store.dispatch({ do: "seek", at_s });
  }
}

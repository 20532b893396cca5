/** One swing as a band: its numbers to the left, the picture, what is drawn to the right. */
import { lieOf, type Lie, type Size } from "../geometry/view";
import { isSomewhere, type Point } from "../geometry/vector";
import { paintFrame, paintShapes, unitOf, type Sheet } from "../paint/canvas";
import { describe } from "../scene/describe";
import {
  pointAt,
  rowOf,
  shownAtPlace,
  type MomentFact,
  type Shown,
  type SwingFacts,
} from "../scene/facts";
import { measured, told } from "../scene/measured";
import { marksOf, type BenchState, type Row } from "../scene/state";
import type { Bench, View } from "./bench";
import { make, say } from "./dom";
import { fitting, laidOut } from "./margin";
import { pointWords } from "./told";
import { markWords } from "./words";

const LABEL_PX = 44;
const MOST_RATIO = 2;

interface Label {
  readonly element: HTMLElement;
  readonly points: readonly string[];
}

export class Band implements View {
  readonly element: HTMLElement;
  readonly canvas: HTMLCanvasElement;
  readonly swing: string;
  readonly #bench: Bench;
  readonly #context: CanvasRenderingContext2D;
  readonly #numbers: HTMLElement;
  readonly #drawn: HTMLElement;
  readonly #heading: HTMLElement;
  readonly #instant: HTMLElement;
  readonly #acts: HTMLElement;
  #labels: Label[] = [];
  #labelsOf = "";
  #size: Size = { width: 1, height: 1 };
  #ratio = 1;
  #lit: readonly string[] = [];
  #painted = "";
  #sides: { from: number; to: number; at_s: number }[] = [];
  /** The small pictures as they were painted last: they change at a moment, not at every frame. */
  readonly #layer = document.createElement("canvas");
  #layerOf = "";

  constructor(bench: Bench, swing: string) {
    this.#bench = bench;
    this.swing = swing;
    const told = bench.swing(swing)?.told;
    this.canvas = make("canvas", { className: "picture", tabIndex: 0, aria: { role: "img" } });
    this.#context = this.canvas.getContext("2d", { alpha: false }) as CanvasRenderingContext2D;
    this.#heading = make("h2", {}, told?.title ?? "");
    this.#instant = make("p", { className: "instant num" });
    this.#acts = make("p", { className: "band-acts" });
    this.#numbers = make("div", { className: "numbers" });
    this.#drawn = make("ul", { className: "drawn" });
    this.element = make(
      "section",
      { className: "band", data: { swing }, aria: { label: told?.title ?? "a swing" } },
      make(
        "div",
        { className: "margin left" },
        make(
          "header",
          {},
          this.#heading,
          make("p", { className: "quiet" }, told?.about ?? ""),
          this.#instant,
        ),
        this.#numbers,
      ),
      this.canvas,
      make("div", { className: "margin right" }, this.#acts, this.#drawn),
    );
    this.#acts.addEventListener("click", (event) => this.#act(event));
    this.#drawn.addEventListener("click", (event) => this.#chosen(event));
    new ResizeObserver(() => this.#resized()).observe(this.canvas);
  }

  get size(): Size {
    return { width: this.#size.width / this.#ratio, height: this.#size.height / this.#ratio };
  }

  get row(): number {
    return this.#bench.store.state.rows.findIndex((row) => row.swing === this.swing);
  }

  /** The picture's lie in screen pixels from the canvas's corner. */
  lie(): Lie | null {
    const row = this.#bench.store.state.rows[this.row];
    const facts = this.#bench.facts.get(this.swing);
    return row === undefined || facts === undefined
      ? null
      : lieOf(row.view, facts.clip, this.size, row.mirrored);
  }

  paint(state: BenchState, _now: number, shown: readonly (Shown | null)[]): void {
    const place = state.rows.findIndex((row) => row.swing === this.swing);
    const row = state.rows[place];
    const facts = this.#bench.facts.get(this.swing);
    const wanted = shown[place];
    if (row === undefined || facts === undefined || wanted === null || wanted === undefined) return;
    const there = this.#bench.film(this.swing)?.nearest(wanted.place) ?? null;
    if (there === null && this.#painted !== "") return; // the last one stays until one is there
    // While a hand hurries ahead of the decoder, what is there is shown, and called what it is.
    const frame = there?.frame ?? null;
    const each = there === null ? wanted : shownAtPlace(facts, there.place);
    const sheet: Sheet = {
      context: this.#context,
      size: this.#size,
      lie: lieOf(row.view, facts.clip, this.#size, row.mirrored),
      unit: unitOf(this.#size, this.#ratio),
    };
    paintFrame(sheet, frame, facts.clip);
    this.#beside(sheet, facts, each.number);
    if (frame !== null) {
      paintShapes(sheet, describe(this.#picture(state, row, facts, each.number)));
      this.#painted = String(each.number);
      this.canvas.dataset["frame"] = this.#painted;
    }
    this.#tell(state, row, facts, each);
    this.#hairs(sheet, facts, each.number);
    this.#cross(sheet, state);
  }

  #picture(state: BenchState, row: Row, facts: SwingFacts, number: number) {
    const { draft, selected } = state;
    return {
      facts,
      number,
      mirrored: row.mirrored,
      layers: state.layers,
      marks: marksOf(state, this.swing),
      draft: draft?.swing === this.swing ? draft.mark : null,
      selected: selected?.swing === this.swing ? selected.id : null,
    };
  }

  /** Where there is room beside the picture: the moments before and after, small and dim. */
  #beside(sheet: Sheet, facts: SwingFacts, number: number): void {
    const edge = lieEdges(sheet, facts);
    const { width, height } = sheet.size;
    if (edge.left <= 0 && edge.right >= width) {
      this.#sides = [];
      return;
    }
    this.#paintLayer(sheet, facts, number, edge);
    const left = Math.max(0, Math.floor(edge.left));
    const right = Math.min(width, Math.ceil(edge.right));
    const { context } = sheet;
    if (left > 0) context.drawImage(this.#layer, 0, 0, left, height, 0, 0, left, height);
    if (right < width)
      context.drawImage(this.#layer, right, 0, width - right, height, right, 0, width - right, height);
  }

  #paintLayer(
    sheet: Sheet,
    facts: SwingFacts,
    number: number,
    edge: { left: number; right: number },
  ): void {
    const before = facts.moments.filter((each) => each.frame < number).reverse();
    const after = facts.moments.filter((each) => each.frame > number);
    const { lie, size } = sheet;
    const there = facts.moments.map((each) => this.#bench.still(this.swing, each.frame) !== undefined);
    const passed = facts.moments.map((each) => Math.sign(each.frame - number));
    const frames = facts.moments.map((each) => each.frame);
    const key = JSON.stringify([lie, size, there, passed, frames, document.fonts.status]);
    if (key === this.#layerOf) return;
    this.#layerOf = key;
    this.#sides = [];
    this.#layer.width = size.width;
    this.#layer.height = size.height;
    const context = this.#layer.getContext("2d");
    if (context === null) return;
    const layer = { ...sheet, context };
    paintFrame(layer, null, facts.clip);
    const wide = Math.min(edge.right - edge.left, 0.62 * size.height);
    this.#side(layer, facts, before, (k) => edge.left - (k + 1) * wide, wide);
    this.#side(layer, facts, after, (k) => edge.right + k * wide, wide);
  }

  #side(
    sheet: Sheet,
    facts: SwingFacts,
    moments: readonly MomentFact[],
    left: (k: number) => number,
    wide: number,
  ): void {
    const { context, size, unit } = sheet;
    moments.forEach((moment, k) => {
      const from = Math.max(left(k), 0);
      const to = Math.min(left(k) + wide, size.width);
      if (to - from < 0.4 * wide) return;
      const still = this.#bench.still(this.swing, moment.frame);
      context.save();
      context.beginPath();
      context.rect(from + unit, 0, to - from - 2 * unit, size.height);
      context.clip();
      if (still !== undefined) {
        context.globalAlpha = 0.5;
        const { lie } = sheet;
        const edge = lieEdges(sheet, facts);
        const centred = left(k) + wide / 2 - size.width / 2;
        // The golfer in the middle, but no gap at an edge that the picture could fill.
        const shift = Math.max(Math.min(centred, left(k) - edge.left), left(k) + wide - edge.right);
        context.setTransform(lie.across, 0, 0, lie.down, lie.right + shift, lie.below);
        context.drawImage(still, 0, 0, facts.clip.width, facts.clip.height);
        context.setTransform(1, 0, 0, 1, 0, 0);
        context.globalAlpha = 1;
      }
      this.#caption(sheet, moment.title, from, to);
      context.restore();
      this.#sides.push({ from, to, at_s: moment.time_s });
    });
  }

  #caption(sheet: Sheet, words: string, from: number, to: number): void {
    const { context, unit, size } = sheet;
    const high = 13 * unit;
    context.font = `400 ${high}px "Causeline Figures", sans-serif`;
    const wide = context.measureText(words).width;
    context.fillStyle = "rgb(6 16 24 / 74%)";
    context.fillRect(from, size.height - 2 * high, to - from, 2 * high);
    context.fillStyle = "#e6edf0";
    context.textBaseline = "middle";
    context.fillText(words, Math.max(from + 4 * unit, (from + to - wide) / 2), size.height - high);
  }

  /** The instant of the small picture under a place of the band (screen pixels); null for none. */
  sideAt(x: number): number | null {
    const at = x * this.#ratio;
    return this.#sides.find((side) => at >= side.from && at < side.to)?.at_s ?? null;
  }

  /** Where the coach points, while something is to be set by keys. */
  #cross(sheet: Sheet, state: BenchState): void {
    const { pointing } = state;
    if (pointing === null || pointing.swing !== this.swing || state.tool === "hand") return;
    const x = pointing.at[0] * sheet.lie.across + sheet.lie.right;
    const y = pointing.at[1] * sheet.lie.down + sheet.lie.below;
    const { context, unit } = sheet;
    context.lineWidth = 1.2 * unit;
    for (const [colour, off] of [
      ["rgb(6 16 24 / 80%)", 1],
      ["#fff", 0],
    ] as const) {
      context.strokeStyle = colour;
      context.beginPath();
      context.moveTo(x - 12 * unit + off, y + off);
      context.lineTo(x + 12 * unit + off, y + off);
      context.moveTo(x + off, y - 12 * unit + off);
      context.lineTo(x + off, y + 12 * unit + off);
      context.stroke();
    }
  }

  #tell(state: BenchState, row: Row, facts: SwingFacts, shown: Shown): void {
    const running = state.run !== null;
    this.canvas.classList.toggle("free", state.tool === "hand");
    const leads = state.rows[state.lead]?.swing === this.swing;
    this.element.classList.toggle("leads", leads && state.rows.length > 1);
    const moment = nearestMoment(facts, shown);
    const words = placeWords(facts, shown, moment);
    say(this.#instant, `frame ${shown.number} · ${shown.time_s.toFixed(3)} s`);
    if (!running)
      this.canvas.setAttribute(
        "aria-label",
        `${this.#heading.textContent ?? ""}: frame ${shown.number}, ${words}`,
      );
    this.#number(moment, words, state.layers.numbers);
    if (!running) this.#list(state, facts, shown.number, row.mirrored);
    this.#rowActs(state, row, leads);
  }

  /** The numbers of the nearest moment. */
  #number(moment: MomentFact | null, words: string, on: boolean): void {
    const heading = moment === null || !on ? "" : words;
    const key = `${moment?.name ?? ""} ${on} ${this.#bench.facts.get(this.swing)?.reading ?? ""} ${Math.round(this.size.height / 40)}`;
    const first = this.#numbers.querySelector<HTMLElement>(".kicker");
    if (key === this.#labelsOf) {
      if (first !== null) say(first, heading);
      return;
    }
    this.#labelsOf = key;
    const measures = this.#bench.swing(this.swing)?.told.reading.measures ?? [];
    const mine = on ? measures.filter((each) => each.moment === moment?.name) : [];
    const given = [
      ...mine.filter((each) => each.refused === ""),
      ...mine.filter((each) => each.refused !== ""),
    ];
    this.#labels = given.map((each) => ({ points: each.points, element: this.#label(each) }));
    this.#numbers.replaceChildren(
      make("p", { className: "kicker" }, heading),
      ...this.#labels.map((label) => label.element),
    );
  }

  #label(measure: {
    title: string;
    number: string;
    refused: string;
    points: readonly string[];
  }): HTMLElement {
    const label = make(
      "div",
      { className: measure.refused === "" ? "measure" : "measure refused", tabIndex: 0 },
      make("span", { className: "what" }, measure.title),
      make("span", { className: "num" }, measure.refused === "" ? measure.number : "not told"),
    );
    if (measure.refused !== "") label.append(make("span", { className: "why" }, measure.refused));
    const light = (points: readonly string[]) => () => {
      this.#lit = points;
      this.#bench.repaint();
    };
    label.addEventListener("pointerenter", light(measure.points));
    label.addEventListener("focus", light(measure.points));
    label.addEventListener("pointerleave", light([]));
    label.addEventListener("blur", light([]));
    return label;
  }

  /** Each number at the height of what it measures, with a hair to it while it is pointed at. */
  #hairs(sheet: Sheet, facts: SwingFacts, number: number): void {
    const box = this.#numbers.getBoundingClientRect();
    const picture = this.canvas.getBoundingClientRect();
    if (picture.left < box.right - 4) return this.#unplaced(); // the margin lies below: a plain list
    const row = rowOf(facts.tracks, number);
    const top = this.#numbers.firstElementChild?.getBoundingClientRect().height ?? 0;
    const room = box.height - top;
    const kept = this.#labels.slice(0, fitting(room, LABEL_PX));
    for (const label of this.#labels) label.element.hidden = !kept.includes(label);
    const wanted = kept
      .map((label) => ({
        label,
        at: this.#heightOf(label, sheet, facts, row, picture.top - box.top - top),
        height: LABEL_PX,
      }))
      .sort((a, b) => a.at - b.at);
    const tops = laidOut(wanted, room);
    wanted.forEach((each, k) => {
      each.label.element.style.top = `${Math.round((tops[k] as number) + top)}px`;
    });
    this.#numbers.classList.add("placed");
    if (this.#lit.length === 0) return;
    const lit = wanted.findIndex((each) => each.label.points === this.#lit);
    if (lit >= 0)
      this.#hair(
        sheet,
        facts,
        row,
        (tops[lit] as number) + top + LABEL_PX / 2 + box.top - picture.top,
      );
  }

  #unplaced(): void {
    if (!this.#numbers.classList.contains("placed")) return;
    this.#numbers.classList.remove("placed");
    for (const label of this.#labels) {
      label.element.hidden = false;
      label.element.style.top = "";
    }
  }

  #heightOf(label: Label, sheet: Sheet, facts: SwingFacts, row: number, shift: number): number {
    const seen = placesOf(label.points, facts, row).map(
      (at) => (at[1] * sheet.lie.down + sheet.lie.below) / this.#ratio,
    );
    if (seen.length === 0) return 1e6; // no place of its own: at the foot
    return seen.reduce((sum, y) => sum + y, 0) / seen.length + shift;
  }

  #hair(sheet: Sheet, facts: SwingFacts, row: number, from: number): void {
    const { context, lie, unit } = sheet;
    context.lineWidth = 1.2 * unit;
    context.strokeStyle = "#ffffff";
    for (const at of placesOf(this.#lit, facts, row)) {
      const x = at[0] * lie.across + lie.right;
      const y = at[1] * lie.down + lie.below;
      context.beginPath();
      context.moveTo(0, from * this.#ratio);
      context.lineTo(x, y);
      context.stroke();
      context.beginPath();
      context.arc(x, y, 7 * unit, 0, 2 * Math.PI);
      context.stroke();
    }
  }

  /** What is drawn here and now, each with what it measures; and what was set by hand. */
  #list(state: BenchState, facts: SwingFacts, number: number, mirrored: boolean): void {
    const marks = state.layers.marks ? marksOf(state, this.swing).marks : [];
    const lines = marks.map((mark) => {
      const values = measured(mark, facts, number, mirrored);
      const chosen = state.selected?.swing === this.swing && state.selected.id === mark.id;
      return {
        id: mark.id,
        words: markWords(mark),
        values: values.map(told).join(" · "),
        about: values[0]?.words ?? "",
        chosen,
      };
    });
    const touched = (this.#bench.swing(this.swing)?.told.reading.touched ?? [])
      .filter((each) => each.touch === "moment" || each.frame === number)
      .map(
        (each) =>
          `▪ ${each.touch === "moment" ? momentTitle(facts, each.name) : pointWords(each.name)} set by ${each.by}`,
      );
    const key = JSON.stringify([lines, touched]);
    if (this.#drawn.dataset["of"] === key) return;
    this.#drawn.dataset["of"] = key;
    this.#drawn.replaceChildren(
      ...touched.map((words) => make("li", { className: "touched" }, words)),
      ...lines.map((line) =>
        make(
          "li",
          {},
          make(
            "button",
            {
              type: "button",
              className: "mark-line",
              data: { mark: line.id },
              aria: { pressed: String(line.chosen) },
            },
            make("span", { className: "what" }, line.words),
            make("span", { className: "num" }, line.values),
            make("span", { className: "quiet" }, line.values === "" ? "" : line.about),
          ),
        ),
      ),
    );
  }

  #chosen(event: Event): void {
    const button = (event.target as HTMLElement).closest<HTMLElement>("[data-mark]");
    const id = button?.dataset["mark"];
    if (id === undefined) return;
    const chosen = this.#bench.store.state.selected?.id === id;
    this.#bench.store.dispatch({ do: "select", swing: this.swing, id: chosen ? null : id });
  }

  #rowActs(state: BenchState, row: Row, leads: boolean): void {
    const several = state.rows.length > 1;
    const offset =
      row.offset_s === 0
        ? ""
        : ` ${row.offset_s > 0 ? "+" : "−"}${Math.abs(row.offset_s * 1000).toFixed(0)} ms`;
    const key = JSON.stringify([several, leads, row.mirrored, offset]);
    if (this.#acts.dataset["of"] === key) return;
    this.#acts.dataset["of"] = key;
    const act = (name: string, words: string, pressed?: boolean): HTMLElement =>
      make(
        "button",
        {
          type: "button",
          className: "plain",
          data: { act: name },
          ...(pressed === undefined ? {} : { aria: { pressed: String(pressed) } }),
        },
        words,
      );
    this.#acts.replaceChildren(
      act("mirror", row.mirrored ? "turned left to right" : "turn left to right", row.mirrored),
      ...(several
        ? [
            ...(leads
              ? [make("span", { className: "quiet" }, "▸ the scale is this swing's")]
              : [
                  act("lead", "scale of this swing"),
                  act("earlier", "a frame back"),
                  act("later", `a frame on${offset}`),
                ]),
            act("off", "take off the bench"),
          ]
        : []),
    );
  }

  #act(event: Event): void {
    const name = (event.target as HTMLElement).closest<HTMLElement>("[data-act]")?.dataset["act"];
    if (name !== undefined) this.onAct(name);
  }

  /** Hears of what is to be done with this row. */
  onAct: (name: string) => void = () => undefined;

  #resized(): void {
    const box = this.canvas.getBoundingClientRect();
    this.#ratio = Math.min(devicePixelRatio || 1, MOST_RATIO);
    this.#size = {
      width: Math.max(Math.round(box.width * this.#ratio), 1),
      height: Math.max(Math.round(box.height * this.#ratio), 1),
    };
    this.canvas.width = this.#size.width;
    this.canvas.height = this.#size.height;
    this.#painted = "";
    this.onResized();
    this.#bench.repaint();
  }

  onResized: () => void = () => undefined;
}

/** Left and right edge of the picture in the canvas. */
function lieEdges(sheet: Sheet, facts: SwingFacts): { left: number; right: number } {
  const one = sheet.lie.right;
  const other = sheet.lie.right + sheet.lie.across * facts.clip.width;
  return { left: Math.min(one, other), right: Math.max(one, other) };
}

/** Where the points of a measure are; one named without its side counts on both. */
function placesOf(points: readonly string[], facts: SwingFacts, row: number): Point[] {
  return points
    .flatMap((name) => {
      const whole = facts.tracks.points.has(name) ? [name] : [`lead_${name}`, `trail_${name}`];
      return whole.map((each) => pointAt(facts.tracks, each === "clubhead" ? "head" : each, row));
    })
    .filter(isSomewhere);
}

export function nearestMoment(facts: SwingFacts, shown: Shown): MomentFact | null {
  let best: MomentFact | null = null;
  for (const each of facts.moments) {
    if (best === null || Math.abs(each.frame - shown.number) < Math.abs(best.frame - shown.number))
      best = each;
  }
  return best;
}

/** `Top`, or `3 frames after Top`. */
export function placeWords(facts: SwingFacts, shown: Shown, moment: MomentFact | null): string {
  if (moment === null) return `${shown.time_s.toFixed(3)} s`;
  const off = shown.number - moment.frame;
  if (off === 0) return moment.title;
  const frames = `${Math.abs(off)} frame${Math.abs(off) === 1 ? "" : "s"}`;
  return `${frames} ${off > 0 ? "after" : "before"} ${momentTitle(facts, moment.name)}`;
}

function momentTitle(facts: SwingFacts, name: string): string {
  return facts.moments.find((each) => each.name === name)?.title ?? name;
}

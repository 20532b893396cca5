/** A hand on a picture: moving, zooming, choosing, drawing, setting right. */
import { minus, type Point } from "../geometry/vector";
import { panned, toClip, zoomed } from "../geometry/view";
import type { BenchEvent } from "../scene/events";
import type { SwingFacts, TrackedPoint } from "../scene/facts";
import { REFERENCE_PX } from "../scene/describe";
import { finishStroke, FREEHAND } from "../scene/freehand";
import { heldAt, movedMark, nearestPoint, spotAt, type Held } from "../scene/hit";
import { newMark, SPOTS, type Free, type Mark, type Spot } from "../scene/marks";
import { marksOf } from "../scene/state";
import type { Band } from "./band";
import type { Bench } from "./bench";

/** How near a hand must come, screen pixels: a finger is broader than a pointer. */
const REACH_PX = { mouse: 10, pen: 12, touch: 22 } as const;
const CLICK_PX = 4;

type Doing =
  | { readonly what: "pan"; last: Point }
  | { readonly what: "move"; readonly held: Held; readonly from: Point; last: Mark }
  | { readonly what: "draw"; readonly from: Point }
  | { readonly what: "stroke"; readonly points: Point[] }
  | { readonly what: "set"; readonly name: string };

export class Hands {
  readonly #bench: Bench;
  readonly #band: Band;
  readonly #touches = new Map<number, Point>();
  #doing: Doing | null = null;
  #pinch = 0;
  #waiting: (() => void) | null = null;

  constructor(bench: Bench, band: Band) {
    this.#bench = bench;
    this.#band = band;
    const { canvas } = band;
    canvas.addEventListener("pointerdown", (event) => this.#down(event));
    canvas.addEventListener("pointermove", (event) => this.#move(event));
    canvas.addEventListener("pointerup", (event) => this.#up(event));
    canvas.addEventListener("pointercancel", (event) => this.#cancel(event));
    canvas.addEventListener("wheel", (event) => this.#wheel(event), { passive: false });
    bench.store.listen((event) => this.#heard(event));
  }

  /** A point or an end was set: hears its name and where, clip pixels. */
  onSet: (name: string, at: Point) => void = () => undefined;
  /** Words are to be written at a new mark. */
  onWords: (mark: Mark) => void = () => undefined;

  get #place() {
    const row = this.#bench.store.state.rows[this.#band.row];
    const facts = this.#bench.facts.get(this.#band.swing);
    const lie = this.#band.lie();
    const shown = this.#bench.shown()[this.#band.row];
    if (
      row === undefined ||
      facts === undefined ||
      lie === null ||
      shown === null ||
      shown === undefined
    )
      return null;
    return { row, facts, lie, number: shown.number, scale: Math.abs(lie.down) };
  }

  /** Screen pixels from the canvas's corner. */
  #screen(event: PointerEvent | WheelEvent): Point {
    const box = this.#band.canvas.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  }

  #reach(event: PointerEvent, scale: number): number {
    return (REACH_PX[event.pointerType as keyof typeof REACH_PX] ?? REACH_PX.mouse) / scale;
  }

  #down(event: PointerEvent): void {
    if (event.button > 1 || this.#bench.stage.playback) return;
    const at = this.#screen(event);
    this.#band.canvas.setPointerCapture(event.pointerId);
    this.#touches.set(event.pointerId, at);
    if (this.#touches.size === 2) return this.#pinched();
    const place = this.#place;
    if (place === null) return;
    const on = toClip(place.lie, at);
    const reach = this.#reach(event, place.scale);
    const { tool } = this.#bench.store.state;
    if (event.button === 0 && tool === "hand" && this.#side(at)) return;
    if (event.button === 1 || tool === "hand") this.#grasp(place, on, at, reach);
    else if (tool === "set") this.#take(place, on, reach);
    else this.#begin(tool as Free, place, on, event.altKey ? 0 : reach);
  }

  /** A press on a small picture beside goes to its moment. */
  #side(at: Point): boolean {
    const own_s = this.#band.sideAt(at[0]);
    if (own_s === null) return false;
    const { store, facts } = this.#bench;
    const { state } = store;
    const moment = facts.get(this.#band.swing)?.moments.find((each) => each.time_s === own_s);
    const lead = facts
      .get(state.rows[state.lead]?.swing ?? "")
      ?.moments.find((each) => each.name === moment?.name);
    if (lead !== undefined) store.dispatch({ do: "seek", at_s: lead.time_s });
    return true;
  }

  #grasp(place: { facts: SwingFacts; number: number }, on: Point, at: Point, reach: number): void {
    const { store } = this.#bench;
    const held = store.state.layers.marks
      ? heldAt(marksOf(store.state, this.#band.swing), place.facts, place.number, on, reach)
      : null;
    const chosen = held?.mark.id ?? null;
    if (chosen !== (store.state.selected?.id ?? null))
      store.dispatch({ do: "select", swing: this.#band.swing, id: chosen });
    const movable = held !== null && held.mark.kind !== "follow";
    this.#doing = movable
      ? { what: "move", held, from: on, last: held.mark }
      : { what: "pan", last: at };
  }

  #take(place: { facts: SwingFacts; number: number }, on: Point, reach: number): void {
    const near = nearestPoint(place.facts, place.number, on, 1.6 * reach);
    if (near !== null) this.#doing = { what: "set", name: near.name };
  }

  /** A mark's first spot, or its next one. */
  #begin(
    tool: Free,
    place: { facts: SwingFacts; number: number; scale: number },
    on: Point,
    reach: number,
  ): void {
    const { store } = this.#bench;
    const { draft } = store.state;
    if (tool === "freehand") {
      this.#doing = { what: "stroke", points: [on] };
      return;
    }
    const spot = spotAt(place.facts, place.number, on, reach);
    const going =
      draft !== null && draft.swing === this.#band.swing && draft.mark.kind === tool
        ? draft.mark
        : null;
    const spots = going === null ? [spot, spot] : [...going.spots.slice(0, -1), spot, spot];
    const mark =
      going === null ? newMark(newId(), tool, spots, store.state.ink) : { ...going, spots };
    if (tool === "text") return this.#keep({ ...mark, spots: [spot] });
    if (spots.length > SPOTS[tool])
      return this.#keep({ ...mark, spots: spots.slice(0, SPOTS[tool]) });
    store.dispatch({ do: "draft", swing: this.#band.swing, mark });
    this.#doing = { what: "draw", from: on };
  }

  #keep(mark: Mark): void {
    const { store } = this.#bench;
    store.dispatch({ do: "mark", swing: this.#band.swing, id: mark.id, mark });
    store.dispatch({ do: "select", swing: this.#band.swing, id: mark.id });
    this.#doing = null;
    if (mark.kind === "text") this.onWords(mark);
  }

  /** At most one change for each picture that is painted: the latest. */
  #soon(change: () => void): void {
    const waiting = this.#waiting !== null;
    this.#waiting = change;
    if (waiting) return;
    requestAnimationFrame(() => {
      const latest = this.#waiting;
      this.#waiting = null;
      latest?.();
    });
  }

  #move(event: PointerEvent): void {
    const at = this.#screen(event);
    const before = this.#touches.get(event.pointerId);
    if (before !== undefined) this.#touches.set(event.pointerId, at);
    if (this.#touches.size === 2 && before !== undefined) return this.#pinching(before, at);
    const place = this.#place;
    if (place === null) return;
    const on = toClip(place.lie, at);
    const doing = this.#doing;
    if (doing?.what === "pan") return this.#pan(doing, at);
    if (doing?.what === "stroke")
      for (const each of event.getCoalescedEvents?.() ?? [])
        doing.points.push(toClip(place.lie, this.#screen(each)));
    const reach = event.altKey ? 0 : this.#reach(event, place.scale);
    this.#soon(() => this.#changing(on, reach));
  }

  #pan(doing: Extract<Doing, { what: "pan" }>, at: Point): void {
    const by = minus(at, doing.last);
    doing.last = at;
    this.#view((view, place) => panned(view, by, place));
  }

  #changing(on: Point, reach: number): void {
    const place = this.#place;
    const doing = this.#doing;
    const { store } = this.#bench;
    if (place === null) return;
    if (doing?.what === "move") {
      doing.last = this.#moved(doing, on, place, reach);
      store.dispatch({ do: "draft", swing: this.#band.swing, mark: doing.last });
    } else if (doing?.what === "stroke") {
      const spots = doing.points.map((point): Spot => [point[0], point[1]]);
      store.dispatch({
        do: "draft",
        swing: this.#band.swing,
        mark: newMark("draft", "freehand", spots, store.state.ink),
      });
    } else if (doing?.what === "set") {
      this.#bench.preview(this.#band.swing, withPoint(place.facts, doing.name, place.number, on));
    } else {
      this.#trail(on, place, reach);
    }
  }

  /** The last spot of a half-drawn mark goes with the pointer, also between two presses. */
  #trail(on: Point, place: { facts: SwingFacts; number: number }, reach: number): void {
    const { store } = this.#bench;
    const { draft } = store.state;
    if (draft === null || draft.swing !== this.#band.swing || draft.mark.kind === "freehand")
      return;
    const spots = [...draft.mark.spots.slice(0, -1), spotAt(place.facts, place.number, on, reach)];
    store.dispatch({ do: "draft", swing: draft.swing, mark: { ...draft.mark, spots } });
  }

  #moved(
    doing: Extract<Doing, { what: "move" }>,
    on: Point,
    place: { facts: SwingFacts; number: number },
    reach: number,
  ): Mark {
    const { mark, spot } = doing.held;
    if (spot < 0) return movedMark(mark, minus(on, doing.from));
    const spots = [...mark.spots];
    spots[spot] = spotAt(place.facts, place.number, on, reach);
    return { ...mark, spots };
  }

  #up(event: PointerEvent): void {
    const at = this.#screen(event);
    this.#touches.delete(event.pointerId);
    const doing = this.#doing;
    const place = this.#place;
    this.#doing = null;
    this.#waiting = null;
    if (doing === null || place === null) return;
    const on = toClip(place.lie, at);
    if (doing.what === "move") this.#settle(doing, on, place, event);
    else if (doing.what === "stroke") this.#stroke(doing.points, place);
    else if (doing.what === "set") this.onSet(doing.name, on);
    else if (doing.what === "draw") this.#lift(doing, on, place, event);
  }

  #settle(
    doing: Extract<Doing, { what: "move" }>,
    on: Point,
    place: { facts: SwingFacts; number: number; scale: number },
    event: PointerEvent,
  ): void {
    const { store } = this.#bench;
    const swing = this.#band.swing;
    const far = Math.hypot(...minus(on, doing.from)) * place.scale > CLICK_PX;
    if (!far) {
      if (store.state.draft !== null) store.dispatch({ do: "draft", swing, mark: null });
      return;
    }
    const mark = this.#moved(doing, on, place, event.altKey ? 0 : this.#reach(event, place.scale));
    store.dispatch({ do: "mark", swing, id: mark.id, mark });
  }

  #stroke(points: readonly Point[], place: { facts: SwingFacts; scale: number }): void {
    const size = FREEHAND.size * (place.facts.clip.height / REFERENCE_PX);
    if (points.length < 2)
      return this.#bench.store.dispatch({ do: "draft", swing: this.#band.swing, mark: null });
    const { spots, outline } = finishStroke(points, size, 1.5 / place.scale);
    const mark = { ...newMark(newId(), "freehand", spots, this.#bench.store.state.ink), outline };
    this.#bench.store.dispatch({ do: "mark", swing: this.#band.swing, id: mark.id, mark });
  }

  /** Drawn in one go, where the hand has gone some way; else the next press goes on. */
  #lift(
    doing: Extract<Doing, { what: "draw" }>,
    on: Point,
    place: { facts: SwingFacts; number: number; scale: number },
    event: PointerEvent,
  ): void {
    const { draft } = this.#bench.store.state;
    if (draft === null || Math.hypot(...minus(on, doing.from)) * place.scale <= 2 * CLICK_PX)
      return;
    const spot = spotAt(
      place.facts,
      place.number,
      on,
      event.altKey ? 0 : this.#reach(event, place.scale),
    );
    const spots = [...draft.mark.spots.slice(0, -1), spot];
    const kind = draft.mark.kind as Free;
    if (spots.length >= SPOTS[kind]) this.#keep({ ...draft.mark, spots });
    else
      this.#bench.store.dispatch({
        do: "draft",
        swing: draft.swing,
        mark: { ...draft.mark, spots: [...spots, spot] },
      });
  }

  #cancel(event: PointerEvent): void {
    this.#touches.delete(event.pointerId);
    this.#letGo();
  }

  #letGo(): void {
    if (this.#doing?.what === "set") this.#bench.preview(this.#band.swing, null);
    this.#doing = null;
    this.#waiting = null;
  }

  #heard(event: BenchEvent): void {
    if (event.do === "tool") this.#letGo();
  }

  #view(
    change: (
      view: { zoom: number; x: number; y: number },
      place: Parameters<typeof panned>[2],
    ) => ReturnType<typeof panned>,
  ): void {
    const row = this.#bench.store.state.rows[this.#band.row];
    const facts = this.#bench.facts.get(this.#band.swing);
    if (row === undefined || facts === undefined) return;
    const view = change(row.view, {
      clip: facts.clip,
      band: this.#band.size,
      mirrored: row.mirrored,
    });
    this.#bench.store.dispatch({ do: "view", row: this.#band.row, view });
  }

  #wheel(event: WheelEvent): void {
    event.preventDefault();
    if (this.#bench.stage.playback) return;
    const at = this.#screen(event);
    const unit = event.deltaMode === WheelEvent.DOM_DELTA_LINE ? 16 : 1;
    const by = Math.exp((-event.deltaY * unit) / (event.ctrlKey ? 120 : 400));
    this.#view((view, place) => zoomed(view, by, at, place));
  }

  #pinched(): void {
    this.#letGo();
    const { draft } = this.#bench.store.state;
    if (draft !== null) this.#bench.store.dispatch({ do: "draft", swing: draft.swing, mark: null });
    const [one, other] = [...this.#touches.values()] as [Point, Point];
    this.#pinch = Math.hypot(...minus(one, other));
  }

  #pinching(before: Point, at: Point): void {
    const [one, other] = [...this.#touches.values()] as [Point, Point];
    const apart = Math.hypot(...minus(one, other));
    const middle: Point = [(one[0] + other[0]) / 2, (one[1] + other[1]) / 2];
    const by = this.#pinch > 0 ? apart / this.#pinch : 1;
    this.#pinch = apart;
    const way: Point = [(at[0] - before[0]) / 2, (at[1] - before[1]) / 2];
    this.#view((view, place) => panned(zoomed(view, by, middle, place), way, place));
  }
}

export function newId(): string {
  return crypto
    .getRandomValues(new Uint32Array(3))
    .reduce((id, part) => id + part.toString(36), "m");
}

/** The swing as it is with one point elsewhere in one frame. */
export function withPoint(facts: SwingFacts, name: string, number: number, at: Point): SwingFacts {
  const point = facts.tracks.points.get(name);
  const row = facts.tracks.numbers.indexOf(number);
  if (point === undefined || row < 0) return facts;
  const xy = [...point.xy];
  xy[row] = at;
  const points = new Map<string, TrackedPoint>(facts.tracks.points);
  points.set(name, { ...point, xy });
  const touched = new Map(facts.touched);
  touched.set(name, new Set([...(touched.get(name) ?? []), number]));
  return { ...facts, tracks: { ...facts.tracks, points }, touched };
}

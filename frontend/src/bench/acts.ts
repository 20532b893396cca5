/** What keys and words do: one place, so that both do the same. */
import type { Point } from "../geometry/vector";
import { lieOf, panned, toClip, WHOLE, zoomed } from "../geometry/view";
import { instantOf, shownAt, type SwingFacts } from "../scene/facts";
import { nearestPoint, spotAt } from "../scene/hit";
import {
  followMark,
  FREE,
  markOf,
  newMark,
  SPOTS,
  type Followed,
  type Free,
  type Mark,
} from "../scene/marks";
import { marksOf, type Layer, type Row } from "../scene/state";
import { secondsAt, stepped } from "../time/frames";
import type { Band } from "./band";
import type { Bench } from "./bench";
import { newId, withPoint } from "./hands";
import type { Setting } from "./setting";
import { viewOnGolfer } from "./told";
import { RATES, repinned } from "./words";

const ZOOM = 1.25;
const PAN_PX = 60;
const CROSS_PX = 2;
const CROSS_FAR_PX = 20;
const PAN: Readonly<Record<string, Point>> = {
  w: [0, PAN_PX],
  s: [0, -PAN_PX],
  a: [PAN_PX, 0],
  d: [-PAN_PX, 0],
};

export class Acts {
  readonly #bench: Bench;
  readonly #setting: Setting;
  readonly #bands: ReadonlyMap<string, Band>;
  /** A point that the keys took hold of. */
  #held: { swing: string; name: string; frame: number } | null = null;
  onKeys: () => void = () => undefined;
  onBeside: () => void = () => undefined;

  constructor(bench: Bench, setting: Setting, bands: ReadonlyMap<string, Band>) {
    this.#bench = bench;
    this.#setting = setting;
    this.#bands = bands;
  }

  /** Do what a word or a key says; `value` is what was written, picked or pressed. */
  do(act: string, value = ""): void {
    const [verb = "", rest = ""] = split(act);
    const known = this.#verbs[verb];
    if (known !== undefined) known(rest, value);
  }

  readonly #verbs: Readonly<Record<string, (rest: string, value: string) => void>> = {
    run: (rest) => this.#run(rest === "back" ? -1 : 1),
    frame: (rest) => this.#step(Number(rest)),
    moment: (rest) => this.#moment(Number(rest)),
    digit: (_, key) => this.#nth(Number(key)),
    set: (_, key) => this.#setMoment(Number(key)),
    rate: (rest, value) => this.#rate(rest, value),
    zoom: (rest) => this.#zoom(ZOOM ** Number(rest)),
    pan: (_, key) => this.#pan(PAN[key.toLowerCase()] ?? [0, 0]),
    fit: () => this.fit(),
    together: () => this.#store.dispatch({ do: "together", on: !this.#store.state.together }),
    lead: () => this.lead((this.#store.state.lead + 1) % this.#store.state.rows.length),
    mirror: () => this.mirror(this.#store.state.lead),
    offset: (rest) => this.#store.state.rows.forEach((_, row) => this.offset(row, Number(rest))),
    layer: (rest) =>
      this.#store.dispatch({
        do: "layer",
        layer: rest as Layer,
        on: !this.#store.state.layers[rest as Layer],
      }),
    tool: (rest) => this.#tool(rest),
    ink: (rest) => this.#ink(Number(rest)),
    follow: (rest) => this.#follow(rest as Followed),
    cross: (_, key) => this.#cross(key),
    enter: () => this.#enter(),
    automatic: (rest) => this.#automatic(rest === "all"),
    undo: () => this.#store.dispatch({ do: "undo" }),
    redo: () => this.#store.dispatch({ do: "redo" }),
    drop: () =>
      this.#chosen((mark, swing) =>
        this.#store.dispatch({ do: "mark", swing, id: mark.id, mark: null }),
      ),
    unselect: () => this.#unselect(),
    let: () => this.#letGo(),
    from: (_, value) => this.#change((mark) => ({ ...mark, from: value === "" ? null : value })),
    to: (_, value) => this.#change((mark) => ({ ...mark, to: value === "" ? null : value })),
    text: (_, value) => this.#change((mark) => ({ ...mark, text: value })),
    pin: (_, value) => this.#pin(value),
    keys: () => this.onKeys(),
    beside: () => this.onBeside(),
  };

  get #store() {
    return this.#bench.store;
  }

  get #lead(): { row: Row; facts: SwingFacts; place: number; number: number } | null {
    const { state } = this.#store;
    const row = state.rows[state.lead];
    const facts = this.#bench.facts.get(row?.swing ?? "");
    const shown = this.#bench.shown()[state.lead];
    if (row === undefined || facts === undefined || shown === null || shown === undefined)
      return null;
    return { row, facts, place: shown.place, number: shown.number };
  }

  #run(way: number): void {
    const { state } = this.#store;
    const lead = this.#lead;
    if (lead === null) return;
    if (state.run !== null && Math.sign(state.run.rate) === way)
      return this.#store.dispatch({ do: "seek", at_s: this.#nearest() });
    const low_s = secondsAt(lead.facts.table, 0);
    const high_s = secondsAt(lead.facts.table, lead.facts.table.numbers.length - 1);
    const at = this.#store.cursor();
    const end = way > 0 ? at >= high_s : at <= low_s;
    const from_s = end ? (way > 0 ? low_s : high_s) : at;
    this.#store.dispatch({
      do: "run",
      from_s,
      rate: way * state.rate,
      low_s,
      high_s,
      again: false,
    });
  }

  /** Instant of the frame that is shown: where a run comes to rest. */
  #nearest(): number {
    const lead = this.#lead;
    return lead === null ? this.#store.cursor() : secondsAt(lead.facts.table, lead.place);
  }

  #step(by: number): void {
    const lead = this.#lead;
    if (lead === null) return;
    const at_s = secondsAt(lead.facts.table, stepped(lead.facts.table, lead.place, by));
    this.#store.dispatch({ do: "seek", at_s });
  }

  #moment(by: number): void {
    const lead = this.#lead;
    if (lead === null) return;
    const { moments } = lead.facts;
    const next =
      by > 0
        ? moments.find((each) => each.frame > lead.number)
        : [...moments].reverse().find((each) => each.frame < lead.number);
    if (next !== undefined) this.#store.dispatch({ do: "seek", at_s: next.time_s });
  }

  #nth(digit: number): void {
    const moment = this.#lead?.facts.moments[(digit + 9) % 10];
    if (moment !== undefined) this.#store.dispatch({ do: "seek", at_s: moment.time_s });
  }

  #setMoment(digit: number): void {
    const lead = this.#lead;
    const moment = lead?.facts.moments[(digit + 9) % 10];
    if (lead === null || moment === undefined) return;
    void this.#setting.moment(
      lead.row.swing,
      moment.name,
      moment.title,
      secondsAt(lead.facts.table, lead.place),
    );
  }

  #rate(rest: string, value: string): void {
    const { state } = this.#store;
    const now = RATES.findIndex((rate) => rate >= state.rate - 1e-9);
    const rate =
      value !== "" && rest === ""
        ? Number(value)
        : RATES[Math.min(Math.max(now + Number(rest), 0), RATES.length - 1)];
    if (rate === undefined || !(rate > 0)) return;
    const { run } = state;
    const at = this.#store.cursor();
    this.#store.dispatch({ do: "rate", rate });
    if (run !== null)
      this.#store.dispatch({
        do: "run",
        from_s: at,
        rate: Math.sign(run.rate) * rate,
        low_s: run.low_s,
        high_s: run.high_s,
        again: run.again,
      });
  }

  #view(change: (row: Row, band: Band, facts: SwingFacts) => Row["view"]): void {
    const { state } = this.#store;
    const row = state.rows[state.lead];
    const band = this.#bands.get(row?.swing ?? "");
    const facts = this.#bench.facts.get(row?.swing ?? "");
    if (row === undefined || band === undefined || facts === undefined) return;
    this.#store.dispatch({ do: "view", row: state.lead, view: change(row, band, facts) });
  }

  #zoom(by: number): void {
    this.#view((row, band, facts) =>
      zoomed(row.view, by, [band.size.width / 2, band.size.height / 2], {
        clip: facts.clip,
        band: band.size,
        mirrored: row.mirrored,
      }),
    );
  }

  #pan(by: Point): void {
    this.#view((row, band, facts) =>
      panned(row.view, by, { clip: facts.clip, band: band.size, mirrored: row.mirrored }),
    );
  }

  /** Every golfer whole. */
  fit(): void {
    const { state } = this.#store;
    const { together } = state;
    if (together) this.#store.dispatch({ do: "together", on: false });
    state.rows.forEach((row, place) => {
      const band = this.#bands.get(row.swing);
      const facts = this.#bench.facts.get(row.swing);
      const view =
        band === undefined || facts === undefined ? WHOLE : viewOnGolfer(facts, band.size);
      this.#store.dispatch({ do: "view", row: place, view });
    });
    if (together) this.#store.dispatch({ do: "together", on: true });
  }

  /** Another row's scale leads, at the same place of the swing. */
  lead(row: number): void {
    const { state } = this.#store;
    const shown = shownAt(state, this.#bench.facts, this.#store.now())[row];
    if (shown !== null && shown !== undefined && row !== state.lead)
      this.#store.dispatch({ do: "lead", row, at_s: shown.time_s });
  }

  mirror(row: number): void {
    const known = this.#store.state.rows[row];
    if (known !== undefined)
      this.#store.dispatch({ do: "row.mirror", row, mirrored: !known.mirrored });
  }

  /** A row by so many of its own frames; the leading row has none. */
  offset(row: number, frames: number): void {
    const { state } = this.#store;
    const known = state.rows[row];
    const facts = this.#bench.facts.get(known?.swing ?? "");
    if (known === undefined || facts === undefined || row === state.lead) return;
    const { table } = facts;
    const interval =
      (secondsAt(table, table.numbers.length - 1) - secondsAt(table, 0)) /
      Math.max(table.numbers.length - 1, 1);
    const offset_s = Math.round((known.offset_s + frames * interval) * 1e6) / 1e6;
    this.#store.dispatch({
      do: "row.offset",
      row,
      offset_s: Math.abs(offset_s) < interval / 2 ? 0 : offset_s,
    });
  }

  off(row: number): void {
    const { state } = this.#store;
    const heir = state.rows.findIndex((_, place) => place !== row);
    const at_s =
      heir < 0 ? state.at_s : instantOf(state, this.#bench.facts, heir, this.#store.cursor());
    this.#store.dispatch({ do: "row.remove", row, at_s });
  }

  #tool(tool: string): void {
    this.#held = null;
    this.#store.dispatch({ do: "tool", tool });
    this.#unselect();
    if (tool !== "hand") this.#point();
  }

  #ink(ink: number): void {
    this.#store.dispatch({ do: "ink", ink });
    this.#change((mark) => ({ ...mark, ink }));
  }

  /** Lines that follow the tracks are put on, or taken off, every swing. */
  #follow(follow: Followed): void {
    const { state } = this.#store;
    const lead = state.rows[state.lead]?.swing ?? "";
    const on = marksOf(state, lead).marks.some((mark) => mark.follow === follow);
    for (const { swing } of state.rows) {
      const known = marksOf(state, swing).marks.find((mark) => mark.follow === follow);
      if (on && known !== undefined)
        this.#store.dispatch({ do: "mark", swing, id: known.id, mark: null });
      if (on || known !== undefined) continue;
      const mark = followMark(newId(), follow, state.ink);
      this.#store.dispatch({ do: "mark", swing, id: mark.id, mark });
    }
  }

  #chosen(then: (mark: Mark, swing: string) => void): void {
    const { selected } = this.#store.state;
    const mark =
      selected === null ? null : markOf(marksOf(this.#store.state, selected.swing), selected.id);
    if (mark !== null && selected !== null) then(mark, selected.swing);
  }

  #change(change: (mark: Mark) => Mark): void {
    this.#chosen((mark, swing) =>
      this.#store.dispatch({ do: "mark", swing, id: mark.id, mark: change(mark) }),
    );
  }

  #pin(pin: string): void {
    this.#chosen((mark, swing) => {
      const row = this.#store.state.rows.findIndex((each) => each.swing === swing);
      const shown = this.#bench.shown()[row];
      const facts = this.#bench.facts.get(swing);
      if (shown === null || shown === undefined || facts === undefined) return;
      this.#store.dispatch({
        do: "mark",
        swing,
        id: mark.id,
        mark: repinned(mark, facts, shown.number, pin),
      });
    });
  }

  #unselect(): void {
    const { selected } = this.#store.state;
    if (selected !== null) this.#store.dispatch({ do: "select", swing: selected.swing, id: null });
  }

  #letGo(): void {
    const { state } = this.#store;
    if (this.#held !== null) {
      this.#bench.preview(this.#held.swing, null);
      this.#held = null;
    } else if (state.draft !== null)
      this.#store.dispatch({ do: "draft", swing: state.draft.swing, mark: null });
    else if (state.selected !== null) this.#unselect();
    else if (state.tool !== "hand") this.#tool("hand");
  }

  #automatic(all: boolean): void {
    const lead = this.#lead;
    if (lead !== null) void this.#setting.automatic(lead.row.swing, all ? null : lead.number);
  }

  /** The cross stands in the middle of the leading picture until it is moved. */
  #point(): Point | null {
    const lead = this.#lead;
    const band = lead === null ? undefined : this.#bands.get(lead.row.swing);
    if (lead === null || band === undefined) return null;
    const { pointing } = this.#store.state;
    if (pointing !== null && pointing.swing === lead.row.swing) return pointing.at;
    const lie = lieOf(lead.row.view, lead.facts.clip, band.size, lead.row.mirrored);
    const at = toClip(lie, [band.size.width / 2, band.size.height / 2]);
    this.#store.dispatch({ do: "point", swing: lead.row.swing, at });
    return at;
  }

  #cross(key: string): void {
    const lead = this.#lead;
    const at = this.#point();
    const band = this.#bands.get(lead?.row.swing ?? "");
    const lie = band?.lie() ?? null;
    if (lead === null || at === null || lie === null) return;
    const far = key.startsWith("Shift");
    const step = (far ? CROSS_FAR_PX : CROSS_PX) / Math.abs(lie.down);
    const way: Point = key.endsWith("Left")
      ? [-1, 0]
      : key.endsWith("Right")
        ? [1, 0]
        : key.endsWith("Up")
          ? [0, -1]
          : [0, 1];
    const turned = lead.row.mirrored ? -1 : 1;
    const to: Point = [at[0] + way[0] * step * turned, at[1] + way[1] * step];
    this.#store.dispatch({ do: "point", swing: lead.row.swing, at: to });
    if (this.#held !== null)
      this.#bench.preview(
        this.#held.swing,
        withPoint(
          this.#bench.swing(lead.row.swing)?.facts ?? lead.facts,
          this.#held.name,
          lead.number,
          to,
        ),
      );
    else this.#trail(lead, to, 10 / Math.abs(lie.down));
  }

  #trail(lead: { row: Row; facts: SwingFacts; number: number }, to: Point, reach: number): void {
    const { draft } = this.#store.state;
    if (draft === null || draft.swing !== lead.row.swing) return;
    const spots = [...draft.mark.spots.slice(0, -1), spotAt(lead.facts, lead.number, to, reach)];
    this.#store.dispatch({ do: "draft", swing: draft.swing, mark: { ...draft.mark, spots } });
  }

  /** What a press would do at the cross. */
  #enter(): void {
    const lead = this.#lead;
    const { state } = this.#store;
    const at = state.tool === "hand" ? null : this.#point();
    const lie = this.#bands.get(lead?.row.swing ?? "")?.lie() ?? null;
    if (lead === null || at === null || lie === null) return;
    const reach = 10 / Math.abs(lie.down);
    if (state.tool === "set") return this.#takeOrSet(lead, at, reach, 1 / Math.abs(lie.down));
    if ((FREE as readonly string[]).includes(state.tool))
      this.#draw(lead, state.tool as Free, at, reach);
  }

  #takeOrSet(
    lead: { row: Row; facts: SwingFacts; number: number },
    at: Point,
    reach: number,
    screen_px: number,
  ): void {
    const held = this.#held;
    if (held !== null) {
      this.#held = null;
      void this.#setting.point(held.swing, held.name, held.frame, at, screen_px);
      return;
    }
    const near = nearestPoint(lead.facts, lead.number, at, 4 * reach);
    if (near === null) return;
    this.#held = { swing: lead.row.swing, name: near.name, frame: lead.number };
    this.#store.dispatch({ do: "point", swing: lead.row.swing, at: near.at });
    this.#setting.onWords(
      `Holding the ${near.name.replace("_", " ")}: move it with Ctrl and the arrows, Enter sets it down.`,
    );
  }

  #draw(
    lead: { row: Row; facts: SwingFacts; number: number },
    tool: Free,
    at: Point,
    reach: number,
  ): void {
    if (tool === "freehand")
      return this.#setting.onWords(
        "Freehand needs a pointer; the other marks can be drawn by keys.",
      );
    const { draft, ink } = this.#store.state;
    const spot = spotAt(lead.facts, lead.number, at, reach);
    const going =
      draft !== null && draft.swing === lead.row.swing && draft.mark.kind === tool
        ? draft.mark
        : null;
    const spots = going === null ? [spot] : [...going.spots.slice(0, -1), spot];
    const mark = going === null ? newMark(newId(), tool, spots, ink) : { ...going, spots };
    if (spots.length < SPOTS[tool])
      return this.#store.dispatch({
        do: "draft",
        swing: lead.row.swing,
        mark: { ...mark, spots: [...spots, spot] },
      });
    this.#store.dispatch({ do: "mark", swing: lead.row.swing, id: mark.id, mark });
    this.#store.dispatch({ do: "select", swing: lead.row.swing, id: mark.id });
  }
}

function split(act: string): [string, string] {
  const at = act.indexOf(" ");
  return at < 0 ? [act, ""] : [act.slice(0, at), act.slice(at + 1)];
}

/** Opens the bench that the page asks for. */
import type { SchemaBenchTold, SchemaFilmTold, SchemaOtherTold } from "../contract";
import { ask } from "../page/ask";
import { newBench, newRow } from "../scene/state";
import { Acts } from "./acts";
import { Band } from "./band";
import { Bench, filmOf } from "./bench";
import { lettersAct, showKeys, showOthers } from "./dialogs";
import { byId, make, say } from "./dom";
import { Hands } from "./hands";
import { Keeping } from "./keeping";
import { actOf, isLetter, isTaken } from "./keys";
import { Scale } from "./scale";
import { Setting } from "./setting";
import { opened, viewOnGolfer } from "./told";
import { WordLine } from "./words";

const LOOK_MS = 400;

type Say = (words: string) => void;

/** Everything told of a swing, once its frames are ready; says how far they are. */
async function tellSwing(swing: string, words: Say): Promise<SchemaBenchTold> {
  const told = await ask<SchemaBenchTold>(`/bench/${swing}/facts`);
  let { film } = told;
  while (film.address === null) {
    const { job } = film;
    if (job !== null && (job.state === "refused" || job.state === "failed"))
      throw new Error(job.error);
    const far = job !== null && job.total > 0 ? ` ${job.done} of ${job.total}` : "";
    words(`Making the frames of ${told.title} ready, once:${far} …`);
    await new Promise((done) => setTimeout(done, LOOK_MS));
    film = await ask<SchemaFilmTold>(`/bench/${swing}/film`);
  }
  return { ...told, film };
}

export async function startBench(page: HTMLElement): Promise<Bench> {
  const status = byId("bench-say");
  const words: Say = (text) => say(status, text);
  const swing = page.dataset["swing"] ?? "";
  const told = await tellSwing(swing, words);
  const first = opened(told);
  const { film, words: slower } = await filmOf(told);
  const moment =
    first.facts.moments.find((each) => each.name === page.dataset["moment"]) ??
    first.facts.moments[0];
  const at_s = moment?.time_s ?? first.facts.table.seconds[0] ?? 0;
  const bench = new Bench(newBench([newRow(swing)], at_s), first, film);
  const table = new Table(bench, words);
  table.lay(swing);
  table.keeping.open(swing, told.marks);
  words(slower);
  for (const other of (page.dataset["beside"] ?? "").split(" ").filter((name) => name !== ""))
    await table.beside(other);
  bench.announce();
  return bench;
}

/** The bench's parts on the page, and what passes between them. */
class Table {
  readonly keeping: Keeping;
  readonly #bench: Bench;
  readonly #words: Say;
  readonly #bands = new Map<string, Band>();
  readonly #setting: Setting;
  readonly #acts: Acts;

  constructor(bench: Bench, words: Say) {
    this.#bench = bench;
    this.#words = words;
    this.#setting = new Setting(bench);
    this.#setting.onWords = words;
    this.#acts = new Acts(bench, this.#setting, this.#bands);
    this.#acts.onKeys = showKeys;
    this.#acts.onBeside = () => void this.#choose();
    this.keeping = new Keeping(bench);
    this.keeping.onWords = words;
    const line = new WordLine(bench, byId("words"));
    line.onWord = (word, value) => this.#acts.do(word, value);
    const scale = new Scale(bench, byId("scale"));
    scale.onMoment = (swing, name, title, at_s) =>
      void this.#setting.moment(swing, name, title, at_s);
    bench.views.push(scale, line);
    bench.onFault = (error) =>
      words(
        `A frame could not be shown: ${error instanceof Error ? error.message : String(error)}.`,
      );
    bench.store.listen((event) => {
      if (event.do.startsWith("row.")) this.#arrange();
    });
    document.addEventListener("keydown", (event) => this.#key(event));
  }

  /** A swing as a band, below those that are there; framed when its size is known. */
  lay(swing: string): void {
    const band = new Band(this.#bench, swing);
    band.onAct = (act) => this.#rowAct(band, act);
    let framed = false;
    band.onResized = () => {
      const facts = this.#bench.facts.get(swing);
      if (framed || facts === undefined || band.size.width < 2) return;
      framed = true;
      this.#frame(band, () => viewOnGolfer(facts, band.size));
    };
    const hands = new Hands(this.#bench, band);
    hands.onSet = (name, at) => {
      const shown = this.#bench.shown()[band.row];
      const scale = Math.abs(band.lie()?.down ?? 1);
      if (shown !== null && shown !== undefined)
        void this.#setting.point(swing, name, shown.number, at, 1 / scale);
    };
    hands.onWords = () =>
      requestAnimationFrame(() =>
        requestAnimationFrame(() =>
          byId("words").querySelector<HTMLInputElement>("input")?.focus(),
        ),
      );
    this.#bands.set(swing, band);
    this.#bench.views.unshift(band);
    byId("bands").append(band.element);
    byId("bands").dataset["rows"] = String(this.#bands.size);
  }

  /** A view of one row alone, whether or not all move together. */
  #frame(band: Band, view: () => ReturnType<typeof viewOnGolfer>): void {
    const { store } = this.#bench;
    const { together } = store.state;
    if (together) store.dispatch({ do: "together", on: false });
    store.dispatch({ do: "view", row: band.row, view: view() });
    if (together) store.dispatch({ do: "together", on: true });
  }

  /** Another swing on the bench, locked to the same moment. */
  async beside(swing: string): Promise<void> {
    if (this.#bench.facts.has(swing)) return;
    try {
      const told = await tellSwing(swing, this.#words);
      const other = opened(told);
      const { film, words } = await filmOf(told);
      this.#bench.add(other, film);
      this.#bench.store.dispatch({ do: "row.add", row: newRow(swing) });
      this.lay(swing);
      this.keeping.open(swing, told.marks);
      const lead = this.#bench.swing(this.#bench.store.state.rows[0]?.swing ?? "");
      if (lead !== undefined && lead.told.left_handed !== told.left_handed)
        this.#acts.mirror(this.#bench.store.state.rows.length - 1);
      this.#words(words);
      this.#acts.fit();
    } catch (error) {
      this.#words(
        `That swing cannot be set beside. ${error instanceof Error ? error.message : String(error)}`,
      );
    }
  }

  async #choose(): Promise<void> {
    const [first] = this.#bench.store.state.rows;
    if (first === undefined) return;
    try {
      const others = await ask<SchemaOtherTold[]>(`/bench/${first.swing}/others`);
      showOthers(
        others.filter((other) => !this.#bench.facts.has(other.swing)),
        (swing) => void this.beside(swing),
      );
    } catch (error) {
      this.#words(error instanceof Error ? error.message : String(error));
    }
  }

  #rowAct(band: Band, act: string): void {
    const { row } = band;
    if (act === "mirror") this.#acts.mirror(row);
    else if (act === "lead") this.#acts.lead(row);
    else if (act === "earlier") this.#acts.offset(row, -1);
    else if (act === "later") this.#acts.offset(row, 1);
    else if (act === "off") this.#acts.off(row);
  }

  /** Bands stand in the order of the rows; one whose row is gone goes. */
  #arrange(): void {
    const rows = this.#bench.store.state.rows.map((row) => row.swing);
    for (const [swing, band] of this.#bands) {
      if (rows.includes(swing)) continue;
      band.element.remove();
      this.#bands.delete(swing);
      this.#bench.views.splice(this.#bench.views.indexOf(band), 1);
    }
    const bands = byId("bands");
    rows.forEach((swing) => {
      const element = this.#bands.get(swing)?.element;
      if (element !== undefined && bands.children[rows.indexOf(swing)] !== element)
        bands.append(element);
    });
    bands.dataset["rows"] = String(this.#bands.size);
  }

  #key(event: KeyboardEvent): void {
    if (this.#bench.stage.playback || event.defaultPrevented || isTaken(event)) return;
    const found = actOf(event);
    if (found === null || (isLetter(event) && event.key !== "?" && !lettersAct())) return;
    event.preventDefault();
    this.#acts.do(
      found.act,
      found.act === "cross" && event.shiftKey ? `Shift ${found.key}` : found.key,
    );
  }
}

/** Where the bench cannot open: why, and the way back to the stills. */
export function sayClosed(page: HTMLElement, error: unknown): void {
  const why = error instanceof Error ? error.message : String(error);
  const back = make(
    "a",
    { href: page.dataset["back"] ?? "/" },
    "The sheet shows the swing at its moments.",
  );
  byId("bench-say").replaceChildren(`The bench cannot open. ${why} `, back);
}

/** The open bench: swings, store, films; what is painted when. */
import type { SchemaBenchTold, SchemaReadingTold } from "../contract";
import { decodesFrames, openFilm, SentFilm, type FilmFrames } from "../paint/film";
import type { BenchEvent } from "../scene/events";
import { shownAt, type Facts, type Shown } from "../scene/facts";
import { announceStage, type Stage } from "../scene/stage";
import { cursorAt, runEnded, type BenchState } from "../scene/state";
import { BenchStore } from "../scene/store";
import { opened, reread, type OpenSwing } from "./told";

/** Something on the page that shows the state. */
export interface View {
  /** Paint what is shown now; gives whether everything wanted was there. */
  paint(state: BenchState, now: number, shown: readonly (Shown | null)[]): void;
}

/** Height of the small pictures, pixels. */
const STILL_PX = 640;

export class Bench {
  readonly store: BenchStore;
  readonly views: View[] = [];
  readonly stage: Stage;
  readonly #swings = new Map<string, OpenSwing>();
  readonly #films = new Map<string, FilmFrames>();
  /** Small pictures of the moments, by swing and frame. */
  readonly #stills = new Map<string, Map<number, ImageBitmap>>();
  #facts: Facts = new Map();
  #asked = 0;
  #shown: { state: BenchState; now: number } | null = null;
  #last: readonly (Shown | null)[] = [];
  /** Whether a frame that should be shown is not there yet. */
  #waits = false;

  constructor(state: BenchState, first: OpenSwing, film: FilmFrames) {
    this.store = new BenchStore(state);
    this.add(first, film);
    this.store.listen((event) => this.#heard(event));
    this.stage = {
      store: this.store,
      facts: () => this.#facts,
      playback: false,
      show: (shown, now) => this.#play(shown, now),
    };
  }

  /** Other parts of the page may use the bench from now on. */
  announce(): void {
    announceStage(this.stage);
    this.repaint();
  }

  get facts(): Facts {
    return this.#facts;
  }

  swing(name: string): OpenSwing | undefined {
    return this.#swings.get(name);
  }

  film(name: string): FilmFrames | undefined {
    return this.#films.get(name);
  }

  add(swing: OpenSwing, film: FilmFrames): void {
    this.#swings.set(swing.told.swing, swing);
    this.#films.get(swing.told.swing)?.close();
    this.#films.set(swing.told.swing, film);
    film.onFrame = () => {
      if (this.#waits) this.repaint();
    };
    this.#know();
    void this.#picture(swing.told.swing);
  }

  /** The small picture of a swing's frame, where it is a moment's. */
  still(name: string, number: number): ImageBitmap | undefined {
    return this.#stills.get(name)?.get(number);
  }

  /** Small pictures of the moments; those of frames that are no moment any more go. */
  async #picture(name: string): Promise<void> {
    const { facts } = this.#swings.get(name) ?? {};
    const film = this.#films.get(name);
    if (facts === undefined || film === undefined) return;
    const known = this.#stills.get(name) ?? new Map<number, ImageBitmap>();
    this.#stills.set(name, known);
    const wanted = new Set(facts.moments.map((moment) => moment.frame));
    for (const [number, still] of known) {
      if (wanted.has(number)) continue;
      still.close();
      known.delete(number);
    }
    for (const number of wanted) {
      const place = facts.table.numbers.indexOf(number);
      if (place < 0 || known.has(number)) continue;
      try {
        known.set(number, await film.still(place, STILL_PX));
      } catch {
        return; // the film is closed, or that frame does not decode: the side stays empty
      }
      this.repaint();
    }
  }

  /** Another reading of a swing holds now. */
  reread(name: string, reading: SchemaReadingTold): void {
    const known = this.#swings.get(name);
    if (known === undefined) return;
    this.#swings.set(name, reread(known, reading));
    this.#know();
    void this.#picture(name);
    this.store.dispatch({ do: "reading", swing: name, reading: reading.reading });
  }

  /** For the time of a drag: the swing as it would be. */
  preview(name: string, facts: OpenSwing["facts"] | null): void {
    const known = this.#swings.get(name);
    if (known === undefined) return;
    const all = new Map(this.#facts);
    all.set(name, facts ?? known.facts);
    this.#facts = all;
    this.repaint();
  }

  /** What each row shows now. */
  shown(): readonly (Shown | null)[] {
    return shownAt(this.store.state, this.#facts, this.store.now());
  }

  /** Paint once, at the browser's next turn; the latest state is what is painted. */
  repaint(): void {
    if (this.#asked !== 0) return;
    this.#asked = requestAnimationFrame(() => {
      this.#asked = 0;
      this.#paint();
    });
  }

  close(): void {
    cancelAnimationFrame(this.#asked);
    for (const film of this.#films.values()) film.close();
  }

  #know(): void {
    this.#facts = new Map([...this.#swings].map(([name, swing]) => [name, swing.facts]));
    this.repaint();
  }

  #heard(event: BenchEvent): void {
    if (event.do === "row.remove") {
      for (const [name, film] of this.#films) {
        if (this.store.state.rows.some((row) => row.swing === name)) continue;
        film.close();
        for (const still of this.#stills.get(name)?.values() ?? []) still.close();
        this.#stills.delete(name);
        this.#films.delete(name);
        this.#swings.delete(name);
      }
      this.#know();
    }
    // The decoder begins at once, not only when the browser next paints.
    if (event.do === "seek") this.#want(this.store.state, this.shown());
    this.repaint();
  }

  #paint(): void {
    const played = this.#shown;
    const state = played?.state ?? this.store.state;
    const now = played?.now ?? this.store.now();
    const shown = shownAt(state, this.#facts, now);
    this.#want(state, shown);
    for (const view of this.views) view.paint(state, now, shown);
    if (played !== null || state.run === null) return;
    if (runEnded(state, now)) this.store.dispatch({ do: "seek", at_s: cursorAt(state, now) });
    else this.repaint();
  }

  /** Ask for the frames that are not there yet; they are painted when they come. */
  #want(state: BenchState, shown: readonly (Shown | null)[]): void {
    const back = state.run !== null && state.run.rate < 0;
    this.#waits = false;
    shown.forEach((each, row) => {
      const film = each === null ? undefined : this.#films.get(each.swing);
      if (each === null || film === undefined) return;
      const before = this.#last[row];
      const ahead = before?.swing === each.swing && before.place > each.place ? -1 : back ? -1 : 1;
      const there = film.ready(each.place) !== null;
      if (!there) this.#waits = true;
      film.frame(each.place, ahead).catch((error: unknown) => this.onFault(error));
    });
    this.#last = shown;
  }

  /** Hears of a frame that could not be had. */
  onFault: (error: unknown) => void = () => undefined;

  async #play(state: BenchState, now: number): Promise<void> {
    this.#shown = this.stage.playback ? { state, now } : null;
    const shown = shownAt(state, this.#facts, now);
    await Promise.all(
      shown.map((each) =>
        each === null ? null : this.#films.get(each.swing)?.frame(each.place, 1),
      ),
    );
    this.#paint();
  }
}

/** The film of a swing as this browser can show it, and words where it is the slower way. */
export async function filmOf(told: SchemaBenchTold): Promise<{ film: FilmFrames; words: string }> {
  const { film, swing } = told;
  const sent = (): FilmFrames => new SentFilm((place) => `/bench/${swing}/frames/${place}.jpg`);
  if (!decodesFrames()) return { film: sent(), words: SENT_WORDS };
  try {
    const address = new URL(film.address ?? "", location.href).href;
    return {
      film: await openFilm({ address, places_hz: film.places_hz, count: film.numbers.length }),
      words: "",
    };
  } catch (error) {
    console.warn(error);
    return { film: sent(), words: SENT_WORDS };
  }
}

const SENT_WORDS =
  "This browser cannot take single frames out of a film (it has no WebCodecs, or the address is not a safe one). " +
  "Causeline sends each frame as a picture instead: just as exact, but slower.";

export { opened };

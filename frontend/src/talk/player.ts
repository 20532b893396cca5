/**
 * Plays a talk-through: the bench shows each screen when its time comes, and the voice is heard.
 *
 * The sound's own clock leads: pictures follow it, so that the two cannot drift apart. Takes are
 * decoded whole and laid end to end to the sample; where two pieces meet, each fades over a few
 * milliseconds, so that no click is heard.
 */
import type { SchemaTalkTold } from "../contract";
import type { Stage } from "../scene/stage";
import { lengthOf, placeOf } from "./line";
import type { Source } from "./recorder";
import { after, screenAt, type Screen, type Take } from "./screen";
import { benchOf, renamed } from "./shown";

/** Voices need no more; half the memory of the usual 48 kHz. */
export const RATE_HZ = 24_000;
export const FADE_S = 0.006;
const AHEAD_S = 0.06;
const BLANK: Screen = {
  rows: [],
  marks: [],
  layers: { body: true, club: true, marks: true, numbers: true },
  pointer: null,
};

export class Player {
  readonly #stage: Stage;
  readonly #talk: SchemaTalkTold;
  readonly #takes: ReadonlyMap<string, Take>;
  readonly #sounds = new Map<string, AudioBuffer>();
  readonly lasts_ms: number;
  /** Hears where it is, on each painted frame, and once more when it has stopped. */
  onmove: (at_ms: number, playing: boolean) => void = () => undefined;
  #context: AudioContext | null = null;
  #sources: AudioBufferSourceNode[] = [];
  #at_ms = 0;
  /** The clock's second at which the talk-through was at 0. */
  #zero_s = 0;
  #until_ms = 0;
  #playing = false;
  #frame = 0;
  #shown: Shown | null = null;

  constructor(stage: Stage, talk: SchemaTalkTold) {
    this.#stage = stage;
    this.#talk = talk;
    this.#takes = new Map(talk.takes.map((take) => [take.id, take]));
    this.lasts_ms = lengthOf(talk.pieces);
  }

  get playing(): boolean {
    return this.#playing;
  }

  get at_ms(): number {
    return this.#playing ? this.#now() : this.#at_ms;
  }

  /** Its screens, to be recorded anew under another voice. */
  source(): Source {
    return {
      seen: (swings) => {
        const found = this.#screenAt(this.#at_ms);
        return found === null ? BLANK : renamed(found.screen, found.take.swings, swings);
      },
      moving: () => true,
      listen: () => () => undefined,
    };
  }

  /** Go to an instant, and show it. */
  async seek(at_ms: number): Promise<void> {
    const goes = this.#playing;
    this.#halt();
    this.#at_ms = Math.min(Math.max(Math.round(at_ms), 0), this.lasts_ms);
    await this.#show();
    if (goes) await this.play();
  }

  /** Play on from where it is, up to `until_ms`; from the start where it was at the end. */
  async play(until_ms = this.lasts_ms, mute = false): Promise<void> {
    if (this.#playing || this.lasts_ms === 0) return;
    if (this.#at_ms >= until_ms) this.#at_ms = 0;
    this.#until_ms = until_ms;
    this.#context ??= new AudioContext({ sampleRate: RATE_HZ, latencyHint: "interactive" });
    await this.#context.resume();
    if (!mute) await this.#load();
    this.#playing = true;
    this.#speak(this.#context, mute);
    this.#step();
  }

  pause(): void {
    if (!this.#playing) return;
    this.#at_ms = Math.min(this.#now(), this.lasts_ms);
    this.#halt();
    this.onmove(this.#at_ms, false);
  }

  /** Stop, and let the bench be as it is: what is on it may be worked on from here. */
  close(): void {
    this.#halt();
    void this.#context?.close();
    this.#context = null;
  }

  #now(): number {
    const context = this.#context;
    if (context === null) return this.#at_ms;
    const late = context.outputLatency || context.baseLatency || 0;
    return Math.max(Math.round((context.currentTime - late - this.#zero_s) * 1000), 0);
  }

  #step = (): void => {
    if (!this.#playing) return;
    const at = this.#now();
    if (at >= this.#until_ms) {
      this.#at_ms = this.#until_ms;
      this.#halt();
      void this.#show().then(() => this.onmove(this.#at_ms, false));
      return;
    }
    this.#at_ms = at;
    void this.#show();
    this.onmove(at, true);
    this.#frame = requestAnimationFrame(this.#step);
  };

  #halt(): void {
    this.#playing = false;
    cancelAnimationFrame(this.#frame);
    for (const source of this.#sources) source.stop();
    this.#sources = [];
  }

  /** Lay the sound of everything from here on into the clock's future. */
  #speak(context: AudioContext, mute: boolean): void {
    const starts_s = context.currentTime + AHEAD_S;
    this.#zero_s = starts_s - this.#at_ms / 1000;
    if (mute) return;
    let begins = 0;
    for (const piece of this.#talk.pieces) {
      const skip = Math.max(this.#at_ms - begins, 0);
      const lasts = piece.stop_ms - piece.start_ms;
      if (skip < lasts) this.#speakPiece(context, piece.take, piece.start_ms + skip, piece.stop_ms, begins + skip);
      begins += lasts;
    }
  }

  #speakPiece(context: AudioContext, name: string, start_ms: number, stop_ms: number, at_ms: number): void {
    const buffer = this.#sounds.get(name);
    const voice = this.#takes.get(name)?.voice;
    if (buffer === undefined || voice == null) return;
    const from = Math.max(start_ms, voice.starts_ms);
    const lasts = (stop_ms - from) / 1000;
    const offset = (from - voice.starts_ms) / 1000;
    if (lasts <= 0 || offset >= buffer.duration) return;
    const when = this.#zero_s + (at_ms + from - start_ms) / 1000;
    const source = new AudioBufferSourceNode(context, { buffer });
    const fade = new GainNode(context, { gain: 0 });
    fade.gain.setValueAtTime(0, when);
    fade.gain.linearRampToValueAtTime(1, when + FADE_S);
    fade.gain.setValueAtTime(1, Math.max(when + lasts - FADE_S, when + FADE_S));
    fade.gain.linearRampToValueAtTime(0, when + lasts);
    source.connect(fade).connect(context.destination);
    source.start(when, offset, lasts);
    this.#sources.push(source);
  }

  async #load(): Promise<void> {
    const played = new Set(this.#talk.pieces.map((piece) => piece.take));
    for (const name of played) {
      const voice = this.#takes.get(name)?.voice;
      if (voice == null || this.#sounds.has(name)) continue;
      const answer = await fetch(voice.at);
      if (!answer.ok) continue; // it is silent then: the pictures are still to be seen
      const context = this.#context as AudioContext;
      this.#sounds.set(name, await context.decodeAudioData(await answer.arrayBuffer()));
    }
  }

  async #show(): Promise<void> {
    const found = this.#screenAt(this.#at_ms);
    if (found === null || found.screen === this.#shown?.screen) return;
    const { store, facts } = this.#stage;
    const state = benchOf(found.screen, found.take.swings, facts(), store.state);
    this.#shown = { ...found };
    if (state !== null) await this.#stage.show(state, store.now());
  }

  /** The screen, worked out from the last one where that was a little earlier in the same take. */
  #screenAt(at_ms: number): Shown | null {
    const place = placeOf(this.#talk.pieces, at_ms);
    const take = place === null ? undefined : this.#takes.get(place.take);
    if (place === null || take === undefined) return null;
    const last = this.#memo;
    if (last === null || last.take !== take || place.at_ms < last.at_ms) {
      this.#memo = { take, at_ms: place.at_ms, ...folded(take, place.at_ms) };
    } else {
      let { screen, next } = last;
      while (next < take.events.length && (take.events[next]?.at_ms ?? 0) <= place.at_ms) {
        screen = after(screen, take.events[next] as Take["events"][number]);
        next += 1;
      }
      this.#memo = { take, at_ms: place.at_ms, screen, next };
    }
    return { screen: this.#memo.screen, take };
  }

  #memo: { take: Take; at_ms: number; screen: Screen; next: number } | null = null;
}

interface Shown {
  readonly screen: Screen;
  readonly take: Take;
}

function folded(take: Take, at_ms: number): { screen: Screen; next: number } {
  const next = take.events.findIndex((event) => event.at_ms > at_ms);
  return { screen: screenAt(take, at_ms), next: next < 0 ? take.events.length : next };
}

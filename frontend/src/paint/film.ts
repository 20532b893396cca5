/**
 * A swing's frames, decoded one by one in any order: the frame asked for, then those around it.
 *
 * The film is a proxy in which every frame stands by itself (`reading/proxies.py`). One decoder works
 * on one frame at a time, so that whoever asks waits for one decoding at most; of several who ask
 * before it is done, the latest is served. Frames are given back to the browser when they leave the
 * few that are kept.
 */
import {
  BufferSource,
  EncodedPacketSink,
  Input,
  MP4,
  UrlSource,
  type InputVideoTrack,
} from "mediabunny";
import type { Drawable } from "./canvas";

/** A frame that is there, and which one it is. */
export interface There {
  readonly place: number;
  readonly frame: Drawable;
}

export interface FilmFrames {
  /** The frame at a place if it is ready now. */
  ready(place: number): Drawable | null;
  /** Of the frames that are there the one nearest to a place: shown, and named, until that is. */
  nearest(place: number): There | null;
  /** Hears of each frame that has come. */
  onFrame: () => void;
  /**
   * The frame at a place; null where a later call made it needless. `ahead` is which way the
   * next ones will be wanted: 1 or -1.
   */
  frame(place: number, ahead: number): Promise<Drawable | null>;
  /** A small copy of a frame, for the caller to keep: made when nothing else is wanted. */
  still(place: number, high: number): Promise<ImageBitmap>;
  /** How many frames are held, for whoever watches the memory. */
  readonly held: number;
  close(): void;
}

export interface FilmSource {
  readonly address: string;
  readonly places_hz: number;
  readonly count: number;
}

/** Kept around the cursor, the wanted one included; more of them ahead than behind. */
const AHEAD = 8;
const BEHIND = 4;

/** A film up to this size is brought whole, so that no step waits for the network; bytes. */
const MOST_WHOLE = 128 * 2 ** 20;

export class FilmError extends Error {}

/** Whether this browser decodes frames by itself. It does so only on safe addresses. */
export function decodesFrames(): boolean {
  return typeof VideoDecoder === "function" && typeof EncodedVideoChunk === "function";
}

/** Opens the film; rejects with FilmError where the browser cannot decode it. */
export async function openFilm(source: FilmSource): Promise<FilmFrames> {
  const input = new Input({ formats: [MP4], source: new UrlSource(source.address) });
  const track = await input.getPrimaryVideoTrack();
  const config = track === null ? null : await track.getDecoderConfig();
  if (track === null || config === null) throw new FilmError("the film has no pictures");
  const low: VideoDecoderConfig = { ...config, optimizeForLatency: true };
  const support = await VideoDecoder.isConfigSupported(low);
  if (support.supported !== true)
    throw new FilmError(`this browser does not decode ${config.codec}`);
  const film = new DecodedFilm(input, track, low, source);
  void bring(source.address).then((whole) => (whole === null ? undefined : film.replace(whole)));
  return film;
}

/** The whole film; null where it is too large, or does not come. */
async function bring(address: string): Promise<Input | null> {
  try {
    const answer = await fetch(address);
    const size = Number(answer.headers.get("content-length") ?? Infinity);
    if (!answer.ok || size > MOST_WHOLE) {
      await answer.body?.cancel();
      return null;
    }
    return new Input({ formats: [MP4], source: new BufferSource(await answer.arrayBuffer()) });
  } catch {
    return null; // parts of it are read as they are wanted
  }
}

interface Want {
  readonly place: number;
  readonly ahead: number;
  readonly done: (frame: Drawable | null) => void;
  readonly failed: (error: unknown) => void;
}

interface Still {
  readonly place: number;
  readonly high: number;
  readonly done: (still: ImageBitmap) => void;
  readonly failed: (error: unknown) => void;
}

class DecodedFilm implements FilmFrames {
  #input: Input;
  #sink: EncodedPacketSink;
  readonly #config: VideoDecoderConfig;
  readonly #source: FilmSource;
  readonly #kept = new Map<number, VideoFrame>();
  #decoder: VideoDecoder | null = null;
  #out: VideoFrame | null = null;
  #broken: unknown = null;
  #want: Want | null = null;
  #stills: Still[] = [];
  #near = { place: 0, ahead: 1 };
  #working = false;
  #closed = false;

  constructor(
    input: Input,
    track: InputVideoTrack,
    config: VideoDecoderConfig,
    source: FilmSource,
  ) {
    this.#input = input;
    this.#sink = new EncodedPacketSink(track);
    this.#config = config;
    this.#source = source;
  }

  onFrame: () => void = () => undefined;

  get held(): number {
    return this.#kept.size;
  }

  ready(place: number): Drawable | null {
    return this.#kept.get(place) ?? null;
  }

  nearest(place: number): There | null {
    return nearestOf(this.#kept, place);
  }

  frame(place: number, ahead: number): Promise<Drawable | null> {
    this.#near = { place, ahead };
    const known = this.#kept.get(place);
    if (known !== undefined) {
      this.#overtake();
      void this.#work();
      return Promise.resolve(known);
    }
    return new Promise((done, failed) => {
      this.#overtake();
      this.#want = { place, ahead, done, failed };
      void this.#work();
    });
  }

  still(place: number, high: number): Promise<ImageBitmap> {
    return new Promise((done, failed) => {
      this.#stills.push({ place, high, done, failed });
      void this.#work();
    });
  }

  /** Read from the whole film from now on. */
  async replace(whole: Input): Promise<void> {
    const track = await whole.getPrimaryVideoTrack();
    if (track === null || this.#closed) return whole.dispose();
    const parts = this.#input;
    this.#sink = new EncodedPacketSink(track);
    this.#input = whole;
    this.#idle().then(
      () => parts.dispose(),
      () => undefined,
    );
  }

  /** Until nothing is being fetched. */
  async #idle(): Promise<void> {
    while (this.#working && !this.#closed) await new Promise((rest) => setTimeout(rest, 200));
  }

  close(): void {
    this.#closed = true;
    this.#overtake();
    this.#stills = [];
    for (const frame of this.#kept.values()) frame.close();
    this.#kept.clear();
    if (this.#decoder !== null && this.#decoder.state !== "closed") this.#decoder.close();
    this.#input.dispose();
  }

  #overtake(): void {
    this.#want?.done(null);
    this.#want = null;
  }

  /** Decode what is wanted, then what is near, one at a time, until nothing is left to do. */
  async #work(): Promise<void> {
    if (this.#working) return;
    this.#working = true;
    try {
      while (!this.#closed) {
        const place = this.#next();
        const still = place === null ? this.#stills.shift() : undefined;
        if (place !== null) await this.#fetch(place);
        else if (still !== undefined) await this.#copy(still);
        else return;
      }
    } finally {
      this.#working = false;
    }
  }

  #next(): number | null {
    if (this.#want !== null) return this.#want.place;
    const { place, ahead } = this.#near;
    for (let k = 0; k <= AHEAD; k += 1) {
      for (const each of k <= BEHIND
        ? [place + k * ahead, place - k * ahead]
        : [place + k * ahead]) {
        if (each >= 0 && each < this.#source.count && !this.#kept.has(each)) return each;
      }
    }
    return null;
  }

  async #fetch(place: number): Promise<void> {
    const wanted = this.#want?.place === place ? this.#want : null;
    try {
      const frame = await this.#decoded(place);
      if (this.#closed) return frame.close();
      this.#kept.set(place, frame);
      this.#drop(place);
      this.onFrame();
      if (this.#want?.place === place) {
        this.#want.done(frame);
        this.#want = null;
      }
    } catch (error) {
      if (this.#closed) return;
      (this.#want ?? wanted)?.failed(error);
      this.#want = null;
      this.#near = { place: -AHEAD * 2, ahead: -1 }; // look at nothing more until somebody asks
    }
  }

  async #copy(still: Still): Promise<void> {
    try {
      const known = this.#kept.get(still.place);
      const frame = known ?? (await this.#decoded(still.place));
      const size = { resizeHeight: still.high, resizeQuality: "medium" } as const;
      still.done(await createImageBitmap(frame, size));
      if (known === undefined) frame.close();
    } catch (error) {
      still.failed(error);
    }
  }

  async #decoded(place: number): Promise<VideoFrame> {
    const stamp = (place + 0.5) / this.#source.places_hz; // the middle of the frame: no rounding
    const packet = await this.#sink.getPacket(stamp);
    if (packet === null) throw new FilmError(`the film has no frame at place ${place}`);
    const decoder = this.#ready();
    decoder.decode(packet.toEncodedVideoChunk());
    await decoder.flush();
    const frame = this.#out;
    this.#out = null;
    if (frame === null) throw this.#broken ?? new FilmError(`place ${place} did not decode`);
    const found = Math.round((frame.timestamp * this.#source.places_hz) / 1e6);
    if (found !== place) {
      frame.close();
      throw new FilmError(`place ${found} came for ${place}`);
    }
    return frame;
  }

  #ready(): VideoDecoder {
    if (this.#decoder !== null && this.#decoder.state === "configured") return this.#decoder;
    this.#broken = null;
    const decoder = new VideoDecoder({
      output: (frame) => {
        this.#out?.close();
        this.#out = frame;
      },
      error: (error) => {
        this.#broken = error;
      },
    });
    decoder.configure(this.#config);
    this.#decoder = decoder;
    return decoder;
  }

  /** Give back frames that lie too far from the cursor; the latest stays to be shown meanwhile. */
  #drop(latest: number): void {
    const { place, ahead } = this.#near;
    for (const [each, frame] of this.#kept) {
      const off = (each - place) * ahead;
      if (each !== latest && (off > AHEAD || off < -BEHIND)) {
        frame.close();
        this.#kept.delete(each);
      }
    }
  }
}

function nearestOf(kept: ReadonlyMap<number, Drawable>, place: number): There | null {
  let best: There | null = null;
  for (const [each, frame] of kept) {
    if (best === null || Math.abs(each - place) < Math.abs(best.place - place))
      best = { place: each, frame };
  }
  return best;
}

/** The frames as pictures that the server sends: exact too, but slower. */
export class SentFilm implements FilmFrames {
  readonly #address: (place: number) => string;
  readonly #kept = new Map<number, ImageBitmap>();
  #latest = 0;

  constructor(address: (place: number) => string) {
    this.#address = address;
  }

  get held(): number {
    return this.#kept.size;
  }

  onFrame: () => void = () => undefined;

  ready(place: number): Drawable | null {
    return this.#kept.get(place) ?? null;
  }

  nearest(place: number): There | null {
    return nearestOf(this.#kept, place);
  }

  async frame(place: number): Promise<Drawable | null> {
    const known = this.#kept.get(place);
    if (known !== undefined) return known;
    this.#latest += 1;
    const mine = this.#latest;
    const answer = await fetch(this.#address(place));
    if (!answer.ok) throw new FilmError(`the app answered ${answer.status}`);
    const picture = await createImageBitmap(await answer.blob());
    this.#kept.set(place, picture);
    this.onFrame();
    const first = [...this.#kept.keys()][0];
    if (this.#kept.size > AHEAD + BEHIND && first !== undefined && first !== place) {
      this.#kept.get(first)?.close();
      this.#kept.delete(first);
    }
    return mine === this.#latest ? picture : null;
  }

  async still(place: number, high: number): Promise<ImageBitmap> {
    const answer = await fetch(this.#address(place));
    if (!answer.ok) throw new FilmError(`the app answered ${answer.status}`);
    return createImageBitmap(await answer.blob(), { resizeHeight: high });
  }

  close(): void {
    for (const picture of this.#kept.values()) picture.close();
    this.#kept.clear();
  }
}

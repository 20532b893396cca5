/** The microphone: opened when it is wanted, its level heard, its sound as the browser codes it. */

/** How the sound may be coded, the best first: Opus everywhere but where only AAC is recorded. */
export const KINDS = ["audio/webm;codecs=opus", "audio/ogg;codecs=opus", "audio/mp4"] as const;
const BITS_A_SECOND = 48_000;

export interface Microphone {
  readonly stream: MediaStream;
  /** Kind of the sound, as the recorder names it. */
  readonly kind: string;
  /** Loudness now, 0 to 1: the root mean square of the last 50 ms, from -60 to 0 dB. */
  level(): number;
  recorder(): MediaRecorder;
  close(): void;
}

/** Why nobody can speak, in words that say what to do. */
export class NoMicrophone extends Error {}

/** Open the microphone. Rejects with NoMicrophone. */
export async function openMicrophone(): Promise<Microphone> {
  const kind = KINDS.find((each) => typeof MediaRecorder !== "undefined" && MediaRecorder.isTypeSupported(each));
  if (kind === undefined || navigator.mediaDevices === undefined) {
    throw new NoMicrophone("This browser records no sound. You can record without a voice, or use another browser.");
  }
  let stream: MediaStream;
  try {
    stream = await navigator.mediaDevices.getUserMedia({
      audio: { channelCount: 1, echoCancellation: true, noiseSuppression: true, autoGainControl: true },
    });
  } catch (error) {
    throw new NoMicrophone(wordsFor(error));
  }
  const meter = new Meter(stream);
  return {
    stream,
    kind,
    level: () => meter.level(),
    recorder: () => new MediaRecorder(stream, { mimeType: kind, audioBitsPerSecond: BITS_A_SECOND }),
    close: () => {
      meter.close();
      for (const track of stream.getTracks()) track.stop();
    },
  };
}

function wordsFor(error: unknown): string {
  const name = error instanceof DOMException ? error.name : "";
  if (name === "NotAllowedError" || name === "SecurityError") {
    return "The browser was told not to let this page hear the microphone. Allow it beside the address, or record without a voice.";
  }
  if (name === "NotFoundError" || name === "OverconstrainedError") {
    return "No microphone is to be found. Plug one in, or record without a voice.";
  }
  return "The microphone cannot be opened; another program may have it. Close that, or record without a voice.";
}

class Meter {
  readonly #context = new AudioContext();
  readonly #analyser: AnalyserNode;
  readonly #samples: Float32Array<ArrayBuffer>;

  constructor(stream: MediaStream) {
    this.#analyser = this.#context.createAnalyser();
    this.#analyser.fftSize = 2048;
    this.#samples = new Float32Array(this.#analyser.fftSize);
    this.#context.createMediaStreamSource(stream).connect(this.#analyser);
  }

  level(): number {
    this.#analyser.getFloatTimeDomainData(this.#samples);
    const power = this.#samples.reduce((sum, one) => sum + one * one, 0) / this.#samples.length;
    return Math.min(Math.max((10 * Math.log10(power + 1e-9) + 60) / 60, 0), 1);
  }

  close(): void {
    void this.#context.close();
  }
}

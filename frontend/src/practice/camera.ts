/** The camera with the outline of where to stand over it, and a recording without the phone in hand. */

export interface Recorded {
  readonly film: Blob;
  readonly file: string;
}

const COUNTDOWN_S = 10;
const LONGEST_S = 90;
const KINDS = ["video/mp4;codecs=avc1.42E01E,mp4a.40.2", "video/mp4", "video/webm;codecs=vp9,opus", "video/webm"];

/** What the open camera tells. */
export interface Heard {
  /** Seconds until it begins; 0 when it does. */
  counting(seconds: number): void;
  recorded(film: Recorded): void;
  /** There is no camera, or the page may not use it. */
  refused(): void;
}

/** Whether a page may ask for a camera here at all: only over HTTPS, or on the machine itself. */
export function mayFilm(): boolean {
  return typeof navigator.mediaDevices?.getUserMedia === "function" && typeof MediaRecorder === "function";
}

/** One camera that is open; close it when it is no longer looked at. */
export class Camera {
  private recorder: MediaRecorder | undefined;
  private timers: number[] = [];
  private closed = false;

  private constructor(
    private readonly stream: MediaStream,
    private readonly heard: Heard,
  ) {}

  /** Open the camera on the back into a video element; undefined where there is none. */
  static async open(screen: HTMLVideoElement, heard: Heard): Promise<Camera | undefined> {
    const stream = await camera(true).catch(() => camera(false)).catch(() => undefined);
    if (stream === undefined) {
      heard.refused();
      return undefined;
    }
    screen.srcObject = stream;
    await screen.play().catch(() => undefined);
    return new Camera(stream, heard);
  }

  /** Count down, then film until it is stopped or long enough. */
  begin(): void {
    for (let left = COUNTDOWN_S; left >= 0; left--) {
      this.later((COUNTDOWN_S - left) * 1000, () => (left > 0 ? this.heard.counting(left) : this.record()));
    }
  }

  stop(): void {
    this.timers.forEach(clearTimeout);
    this.timers = [];
    if (this.recorder?.state === "recording") this.recorder.stop();
  }

  close(): void {
    this.closed = true;
    this.stop();
    this.stream.getTracks().forEach((track) => track.stop());
  }

  private record(): void {
    const kind = KINDS.find((one) => MediaRecorder.isTypeSupported(one));
    const parts: Blob[] = [];
    const recorder = new MediaRecorder(this.stream, {
      videoBitsPerSecond: 12_000_000,
      ...(kind === undefined ? {} : { mimeType: kind }),
    });
    recorder.ondataavailable = (event) => parts.push(event.data);
    recorder.onstop = () => {
      const film = new Blob(parts, { type: recorder.mimeType });
      const ending = recorder.mimeType.includes("mp4") ? "mp4" : "webm";
      if (!this.closed && film.size > 0) this.heard.recorded({ film, file: `filmed-here.${ending}` });
    };
    this.recorder = recorder;
    recorder.start();
    this.heard.counting(0);
    this.later(LONGEST_S * 1000, () => this.stop());
  }

  private later(wait: number, act: () => void): void {
    this.timers.push(window.setTimeout(act, wait));
  }
}

/** Upright, as quick as it gets; with the sound of the strike where that is allowed, unprocessed. */
function camera(sound: boolean): Promise<MediaStream> {
  return navigator.mediaDevices.getUserMedia({
    video: {
      facingMode: "environment",
      width: { ideal: 1080 },
      height: { ideal: 1920 },
      frameRate: { ideal: 120 },
    },
    audio: sound && { echoCancellation: false, noiseSuppression: false, autoGainControl: false },
  });
}

/** Films with the page, or takes a film from the phone; either is looked at before it is sent. */

import { Camera, mayFilm, type Recorded } from "./camera";
import { dayOf } from "./plan";
import type { Clip } from "./waiting";

type Words = (key: string, values?: Readonly<Record<string, string | number>>) => string;

export class Filming {
  private camera: Camera | undefined;
  private chosen: Clip | undefined;
  private shown = "";

  constructor(
    private readonly say: Words,
    private readonly send: (chosen: Clip) => void,
  ) {
    for (const button of document.querySelectorAll<HTMLButtonElement>("[data-open-camera]")) {
      button.hidden = !mayFilm();
      button.onclick = () => void this.open(button.dataset["openCamera"] ?? "");
    }
    part("no-camera").hidden = mayFilm();
    const dialog = part<HTMLDialogElement>("camera");
    dialog.addEventListener("close", () => this.close());
    part("camera-close").onclick = () => dialog.close();
    part("camera-record").onclick = () => this.record();
    const pick = part<HTMLInputElement>("film-pick");
    pick.onchange = () => {
      const file = pick.files?.[0];
      if (file !== undefined) this.take({ film: file, file: file.name }, dayOf(new Date(file.lastModified)));
    };
    part("film-send").onclick = () => this.sendChosen();
  }

  private async open(view: string): Promise<void> {
    const dialog = part<HTMLDialogElement>("camera");
    for (const outline of dialog.querySelectorAll<HTMLElement>("[data-outline]")) {
      outline.hidden = outline.dataset["outline"] !== view;
    }
    dialog.showModal();
    this.camera = await Camera.open(part<HTMLVideoElement>("camera-screen"), {
      counting: (seconds) => this.counting(seconds),
      recorded: (film) => {
        this.take(film, dayOf(new Date()));
        dialog.close();
      },
      refused: () => {
        part("no-camera").hidden = false;
        dialog.close();
      },
    });
    if (this.camera !== undefined && !dialog.open) this.close();
  }

  private record(): void {
    const button = part<HTMLButtonElement>("camera-record");
    if (button.dataset["runs"] !== undefined) {
      this.camera?.stop();
      this.idle();
      return;
    }
    button.dataset["runs"] = "";
    button.textContent = this.say("film.stop");
    this.camera?.begin();
  }

  private counting(seconds: number): void {
    part("camera-count").textContent = seconds > 0 ? this.say("film.starts", { seconds }) : "";
    part("camera-count").hidden = seconds === 0;
    if (seconds === 0) navigator.vibrate?.(200);
  }

  private idle(): void {
    const button = part<HTMLButtonElement>("camera-record");
    delete button.dataset["runs"];
    button.textContent = this.say("film.record");
    part("camera-count").hidden = true;
  }

  private close(): void {
    this.camera?.close();
    this.camera = undefined;
    this.idle();
  }

  private take(film: Recorded, filmed: string): void {
    this.chosen = { felt: "", filmed, said: false, file: film.file, film: film.film };
    const day = part<HTMLInputElement>("film-day");
    day.value = filmed;
    day.max = dayOf(new Date());
    URL.revokeObjectURL(this.shown);
    this.shown = URL.createObjectURL(film.film);
    part<HTMLVideoElement>("film-look").src = this.shown;
    part("film-chosen").hidden = false;
    part("film-chosen").scrollIntoView({ block: "center" });
  }

  private sendChosen(): void {
    if (this.chosen === undefined) return;
    const felt = part<HTMLTextAreaElement>("film-words");
    const day = part<HTMLInputElement>("film-day").value;
    const said = day !== "" && day !== this.chosen.filmed;
    this.send({ ...this.chosen, felt: felt.value.trim(), said, filmed: said ? day : this.chosen.filmed });
    this.chosen = undefined;
    felt.value = "";
    part<HTMLInputElement>("film-pick").value = "";
    part("film-chosen").hidden = true;
    document.getElementById("back")?.scrollIntoView({ block: "start" });
  }
}

function part<Kind extends HTMLElement = HTMLElement>(name: string): Kind {
  const found = document.getElementById(name);
  if (found === null) throw new Error(`the page has no ${name}`);
  return found as Kind;
}

/**
 * The talk-through as a strip: time from left to right, joints where pieces meet, the moments that
 * are shown as words beneath it, a passage that is chosen, and where it is now.
 */
import type { SchemaStretchTold, SchemaTalkTold } from "../contract";
import { beginsOf, clockOf, lengthOf } from "./line";
import { make } from "./parts";

export interface Passage {
  readonly start_ms: number;
  readonly stop_ms: number;
}

export const STEP_MS = 1000;
export const FINE_MS = 100;
const MOMENTS: Readonly<Record<string, string>> = {
  address: "Address",
  start: "Start",
  shaft_level_back: "Shaft level back",
  arm_level_back: "Arm level back",
  top: "Top",
  arm_level_down: "Arm level down",
  shaft_level_down: "Shaft level down",
  impact: "Impact",
  shaft_level_through: "Shaft level through",
  finish: "Finish",
};

export class Strip {
  readonly element = make("div", { class: "talk-strip" });
  readonly #rail: HTMLDivElement;
  readonly #cursor = make("span", { class: "talk-cursor" });
  readonly #passage = make("span", { class: "talk-passage", hidden: true });
  readonly #lasts_ms: number;

  /** `seek` hears where a hand or a key wants to be. */
  constructor(talk: SchemaTalkTold, seek: (at_ms: number) => void) {
    this.#lasts_ms = lengthOf(talk.pieces);
    this.#rail = make("div", {
      class: "talk-rail",
      role: "slider",
      tabindex: "0",
      "aria-label": "Place in the talk-through",
      "aria-valuemin": "0",
      "aria-valuemax": String(this.#lasts_ms),
    });
    beginsOf(talk.pieces).forEach((at, piece) => {
      if (piece > 0) this.#rail.append(this.#at(make("span", { class: "talk-joint" }), at));
    });
    this.#rail.append(this.#passage, this.#cursor);
    this.element.append(this.#rail, this.#moments(talk.stretches, seek));
    this.#hand(seek);
    this.move(0);
  }

  move(at_ms: number): void {
    this.#at(this.#cursor, at_ms);
    this.#rail.setAttribute("aria-valuenow", String(Math.round(at_ms)));
    this.#rail.setAttribute("aria-valuetext", `${clockOf(at_ms, true)} of ${clockOf(this.#lasts_ms)}`);
  }

  choose(passage: Passage | null): void {
    this.#passage.hidden = passage === null;
    if (passage === null) return;
    this.#at(this.#passage, passage.start_ms);
    this.#passage.style.width = this.#share(passage.stop_ms - passage.start_ms);
  }

  focus(): void {
    this.#rail.focus();
  }

  #moments(stretches: readonly SchemaStretchTold[], seek: (at_ms: number) => void): HTMLElement {
    const list = make("ol", { class: "talk-moments", "aria-label": "Moments that are shown" });
    for (const one of together(stretches)) {
      const words = MOMENTS[one.moment] ?? one.moment;
      const told = `${words}, ${clockOf(one.start_ms)} to ${clockOf(one.stop_ms)}`;
      const go = make("button", { type: "button", class: "plain", title: told, "aria-label": told, click: () => seek(one.start_ms) }, words);
      list.append(make("li", {}, go, make("span", { class: "quiet" }, clockOf(one.start_ms))));
    }
    list.hidden = stretches.length === 0;
    return list;
  }

  #hand(seek: (at_ms: number) => void): void {
    const place = (event: PointerEvent): void => {
      const { left, width } = this.#rail.getBoundingClientRect();
      seek(Math.round(((event.clientX - left) / Math.max(width, 1)) * this.#lasts_ms));
    };
    this.#rail.addEventListener("pointerdown", (event) => {
      this.#rail.setPointerCapture(event.pointerId);
      place(event);
    });
    this.#rail.addEventListener("pointermove", (event) => {
      if (this.#rail.hasPointerCapture(event.pointerId)) place(event);
    });
  }

  #at<Kind extends HTMLElement>(element: Kind, at_ms: number): Kind {
    element.style.left = this.#share(at_ms);
    return element;
  }

  #share(at_ms: number): string {
    return `${(100 * Math.min(Math.max(at_ms, 0), this.#lasts_ms)) / Math.max(this.#lasts_ms, 1)}%`;
  }
}

/** Rows that are locked to a moment show it together: that is told once. */
export function together(stretches: readonly SchemaStretchTold[]): SchemaStretchTold[] {
  const told: SchemaStretchTold[] = [];
  for (const one of stretches) {
    const place = told.findIndex((each) => each.moment === one.moment && one.start_ms <= each.stop_ms);
    const before = told[place];
    if (before === undefined) told.push(one);
    else told[place] = { ...before, stop_ms: Math.max(before.stop_ms, one.stop_ms) };
  }
  return told;
}

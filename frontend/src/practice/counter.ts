/** Counts one drill's repeats, and keeps time: large enough for a thumb in a glove. */

import { NONE, clock, ended, onward, said, type Counted } from "./count";
import { dayOf, type Practice } from "./plan";
import type { Drill } from "./state";

type Words = (key: string, values?: Readonly<Record<string, string | number>>) => string;

export class Counter {
  readonly name: string;
  private counted: Counted;
  private timer: number | undefined;
  private left: number;
  private lock: { release(): Promise<void> } | undefined;

  constructor(
    private readonly drill: Drill,
    private readonly root: string,
    private readonly say: Words,
  ) {
    this.name = drill.name;
    this.left = drill.minutes * 60;
    this.counted = this.kept();
    this.part("count").addEventListener("click", () => this.count());
    this.part("again").addEventListener("click", () => this.set(NONE));
    this.part("clock").addEventListener("click", () => (this.timer === undefined ? this.start() : this.pause()));
    this.draw();
  }

  /** Whether today asks for this drill. */
  show(there: boolean, practice: Practice | undefined): void {
    this.part("card").hidden = !there;
    if (there && practice?.drills.length === 1 && this.timer === undefined) {
      this.left = Math.min(this.left, practice.minutes * 60);
    }
    this.draw();
  }

  private count(): void {
    const next = onward(this.counted, this.drill);
    navigator.vibrate?.(ended(next) ? [80, 60, 80] : 25);
    this.set(next);
  }

  private set(counted: Counted): void {
    this.counted = counted;
    try {
      localStorage.setItem(this.key(), JSON.stringify(counted));
    } catch {
      // A phone that keeps nothing counts all the same, for as long as the page is open.
    }
    this.draw();
  }

  private kept(): Counted {
    try {
      const known = JSON.parse(localStorage.getItem(this.key()) ?? "null") as Counted | null;
      return known ?? NONE;
    } catch {
      return NONE;
    }
  }

  private key(): string {
    return `${this.root} ${this.drill.name} ${dayOf(new Date())}`;
  }

  private start(): void {
    const ends = Date.now() + this.left * 1000;
    this.timer = window.setInterval(() => {
      this.left = (ends - Date.now()) / 1000;
      if (this.left <= 0) this.over();
      this.draw();
    }, 250);
    void navigator.wakeLock?.request("screen").then((lock) => (this.lock = lock), () => undefined);
    this.draw();
  }

  private pause(): void {
    clearInterval(this.timer);
    this.timer = undefined;
    void this.lock?.release();
    this.draw();
  }

  private over(): void {
    this.pause();
    this.left = this.drill.minutes * 60;
    navigator.vibrate?.([200, 100, 200]);
    this.part("over").hidden = false;
    this.part("over").textContent = this.say("clock.over");
  }

  private draw(): void {
    const { sets, repeats } = this.counted;
    const all = sets >= this.drill.sets;
    const set = Math.min(sets + 1, this.drill.sets);
    this.part("number").textContent = String(all ? this.drill.repeats : repeats);
    this.part("of").textContent = said(this.say("count.of"), { number: "", count: this.drill.repeats }).trim();
    this.part("set").textContent = all
      ? this.say("count.all")
      : this.say("count.set", { number: set, count: this.drill.sets });
    this.part("count").toggleAttribute("disabled", all);
    this.part("again").hidden = sets + repeats === 0;
    const runs = this.timer !== undefined;
    this.part("clock").toggleAttribute("data-runs", runs);
    this.part("left").textContent = clock(this.left);
    this.part("clock-word").textContent = this.say(runs ? "clock.pause" : "clock.start");
  }

  private part(name: string): HTMLElement {
    const card = document.querySelector<HTMLElement>(`[data-drill="${CSS.escape(this.name)}"]`);
    const found = name === "card" ? card : card?.querySelector<HTMLElement>(`[data-part="${name}"]`);
    if (!found) throw new Error(`the drill ${this.name} has no ${name}`);
    return found;
  }
}

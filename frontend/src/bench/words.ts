/** The line of words below the swings: what the hand does; with a mark chosen, what the mark is. */
import { INKS } from "../paint/canvas";
import type { SwingFacts } from "../scene/facts";
import { pinnedMark } from "../scene/hit";
import { FOLLOWED, markOf, type Followed, type Mark } from "../scene/marks";
import { marksOf, type BenchState } from "../scene/state";
import type { Bench, View } from "./bench";
import { make } from "./dom";
import { pointWords } from "./told";

/** What a hand can do, by its word and its key. */
export const HANDS = [
  { tool: "hand", word: "move and choose", key: "h" },
  { tool: "line", word: "line", key: "i" },
  { tool: "arrow", word: "arrow", key: "y" },
  { tool: "angle", word: "angle", key: "g" },
  { tool: "circle", word: "circle", key: "o" },
  { tool: "freehand", word: "freehand", key: "e" },
  { tool: "text", word: "words", key: "x" },
  { tool: "set", word: "set right", key: "p" },
] as const;

/** What is to be done with the hand, beside its word. */
const HINTS = {
  line: "From one end to the other. A spot near a joint or an end of the club holds on to it; Alt keeps it free.",
  arrow: "From the tail to the point. A spot near a joint holds on to it; Alt keeps it free.",
  angle: "An end, the corner, the other end. On three joints it moves with them.",
  circle: "From the middle to the edge.",
  freehand: "Draw.",
  text: "Where the words stand.",
  set: "Drag a joint, an end of the club, or a moment on the scale to where it is.",
} as const;

const FOLLOW_WORDS: Readonly<Record<Followed, string>> = {
  shaft: "shaft",
  address_shaft: "shaft at address",
  head_path: "clubhead's way",
  hands_path: "hands' way",
  lead_forearm: "lead forearm",
  trail_forearm: "trail forearm",
  shoulders: "shoulder line",
  hips: "hip line",
};

/** A mark in words: what it is, and what it hangs on. */
export function markWords(mark: Mark): string {
  if (mark.kind === "follow") return mark.follow === null ? "line" : FOLLOW_WORDS[mark.follow];
  const pins = [...new Set(mark.spots.map((spot) => spot[2]).filter((pin) => pin !== undefined))];
  const kind = mark.kind === "text" ? "words" : mark.kind;
  const own = mark.text === "" ? kind : `${kind} “${mark.text}”`;
  if (pins.length === 0) return own;
  return `${own} on ${pins.slice(0, 3).map(pointWords).join(", ")}`;
}

export class WordLine implements View {
  readonly #bench: Bench;
  readonly #element: HTMLElement;
  #of = "";

  constructor(bench: Bench, element: HTMLElement) {
    this.#bench = bench;
    this.#element = element;
    element.addEventListener("click", (event) => this.#clicked(event));
    element.addEventListener("change", (event) => this.#changed(event));
  }

  paint(state: BenchState): void {
    const chosen = this.#chosen(state);
    const key = JSON.stringify([
      state.tool,
      state.ink,
      state.run === null ? 0 : Math.sign(state.run.rate),
      state.rate,
      state.layers,
      state.rows.length,
      state.together,
      chosen,
      state.done.length > 0,
      state.undone.length > 0,
      followed(state, this.#bench),
    ]);
    if (key === this.#of) return;
    const focus =
      document.activeElement instanceof HTMLElement
        ? document.activeElement.dataset["do"]
        : undefined;
    const inside = this.#element.contains(document.activeElement);
    this.#of = key;
    this.#element.replaceChildren(
      this.#running(state),
      ...(chosen === null ? this.#tools(state) : this.#mark(state, chosen)),
    );
    if (inside && focus !== undefined)
      this.#element.querySelector<HTMLElement>(`[data-do="${focus}"]`)?.focus();
  }

  #chosen(state: BenchState): Mark | null {
    const { selected } = state;
    return selected === null ? null : markOf(marksOf(state, selected.swing), selected.id);
  }

  #running(state: BenchState): HTMLElement {
    const words = state.run === null ? "run" : "rest";
    return line(
      button("run", words),
      button("run back", "run backward"),
      "at",
      choice(
        "rate",
        RATES.map((rate) => [String(rate), rateWords(rate)]),
        String(state.rate),
        "Speed",
      ),
      "of real time ·",
      button("undo", "undo", undefined, state.done.length === 0),
      button("redo", "redo", undefined, state.undone.length === 0),
      "· show",
      ...(["body", "club", "marks", "numbers"] as const).map((layer) =>
        button(`layer ${layer}`, layer, state.layers[layer]),
      ),
      ...(state.rows.length > 1 ? ["·", button("together", "zoom together", state.together)] : []),
      "·",
      button("beside", "set another swing beside"),
      button("keys", "keys ?"),
    );
  }

  #tools(state: BenchState): HTMLElement[] {
    const on = followed(state, this.#bench);
    const hint = HINTS[state.tool as keyof typeof HINTS] as string | undefined;
    const follow =
      hint === undefined
        ? line(
            "Follow:",
            ...FOLLOWED.map((each) =>
              button(`follow ${each}`, FOLLOW_WORDS[each], on.includes(each)),
            ),
          )
        : line(hint);
    return [
      line(
        "The hand:",
        ...HANDS.map((each) => button(`tool ${each.tool}`, each.word, state.tool === each.tool)),
        "in",
        ...inks(state.ink),
      ),
      state.tool === "set"
        ? line(
            HINTS.set,
            button("automatic", "this frame automatic again"),
            button("automatic all", "everything of this swing"),
          )
        : follow,
    ];
  }

  #mark(state: BenchState, mark: Mark): HTMLElement[] {
    const swing = state.selected?.swing ?? "";
    const facts = this.#bench.facts.get(swing);
    const moments = facts?.moments ?? [];
    const list = (none: string): [string, string][] => [
      ["", none],
      ...moments.map((each): [string, string] => [each.name, each.title.toLowerCase()]),
    ];
    const pinned = mark.spots.some((spot) => spot[2] !== undefined);
    const movable = mark.kind !== "follow";
    return [
      line(
        make("b", {}, markWords(mark)),
        "· shown from",
        choice("from", list("the beginning"), mark.from ?? "", "Shown from"),
        "to",
        choice("to", list("the end"), mark.to ?? "", "Shown to"),
        "· in",
        ...inks(mark.ink),
      ),
      line(
        ...(movable
          ? [
              choice(
                "pin",
                [["", pinned ? "free on the picture" : "free"], ...pinChoices(facts)],
                commonPin(mark),
                "Moves with",
              ),
            ]
          : []),
        ...(movable ? ["·"] : []),
        field("text", mark.text, "Words beside it"),
        button("drop", "take away"),
        button("unselect", "done"),
      ),
    ];
  }

  #clicked(event: Event): void {
    const target = (event.target as HTMLElement).closest<HTMLElement>("button[data-do]");
    if (target !== null) this.onWord(target.dataset["do"] ?? "", "");
  }

  #changed(event: Event): void {
    const target = event.target as HTMLInputElement | HTMLSelectElement;
    this.onWord(target.dataset["do"] ?? "", target.value);
  }

  /** Hears of a word that was chosen, and of what was written or picked. */
  onWord: (word: string, value: string) => void = () => undefined;
}

export const RATES = [0.03125, 0.0625, 0.125, 0.25, 0.5, 1, 2] as const;

export function rateWords(rate: number): string {
  return rate >= 1 ? `${rate}` : `1/${Math.round(1 / rate)}`;
}

/** Lines that follow the tracks and are on for the swing whose scale leads. */
function followed(state: BenchState, bench: Bench): Followed[] {
  const lead = state.rows[state.lead]?.swing ?? "";
  if (!bench.facts.has(lead)) return [];
  return marksOf(state, lead).marks.flatMap((mark) => (mark.follow === null ? [] : [mark.follow]));
}

function pinChoices(facts: SwingFacts | undefined): [string, string][] {
  return [...(facts?.tracks.points.keys() ?? [])].map((name) => [
    name,
    `with the ${pointWords(name)}`,
  ]);
}

function commonPin(mark: Mark): string {
  const pins = new Set(mark.spots.map((spot) => spot[2] ?? ""));
  return pins.size === 1 ? ([...pins][0] as string) : "";
}

export function repinned(mark: Mark, facts: SwingFacts, number: number, pin: string): Mark {
  return pinnedMark(mark, facts, number, pin === "" ? null : pin);
}

function line(...parts: (Node | string)[]): HTMLElement {
  return make(
    "p",
    {},
    ...parts.flatMap((part) =>
      typeof part === "string" ? [make("span", { className: "quiet" }, part)] : [part],
    ),
  );
}

function button(act: string, words: string, pressed?: boolean, disabled = false): HTMLElement {
  return make(
    "button",
    {
      type: "button",
      className: "plain",
      disabled,
      data: { do: act },
      ...(pressed === undefined ? {} : { aria: { pressed: String(pressed) } }),
    },
    words,
  );
}

function choice(
  act: string,
  options: readonly (readonly [string, string])[],
  value: string,
  label: string,
): HTMLElement {
  const select = make(
    "select",
    { data: { do: act }, aria: { label } },
    ...options.map(([name, words]) => make("option", { value: name }, words)),
  );
  select.value = value;
  return select;
}

function field(act: string, value: string, label: string): HTMLElement {
  return make("input", {
    type: "text",
    value,
    maxLength: 200,
    placeholder: label,
    data: { do: act },
    aria: { label },
  });
}

function inks(chosen: number): HTMLElement[] {
  return INKS.map((ink, k) => {
    const made = button(`ink ${k}`, ink.word, chosen === k);
    made.classList.add("ink");
    made.style.setProperty("--mark-ink", ink.colour);
    return made;
  });
}

/** Keys of the bench: one table, from which both the acting and the list under `?` come. */

export interface Key {
  /** As `KeyboardEvent.key`, with `Shift+` or `Ctrl+` before it where they are held. */
  readonly keys: readonly string[];
  readonly shown: string;
  readonly words: string;
  readonly act: string;
}

const DIGITS = ["1", "2", "3", "4", "5", "6", "7", "8", "9", "0"];

export const KEYS: readonly Key[] = [
  { keys: [" "], shown: "Space", words: "run, or rest", act: "run" },
  { keys: ["Shift+ "], shown: "Shift Space", words: "run backward", act: "run back" },
  { keys: ["ArrowRight"], shown: "→", words: "a frame on", act: "frame 1" },
  { keys: ["ArrowLeft"], shown: "←", words: "a frame back", act: "frame -1" },
  { keys: ["Shift+ArrowRight"], shown: "Shift →", words: "ten frames on", act: "frame 10" },
  { keys: ["Shift+ArrowLeft"], shown: "Shift ←", words: "ten frames back", act: "frame -10" },
  { keys: ["ArrowDown"], shown: "↓", words: "the next moment", act: "moment 1" },
  { keys: ["ArrowUp"], shown: "↑", words: "the moment before", act: "moment -1" },
  {
    keys: DIGITS,
    shown: "1 … 9, 0",
    words: "that moment, in the order of the scale",
    act: "digit",
  },
  { keys: ["["], shown: "[", words: "slower", act: "rate -1" },
  { keys: ["]"], shown: "]", words: "faster", act: "rate 1" },
  { keys: ["+", "="], shown: "+", words: "nearer", act: "zoom 1" },
  { keys: ["-"], shown: "−", words: "farther", act: "zoom -1" },
  {
    keys: ["w", "a", "s", "d"],
    shown: "w a s d",
    words: "move the picture up, left, down, right",
    act: "pan",
  },
  { keys: ["f"], shown: "f", words: "the golfer whole", act: "fit" },
  { keys: ["t"], shown: "t", words: "zoom and move all swings together, or one", act: "together" },
  { keys: ["l"], shown: "l", words: "the scale of the next swing", act: "lead next" },
  { keys: ["m"], shown: "m", words: "turn the leading swing left to right", act: "mirror" },
  { keys: [","], shown: ",", words: "the other swings a frame earlier", act: "offset -1" },
  { keys: ["."], shown: ".", words: "the other swings a frame later", act: "offset 1" },
  { keys: ["b"], shown: "b", words: "show the body, or not", act: "layer body" },
  { keys: ["c"], shown: "c", words: "show the club, or not", act: "layer club" },
  { keys: ["v"], shown: "v", words: "show what is drawn, or not", act: "layer marks" },
  { keys: ["n"], shown: "n", words: "show numbers, or not", act: "layer numbers" },
  { keys: ["h"], shown: "h", words: "the hand moves and chooses", act: "tool hand" },
  { keys: ["i"], shown: "i", words: "the hand draws a line", act: "tool line" },
  { keys: ["y"], shown: "y", words: "an arrow", act: "tool arrow" },
  {
    keys: ["g"],
    shown: "g",
    words: "an angle: an end, the corner, the other end",
    act: "tool angle",
  },
  { keys: ["o"], shown: "o", words: "a circle: its middle, then its edge", act: "tool circle" },
  { keys: ["e"], shown: "e", words: "freehand", act: "tool freehand" },
  { keys: ["x"], shown: "x", words: "words", act: "tool text" },
  { keys: ["p"], shown: "p", words: "set right: a joint, an end of the club", act: "tool set" },
  {
    keys: ["Ctrl+ArrowLeft", "Ctrl+ArrowRight", "Ctrl+ArrowUp", "Ctrl+ArrowDown"],
    shown: "Ctrl with arrows",
    words: "move the cross to where the hand draws or sets; with Shift farther",
    act: "cross",
  },
  {
    keys: [
      "Ctrl+Shift+ArrowLeft",
      "Ctrl+Shift+ArrowRight",
      "Ctrl+Shift+ArrowUp",
      "Ctrl+Shift+ArrowDown",
    ],
    shown: "",
    words: "",
    act: "cross",
  },
  {
    keys: ["Enter"],
    shown: "Enter",
    words: "draw, take hold, or set down at the cross",
    act: "enter",
  },
  {
    keys: DIGITS.map((digit) => `Shift+${digit}`),
    shown: "Shift 1 … 0",
    words: "that moment is here",
    act: "set digit",
  },
  {
    keys: ["u"],
    shown: "u",
    words: "automatic again: what was set in this frame",
    act: "automatic",
  },
  {
    keys: ["Shift+U"],
    shown: "Shift u",
    words: "automatic again: everything of this swing",
    act: "automatic all",
  },
  { keys: ["z", "Ctrl+z"], shown: "z", words: "undo", act: "undo" },
  { keys: ["Shift+Z", "Ctrl+Shift+Z"], shown: "Shift z", words: "redo", act: "redo" },
  {
    keys: ["Delete", "Backspace"],
    shown: "Delete",
    words: "take the chosen mark away",
    act: "drop",
  },
  {
    keys: ["Escape"],
    shown: "Esc",
    words: "let go: of a half-drawn mark, of the chosen one, of the tool",
    act: "let go",
  },
  { keys: ["?", "Shift+?"], shown: "?", words: "these keys", act: "keys" },
];

const ACTS = new Map(KEYS.flatMap((key) => key.keys.map((each) => [each, key.act] as const)));

/** What a key does, and which key it was; null where it does nothing here. */
export function actOf(event: KeyboardEvent): { act: string; key: string } | null {
  if (event.altKey || event.metaKey) return null;
  const digit = /^(?:Digit|Numpad)(\d)$/.exec(event.code)?.[1];
  const named = digit !== undefined && event.shiftKey ? digit : event.key;
  const held = `${event.ctrlKey ? "Ctrl+" : ""}${event.shiftKey ? "Shift+" : ""}`;
  const act =
    ACTS.get(held + named) ??
    (event.shiftKey && !event.ctrlKey && digit === undefined ? ACTS.get(named) : undefined);
  return act === undefined ? null : { act, key: named };
}

/** Single letters act only where they may: a page full of keys is in the way of some. */
export function isLetter(event: KeyboardEvent): boolean {
  return event.key.length === 1 && event.key !== " " && !event.ctrlKey;
}

/** Whether a key belongs to what has the focus: a field, or a button that it presses. */
export function isTaken(event: KeyboardEvent): boolean {
  const at = event.target as HTMLElement | null;
  if (at === null) return false;
  if (at.closest("input, textarea, select, [contenteditable], dialog, #talk") !== null) return true;
  const pressed = event.key === " " || event.key === "Enter";
  return pressed && at.closest("button, a, summary") !== null;
}

/** What opens over the bench: the list of keys, and the swings that may stand beside. */
import type { SchemaOtherTold } from "../contract";
import { make } from "./dom";
import { KEYS } from "./keys";

const LETTERS = "causeline.bench.letters";

/** Whether single letters act: they can be put off, for who speaks to the machine or types unsure. */
export function lettersAct(): boolean {
  try {
    return localStorage.getItem(LETTERS) !== "off";
  } catch {
    return true;
  }
}

export function showKeys(): void {
  const off = make("input", { type: "checkbox", checked: lettersAct() });
  off.addEventListener("change", () => localStorage.setItem(LETTERS, off.checked ? "on" : "off"));
  const rows = KEYS.filter((key) => key.shown !== "").map((key) =>
    make("div", {}, make("dt", {}, make("kbd", {}, key.shown)), make("dd", {}, key.words)),
  );
  open(
    "Keys of the bench",
    make("label", { className: "inline" }, off, "single letters act"),
    make("dl", { className: "keys" }, ...rows),
    make(
      "p",
      { className: "quiet" },
      "On a picture: a wheel or two fingers zoom, a hand moves. While drawing, a spot takes hold of a joint that is near; Alt keeps it free.",
    ),
  );
}

/** The swings to choose from; `chosen` hears of one. */
export function showOthers(
  others: readonly SchemaOtherTold[],
  chosen: (swing: string) => void,
): void {
  const list = others.map((other) => {
    const button = make(
      "button",
      { type: "button", className: "other" },
      make("span", {}, other.title),
      make(
        "span",
        { className: "quiet" },
        `${other.about}${other.same_view ? "" : " · another view"}`,
      ),
    );
    button.addEventListener("click", () => {
      dialog.close();
      chosen(other.swing);
    });
    return make("li", {}, button);
  });
  const none = make(
    "p",
    {},
    "There is no other swing that is read: of this golfer, or among the references.",
  );
  const dialog = open(
    "Set beside",
    list.length === 0 ? none : make("ul", { className: "others" }, ...list),
  );
}

function open(title: string, ...content: Node[]): HTMLDialogElement {
  const close = make("button", { type: "button", autofocus: true }, "Close");
  const dialog = make(
    "dialog",
    { className: "over", aria: { label: title } },
    make("header", {}, make("h2", {}, title), close),
    ...content,
  );
  close.addEventListener("click", () => dialog.close());
  dialog.addEventListener("close", () => dialog.remove());
  document.body.append(dialog);
  dialog.showModal();
  return dialog;
}

/** Small pieces of page, made by hand: nothing that comes from outside is ever read as HTML. */

type Child = Node | string;

/** An element with properties, attributes and children. */
export function make<Tag extends keyof HTMLElementTagNameMap>(
  tag: Tag,
  told: Readonly<Record<string, string | boolean | (() => void)>> = {},
  ...children: Child[]
): HTMLElementTagNameMap[Tag] {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(told)) {
    if (typeof value === "function") made.addEventListener(name, value);
    else if (typeof value === "boolean") made.toggleAttribute(name, value);
    else made.setAttribute(name, value);
  }
  made.append(...children);
  return made;
}

/** A button with its key beside its words. */
export function button(words: string, key: string, press: () => void, kind = ""): HTMLButtonElement {
  const made = make("button", { type: "button", click: press, ...(kind === "" ? {} : { class: kind }) }, words);
  if (key !== "") {
    made.append(make("kbd", { "aria-hidden": "true" }, key));
    made.setAttribute("aria-keyshortcuts", key === "space" ? "Space" : key);
  }
  return made;
}

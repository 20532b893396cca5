/** Small help with elements: made, filled, listened to. */

type Props<Tag extends keyof HTMLElementTagNameMap> = Partial<
  Omit<HTMLElementTagNameMap[Tag], "style" | "dataset" | "children">
> & { data?: Record<string, string>; aria?: Record<string, string> };

export function make<Tag extends keyof HTMLElementTagNameMap>(
  tag: Tag,
  props: Props<Tag> = {},
  ...children: (Node | string)[]
): HTMLElementTagNameMap[Tag] {
  const { data, aria, ...rest } = props;
  const element = Object.assign(document.createElement(tag), rest);
  for (const [name, value] of Object.entries(data ?? {})) element.dataset[name] = value;
  for (const [name, value] of Object.entries(aria ?? {})) {
    element.setAttribute(name === "role" ? name : `aria-${name}`, value);
  }
  element.append(...children);
  return element;
}

/** Text is written only where it changes: screen readers and layout hear of nothing else. */
export function say(element: HTMLElement, text: string): void {
  if (element.textContent !== text) element.textContent = text;
}

export function byId<Kind extends HTMLElement>(id: string): Kind {
  const found = document.getElementById(id);
  if (found === null) throw new Error(`the page has no #${id}`);
  return found as Kind;
}

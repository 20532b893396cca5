/** Server-sent events that say when the server is gone, and go on when it is back. */

/** The line at the foot of every page that says whether Causeline answers. */
export function sayGone(gone: boolean): void {
  const line = document.querySelector<HTMLElement>(".gone");
  if (line === null || line.hidden === !gone) return;
  line.textContent = gone ? "Causeline does not answer. This page goes on by itself when it does." : "";
  line.hidden = !gone;
}

/** Listen until `hear` gives true, that it was the last. The browser comes back by itself. */
export function listen<Message>(address: string, hear: (message: Message) => boolean): () => void {
  const source = new EventSource(address);
  source.onopen = () => sayGone(false);
  source.onerror = () => sayGone(true);
  source.onmessage = (event: MessageEvent<string>) => {
    if (hear(JSON.parse(event.data) as Message)) source.close();
  };
  return () => source.close();
}

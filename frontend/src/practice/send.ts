/** Sends what waits, one after the other, and takes each off the shelf when the app has it. */

import type { Shelf, Waiting } from "./waiting";

/** How sending one thing ended. */
export type Ended =
  | { readonly kind: "kept" }
  | { readonly kind: "later"; readonly slow: boolean }
  | { readonly kind: "refused"; readonly status: number; readonly reason: string }
  | { readonly kind: "gone" };

export type Progress = (one: Waiting, share: number) => void;

/** What the page is told of each thing. */
export interface Told {
  readonly one: Waiting;
  readonly ended: Ended;
}

/**
 * Send everything whose time has come. Stops at the first that has to wait, so that the order stays;
 * what the app refuses is taken off the shelf and told.
 */
export async function sendAll(
  shelf: Shelf,
  root: string,
  hear: (told: Told) => void,
  progress: Progress,
  now: number = Date.now(),
): Promise<void> {
  for (const one of await shelf.waiting()) {
    if (one.from > now) continue;
    const ended = await send(root, one, progress);
    if (ended.kind === "kept" || ended.kind === "refused") await shelf.drop(one.id);
    hear({ one, ended });
    if (ended.kind === "later" || ended.kind === "gone") return;
  }
}

async function send(root: string, one: Waiting, progress: Progress): Promise<Ended> {
  switch (one.kind) {
    case "tick":
      return post(`${root}ticks`, { id: one.id, session: one.session, at: one.at });
    case "words":
      return post(`${root}words`, { id: one.id, at: one.at, felt: one.felt });
    case "not-me":
      return post(`${root}check-in/${one.checkIn}/not-me`);
    case "clip":
      return upload(root, one, (share) => progress(one, share));
  }
}

async function post(address: string, body?: unknown): Promise<Ended> {
  try {
    const answer = await fetch(address, {
      method: "POST",
      headers: { "Content-Type": "application/json", Accept: "application/json" },
      ...(body === undefined ? {} : { body: JSON.stringify(body) }),
    });
    return judged(answer.status, await answer.text());
  } catch {
    return { kind: "later", slow: false };
  }
}

/** By XMLHttpRequest, which alone tells how far it is. */
function upload(root: string, one: Waiting & { kind: "clip" }, progress: (share: number) => void): Promise<Ended> {
  const asked = new URLSearchParams({ at: one.at, felt: one.felt, file: one.file });
  if (one.filmed !== "") asked.set("filmed", one.filmed);
  if (one.said) asked.set("said", "true");
  const request = new XMLHttpRequest();
  request.open("PUT", `${root}clips/${one.id}?${asked.toString()}`);
  request.setRequestHeader("Accept", "application/json");
  return new Promise((done) => {
    request.upload.onprogress = (event) => progress(event.total > 0 ? event.loaded / event.total : 0);
    request.onload = () => done(judged(request.status, request.responseText));
    request.onerror = () => done({ kind: "later", slow: false });
    request.ontimeout = request.onerror;
    request.send(one.film);
  });
}

/** What an answer means for what was sent. */
export function judged(status: number, body: string): Ended {
  if (status >= 200 && status < 300) return { kind: "kept" };
  if (status === 410) return { kind: "gone" };
  if (status === 429) return { kind: "later", slow: true };
  if (status === 0 || status === 408 || status >= 500) return { kind: "later", slow: false };
  return { kind: "refused", status, reason: reasonOf(body) };
}

function reasonOf(body: string): string {
  try {
    const told = JSON.parse(body) as { came?: string };
    return told.came ?? "";
  } catch {
    return "";
  }
}

/**
 * Answers for one golfer's page where there is no network. Stands alone: nothing is imported, so that
 * it is one file. Where the app says that the page was withdrawn, everything kept of it goes.
 */

interface Keeping {
  readonly registration: { readonly scope: string };
  addEventListener(name: "install" | "activate", hear: (event: Lasting) => void): void;
  addEventListener(name: "fetch", hear: (event: Fetching) => void): void;
  addEventListener(name: "message", hear: (event: Lasting & { data: unknown }) => void): void;
  skipWaiting(): Promise<void>;
  readonly clients: { claim(): Promise<void> };
}
interface Lasting {
  waitUntil(work: Promise<unknown>): void;
}
interface Fetching extends Lasting {
  readonly request: Request;
  respondWith(answer: Promise<Response>): void;
}

const worker = self as unknown as Keeping;
const ROOT = new URL(worker.registration.scope).pathname;
const CACHE = `practice ${ROOT}`;
const PATIENCE_MS = 4000;

worker.addEventListener("install", (event) => event.waitUntil(keep().then(() => worker.skipWaiting())));
worker.addEventListener("activate", (event) => event.waitUntil(worker.clients.claim()));
worker.addEventListener("message", (event) => event.waitUntil(event.data === "forget" ? forget() : keep()));

worker.addEventListener("fetch", (event) => {
  const { request } = event;
  const { pathname, origin } = new URL(request.url);
  if (request.method !== "GET" || origin !== self.location.origin || request.headers.has("range")) return;
  if (pathname === ROOT || pathname === `${ROOT}state`) event.respondWith(fresh(event, request));
  else if (pathname.startsWith(ROOT) || /^\/(built|assets|fonts)\//.test(pathname)) event.respondWith(kept(request));
});

/** Fetch and keep whatever the page needs; what is no longer named goes. */
async function keep(): Promise<void> {
  const answer = await fetch(`${ROOT}kept`, { headers: { Accept: "application/json" } });
  if (answer.status === 410) return forget();
  if (!answer.ok) return;
  const { addresses } = (await answer.json()) as { addresses: string[] };
  const cache = await caches.open(CACHE);
  const there = new Set((await cache.keys()).map((one) => one.url));
  const wanted = addresses.map((one) => new URL(one, self.location.origin).href);
  const changing = wanted.filter((one) => [ROOT, `${ROOT}state`].includes(new URL(one).pathname));
  const missing = wanted.filter((one) => changing.includes(one) || !there.has(one));
  await Promise.all(missing.map((one) => keepOne(cache, one)));
  await Promise.all([...there].filter((one) => !wanted.includes(one)).map((one) => cache.delete(one)));
}

async function keepOne(cache: Cache, address: string): Promise<void> {
  const headers = { Accept: address.endsWith(ROOT) ? "text/html" : "*/*" };
  const answer = await fetch(address, { headers, cache: "no-cache" }).catch(() => undefined);
  if (answer?.ok === true) await cache.put(address, answer);
}

/** What changes is asked of the app first, and taken as it was where the app does not answer. */
async function fresh(event: Fetching, request: Request): Promise<Response> {
  const cache = await caches.open(CACHE);
  const known = await cache.match(request.url, { ignoreVary: true });
  try {
    const answer = await within(known === undefined ? 60_000 : PATIENCE_MS, fetch(request));
    if (answer.status === 410) event.waitUntil(forget());
    else if (answer.ok) await cache.put(request.url, answer.clone());
    else if (answer.status >= 500 && known !== undefined) return known;
    return answer;
  } catch (error) {
    if (known === undefined) throw error;
    return known;
  }
}

/** What does not change is taken from the phone; a page that is not kept gives way to the golfer's own. */
async function kept(request: Request): Promise<Response> {
  const cache = await caches.open(CACHE);
  const known = await cache.match(request.url, { ignoreVary: true });
  if (known !== undefined) return known;
  const page = request.mode === "navigate" ? await cache.match(new URL(ROOT, self.location.origin)) : undefined;
  return page === undefined ? fetch(request) : fetch(request).catch(() => page);
}

/** Everything of this page leaves the phone. */
async function forget(): Promise<void> {
  await caches.delete(CACHE);
  indexedDB.deleteDatabase(CACHE);
}

function within<Value>(wait: number, work: Promise<Value>): Promise<Value> {
  return new Promise((done, failed) => {
    setTimeout(() => failed(new Error("no answer")), wait);
    work.then(done, failed);
  });
}

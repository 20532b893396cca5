/** Clips in: drop, send one after the other, say what became of each, follow their readings. */
import type {
  SchemaArrivalsTold as ArrivalsTold,
  SchemaCameTold as CameTold,
  SchemaClipTold as ClipTold,
} from "../contract";
import { Gone, TOKEN_HEADER, Told, toldBy, token } from "../page/ask";
import { listen, sayGone } from "../page/live";

const TRY_AGAIN_MS = 2000;

const form = document.querySelector<HTMLFormElement>("#in")!;
const drop = document.querySelector<HTMLElement>("#drop")!;
const amiss = document.querySelector<HTMLElement>("#amiss")!;
const came = document.querySelector<HTMLElement>("#came")!;
const list = document.querySelector<HTMLElement>("#arrivals")!;
const chosen = form.querySelector<HTMLInputElement>('input[type="file"]')!;
const FIELDS = ["golfer", "new_golfer", "view", "club", "filmed_on", "said"];

async function send(files: readonly File[]): Promise<void> {
  amiss.replaceChildren();
  amiss.hidden = true;
  came.replaceChildren();
  const line = say(came, "");
  const words = new URLSearchParams();
  for (const name of FIELDS) {
    const field = form.elements.namedItem(name) as HTMLInputElement;
    if (field.value !== "") words.set(name, field.value);
  }
  let taken = 0;
  for (const [place, file] of files.entries()) {
    line.textContent = `${file.name}: ${place + 1} of ${files.length}`;
    try {
      const answer = await patiently(() => sendOne(file, words));
      taken += 1;
      if (answer.same) say(came, `${file.name} was here before, so nothing was added.`);
    } catch (error) {
      say(amiss, `${file.name} was not taken: ${error instanceof Error ? error.message : error}`);
      amiss.hidden = false;
      if (error instanceof Told && error.status === 507) break;
    }
  }
  line.textContent = taken === 0 ? "" : `${taken} of ${files.length} came in.`;
  chosen.value = "";
}

/** Again and again while nobody answers: a server that is started anew takes the file then. */
async function patiently<Answer>(work: () => Promise<Answer>): Promise<Answer> {
  for (;;) {
    try {
      const answer = await work();
      sayGone(false);
      return answer;
    } catch (error) {
      if (!(error instanceof Gone)) throw error;
      sayGone(true);
      await new Promise((done) => setTimeout(done, TRY_AGAIN_MS));
    }
  }
}

async function sendOne(file: File, words: URLSearchParams): Promise<CameTold> {
  const asked = new URLSearchParams(words);
  asked.set("name", file.name);
  let answer: Response;
  try {
    answer = await fetch(`/in/clips?${asked}`, {
      method: "POST",
      body: file,
      headers: { [TOKEN_HEADER]: token(), Accept: "application/json" },
    });
  } catch {
    // A file that cannot be read looks like a server that is gone: the file is tried by itself.
    await file.slice(0, 1).arrayBuffer();
    throw new Gone();
  }
  if (!answer.ok) throw await toldBy(answer);
  return (await answer.json()) as CameTold;
}

function say(where: HTMLElement, text: string): HTMLElement {
  const line = document.createElement("p");
  line.textContent = text;
  where.append(line);
  return line;
}

function show(clips: readonly ClipTold[]): void {
  const rows = new Map(
    [...list.querySelectorAll<HTMLElement>("[data-clip]")].map((row) => [row.dataset["clip"], row]),
  );
  list.replaceChildren(...clips.map((clip) => filled(rows.get(clip.id) ?? made(clip), clip)));
}

function made(clip: ClipTold): HTMLElement {
  const row = document.createElement("li");
  row.className = "arrival";
  row.dataset["clip"] = clip.id;
  const picture = new Image(60, 80);
  picture.src = clip.picture;
  const body = document.createElement("div");
  const title = document.createElement("p");
  const name = document.createElement("b");
  name.textContent = clip.golfer;
  const file = document.createElement("span");
  file.className = "quiet";
  file.textContent = clip.name;
  title.append(name, " ", file);
  const bar = document.createElement("progress");
  bar.max = 100;
  bar.setAttribute("aria-label", `How far ${clip.name} is`);
  body.append(title, part("state"), bar, part("why quiet"), part("advice quiet"), part("swings acts"));
  row.append(picture, body);
  return row;
}

function part(names: string): HTMLElement {
  const line = document.createElement("p");
  line.className = names;
  return line;
}

function filled(row: HTMLElement, clip: ClipTold): HTMLElement {
  const state = row.querySelector<HTMLElement>(".state")!;
  state.className = `state ${clip.state}`;
  state.textContent = clip.stage === "" ? clip.state_words : `${clip.state_words}: ${clip.stage.toLowerCase()}`;
  const bar = row.querySelector("progress")!;
  bar.hidden = clip.state !== "working";
  bar.value = clip.total === 0 ? 0 : (100 * clip.done) / clip.total;
  row.querySelector(".why")!.textContent = clip.why;
  row.querySelector(".advice")!.textContent = clip.advice.join(" ");
  const swings = row.querySelector<HTMLElement>(".swings")!;
  if (swings.childElementCount === 0) {
    for (const swing of clip.swings) {
      const link = document.createElement("a");
      link.className = "button";
      link.href = swing.at;
      link.textContent = swing.words;
      const cause = document.createElement("span");
      cause.className = "quiet";
      cause.textContent = swing.cause;
      swings.append(link, " ", cause);
    }
  }
  return row;
}

form.addEventListener("submit", (event) => {
  event.preventDefault();
  void send([...(chosen.files ?? [])]);
});
addEventListener("dragover", (event) => {
  event.preventDefault();
  drop.classList.add("over");
});
addEventListener("dragleave", (event) => {
  if (event.relatedTarget === null) drop.classList.remove("over");
});
addEventListener("drop", (event) => {
  event.preventDefault();
  drop.classList.remove("over");
  const files = [...(event.dataTransfer?.files ?? [])];
  if (files.length > 0) void send(files);
});
listen<ArrivalsTold>("/in/events", (now) => {
  show(now.clips);
  return false;
});

/** A lesson: says what is not saved, copies the address, follows the files as they are made. */
import type { SchemaJobTold as JobTold } from "../contract";
import { listen } from "../page/live";

const PREVIEW_LOOK_MS = 4000;
const form = document.querySelector<HTMLFormElement>("#lesson");
const unsaved = document.querySelector<HTMLElement>("#unsaved");
let changed = false;

form?.addEventListener("input", () => {
  changed = true;
  if (unsaved !== null) unsaved.textContent = "Not saved yet.";
});
form?.addEventListener("submit", () => {
  changed = false;
});
addEventListener("beforeunload", (event) => {
  if (changed) event.preventDefault();
});

// Saving from anywhere in the words, as people's hands expect it.
form?.addEventListener("keydown", (event) => {
  if (event.key === "s" && (event.ctrlKey || event.metaKey)) {
    event.preventDefault();
    form.requestSubmit();
  }
});

for (const button of document.querySelectorAll<HTMLButtonElement>("[data-copy]")) {
  button.addEventListener("click", () => {
    const field = document.getElementById(button.dataset["copy"] ?? "") as HTMLInputElement | null;
    if (field === null) return;
    field.select();
    void navigator.clipboard.writeText(field.value).then(() => {
      button.textContent = "Copied";
    });
  });
}

for (const line of document.querySelectorAll<HTMLElement>("[data-job]")) {
  const bar = line.querySelector("progress");
  const state = line.querySelector<HTMLElement>(".state");
  listen<JobTold>(`/jobs/${line.dataset["job"]}/events`, (job) => {
    if (job.state === "waiting" || job.state === "working") {
      if (bar !== null && job.total > 0) bar.value = (100 * job.done) / job.total;
      if (state !== null && job.stage !== "") state.textContent = job.stage.toLowerCase();
      return false;
    }
    if (job.state === "ready") {
      if (changed) line.textContent = "The files are made; they are listed when the page is opened again.";
      else location.reload();
    } else {
      line.textContent = job.error;
    }
    return true;
  });
}

// The pictures of the golfer's page are drawn in the background: look again once they are there.
const preview = document.querySelector<HTMLIFrameElement>("#preview");
if (preview !== null) {
  const again = (left: number): void => {
    if (left === 0) return;
    setTimeout(() => {
      preview.src = preview.getAttribute("src") ?? "";
      again(left - 1);
    }, PREVIEW_LOOK_MS);
  };
  again(1);
}

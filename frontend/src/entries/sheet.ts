/** The sheet by keyboard: one cell takes the focus, arrow keys move it, Enter opens the bench. */
import type { SchemaJobTold as JobTold } from "../contract";
import { listen } from "../page/live";
import { moved, type Way } from "../scene/grid";

const WAYS: Readonly<Record<string, Way>> = {
  ArrowLeft: "left",
  ArrowRight: "right",
  ArrowUp: "up",
  ArrowDown: "down",
  Home: "first",
  End: "last",
};

const table = document.querySelector<HTMLTableElement>("#sheet");

if (table !== null) {
  const grid = [...table.tBodies[0]!.rows].map((row) =>
    [...row.querySelectorAll(":scope > td")].map((cell) => cell.querySelector<HTMLAnchorElement>("a.cell")),
  );
  const cells = grid.flat().filter((cell) => cell !== null);
  const rest = (chosen: HTMLAnchorElement) => {
    for (const cell of cells) cell.tabIndex = cell === chosen ? 0 : -1;
  };
  if (cells[0] !== undefined) rest(cells[0]);
  table.addEventListener("focusin", (event) => {
    const cell = (event.target as HTMLElement).closest<HTMLAnchorElement>("a.cell");
    if (cell !== null) rest(cell);
  });
  table.addEventListener("keydown", (event) => {
    const way = WAYS[event.key];
    const cell = (event.target as HTMLElement).closest<HTMLAnchorElement>("a.cell");
    if (way === undefined || cell === null || event.altKey || event.ctrlKey || event.metaKey) return;
    const row = grid.findIndex((each) => each.includes(cell));
    const place = { row, column: grid[row]!.indexOf(cell) };
    const there = grid.map((each) => each.map((one) => one !== null));
    const next = moved(there, place, way);
    event.preventDefault();
    const target = grid[next.row]?.[next.column];
    target?.focus();
    target?.scrollIntoView({ block: "nearest", inline: "nearest" });
  });
}

// One body from both sides: shown when it is there and the coach asks for it, not under their hands.
const line = document.querySelector<HTMLElement>("#pair [data-job]");
if (line !== null) {
  listen<JobTold>(`/jobs/${line.dataset["job"]}/events`, (job) => {
    if (job.state === "waiting" || job.state === "working") return false;
    const again = document.createElement("a");
    again.href = location.pathname + location.search;
    again.textContent = "Show it";
    const told = job.state === "ready" ? "One body from both sides is worked out. " : `${job.error} `;
    line.replaceChildren(told, ...(job.state === "ready" ? [again] : []));
    return true;
  });
}

/** The golfer's page. */
import { PracticePage } from "../practice/page";
import type { Data } from "../practice/state";
import { openShelf } from "../practice/waiting";

const data = JSON.parse(document.getElementById("data")?.textContent ?? "{}") as Data;

document.documentElement.dataset["lives"] = "";
void openShelf(data.root).then((shelf) => new PracticePage(data, shelf).begin());
if ("serviceWorker" in navigator) {
  void navigator.serviceWorker
    .register(`${data.root}worker.js`, { scope: data.root })
    .then((there) => there.active?.postMessage("keep"), () => undefined);
}

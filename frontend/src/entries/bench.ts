/** The page of the bench. */
import { sayClosed, startBench } from "../bench/start";
import type { Bench } from "../bench/bench";

declare global {
  interface Window {
    /** The open bench, for measuring and for tests. */
    causelineBench?: Bench;
  }
}

const page = document.getElementById("bench");
if (page !== null) {
  startBench(page).then(
    (bench) => {
      window.causelineBench = bench;
      page.dataset["ready"] = "yes";
    },
    (error: unknown) => sayClosed(page, error),
  );
}

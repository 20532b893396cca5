/** The talk-through beside the bench. */
import { whenStage } from "../scene/stage";
import { Bar } from "../talk/bar";
import { Desk } from "../talk/desk";
import { Shelf } from "../talk/shelf";

const root = document.querySelector<HTMLElement>("#talk");
if (root !== null) {
  const stage = await whenStage();
  const swing = root.dataset["swing"] || stage.store.state.rows[0]?.swing || "";
  const asked = new URLSearchParams(location.search);
  const about = { swing, lesson: asked.get("lesson"), check_in: asked.get("check_in") ?? "" };
  const desk = new Desk(stage, await Shelf.open(), about);
  new Bar(root, desk);
  await desk.begin();
}

// Enlarges a moment and steps to its neighbours. The page is whole without it.
(() => {
  const plates = [...document.querySelectorAll(".plate")].filter((plate) => plate.querySelector("img"));
  if (!plates.length || typeof HTMLDialogElement === "undefined") return;

  const make = (tag, properties = {}, ...children) => {
    const element = Object.assign(document.createElement(tag), properties);
    element.append(...children);
    return element;
  };
  const stage = make("div", { className: "stage" });
  const title = make("p", { id: "enlarged" });
  title.setAttribute("aria-live", "polite");
  const earlier = make("button", { type: "button", textContent: "Earlier" });
  const later = make("button", { type: "button", textContent: "Later" });
  const lines = make("button", { type: "button", textContent: "Lines off" });
  const close = make("button", { type: "button", textContent: "Close" });
  const acts = make("div", { className: "acts" }, earlier, later, lines, close);
  const dialog = make("dialog", {}, stage, make("div", { className: "bar" }, title, acts));
  dialog.setAttribute("aria-labelledby", "enlarged");
  document.body.append(dialog);

  let now = 0;
  const show = (at) => {
    now = Math.min(Math.max(at, 0), plates.length - 1);
    const frame = plates[now].querySelector(".frame").cloneNode(true);
    frame.querySelector("button")?.remove();
    stage.replaceChildren(frame);
    const name = plates[now].querySelector("h4").textContent.trim();
    const when = plates[now].querySelector(".when .num").textContent.trim();
    title.textContent = `${name}, ${when}`;
    earlier.disabled = now === 0;
    later.disabled = now === plates.length - 1;
  };
  const toggle = () => {
    const bare = dialog.classList.toggle("bare");
    lines.textContent = bare ? "Lines on" : "Lines off";
  };

  earlier.onclick = () => show(now - 1);
  later.onclick = () => show(now + 1);
  lines.onclick = toggle;
  close.onclick = () => dialog.close();
  dialog.addEventListener("keydown", (event) => {
    if (event.key === "ArrowLeft") show(now - 1);
    if (event.key === "ArrowRight") show(now + 1);
  });
  plates.forEach((plate, at) => {
    const name = plate.querySelector("h4").textContent.trim();
    const look = make("button", { type: "button", className: "look", textContent: `Enlarge ${name}` });
    look.onclick = () => {
      show(at);
      dialog.showModal();
    };
    plate.querySelector(".frame").append(look);
  });
})();

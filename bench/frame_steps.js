/** What bench/frame_steps.py runs in the page. */
window.frameSteps = {
  /** Steps in one direction, or to frames at random; milliseconds until each is on the canvas. */
  async steps({ count, way }) {
    const bench = window.causelineBench;
    const { store } = bench;
    const { table } = bench.facts.get(store.state.rows[0].swing);
    const canvas = document.querySelector(".band canvas");
    const last = table.numbers.length - 1;
    const goals = {
      on: (k) => k % last,
      back: (k) => last - (k % last),
      random: (k) => Math.floor((Math.abs(Math.sin(k * 12.9898) * 43758.5453) % 1) * last),
    };
    const times = [];
    for (let k = 1; k <= count; k += 1) {
      const place = goals[way](k);
      const number = String(table.numbers[place]);
      if (canvas.dataset.frame === number) continue;
      const begun = performance.now();
      await new Promise((done) => {
        const watch = new MutationObserver(() => {
          if (canvas.dataset.frame !== number) return;
          watch.disconnect();
          done();
        });
        watch.observe(canvas, { attributes: true, attributeFilter: ["data-frame"] });
        store.dispatch({ do: "seek", at_s: table.seconds[place] });
      });
      times.push(performance.now() - begun);
      if (way !== "random") await new Promise((rest) => setTimeout(rest, 30));
    }
    return times;
  },

  /** A hand that goes to and fro on the scale; time from one turn of the browser to the next. */
  async scrub(seconds) {
    const track = document.querySelector(".scale .track");
    const canvas = document.querySelector(".band canvas");
    const box = track.getBoundingClientRect();
    track.setPointerCapture = () => {};
    track.hasPointerCapture = () => true;
    const send = (kind, share) =>
      track.dispatchEvent(
        new PointerEvent(kind, {
          pointerId: 1,
          button: 0,
          buttons: 1,
          clientX: box.left + share * box.width,
          clientY: box.top + 5,
          bubbles: true,
        }),
      );
    let distinct = 0;
    let before = "";
    const seen = new MutationObserver(() => {
      if (canvas.dataset.frame === before) return;
      before = canvas.dataset.frame;
      distinct += 1;
    });
    seen.observe(canvas, { attributes: true, attributeFilter: ["data-frame"] });
    const begun = performance.now();
    let last = begun;
    const turns = [];
    send("pointerdown", 0);
    while (performance.now() - begun < seconds * 1000) {
      send("pointermove", 0.5 - 0.5 * Math.cos(((performance.now() - begun) / 1000) * 1.3));
      await new Promise(requestAnimationFrame);
      const now = performance.now();
      turns.push(now - last);
      last = now;
    }
    seen.disconnect();
    return { turns, distinct, seconds: (performance.now() - begun) / 1000 };
  },

  /** What is held now, rubbish swept. */
  held() {
    window.gc?.();
    window.gc?.();
    const bench = window.causelineBench;
    return {
      heap_mb: performance.memory.usedJSHeapSize / 1e6,
      frames_open: window.framesOut - window.framesClosed,
      frames_decoded: window.framesOut,
      held: bench.film(bench.store.state.rows[0].swing).held,
    };
  },
};

/** Every decoded frame is counted, and every one that is given back. */
window.framesOut = 0;
window.framesClosed = 0;
const close = VideoFrame.prototype.close;
VideoFrame.prototype.close = function () {
  if (this.format !== null) window.framesClosed += 1;
  close.call(this);
};
const Decoder = VideoDecoder;
window.VideoDecoder = class extends Decoder {
  constructor(init) {
    const output = (frame) => {
      window.framesOut += 1;
      init.output(frame);
    };
    super({ ...init, output });
  }
};

// The page in which the browser budgets are measured: calls the compiled code and takes the time.
//
// Times are milliseconds. The page is isolated from others, so that the clock steps by 5
// microseconds; what is shorter than that is repeated within one measurement.
import initialize, { EditBench, FrameBench } from "./bench.js";

await initialize({ module_or_path: new URL("bench_bg.wasm", import.meta.url) });

const EDIT_REPEATS = 300;
const FRAME_ROUNDS = 8;
const FRAMES_PER_ROUND = 5;
const WARM_UP = 20;

function elapsed(work) {
  const start = performance.now();
  work();
  return performance.now() - start;
}

/** Lets the browser do what it has put off. */
function pause() {
  return new Promise((resolve) => requestAnimationFrame(() => setTimeout(resolve, 0)));
}

/** Times of one edit with all that follows from it, and of its parts. */
async function measureEdit() {
  const bench = new EditBench();
  const times = { whole: [], edit: [], check: [], resolve: [], facts: [], screening: [], rules: [], preview: [] };
  for (let repeat = -WARM_UP; repeat < EDIT_REPEATS; repeat++) {
    const edit = elapsed(() => bench.edit());
    const parts = {
      whole: edit + elapsed(() => bench.results()),
      edit,
      check: elapsed(() => bench.check()),
      resolve: elapsed(() => bench.resolve()),
      facts: elapsed(() => bench.measure()),
      screening: elapsed(() => bench.screen()),
      preview: elapsed(() => bench.safe_speed()),
    };
    parts.rules = parts.check - parts.resolve - parts.facts - parts.screening;
    if (repeat >= 0) for (const name in parts) times[name].push(parts[name]);
    if (repeat % 50 === 0) await pause();
  }
  return times;
}

/** Times of frames at each zoom, all lanes in sight; `whole` ends when the pixels are there. */
async function measureFrames(shares, heightPx) {
  const [lanes, above] = ["lanes", "above"].map((id) => document.getElementById(id));
  for (const canvas of [lanes, above]) {
    canvas.style.cssText = `display: block; width: 1280px; height: ${heightPx ?? FrameBench.all_lanes_px()}px`;
  }
  const bench = FrameBench.open(lanes, above);
  if (!bench) throw new Error("the canvas gave no context");
  const context = lanes.getContext("2d");
  const zooms = shares.map((share) => ({ share, whole: [], script: [], scene: [] }));
  // In rounds, so that another program's busy moment does not fall on one zoom alone.
  for (let round = -1; round < FRAME_ROUNDS; round++) {
    for (const zoom of zooms) {
      zoom.seenUs = bench.zoom(zoom.share);
      zoom.items = bench.build();
      await pause();
      for (let repeat = 0; repeat < FRAMES_PER_ROUND; repeat++) {
        let script = 0;
        const whole = elapsed(() => {
          script = elapsed(() => bench.paint());
          // Reading a pixel back ends only when everything asked for has been painted.
          context.getImageData(0, 0, 1, 1);
        });
        const scene = elapsed(() => bench.build());
        if (round < 0) continue;
        zoom.whole.push(whole);
        zoom.script.push(script);
        zoom.scene.push(scene);
      }
    }
  }
  bench.free();
  return zooms;
}

window.budgets = { measureEdit, measureFrames, isIsolated: window.crossOriginIsolated };

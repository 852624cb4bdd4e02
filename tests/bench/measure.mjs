// Measures in Chromium and prints one JSON object on standard output.
//
//   node measure.mjs budgets FOLDER    the edit and the frames, in the page beside this file, built into FOLDER
//   node measure.mjs paint             the first useful paint of the app from a warm local server
//   node measure.mjs minute PROGRAM    the first paint of the app with a program kept in the browser, then a minute of dragging, zooming and scrolling in it
//
// LAMPWRIGHT_CHROMIUM is the browser, LAMPWRIGHT_XTASK the program that serves the app.
import { spawn } from "node:child_process";
import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { extname, join } from "node:path";
import { createInterface } from "node:readline";

const { chromium } = createRequire(new URL("../browser/package.json", import.meta.url))("@playwright/test");

// Parts of the 64 s in sight, from all of it to one tick of 10 ms, close enough together to meet every way of drawing a pulse.
const SHARES = [1, 0.7, 0.5, 0.35, 0.25, 0.17, 0.12, 0.1, 0.08, 0.06, 0.04, 0.03, 0.02, 0.015, 0.01, 0.005, 0.001, 0];
const APP_FRAME_PX = 420;
const PAINT_REPEATS = 11;
// A minute's worth of events at the rate of a screen: the course is the same on each machine, also where sending them takes longer than a minute.
const MINUTE_EVENTS = 3_600;
const REST_MS = 5_000;
const EVENT_MS = 1000 / 60;
const WHEEL_PX = 120;
const ZOOM_PER_PX = 0.0015;
const LABEL_PX = 128;
const RULER_PX = 28;
const LANE_PX = 44;
const TYPES = { ".html": "text/html", ".js": "text/javascript", ".css": "text/css", ".wasm": "application/wasm" };

const [task, folder] = process.argv.slice(2);
const browser = await chromium.launch({
  executablePath: process.env.LAMPWRIGHT_CHROMIUM ?? "/usr/bin/chromium",
  args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
});
try {
  const tasks = { budgets, paint, minute };
  if (!tasks[task]) throw new Error(`there is no task ${task}`);
  const page = await browser.newPage({ viewport: { width: 1280, height: 800 }, colorScheme: "dark" });
  page.on("pageerror", (problem) => console.error(`page: ${problem}`));
  page.on("console", (message) => message.type() === "error" && console.error(`console: ${message.text()}`));
  console.log(JSON.stringify(await tasks[task](page)));
} finally {
  await browser.close();
}

/** The edit and the frames; the folder's files are answered as from an origin of their own. */
async function budgets(page) {
  await page.route("http://localhost/**", async (route) => {
    const path = new URL(route.request().url()).pathname.slice(1) || "index.html";
    const body = await readFile(join(folder, path)).catch(() => null);
    if (body === null) return route.fulfill({ status: 404, body: "" });
    await route.fulfill({
      body,
      contentType: TYPES[extname(path)] ?? "application/octet-stream",
      headers: { "cross-origin-opener-policy": "same-origin", "cross-origin-embedder-policy": "require-corp" },
    });
  });
  await page.goto("http://localhost/");
  await page.waitForFunction(() => window.budgets, null, { timeout: 30_000 });
  return {
    edit: await page.evaluate(() => window.budgets.measureEdit()),
    frames: await page.evaluate((shares) => window.budgets.measureFrames(shares, null), SHARES),
    appFrames: await page.evaluate(([shares, height]) => window.budgets.measureFrames(shares, height), [SHARES, APP_FRAME_PX]),
    isIsolated: await page.evaluate(() => window.budgets.isIsolated),
  };
}

/** From the start of a navigation until the timeline is painted and its program named, in milliseconds. */
async function paint(page) {
  const { address, child } = await serve();
  try {
    return { times: await firstPaints(page, address) };
  } finally {
    child.stdin.end();
  }
}

async function firstPaints(page, address) {
  const times = [];
  await page.addInitScript(() => {
    // Two frames after the timeline has its labels, they are on the screen.
    const look = () => {
      const canvas = document.querySelector("#timeline canvas");
      const isPainted = canvas && canvas.width > 0 && canvas.height > 0
        && canvas.getContext("2d").getImageData(2, canvas.height / 2, 1, 1).data[3] > 0;
      if (!isPainted) return requestAnimationFrame(look);
      requestAnimationFrame(() => requestAnimationFrame(() => { window.usefulAt ??= performance.now(); }));
    };
    look();
  });
  for (let repeat = -1; repeat < PAINT_REPEATS; repeat++) {
    await page.goto("about:blank");
    await page.goto(address);
    await page.waitForFunction(() => window.usefulAt, null, { timeout: 60_000 });
    // The first visit warms the server and the browser.
    if (repeat >= 0) times.push(await page.evaluate(() => window.usefulAt));
  }
  return times;
}

/** The first paint with a program that the browser keeps, then a minute's worth of real pointer and wheel events in it; times in milliseconds. */
async function minute(page) {
  const text = JSON.stringify(JSON.parse(await readFile(folder, "utf8")));
  const { address, child } = await serve();
  try {
    await page.goto(address);
    await page.evaluate(([text, name]) => {
      localStorage.clear();
      localStorage.setItem("lampwright.program.1", text);
      localStorage.setItem("lampwright.index", `1\t2026-01-01 00:00:00\t${name}`);
      localStorage.setItem("lampwright.last", "1");
    }, [text, JSON.parse(text).name]);
    const times = await firstPaints(page, address);
    await page.addInitScript(watch);
    await page.goto(address);
    await page.waitForFunction(() => window.usefulAt, null, { timeout: 60_000 });
    // What follows from opening is over; the minute begins with a page at rest.
    await page.waitForTimeout(REST_MS);
    await page.evaluate(() => { window.watched.isOn = true; });
    const { nSent, nDrags } = await work(page, JSON.parse(text));
    const watched = await page.evaluate(() => ({ ...window.watched, isIsolated: window.crossOriginIsolated }));
    return { paint: times, nSent, nDrags, ...watched };
  } finally {
    child.stdin.end();
  }
}

/** In the page, before anything of the app: times what the app does for each input, in each frame and in between, by the page's own clock. */
function watch() {
  const watched = { isOn: false, press: [], drag: [], hover: [], pan: [], zoom: [], frame: [], task: [], busy: [], nBehind: 0, behind: [] };
  window.watched = watched;
  const note = (name, time) => { if (watched.isOn) watched[name].push(time); };
  let busy = 0;
  const kind = (event) => {
    if (event.type === "wheel") return event.shiftKey ? "pan" : "zoom";
    if (event.type !== "pointermove") return "press";
    return event.buttons & 1 ? "drag" : event.buttons & 4 ? "pan" : "hover";
  };
  // The app listens further in and renders in microtasks, which are over when the event has come back out; its last part is the layout of what was rendered.
  let startedAt = 0;
  let inputAt = null;
  for (const type of ["pointerdown", "pointermove", "pointerup", "wheel"]) {
    addEventListener(type, () => { startedAt = performance.now(); }, { capture: true, passive: true });
    addEventListener(type, (event) => {
      document.documentElement.getBoundingClientRect();
      const time = performance.now() - startedAt;
      busy += time;
      note(kind(event), time);
      const isBehind = document.getElementById("judging") !== null;
      if (kind(event) === "drag" || kind(event) === "press") {
        if (watched.isOn && isBehind) watched.nBehind += 1;
        inputAt = isBehind ? startedAt : null;
      }
    }, { passive: true });
  }
  const painted = new Set();
  const { clearRect } = CanvasRenderingContext2D.prototype;
  CanvasRenderingContext2D.prototype.clearRect = function (...place) {
    painted.add(this);
    return clearRect.apply(this, place);
  };
  const request = window.requestAnimationFrame.bind(window);
  window.requestAnimationFrame = (step) => request((frameTime) => {
    const start = performance.now();
    step(frameTime);
    // Reading a pixel back ends only when everything asked for has been painted.
    for (const context of painted) context.getImageData(0, 0, 1, 1);
    const time = performance.now() - start;
    if (painted.size > 0) note("frame", time);
    painted.clear();
    note("busy", busy + time);
    busy = 0;
    if (inputAt !== null && document.getElementById("judging") === null) {
      note("behind", performance.now() - inputAt);
      inputAt = null;
    }
  });
  const later = window.setTimeout.bind(window);
  window.setTimeout = (step, delay, ...rest) => later((...given) => {
    const start = performance.now();
    try {
      return typeof step === "function" ? step(...given) : undefined;
    } finally {
      // What the step rendered is part of it.
      queueMicrotask(() => {
        const time = performance.now() - start;
        busy += time;
        note("task", time);
      });
    }
  }, delay, ...rest);
}

/** A minute of work with the mouse: zooms in about the pointer, drags edges and bodies of pulses, scrolls along and down, zooms out; the same course each time. */
async function work(page, program) {
  let seed = 1;
  const chance = () => (seed = (seed * 48271) % 2147483647) / 2147483647;
  const between = (from, to) => from + (to - from) * chance();
  let nSent = 0;
  let nDrags = 0;
  let due = Date.now();
  const isOver = () => nSent >= MINUTE_EVENTS;
  const paced = async (send) => {
    if (isOver()) return;
    due = Math.max(due + EVENT_MS, Date.now() - EVENT_MS);
    const wait = due - Date.now();
    if (wait > 0) await new Promise((resolve) => setTimeout(resolve, wait));
    await send();
    nSent += 1;
  };
  const move = (x, y) => paced(() => page.mouse.move(x, y));
  const wheel = async (nEvents, deltaY) => {
    for (let event = 0; event < nEvents; event++) await paced(() => page.mouse.wheel(0, deltaY));
  };
  const place = () => page.evaluate(() => {
    const { x, y, width, height } = document.getElementById("timeline-above").getBoundingClientRect();
    return { x, y, width, height };
  });
  let box = await place();
  const cursor = () => page.evaluate(() => document.getElementById("timeline-above").style.cursor);
  const open = await page.evaluate(() => document.getElementById("pattern").value);
  const { lanes, period_ms } = program.patterns.find((pattern) => pattern.id === open);
  const nRows = Math.min(lanes.length, Math.floor((box.height - RULER_PX) / LANE_PX));
  const somewhere = () => ({
    x: box.x + LABEL_PX + between(0.15, 0.7) * (box.width - LABEL_PX),
    y: box.y + RULER_PX + (Math.floor(between(0, nRows)) + 0.7) * LANE_PX,
  });
  /** So many steps of the wheel that two pulses of a lane start some 40 to 100 pixels from each other: wide enough to take hold of, and one is soon met. */
  const zoomSteps = () => {
    const apartMs = period_ms / Math.max(...lanes.map((lane) => lane.pulses.length), 1);
    const apartPx = apartMs / period_ms * (box.width - LABEL_PX);
    return Math.max(0, Math.round(Math.log(between(40, 100) / apartPx) / (WHEEL_PX * ZOOM_PER_PX)));
  };
  /** Along a row until the pointer is over what is wanted, where it is pressed and drawn to and fro. */
  const drag = async (wanted) => {
    // What is said above the timeline can move it.
    box = await place();
    const { x, y } = somewhere();
    let found = null;
    for (let step = 0; step < 80 && found === null && !isOver(); step++) {
      await move(x + 3 * step, y);
      if (await cursor() === wanted) found = x + 3 * step;
    }
    if (found === null || isOver()) return;
    await page.mouse.down();
    const pulse = () => page.evaluate(() => ["pulse-start", "pulse-length"].map((id) => document.getElementById(id)?.value).join());
    const before = await pulse();
    let isMoved = false;
    const reach = between(30, 90) * (chance() < 0.5 ? -1 : 1);
    for (let step = 1; step <= 50; step++) {
      await move(found + reach * Math.sin(step / 8), y);
      if (step === 12) isMoved = await pulse() !== before;
    }
    await page.mouse.up();
    nSent += 2;
    if (isMoved) nDrags += 1;
  };
  while (!isOver()) {
    const { x, y } = somewhere();
    await move(x, y);
    const nSteps = 4 + zoomSteps();
    await wheel(nSteps, -WHEEL_PX);
    await wheel(4, WHEEL_PX);
    for (const wanted of ["ew-resize", "grab", "ew-resize"]) await drag(wanted);
    await page.keyboard.down("Shift");
    await wheel(12, 60);
    await wheel(12, -60);
    await page.keyboard.up("Shift");
    const from = somewhere();
    await move(from.x, from.y);
    await page.mouse.down({ button: "middle" });
    for (let step = 1; step <= 30; step++) await move(from.x + 3 * step, from.y - 6 * step * Math.sin(step / 9));
    await page.mouse.up({ button: "middle" });
    await move(x, y);
    await wheel(nSteps, WHEEL_PX);
  }
  return { nSent, nDrags };
}

/** The local server with the pages that were built before. */
async function serve() {
  const child = spawn(process.env.LAMPWRIGHT_XTASK, ["serve", "--no-build", "--port", "0", "--stop-with-input"], {
    stdio: ["pipe", "pipe", "inherit"],
  });
  for await (const line of createInterface({ input: child.stdout })) {
    const address = line.match(/http:\/\/127\.0\.0\.1:\d+/);
    if (address) return { address: address[0], child };
  }
  throw new Error("the server gave no address");
}

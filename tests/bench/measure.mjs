// Measures in Chromium and prints one JSON object on standard output.
//
//   node measure.mjs budgets FOLDER    the edit and the frames, in the page beside this file, built into FOLDER
//   node measure.mjs paint             the first useful paint of the app from a warm local server
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
const TYPES = { ".html": "text/html", ".js": "text/javascript", ".css": "text/css", ".wasm": "application/wasm" };

const [task, folder] = process.argv.slice(2);
const browser = await chromium.launch({
  executablePath: process.env.LAMPWRIGHT_CHROMIUM ?? "/usr/bin/chromium",
  args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
});
try {
  const tasks = { budgets, paint };
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
    const times = [];
    for (let repeat = -1; repeat < PAINT_REPEATS; repeat++) {
      await page.goto("about:blank");
      await page.addInitScript(() => {
        // Two frames after the timeline has its labels, they are on the screen.
        const look = () => {
          const canvas = document.querySelector("#timeline canvas");
          const isPainted = canvas && canvas.width > 0 && canvas.height > 0
            && canvas.getContext("2d").getImageData(2, canvas.height / 2, 1, 1).data[3] > 0;
          if (!isPainted) return requestAnimationFrame(look);
          requestAnimationFrame(() => requestAnimationFrame(() => { window.usefulAt ??= performance.now(); }));
        };
        if (!window.isLooking) look();
        window.isLooking = true;
      });
      await page.goto(address);
      await page.waitForFunction(() => window.usefulAt, null, { timeout: 15_000 });
      // The first visit warms the server and the browser.
      if (repeat >= 0) times.push(await page.evaluate(() => window.usefulAt));
    }
    return { times };
  } finally {
    child.stdin.end();
  }
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

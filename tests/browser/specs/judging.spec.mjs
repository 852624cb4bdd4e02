// A program that takes long to judge: what is judged says so until it is done, and is never from an earlier step.
import { readFile } from "node:fs/promises";
import { expect, test } from "../fixture.mjs";
import { drag, openApp, pickFile, place } from "../app.mjs";

const PERIOD_MS = 60_000;
const N_FLASHES = 400;

/** The demo with a minute of flashes at uneven intervals in the lanes of its patterns of a second, with one of which it opens. */
async function longProgram() {
  const demo = new URL("../../../patterns/incident-support-van.json", import.meta.url);
  const program = JSON.parse(await readFile(demo, "utf8"));
  program.name = "Long program";
  for (const pattern of program.patterns.filter((known) => known.period_ms === 1000)) {
    pattern.period_ms = PERIOD_MS;
    for (const lane of pattern.lanes) {
      lane.pulses = Array.from({ length: N_FLASHES }, (_, index) => ({ start_ms: 150 * index + 10 * (index % 3), length_ms: 60 }));
    }
  }
  return JSON.stringify(program);
}

test("what takes long to judge is said to be judged until it is, also while it is dragged", async ({ page }) => {
  await openApp(page);
  await pickFile(page, "long.json", await longProgram());
  await expect(page.locator("#program-name")).toHaveText("Long program");
  const band = page.locator("#band");
  const judging = page.locator("#judging");
  await expect(band).toHaveText(/[A-Z]/, { timeout: 30_000 });
  await expect(judging).toHaveCount(0);
  const rate = page.locator("#rate");
  await expect(rate).not.toHaveText(/judging/);
  const counts = await page.locator("#counts").textContent();

  // While the hand moves there is no band, no figure and no speed, rather than those from before.
  const from = await place(page, 0, 200, PERIOD_MS);
  await page.keyboard.down("Alt");
  await drag(page, from, { x: from.x + 40, y: from.y }, { release: false });
  // One look at all of it right after each move: a hand that rests, even with a pulse in it, is judged soon.
  let nMoves = 0;
  await expect(async () => {
    nMoves += 1;
    await page.mouse.move(from.x + 41 + (nMoves % 2), from.y);
    const seen = await page.evaluate(() => {
      const text = (selector) => document.querySelector(selector)?.textContent ?? null;
      return {
        judging: text("#judging"),
        band: text("#band"),
        summary: text(".summary"),
        figures: text(".figures"),
        rate: text("#rate"),
        counts: text("#counts"),
      };
    });
    expect(seen).toEqual({
      judging: "judging…",
      band: null,
      summary: expect.stringContaining("judging…"),
      figures: null,
      rate: expect.stringContaining("judging…"),
      counts: expect.stringContaining("from before"),
    });
  }).toPass({ timeout: 15_000 });
  await page.mouse.up();
  await page.keyboard.up("Alt");
  await expect(band).toHaveText(/[A-Z]/, { timeout: 30_000 });
  await expect(page.locator(".figures")).toHaveCount(1);
  await expect(page.locator("#counts")).toHaveText(/^\d+ errors?, .* infos?$/, { timeout: 30_000 });
  expect(counts).toMatch(/^\d+ errors?/);
});

test("an edge of what is not judged yet stops at the limit of a rule unless Alt is held", async ({ page }) => {
  const program = JSON.parse(await longProgram());
  for (const pattern of program.patterns.filter((known) => known.period_ms === PERIOD_MS)) {
    for (const lane of pattern.lanes) {
      lane.pulses = [{ start_ms: 0, length_ms: 5_000 }, ...lane.pulses.filter((pulse) => pulse.start_ms > 20_000)];
    }
  }
  await openApp(page);
  await pickFile(page, "long.json", JSON.stringify(program));
  await expect(page.locator("#program-name")).toHaveText("Long program");
  // LW001 ends a flash by a dark gap of 160 ms, so the first pulse ends that much before the second at 20.12 s.
  const pull = async () => drag(page, await place(page, 0, 5_000, PERIOD_MS), await place(page, 0, 25_000, PERIOD_MS));
  await pull();
  await expect(page.locator("#message")).toContainText("held by LW001");
  await expect(page.locator("#pulse-length")).toHaveValue("19960");
  await page.keyboard.press("Control+z");
  await page.keyboard.down("Alt");
  await pull();
  await page.keyboard.up("Alt");
  await expect(page.locator("#pulse-length")).toHaveValue("20120");
});

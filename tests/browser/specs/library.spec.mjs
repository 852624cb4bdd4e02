// The pattern library: finding, judging, trying, taking over, keeping, handing over.
import { readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { expect, scanForBarriers, test } from "../fixture.mjs";
import { openApp, openDemo, pickFile, saveFile } from "../app.mjs";
import { UNSAFE } from "../outcome.mjs";

const folder = join(dirname(fileURLToPath(import.meta.url)), "../../../patterns/library");
const file = (name) => readFileSync(join(folder, `${name}.json`), "utf8");

const dialog = (page) => page.getByRole("dialog", { name: "Pattern library" });
const rows = (page) => dialog(page).locator("tbody tr");
const count = (page) => page.locator("#library-count");

async function openLibrary(page) {
  await page.getByRole("button", { name: "Library…" }).click();
  await expect(rows(page)).toHaveCount(50);
}

/** Waits until every pattern is judged. */
const judged = (page) => expect(count(page)).not.toContainText("not judged", { timeout: 45_000 });

test("fifty patterns in plain words, each with lanes, rate, pulses and verdict", async ({ page }) => {
  await openApp(page);
  await openLibrary(page);
  await expect(count(page)).toContainText("50 of 50 patterns");
  await judged(page);
  const row = rows(page).filter({ hasText: "Alternating double flash, 75 per minute a side" });
  await expect(row).toContainText("Two pulses on the left, then as many on the right.");
  await expect(row).toContainText("1.25 Hz (75 per minute)");
  await expect(row.locator("td").nth(3)).toHaveText("2");
  await expect(row.locator("td").nth(4)).toHaveText("errors");
  // Two lanes of two pulses, drawn.
  const outline = await row.locator("svg path.plain").getAttribute("d");
  expect(outline.match(/M/g)).toHaveLength(4);
  await expect(rows(page).filter({ hasText: "Alternating single flash, 75 per minute a side" }).locator("td").nth(4)).toHaveText("nothing found");
});

test("search by words, rate, pulses and verdict", async ({ page }) => {
  await openApp(page);
  await openLibrary(page);
  await page.locator("#words").fill("SWEEP over eight");
  await expect(rows(page)).toHaveCount(4);
  await page.locator("#words").fill("");
  await page.locator("#count").fill("3");
  await page.locator("#least").fill("75");
  await page.locator("#most").fill("90");
  await expect(rows(page)).toHaveCount(2);
  await expect(rows(page).first()).toContainText("Triple flash, 75 per minute");
  for (const id of ["count", "least", "most"]) await page.locator(`#${id}`).fill("");
  await judged(page);
  await page.locator("#worst").selectOption("nothing found");
  const n = await rows(page).count();
  expect(n).toBeGreaterThan(3);
  expect(n).toBeLessThan(20);
  for (const verdict of await rows(page).locator("td:nth-child(5)").allTextContents()) expect(verdict).toBe("nothing found");
  // The verdict is that of the heads chosen: judged again for others.
  await page.locator("#library-scope").selectOption({ label: "all heads (46)" });
  await expect(count(page)).toContainText("not judged yet");
  await judged(page);
});

test("the chosen pattern tells which rule it fails, and plays on heads in one step", async ({ page }) => {
  await openApp(page);
  await openLibrary(page);
  const radio = (name) => dialog(page).getByRole("radio", { name });
  await radio("Quad flash, 120 per minute").check();
  const chosen = dialog(page).getByRole("region", { name: "Chosen pattern" });
  await expect(chosen.locator("#chosen")).toHaveText("Quad flash, 120 per minute");
  await expect(chosen.locator(".finding", { hasText: "LW020" })).toContainText("at most 3 wanted");
  // Arrow keys go from pattern to pattern.
  await radio("Alternating single flash, 60 per minute a side").check();
  await page.keyboard.press("ArrowDown");
  await expect(chosen.locator("#chosen")).toHaveText("Alternating single flash, 75 per minute a side");
  await expect(chosen.locator(".finding")).toHaveCount(0);
  await chosen.getByRole("button", { name: "Add and play on these heads" }).click();
  await expect(page.getByRole("dialog")).toHaveCount(0);
  await expect(page.locator("#pattern option:checked")).toHaveText("Alternating single flash, 75 per minute a side, 800 ms, plays now");
  const program = JSON.parse((await saveFile(page)).text);
  expect(program.patterns.at(-1).id).toBe("alternating-single-flash-75-per-minute");
  await page.locator("#undo").click();
  await expect(page.locator("#undo")).toBeDisabled();
});

test("a pattern goes out as a file and comes back the same, and stands first", async ({ page }) => {
  await openApp(page);
  await openLibrary(page);
  await dialog(page).getByRole("radio", { name: "Sweep from the middle outward over eight, 60 per minute" }).check();
  const waiting = page.waitForEvent("download");
  await dialog(page).getByRole("button", { name: "Export as a file" }).click();
  const download = await waiting;
  const parts = [];
  for await (const part of await download.createReadStream()) parts.push(part);
  const text = Buffer.concat(parts).toString();
  expect(text).toBe(file("sweep-outward-over-eight-60-per-minute"));

  const own = JSON.parse(text);
  own.pattern.label = "Outward, ours";
  own.about = "Kept by us.\nSecond line.";
  await page.locator("#pattern-file").setInputFiles({
    name: "ours.json",
    mimeType: "application/json",
    buffer: Buffer.from(JSON.stringify(own)),
  });
  await expect(page.locator("#library-news")).toHaveText("Imported Outward, ours");
  await expect(rows(page)).toHaveCount(51);
  await expect(rows(page).first()).toContainText("Outward, ours yours");
  await expect(rows(page).first()).toContainText("Kept by us.");

  // Kept over a reload, and given up only when asked.
  await page.reload();
  await expect(page.locator("#save-state")).not.toBeEmpty();
  await page.keyboard.press("Alt+p");
  await expect(rows(page)).toHaveCount(51);
  await expect(page.locator("#chosen")).toHaveText("Outward, ours");
  const again = page.waitForEvent("download");
  await dialog(page).getByRole("button", { name: "Export as a file" }).click();
  expect((await again).suggestedFilename()).toBe("outward-ours.json");
  await dialog(page).getByRole("button", { name: "Remove from yours" }).click();
  await expect(rows(page)).toHaveCount(50);
  await dialog(page).getByRole("button", { name: "Put it back" }).click();
  await expect(page.locator("#library-news")).toHaveText("Put back Outward, ours");
  await expect(rows(page)).toHaveCount(51);
  await expect(rows(page).first()).toContainText("Kept by us.");
  await expect(dialog(page).getByRole("button", { name: "Put it back" })).toHaveCount(0);
});

test("the open pattern goes out with one command and comes back with the same lanes", async ({ page }) => {
  await openApp(page);
  const before = JSON.parse((await saveFile(page)).text);
  await page.keyboard.press("Control+k");
  await page.keyboard.type("export");
  const waiting = page.waitForEvent("download");
  await page.keyboard.press("Enter");
  const download = await waiting;
  const parts = [];
  for await (const part of await download.createReadStream()) parts.push(part);
  const text = Buffer.concat(parts).toString();
  const exported = JSON.parse(text).pattern;
  expect(exported).toEqual(before.patterns.find((pattern) => pattern.id === exported.id));
  const open = await page.locator("#pattern option:checked").textContent();
  expect(open.startsWith(`${exported.label}, `)).toBe(true);
  const again = page.waitForEvent("download");
  await page.keyboard.press("Alt+e");
  expect((await again).suggestedFilename()).toBe(download.suggestedFilename());

  await openLibrary(page);
  await page.locator("#pattern-file").setInputFiles({ name: "back.json", mimeType: "application/json", buffer: Buffer.from(text) });
  await expect(rows(page).first()).toContainText(exported.label);
  await dialog(page).getByRole("button", { name: /^Add/ }).first().click();
  const read = JSON.parse((await saveFile(page)).text).patterns.at(-1);
  expect(read.id).not.toBe(exported.id);
  expect(read.lanes).toEqual(exported.lanes);
});

test("a search that finds nothing says why, and is cleared in one step", async ({ page }) => {
  await openApp(page);
  await page.keyboard.press("Alt+p");
  await expect(rows(page)).toHaveCount(50);
  // The words are asked for first.
  await page.keyboard.type("double 75");
  await expect(rows(page)).toHaveCount(2);
  await page.locator("#least").fill("90");
  await page.locator("#most").fill("60");
  await expect(count(page)).toContainText("0 of 50 patterns");
  await expect(count(page)).toContainText("the least rate is above the most");
  await page.locator("#most").fill("");
  await page.locator("#count").fill("1.5");
  await expect(count(page)).toContainText("pulses are counted in whole numbers");
  await dialog(page).getByRole("button", { name: "Clear the search" }).click();
  await expect(rows(page)).toHaveCount(50);
  await expect(page.locator("#words")).toBeFocused();
  for (const id of ["words", "least", "count"]) await expect(page.locator(`#${id}`)).toHaveValue("");
});

test("the open pattern is kept, and a broken file is refused in words", async ({ page }) => {
  await openApp(page);
  const label = (await page.locator("#pattern option:checked").textContent()).split(", 1000 ms")[0];
  await openLibrary(page);
  await dialog(page).getByRole("button", { name: "Keep the open pattern" }).click();
  await expect(page.locator("#library-news")).toHaveText(`Kept ${label}`);
  await expect(rows(page).first()).toContainText(`${label} yours`);
  const broken = JSON.parse(file("steady"));
  broken.pattern.period_ms = -5;
  await page.locator("#pattern-file").setInputFiles({
    name: "broken.json",
    mimeType: "application/json",
    buffer: Buffer.from(JSON.stringify(broken)),
  });
  await expect(page.locator("#library-news")).toContainText("broken.json was not imported: ");
  await expect(page.locator("#library-news")).toContainText("pattern.period_ms");
  await expect(rows(page)).toHaveCount(51);
});

test("a pattern file dropped on the page goes into the library, and changes no program", async ({ page }) => {
  await openApp(page);
  const data = await page.evaluateHandle((text) => {
    const transfer = new DataTransfer();
    transfer.items.add(new File([text], "dropped.json", { type: "application/json" }));
    return transfer;
  }, file("double-flash-75-per-minute").replace("Double flash", "Dropped double flash"));
  await page.dispatchEvent("body", "drop", { dataTransfer: data });
  await expect(page.locator("#library-news")).toHaveText("Imported Dropped double flash, 75 per minute");
  await expect(rows(page)).toHaveCount(51);
  await expect(rows(page).first()).toContainText("Dropped double flash");
  await page.keyboard.press("Escape");
  await expect(page.locator("#program-name")).toHaveText("Highway incident-support van");
  await expect(page.locator("#undo")).toBeDisabled();
  // The same through the picker for programs.
  await pickFile(page, "picked.json", file("steady"));
  await expect(page.locator("#library-news")).toHaveText("Imported Steady, full");
});

test("the chosen pattern flashes slowly, and only when asked to", async ({ page }) => {
  await openApp(page);
  await openLibrary(page);
  await dialog(page).getByRole("radio", { name: "Quad flash, 120 per minute" }).check();
  const watch = (seconds) =>
    page.evaluate(
      (duration) =>
        new Promise((resolve) => {
          const rises = [];
          const levels = new Map();
          const begin = performance.now();
          const step = (now) => {
            for (const dot of document.querySelectorAll(".dot")) {
              const level = Number(dot.dataset.level);
              if (level > (levels.get(dot.id) ?? 0)) rises.push(now - begin);
              levels.set(dot.id, level);
            }
            if (now - begin < duration * 1000) requestAnimationFrame(step);
            else resolve(rises);
          };
          requestAnimationFrame(step);
        }),
      seconds,
    );
  /** Flashing at all, and in no second more than three times. */
  const isSlow = (rises) => {
    expect(rises.length).toBeGreaterThan(3);
    const seconds = rises.map((from) => rises.filter((rise) => rise >= from && rise < from + 1000).length);
    expect(Math.max(...seconds), `${UNSAFE} ${rises.join(" ")}`).toBeLessThanOrEqual(3);
  };
  expect(await watch(1.5)).toEqual([]);
  await page.locator("#play-pattern").click();
  // The vehicle's pattern does eight.
  isSlow(await watch(7));
  // A line over the lanes goes along.
  const instant = () => dialog(page).locator(".instant").getAttribute("transform");
  const before = await instant();
  await expect.poll(instant).not.toBe(before);
  // Going through the list with a held key shows no lamps at all.
  await dialog(page).getByRole("radio", { name: "Quad flash, 120 per minute" }).focus();
  const held = watch(3);
  for (let press = 0; press < 30; press += 1) {
    await page.keyboard.press("ArrowDown");
    await page.waitForTimeout(90);
  }
  expect((await held).filter((rise) => rise > 100), `${UNSAFE} flashes while going on`).toEqual([]);
  // The one where the hand rests flashes, as the one before did.
  const chosen = page.locator("#chosen");
  const rested = await chosen.textContent();
  isSlow(await watch(10));
  expect(await chosen.textContent()).toBe(rested);
  // What the search shows in its place does as well, and none once it is stopped.
  await page.locator("#words").fill("quad flash, 120");
  await expect(chosen).toHaveText("Quad flash, 120 per minute");
  isSlow(await watch(7));
  await page.locator("#play-pattern").click();
  await expect(page.locator("#play-pattern")).toHaveText("Play slowed");
  await expect(page.locator("#play-pattern")).toBeFocused();
  expect(await watch(2)).toEqual([]);
});

test("where less motion is wanted, no pattern flashes", async ({ page }) => {
  await page.emulateMedia({ reducedMotion: "reduce" });
  await openApp(page);
  await openLibrary(page);
  await expect(page.locator("#play-pattern")).toBeDisabled();
  await expect(dialog(page)).toContainText("still, as your system asks for less motion");
});

test("the library has no barriers and fits into 1280 by 800", async ({ page }) => {
  await openApp(page);
  await openDemo(page, "Faulty breakdown truck");
  await openLibrary(page);
  await judged(page);
  await scanForBarriers(page);
  expect(await dialog(page).evaluate((element) => element.scrollWidth - element.clientWidth)).toBeLessThanOrEqual(0);
  await page.keyboard.press("Escape");
  await page.getByRole("button", { name: /Light/ }).click();
  await openLibrary(page);
  await scanForBarriers(page);
});

test("a library that cannot be loaded says so", async ({ page, trouble }) => {
  trouble.allow(/Failed to load resource/);
  trouble.allow(/request failed: .*\/patterns\.txt/);
  await openApp(page);
  await page.route("**/patterns.txt", (route) => route.abort());
  await page.getByRole("button", { name: "Library…" }).click();
  await expect(page.locator("#library-news")).toContainText("could not be loaded");
});

test("the one-file page and the site without a network have the library too", async ({ page, context, siteAddress, oneFileAddress }) => {
  await page.goto(oneFileAddress);
  await openLibrary(page);
  await page.goto(siteAddress);
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
  await page.reload();
  await context.setOffline(true);
  await openLibrary(page);
});

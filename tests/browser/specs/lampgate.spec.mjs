// Whatever a person does, still or playing, the drawn lamps flash no more than three times a second.
import { expect, test } from "../fixture.mjs";
import { openApp } from "../app.mjs";
import { count, expectHarmless, picture, record } from "../flashes.mjs";

const SECONDS = 4;
/** How long everything is done over and over, and how quickly, in milliseconds. */
const ACT_MS = 3500;
const EVERY_MS = 40;

/** Does something again and again while the canvas is recorded. */
async function during(page, act) {
  const recording = record(page, SECONDS);
  const end = Date.now() + ACT_MS;
  for (let turn = 0; Date.now() < end; turn += 1) {
    await act(turn);
    await page.waitForTimeout(EVERY_MS);
  }
  return count(await recording);
}

/** Things that change what is drawn; each gives what is done at one turn. */
const ways = {
  "taps on a control": async (page) => {
    await page.getByRole("tab", { name: "States", exact: true }).click();
    await page.getByRole("button", { name: /^Left light:/ }).focus();
    return () => page.keyboard.press("Enter");
  },
  "steps through situations": async (page) => {
    await page.locator("#timeline").focus();
    return () => page.keyboard.press("s");
  },
  "other views of the vehicle": async (page) => {
    await page.locator("#timeline").focus();
    return () => page.keyboard.press("v");
  },
  "other views of a dark vehicle": async (page) => {
    // Between the flashes of left and right.
    await page.locator("#scrub").fill("430");
    await page.locator("#timeline").focus();
    return () => page.keyboard.press("v");
  },
  "scrubbing on the slider": async (page) => {
    const box = await page.locator("#scrub").boundingBox();
    const at = (turn) => [box.x + 8 + ((turn * 37) % (box.width - 16)), box.y + box.height / 2];
    await page.mouse.move(...at(0));
    await page.mouse.down();
    return (turn) => page.mouse.move(...at(turn));
  },
  "a held arrow on the slider": async (page) => {
    await page.locator("#scrub").focus();
    return () => page.keyboard.down("PageUp");
  },
  "scrubbing on the ruler": async (page) => {
    const box = await page.locator("#timeline-above").boundingBox();
    await page.mouse.move(box.x + 140, box.y + 12);
    await page.mouse.down();
    return (turn) => page.mouse.move(box.x + 140 + ((turn * 67) % 500), box.y + 12);
  },
  "turning around the vehicle": async (page) => {
    await page.getByText("Approach", { exact: true }).click();
    await page.getByRole("slider", { name: "Direction" }).focus();
    return () => page.keyboard.press("PageUp");
  },
};

for (const [name, begin] of Object.entries(ways)) {
  for (const isPlaying of [false, true]) {
    test(`${name} while the preview ${isPlaying ? "plays" : "stands still"} stay at or below three flashes in any second`, async ({ page }) => {
      await openApp(page);
      if (isPlaying) {
        await page.locator("#play").click();
        await expect(page.locator("#play")).toContainText("Stop");
      }
      const act = await begin(page);
      const counted = await during(page, act);
      expect(counted.n_frames).toBeGreaterThan(20);
      expectHarmless(counted);
    });
  }
}

test("the measurement sees more than three flashes when nothing is held back", async ({ page }) => {
  // The page believes that fifty times as much time has passed, so it sees no reason to wait.
  await page.addInitScript(() => {
    const real = window.requestAnimationFrame.bind(window);
    window.requestAnimationFrame = (callback) => real((now) => callback(now * 50));
  });
  await openApp(page);
  const act = await ways["steps through situations"](page);
  // A machine that draws few frames skips flashes: it gets more than one recording to show four of them.
  await expect.poll(async () => (await during(page, act)).distinct, { timeout: 40_000 }).toBeGreaterThan(3);
});

test("what was held back is drawn in the end", async ({ page }) => {
  await openApp(page);
  await page.locator("#timeline").focus();
  // Quicker than three changes a second: the last one has to come all the same.
  for (let press = 0; press < 5; press += 1) await page.keyboard.press("s");
  await page.waitForTimeout(1500);
  const late = await picture(page);
  await page.keyboard.press("Shift+S");
  await page.waitForTimeout(1500);
  expect(await picture(page)).not.toBe(late);
  await page.keyboard.press("s");
  await page.waitForTimeout(1500);
  expect(await picture(page)).toBe(late);
});

// The preview must not harm: it starts still, plays slowed, stops at once.
import { expect, test } from "../fixture.mjs";
import { openApp, openDemo } from "../app.mjs";

const play = (page) => page.locator("#play");
const isPlaying = (page) => expect(play(page)).toContainText("Stop");
const isStill = (page) => expect(play(page)).toContainText("Play");

/** What the vehicle's canvas looks like now. */
const picture = (page) => page.locator("#heads canvas").evaluate((canvas) => canvas.toDataURL());

/**
 * Records the vehicle's canvas before every repaint for some seconds, as relative luminance in a
 * grid of cells (WCAG 2.2, "relative luminance").
 */
async function record(page, seconds) {
  return page.evaluate(
    (duration) =>
      new Promise((resolve) => {
        const source = document.querySelector("#heads canvas");
        const [columns, rows] = [36, 60];
        const small = new OffscreenCanvas(columns, rows);
        const context = small.getContext("2d", { willReadFrequently: true });
        const linear = (value) => {
          const share = value / 255;
          return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
        };
        const frames = [];
        const begin = performance.now();
        const step = (now) => {
          context.fillStyle = "#000";
          context.fillRect(0, 0, columns, rows);
          context.drawImage(source, 0, 0, columns, rows);
          const { data } = context.getImageData(0, 0, columns, rows);
          const cells = [];
          for (let at = 0; at < data.length; at += 4) {
            cells.push(0.2126 * linear(data[at]) + 0.7152 * linear(data[at + 1]) + 0.0722 * linear(data[at + 2]));
          }
          frames.push({ ms: now, cells });
          if (now - begin < duration * 1000) requestAnimationFrame(step);
          else resolve(frames);
        };
        requestAnimationFrame(step);
      }),
    seconds,
  );
}

/**
 * Instants at which a course of luminance begins to rise by a tenth of its own largest value: the
 * leading edges of flashes (the 10 % of WCAG 2.2, "general flash and red flash thresholds", taken
 * of the course's own peak, which is stricter).
 */
function rises(frames, value) {
  const values = frames.map(value);
  const peak = Math.max(...values);
  const least = Math.min(...values);
  // What never changes by a hundredth of full white is no flash anyone could see.
  if (peak - least < 0.01) return [];
  const step = 0.1 * peak;
  const found = [];
  let extreme = values[0];
  let isRising = false;
  values.forEach((now, index) => {
    if (isRising) {
      if (now > extreme) extreme = now;
      else if (extreme - now >= step) {
        isRising = false;
        extreme = now;
      }
    } else if (now < extreme) extreme = now;
    else if (now - extreme >= step) {
      found.push(frames[index].ms);
      isRising = true;
      extreme = now;
    }
  });
  return found;
}

/** Most instants in any half-open second. */
function worstSecond(instants) {
  return Math.max(0, ...instants.map((from) => instants.filter((at) => at >= from && at < from + 1000).length));
}

/** The most flashes of any cell, of the whole picture, and of all distinct onsets together. */
function count(frames) {
  const cells = frames[0].cells.length;
  const mean = ({ cells: values }) => values.reduce((sum, value) => sum + value, 0) / values.length;
  let worst = worstSecond(rises(frames, mean));
  const onsets = [];
  for (let cell = 0; cell < cells; cell += 1) {
    const found = rises(frames, ({ cells: values }) => values[cell]);
    worst = Math.max(worst, worstSecond(found));
    onsets.push(...found);
  }
  // Cells that rise in the same or the next frame rise together.
  onsets.sort((one, other) => one - other);
  const distinct = onsets.filter((at, index) => index === 0 || at - onsets[index - 1] > 50);
  return { worst, distinct: worstSecond(distinct), n_frames: frames.length, n_onsets: onsets.length };
}

test("the preview starts still and Space or Escape stops it from anywhere", async ({ page }) => {
  await openApp(page);
  await isStill(page);
  const still = await picture(page);
  await page.waitForTimeout(400);
  expect(await picture(page)).toBe(still);

  await play(page).click();
  await isPlaying(page);
  await expect(page.locator("#rate")).toContainText("Slowed");
  await expect(page.locator("#rate")).toContainText("full speed needs confirmation");
  await expect.poll(() => picture(page)).not.toBe(still);
  await page.keyboard.press("Space");
  await isStill(page);
  const stopped = await picture(page);
  await page.waitForTimeout(400);
  expect(await picture(page)).toBe(stopped);

  await play(page).click();
  await page.locator("#situation").focus();
  await page.keyboard.press("Escape");
  await isStill(page);

  await page.locator("#timeline").focus();
  await page.keyboard.press("ArrowRight");
  await page.locator("#pulse-start").focus();
  await page.evaluate(() => document.querySelector("#play").click());
  await isPlaying(page);
  await page.keyboard.press("Space");
  await isStill(page);
  await expect(page.locator("#pulse-start")).toHaveValue("0");
});

test("full speed needs a confirmed step for each program", async ({ page }) => {
  await openApp(page);
  await page.getByRole("button", { name: "Full speed…" }).click();
  const dialog = page.getByRole("dialog", { name: "Play at full speed?" });
  await dialog.getByRole("button", { name: "Keep the slowed rate" }).click();
  await expect(page.locator("#rate")).toContainText("Slowed");
  await page.getByRole("button", { name: "Full speed…" }).click();
  await dialog.getByRole("button", { name: "Allow full speed for this program" }).click();
  await expect(page.locator("#rate")).toContainText("Full speed, confirmed for this program");
  await isStill(page);
  await openDemo(page, "Harbor-patrol car");
  await expect(page.locator("#rate")).toContainText("Slowed");
});

test("reduced motion leaves no full speed", async ({ page }) => {
  await page.emulateMedia({ reducedMotion: "reduce" });
  await openApp(page);
  await isStill(page);
  await expect(page.getByRole("button", { name: "Full speed…" })).toBeDisabled();
  await expect(page.locator("#rate")).toContainText("reduced motion");
  await page.emulateMedia({ reducedMotion: "no-preference" });
  await page.getByRole("button", { name: "Full speed…" }).click();
  await page.getByRole("button", { name: "Allow full speed for this program" }).click();
  await play(page).click();
  await page.emulateMedia({ reducedMotion: "reduce" });
  await isStill(page);
  await expect(page.locator("#rate")).toContainText("Slowed");
});

test("a hidden page stops the preview", async ({ page }) => {
  await openApp(page);
  await play(page).click();
  await isPlaying(page);
  await page.evaluate(() => {
    Object.defineProperty(document, "hidden", { value: true, configurable: true });
    document.dispatchEvent(new Event("visibilitychange"));
  });
  await isStill(page);
});

for (const demo of ["Highway incident-support van", "Rescue tender", "Faulty breakdown truck"]) {
  test(`what is drawn of ${demo} stays at or below three flashes in any second`, async ({ page }) => {
    test.setTimeout(90_000);
    await openApp(page);
    await openDemo(page, demo);
    await expect(page.locator("#rate")).toContainText(/Slowed|Still/);
    await play(page).click();
    const counted = count(await record(page, 8));
    expect(counted.n_frames).toBeGreaterThan(80);
    expect(counted.n_onsets, "something flashed").toBeGreaterThan(0);
    expect(counted.worst, JSON.stringify(counted)).toBeLessThanOrEqual(3);
    expect(counted.distinct, JSON.stringify(counted)).toBeLessThanOrEqual(3);
  });
}

test("the measurement sees more than three flashes where there are", async ({ page }) => {
  test.setTimeout(60_000);
  await openApp(page);
  await openDemo(page, "Faulty breakdown truck");
  await page.getByRole("button", { name: "Full speed…" }).click();
  await page.getByRole("button", { name: "Allow full speed for this program" }).click();
  await play(page).click();
  const counted = count(await record(page, 4));
  expect(counted.distinct, JSON.stringify(counted)).toBeGreaterThan(3);
});

test("a held key does not show one state after the other", async ({ page }) => {
  await openApp(page);
  await page.getByRole("button", { name: "States", exact: true }).or(page.getByRole("tab", { name: "States", exact: true })).first().click();
  const toggle = page.getByRole("button", { name: /^Left light:/ });
  await toggle.focus();
  const before = await toggle.textContent();
  // A key that goes down again without going up repeats, as a held key does.
  for (let press = 0; press < 8; press += 1) await page.keyboard.down("Enter");
  await page.keyboard.up("Enter");
  const after = await toggle.textContent();
  expect(after).not.toBe(before);
  for (let press = 0; press < 8; press += 1) await page.keyboard.down("Enter");
  await page.keyboard.up("Enter");
  expect(await toggle.textContent()).toBe(before);
  const situation = page.getByLabel("Situation").first();
  await situation.focus();
  await page.keyboard.down("ArrowDown");
  const once = await situation.inputValue();
  for (let press = 0; press < 6; press += 1) await page.keyboard.down("ArrowDown");
  await page.keyboard.up("ArrowDown");
  expect(await situation.inputValue()).toBe(once);
});

// The preview must not harm: it starts still, plays slowed, stops at once.
import { expect, test } from "../fixture.mjs";
import { openApp, openDemo } from "../app.mjs";
import { count, picture, record } from "../flashes.mjs";

const play = (page) => page.locator("#play");
const isPlaying = (page) => expect(play(page)).toContainText("Stop");
const isStill = (page) => expect(play(page)).toContainText("Play");

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

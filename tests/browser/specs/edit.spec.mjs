// Changing pulses with the mouse and with the keyboard alone, taking back and doing again.
import { expect, test } from "../fixture.mjs";
import { drag, figure, openApp, place } from "../app.mjs";

// The pattern that is open at first: left 0 to 380 ms, right 500 to 880 ms, period 1000 ms, tick 10 ms.
const PERIOD = 1000;

test("dragging the end of a pulse changes its length and the figures while the button is down", async ({ page }) => {
  await openApp(page);
  await expect(figure(page, "Duty, left")).toHaveText("38.0 %");
  const from = await place(page, 0, 380, PERIOD);
  const to = await place(page, 0, 450, PERIOD);
  await drag(page, from, to, { release: false });
  await expect(figure(page, "Duty, left")).toContainText("45.0 %");
  await expect(figure(page, "Duty, left")).toContainText("was 38.0 %");
  await expect(page.locator("#undo")).toBeDisabled();
  await page.mouse.up();
  await expect(page.locator("#pulse-length")).toHaveValue("450");
  await expect(page.locator("#undo")).toBeEnabled();

  await page.locator("#undo").click();
  await expect(figure(page, "Duty, left")).toContainText("38.0 %");
  await page.locator("#redo").click();
  await expect(figure(page, "Duty, left")).toContainText("45.0 %");
});

test("a dragged body snaps to the tick, and Alt leaves it", async ({ page }) => {
  await openApp(page);
  const from = await place(page, 1, 700, PERIOD);
  await drag(page, from, await place(page, 1, 714, PERIOD));
  const start = async () => Number(await page.locator("#pulse-start").inputValue());
  await expect.poll(start).toBeGreaterThan(500);
  expect((await start()) % 10).toBe(0);
  await page.keyboard.down("Alt");
  await drag(page, from, await place(page, 1, 723.7, PERIOD));
  await page.keyboard.up("Alt");
  await expect.poll(async () => (await start()) % 10).not.toBe(0);
});

test("Escape gives a drag up and leaves no trace", async ({ page }) => {
  await openApp(page);
  await drag(page, await place(page, 0, 380, PERIOD), await place(page, 0, 450, PERIOD), { release: false });
  await expect(figure(page, "Duty, left")).toContainText("45.0 %");
  await page.keyboard.press("Escape");
  await page.mouse.up();
  await expect(figure(page, "Duty, left")).toContainText("38.0 %");
  await expect(page.locator("#undo")).toBeDisabled();
});

test("a pulse is drawn in a free place and deleted", async ({ page }) => {
  await openApp(page);
  await drag(page, await place(page, 0, 600, PERIOD), await place(page, 0, 700, PERIOD));
  await expect(page.getByText("Lane left, pulse 2 of 2")).toBeVisible();
  await expect(page.locator("#pulse-length")).toHaveValue("100");
  await page.getByRole("button", { name: "Delete", exact: true }).click();
  await page.locator("#timeline").focus();
  await page.keyboard.press("ArrowRight");
  await expect(page.getByText("Lane left, pulse 1 of 1")).toBeVisible();
});

test("the wheel zooms about the pointer", async ({ page }) => {
  await openApp(page);
  const end = await place(page, 0, 380, PERIOD);
  await page.mouse.move(end.x, end.y);
  await page.mouse.wheel(0, -600);
  // What was under the pointer still is: the edge can be taken there, now finer than before.
  await page.waitForTimeout(300);
  await drag(page, end, { x: end.x + 40, y: end.y });
  const length = Number(await page.locator("#pulse-length").inputValue());
  expect(length).toBeGreaterThan(380);
  const box = await page.locator("#timeline-above").boundingBox();
  const unzoomed = 380 + (40 * PERIOD) / (box.width - 144);
  expect(length).toBeLessThan(unzoomed - 5);
});

test("everything of an edit with the keyboard alone", async ({ page }) => {
  await openApp(page);
  const focused = () => page.evaluate(() => document.activeElement?.id ?? "");
  const tabTo = async (id) => {
    for (let press = 0; press < 60 && (await focused()) !== id; press += 1) await page.keyboard.press("Tab");
    expect(await focused()).toBe(id);
  };
  await tabTo("timeline");
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("ArrowDown");
  await expect(page.getByText("Lane right, pulse 1 of 1")).toBeVisible();
  for (const shift of ["", "Shift+", ""]) await page.keyboard.press(`Alt+${shift}ArrowRight`);
  await expect(page.locator("#undo")).toHaveText("Undo: Move pulse 120 ms later");
  await page.keyboard.press("Control+z");
  await expect(page.locator("#undo")).toBeDisabled();
  await page.keyboard.press("Alt+ArrowRight");
  await expect(page.locator("#pulse-start")).toHaveValue("510");
  await page.keyboard.press("]");
  await expect(page.locator("#pulse-length")).toHaveValue("390");
  await page.keyboard.press("-");
  await expect(page.locator("#pulse-level")).toHaveValue("95");
  await expect(page.locator("#message")).not.toBeEmpty();

  await page.keyboard.press("Enter");
  expect(await focused()).toBe("pulse-start");
  await page.keyboard.type("520.5");
  await page.keyboard.press("Enter");
  expect(await focused()).toBe("timeline");
  await expect(page.locator("#pulse-start")).toHaveValue("520.5");

  for (let step = 0; step < 4; step += 1) await page.keyboard.press("Control+z");
  await expect(page.locator("#pulse-start")).toHaveValue("500");
  await expect(page.locator("#pulse-level")).toHaveValue("100");
  await expect(page.locator("#undo")).toBeDisabled();
  await page.keyboard.press("Control+Shift+z");
  await expect(page.locator("#pulse-start")).toHaveValue("510");

  await page.keyboard.press("i");
  await expect(page.getByText("Lane right, pulse 2 of 2")).toBeVisible();
  await page.keyboard.press("Delete");
  await page.keyboard.press("?");
  await expect(page.getByRole("dialog", { name: "Commands and keys" })).toBeVisible();
  await page.keyboard.press("Escape");
  await expect(page.getByRole("dialog")).toHaveCount(0);
});

test("the table shows and edits the same pulses", async ({ page }) => {
  await openApp(page);
  const table = page.locator("#lane-table");
  await expect(table).toContainText("right");
  await page.getByRole("button", { name: "Table", exact: true }).click();
  const start = page.getByLabel("Start of lane right, pulse 1 in ms");
  await expect(start).toHaveValue("500");
  await start.fill("540");
  await start.press("Enter");
  await expect(figure(page, "Right after left")).toContainText("was 180.0°");
  await page.getByRole("button", { name: "Add pulse to lane left" }).click();
  await expect(page.getByLabel("Start of lane left, pulse 2 in ms")).toBeVisible();
});

test("a number that does not fit is refused in words and the field is put back", async ({ page }) => {
  await openApp(page);
  await page.locator("#timeline").focus();
  await page.keyboard.press("ArrowRight");
  await page.locator("#pulse-length").fill("1200");
  await page.locator("#pulse-length").press("Enter");
  await expect(page.locator("#message")).toContainText("1000 ms");
  await expect(page.locator("#pulse-length")).toHaveValue("380");
});

test("name, period and tick of a pattern", async ({ page }) => {
  await openApp(page);
  await page.locator(".pattern summary").click();
  await page.locator("#pattern-period").fill("1200");
  await page.locator("#pattern-period").press("Enter");
  await expect(figure(page, "Duty, left")).toContainText("was 38.0 %");
  await page.locator("#pattern-period").fill("300");
  await page.locator("#pattern-period").press("Enter");
  await expect(page.locator("#message")).toHaveClass(/is-refused/);
  await expect(page.locator("#pattern-period")).toHaveValue("1200");
  await page.locator("#pattern-name").fill("Slower");
  await page.locator("#pattern-name").press("Enter");
  await expect(page.locator("#pattern option:checked")).toContainText("Slower, 1200 ms");
});

test.describe("on a fine screen", () => {
  test.use({ deviceScaleFactor: 2 });

  test("the pointer still meets what is drawn", async ({ page }) => {
    await openApp(page);
    const canvas = await page.locator("#timeline-above").evaluate((element) => element.width / element.clientWidth);
    expect(canvas).toBeCloseTo(2, 1);
    await drag(page, await place(page, 0, 380, PERIOD), await place(page, 0, 420, PERIOD));
    await expect(page.locator("#pulse-length")).toHaveValue("420");
  });
});

// A programmer at work on the timeline: the same double flash by mouse, by keyboard and by typing, and what helps on the way.
import { expect, scanForBarriers, test } from "../fixture.mjs";
import { drag, focused, message, openApp, place, pressLane, runs } from "../app.mjs";

// The pattern that is open at first: left 0 to 380 ms, right 500 to 880 ms, period 1000 ms, tick 10 ms.
const PERIOD = 1000;

// Double flashes of 75 ms, 50 ms apart, twice in a second; the right ones half a repetition later.
const LEFT = "75 50 75 300 75 50 75 300";
const RIGHT = "0 250 75 50 75 300 75 50 75 50";

/** What both lanes hold, read off the numbers of the focused lane. */
async function expectDoubleFlash(page) {
  await pressLane(page, 0);
  await expect(runs(page)).toHaveValue(LEFT);
  await expect(page.locator("#lane-rate")).toHaveValue("2");
  await expect(page.locator("#lane-duty")).toHaveValue("30");
  await pressLane(page, 1);
  await expect(runs(page)).toHaveValue(RIGHT);
}

/** Takes everything back and expects the lanes as they were. */
async function undoAll(page) {
  await page.locator("#timeline").focus();
  for (let press = 0; press < 40; press += 1) {
    if (await page.locator("#undo").isDisabled()) break;
    await page.keyboard.press("Control+z");
  }
  await expect(page.locator("#undo")).toBeDisabled();
  await pressLane(page, 0);
  await expect(runs(page)).toHaveValue("380 620");
  await pressLane(page, 1);
  await expect(runs(page)).toHaveValue("0 500 380 120");
}

test("a double flash by typing numbers, mirrored to the other side", async ({ page }) => {
  await openApp(page);
  await pressLane(page, 0);
  await expect(runs(page)).toHaveValue("380 620");
  await runs(page).fill("75 50 75 300");
  await runs(page).press("Enter");
  expect(await focused(page)).toBe("timeline");
  await page.keyboard.press("m");
  await expect(message(page)).toContainText("Lane right plays the same 250 ms later");
  await expectDoubleFlash(page);
  await undoAll(page);
});

test("a double flash by keyboard alone", async ({ page }) => {
  await openApp(page);
  await page.locator("#timeline").focus();
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("Enter");
  await page.keyboard.press("Tab");
  expect(await focused(page)).toBe("pulse-length");
  await page.keyboard.type("75");
  await page.keyboard.press("Enter");
  await page.keyboard.press("d");
  await expect(page.getByText("Lane left, pulse 2 of 2")).toBeVisible();
  await page.keyboard.press("Enter");
  await page.keyboard.type("125");
  await page.keyboard.press("Enter");
  await expect(runs(page)).toHaveValue("75 50 75 800");
  await page.keyboard.press("Control+a");
  await page.keyboard.press("n");
  const asker = page.getByRole("dialog", { name: "Repeat to fill the period" });
  await expect(asker).toBeVisible();
  expect(await focused(page)).toBe("answer");
  await page.keyboard.press("Control+a");
  await page.keyboard.type("9");
  await page.keyboard.press("Enter");
  await expect(asker.getByRole("alert")).toContainText("9 times do not fit");
  await page.keyboard.press("Control+a");
  await page.keyboard.type("2");
  await page.keyboard.press("Enter");
  await expect(asker).toHaveCount(0);
  await expect.poll(() => focused(page)).toBe("timeline");
  await page.keyboard.press("m");
  await expect(message(page)).toContainText("Lane right plays the same 250 ms later");
  await expectDoubleFlash(page);
  await undoAll(page);
});

test("a double flash by mouse", async ({ page }) => {
  await openApp(page);
  await page.locator(".pattern summary").click();
  await page.locator("#pattern-tick").fill("25");
  await page.locator("#pattern-tick").press("Enter");
  await page.locator(".pattern summary").click();
  const body = await place(page, 0, 200, PERIOD);
  await page.mouse.click(body.x, body.y + 5);
  await page.getByRole("button", { name: "Delete", exact: true }).click();
  // Lane left is free now; the edges of lane right are too far away to snap to.
  await drag(page, await place(page, 0, 3, PERIOD), await place(page, 0, 77, PERIOD));
  await drag(page, await place(page, 0, 123, PERIOD), await place(page, 0, 202, PERIOD));
  await pressLane(page, 0);
  await expect(runs(page)).toHaveValue("75 50 75 800");
  await page.locator(".shapes summary").click();
  await page.getByRole("button", { name: "Repeat to fill the period…" }).click();
  await page.getByRole("dialog").getByRole("button", { name: "Do it" }).click();
  await page.getByRole("button", { name: "Mirror to the other side" }).click();
  await page.locator(".shapes summary").click();
  await expect(message(page)).toContainText("Lane right plays the same 250 ms later");
  await expectDoubleFlash(page);
});

test("copy and paste within a lane, to another lane, and undo all", async ({ page }) => {
  await openApp(page);
  await page.locator("#timeline").focus();
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("Control+c");
  await expect(message(page)).toHaveText("Copied 1 pulse");
  await page.keyboard.press("ArrowDown");
  await page.keyboard.press("Control+v");
  await expect(runs(page)).toHaveValue("380 120 380 120");
  await page.keyboard.press("l");
  await page.keyboard.press("Control+c");
  await page.keyboard.press("ArrowUp");
  await page.keyboard.press("Control+v");
  await expect(page.getByText("Lane left", { exact: true })).toBeVisible();
  await expect(runs(page)).toHaveValue("380 120 380 120");
  await page.keyboard.press("x");
  await expect(runs(page)).toHaveValue("0 380 120 380 120");
  await undoAll(page);
});

test("a command is found by its name, with its keys or why it is not possible", async ({ page }) => {
  await openApp(page);
  await pressLane(page, 0);
  await page.keyboard.press("Control+k");
  const finder = page.getByRole("dialog", { name: "Find a command" });
  await expect(finder).toBeVisible();
  expect(await focused(page)).toBe("find");
  await page.keyboard.type("paste");
  await expect(finder.getByRole("option")).toHaveCount(1);
  await expect(finder.getByRole("option")).toContainText("nothing was copied yet");
  await page.keyboard.press("Enter");
  await expect(finder).toBeVisible();
  await scanForBarriers(page);
  await page.keyboard.press("Control+a");
  await page.keyboard.type("dark lit");
  await expect(finder.getByRole("option")).toContainText("Invert lit and dark");
  await page.keyboard.press("Enter");
  await expect(finder).toHaveCount(0);
  await expect(runs(page)).toHaveValue("0 380 620");
  await page.keyboard.press("F2");
  await page.keyboard.type("shape");
  await page.keyboard.press("ArrowDown");
  await expect(finder.getByRole("option", { selected: true })).toContainText("Copy");
  await page.keyboard.press("Escape");
  await expect(finder).toHaveCount(0);
});

test("a dragged edge stops at the limit of a rule unless Alt is held", async ({ page }) => {
  await openApp(page);
  // LW001 counts a flash by a dark gap of 160 ms, so the lane may be lit for 840 of 1000 ms.
  await drag(page, await place(page, 0, 380, PERIOD), await place(page, 0, 930, PERIOD));
  await expect(page.locator("#pulse-length")).toHaveValue("840");
  await expect(message(page)).toContainText("held by LW001");
  await page.keyboard.down("Alt");
  await drag(page, await place(page, 0, 840, PERIOD), await place(page, 0, 930, PERIOD));
  await page.keyboard.up("Alt");
  await expect.poll(async () => Number(await page.locator("#pulse-length").inputValue())).toBeGreaterThan(900);
});

test("a lane is muted in the preview and bound to other heads", async ({ page }) => {
  await openApp(page);
  await pressLane(page, 0);
  const mute = page.getByRole("button", { name: "Mute", exact: true });
  await mute.click();
  await expect(mute).toHaveAttribute("aria-pressed", "true");
  await expect(page.locator("#undo")).toBeDisabled();
  await mute.click();
  await expect(mute).toHaveAttribute("aria-pressed", "false");
  const heads = page.locator(".lane details");
  const words = await heads.locator("summary").textContent();
  await heads.locator("summary").click();
  await heads.getByRole("checkbox", { checked: true }).first().uncheck();
  await expect(heads.locator("summary")).not.toHaveText(words);
  await expect(page.locator("#undo")).toContainText("Bind head");
});

test("in the table, undo works after a typed number and the focus stays after deleting", async ({ page }) => {
  await openApp(page);
  await page.getByRole("button", { name: "Table", exact: true }).click();
  const length = page.getByLabel("Length of lane left, pulse 1 in ms");
  await length.fill("300");
  await length.press("Enter");
  await expect(page.locator("#undo")).toBeEnabled();
  await page.keyboard.press("Control+z");
  await expect(length).toHaveValue("380");
  await expect(page.locator("#undo")).toBeDisabled();
  await page.getByRole("button", { name: "Add pulse to lane left" }).click();
  const second = page.getByRole("button", { name: "Delete lane left, pulse 2" });
  await second.focus();
  await page.keyboard.press("Enter");
  await expect(second).toHaveCount(0);
  await expect.poll(() => focused(page)).toBe("delete-0-0");
  // Nothing of the table is cut off.
  const table = page.locator(".wide");
  const cut = await table.evaluate((element) => element.scrollWidth - element.clientWidth);
  expect(cut).toBeLessThanOrEqual(1);
});

test("without a pattern the buttons that need one are off and say why", async ({ page }) => {
  await openApp(page);
  await page.getByRole("button", { name: "Programs…" }).click();
  await page.getByRole("dialog").getByRole("button", { name: /empty/i }).click();
  await expect(page.locator("#program-name")).not.toHaveText("Highway incident-support van");
  // The vehicle comes first; the timeline is a press away.
  await expect(page.getByRole("tab", { name: "Set-up" })).toHaveAttribute("aria-selected", "true");
  await page.getByRole("tab", { name: "Timeline" }).click();
  for (const name of ["Whole period", "Insert pulse", "Add lane"]) {
    const button = page.getByRole("button", { name, exact: true });
    await expect(button).toBeDisabled();
    await expect(button).toHaveAttribute("title", "no pattern is open");
  }
  // And from nothing: a lane, typed, and its mirror.
  await page.getByRole("button", { name: "Add pattern" }).first().click();
  await expect(runs(page)).toHaveValue("");
  await runs(page).fill("75 50 75 300");
  await runs(page).press("Enter");
  await expect(page.locator("#pattern option:checked")).toContainText("500 ms");
  await expect(page.locator("#lane-rate")).toHaveValue("2");
});

test("what shapes lanes leaves them in sight in a window of 1280 by 800", async ({ page }) => {
  await openApp(page);
  const [pattern, shapes] = [page.locator(".pattern"), page.locator(".shapes")];
  await pattern.locator("summary").click();
  await shapes.locator("summary").click();
  await expect(shapes).toHaveAttribute("open");
  await expect(pattern).not.toHaveAttribute("open");
  const first = await place(page, 0, 200, PERIOD);
  const isThere = await page.evaluate(({ x, y }) => document.elementFromPoint(x, y)?.id === "timeline-above", first);
  expect(isThere, "the first lane can be pressed").toBe(true);
});

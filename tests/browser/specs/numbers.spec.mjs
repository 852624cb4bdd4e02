// Numbers as people type them: with a decimal comma, with a unit, with a slip in them; and pulses and lanes that go elsewhere.
import { expect, test } from "../fixture.mjs";
import { drag, focused, message, openApp, place, pressLane, runs } from "../app.mjs";

// The pattern that is open at first: left 0 to 380 ms, right 500 to 880 ms, period 1000 ms, tick 10 ms.
const PERIOD = 1000;

/** Types over what a field shows, key by key, and completes it. */
async function type(page, id, text) {
  const field = page.locator(id);
  await field.focus();
  await page.keyboard.press("Control+a");
  await page.keyboard.type(text);
  await page.keyboard.press("Enter");
  return field;
}

test("a decimal comma is a point in every field of the timeline", async ({ page }) => {
  await openApp(page);
  await page.locator("#timeline").focus();
  await page.keyboard.press("ArrowRight");
  await expect(await type(page, "#pulse-start", "20,5")).toHaveValue("20.5");
  await expect(await type(page, "#pulse-length", "70,25 ms")).toHaveValue("70.25");
  await expect(await type(page, "#pulse-level", "50,5%")).toHaveValue("50.5");
  expect(await focused(page)).toBe("timeline");
  await expect(await type(page, "#lane-duty", "8 %")).toHaveValue("8");
  await page.locator(".pattern summary").click();
  await expect(await type(page, "#pattern-period", "1200,5")).toHaveValue("1200.5");
  await expect(message(page)).toHaveText("Period 1200.5 ms, no whole number of ticks of 10 ms");
  await page.getByRole("button", { name: "Table", exact: true }).click();
  const start = page.getByLabel("Start of lane right, pulse 1 in ms");
  await start.fill("510,5");
  await start.press("Enter");
  await expect(start).toHaveValue("510.5");
});

test("the arrow keys change a number step by step, and each step is kept", async ({ page }) => {
  await openApp(page);
  await page.locator("#timeline").focus();
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("Enter");
  expect(await focused(page)).toBe("pulse-start");
  await page.keyboard.press("ArrowUp");
  await expect(page.locator("#pulse-start")).toHaveValue("10");
  await page.keyboard.press("ArrowUp");
  await expect(runs(page)).toHaveValue("0 20 380 600");
  await page.keyboard.press("ArrowDown");
  await expect(runs(page)).toHaveValue("0 10 380 610");
});

test("what is refused says what is wanted, and a list with a slip stays to be mended", async ({ page }) => {
  await openApp(page);
  await page.locator("#timeline").focus();
  await page.keyboard.press("ArrowRight");
  await type(page, "#pulse-level", "150");
  await expect(message(page)).toHaveText("level 150 %, 0.1 to 100 % with at most one decimal wanted");
  expect(await focused(page)).toBe("pulse-level");
  await page.keyboard.press("Escape");
  expect(await focused(page)).toBe("timeline");
  await type(page, "#lane-runs", "75 50 75 5o 75 725");
  await expect(message(page)).toContainText('run 4 is "5o"');
  await expect(runs(page)).toHaveValue("75 50 75 5o 75 725");
  await expect(runs(page)).toHaveAttribute("aria-invalid", "true");
  expect(await focused(page)).toBe("lane-runs");
  await type(page, "#lane-runs", "75 50 75 50 75 675");
  await expect(message(page)).toHaveText("Lane left typed");
  await expect(runs(page)).not.toHaveAttribute("aria-invalid");
  expect(await focused(page)).toBe("timeline");
  await expect(page.locator("#undo")).toHaveText("Undo: Type lane");
});

test("the builder takes a number as it was typed or says why not", async ({ page }) => {
  await openApp(page);
  await page.keyboard.press("Alt+b");
  const builder = page.getByRole("dialog", { name: "Build a pattern" });
  await type(page, "#builder-hertz", "2,5");
  await expect(page.locator("#builder-rate")).toHaveValue("150");
  await type(page, "#builder-pulses", "2,7");
  await expect(builder.getByRole("alert")).toHaveText('Pulses per flash "2,7", a whole number wanted');
  await expect(page.locator("#builder-pulses")).toHaveValue("1");
  await type(page, "#builder-level", "250");
  await expect(builder.getByRole("alert")).toHaveText('Level "250", 0 to 100 % with at most one decimal wanted');
  await type(page, "#builder-level", "62,5");
  await expect(builder.getByRole("alert")).toHaveCount(0);
  await expect(page.locator("#builder-level")).toHaveValue("62.5");
});

test("level by number, name and heads of a lane are a key away", async ({ page }) => {
  await openApp(page);
  await page.locator("#timeline").focus();
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("g");
  await expect(page.getByRole("dialog", { name: "Set the level" }).locator("#answer")).toHaveValue("100");
  await page.keyboard.press("Control+a");
  await page.keyboard.type("30 %");
  await page.keyboard.press("Enter");
  await expect(runs(page)).toHaveValue("380@30 620");
  await expect(page.locator("#undo")).toHaveText("Undo: Set level");
  await expect.poll(() => focused(page)).toBe("timeline");
  await page.keyboard.press("c");
  await page.keyboard.press("Control+a");
  await page.keyboard.type("driver");
  await page.keyboard.press("Enter");
  await expect(page.getByRole("group", { name: "Lane driver in numbers" })).toBeVisible();
  await expect.poll(() => focused(page)).toBe("timeline");
  await page.keyboard.press("b");
  const first = page.locator("#lane-heads").getByRole("checkbox").first();
  await expect(first).toBeFocused();
  await page.keyboard.press("Space");
  await expect(page.locator("#undo")).toHaveText("Undo: Bind head");
});

test("a pulse goes to another lane by mouse and by key", async ({ page }) => {
  await openApp(page);
  const from = await place(page, 0, 200, PERIOD);
  await drag(page, { x: from.x, y: from.y + 5 }, await place(page, 1, 200, PERIOD));
  await expect(page.getByText("Lane right, pulse 1 of 2")).toBeVisible();
  await expect(runs(page)).toHaveValue("380 120 380 120");
  await page.keyboard.press("Control+ArrowUp");
  await expect(page.getByText("Lane left, pulse 1 of 1")).toBeVisible();
  await expect(page.locator("#undo")).toHaveText("Undo: Move pulse 1 lane up");
  await page.keyboard.press("Control+ArrowUp");
  await expect(message(page)).toHaveText("Move to the lane above is not possible now: there is no lane above");
});

test("lanes that were not selected are not copied, and missing ones are made", async ({ page }) => {
  await openApp(page);
  await pressLane(page, 0);
  await page.keyboard.press("Alt+l");
  await pressLane(page, 0);
  await page.keyboard.down("Control");
  await pressLane(page, 2);
  await page.keyboard.up("Control");
  await page.keyboard.press("Control+c");
  await expect(message(page)).toHaveText("Copied 2 lanes");
  await pressLane(page, 2);
  await page.keyboard.press("Control+v");
  await expect(message(page)).toHaveText("Pasted 2 lanes, 1 lane added for it");
  await pressLane(page, 2);
  await expect(runs(page)).toHaveValue("380 620");
  await pressLane(page, 3);
  await expect(runs(page)).toHaveValue("0 500 380 120");
});

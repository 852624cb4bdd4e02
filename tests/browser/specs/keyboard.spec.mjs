// The whole of a visit with the keyboard alone: no mouse, no touch.
import { expect, test } from "../fixture.mjs";
import { openApp } from "../app.mjs";

const focused = (page) => page.evaluate(() => document.activeElement?.id ?? "");

/** Presses Tab until an element has the focus. */
async function tabTo(page, id) {
  for (let press = 0; press < 120 && (await focused(page)) !== id; press += 1) await page.keyboard.press("Tab");
  expect(await focused(page)).toBe(id);
}

test("choose a situation, play, see why, find, explain, save", async ({ page }) => {
  await openApp(page);
  const words = await page.locator("#state-words").textContent();
  await tabTo(page, "situation");
  await page.keyboard.press("ArrowDown");
  await expect(page.locator("#state-words")).not.toHaveText(words);

  await tabTo(page, "heads");
  await page.keyboard.press("Home");
  await expect(page.locator(".reason")).toContainText("Decided by");

  await tabTo(page, "play");
  await page.keyboard.press("Enter");
  await expect(page.locator("#play")).toContainText("Stop");
  await page.keyboard.press("Space");
  await expect(page.locator("#play")).toContainText("Play");

  await page.keyboard.press("Alt+2");
  await expect(page.getByRole("tab", { name: "States" })).toHaveAttribute("aria-selected", "true");
  await tabTo(page, "tab-states");
  await page.keyboard.press("ArrowRight");
  await expect(page.getByRole("tab", { name: "Screening" })).toHaveAttribute("aria-selected", "true");

  await page.keyboard.press("Alt+n");
  const programs = page.getByRole("dialog", { name: "Programs" });
  await expect(programs).toBeVisible();
  for (let press = 0; press < 12; press += 1) {
    await page.keyboard.press("Tab");
    if ((await page.evaluate(() => document.activeElement.textContent)) === "Faulty breakdown truck") break;
  }
  await page.keyboard.press("Enter");
  await expect(page.locator("#program-name")).toContainText("faulty");
  await expect(page.locator("#findings .finding")).not.toHaveCount(0);

  await page.keyboard.press("Alt+f");
  expect(await focused(page)).toBe("findings");
  await page.keyboard.press("Tab");
  await page.keyboard.press("Enter");
  await expect(page.locator("#findings .go[aria-current=true]")).toHaveCount(1);
  await page.keyboard.press("Tab");
  await page.keyboard.press("Enter");
  await expect(page.getByRole("dialog")).toContainText("Sources");
  await page.keyboard.press("Escape");
  await expect(page.getByRole("dialog")).toHaveCount(0);

  const waiting = page.waitForEvent("download");
  await page.keyboard.press("Control+s");
  expect((await waiting).suggestedFilename()).toMatch(/\.json$/);
});

test("look from a side, stand farther away, scrub, slow down and loop", async ({ page }) => {
  await openApp(page);
  const projection = page.locator("input[name=projection]");
  // One stop for all views: the chosen one.
  await tabTo(page, "situation");
  await page.keyboard.press("Tab");
  await expect(projection.first()).toBeFocused();
  for (let press = 0; press < 5; press += 1) await page.keyboard.press("ArrowRight");
  await expect(page.getByRole("radio", { name: "Approach" })).toBeChecked();
  await tabTo(page, "eye-distance");
  await page.keyboard.press("ArrowUp");
  await expect(page.locator("#eye-distance")).toHaveValue("31");
  await tabTo(page, "eye-direction");
  await page.keyboard.press("Control+a");
  await page.keyboard.type("135");
  await page.keyboard.press("Tab");
  await expect(page.getByRole("slider", { name: "Direction" })).toBeFocused();
  await expect(page.getByRole("slider", { name: "Direction" })).toHaveValue("135");
  await tabTo(page, "scrub");
  for (let press = 0; press < 3; press += 1) await page.keyboard.press("ArrowRight");
  await expect(page.locator(".time output")).toHaveText("3 ms");
  await tabTo(page, "pace");
  await page.keyboard.press("ArrowDown");
  await expect(page.locator("#pace")).toHaveValue("2");
  await expect(page.locator("#rate")).toContainText("Slowed");

  await tabTo(page, "timeline");
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("o");
  await expect(page.locator("#loop")).toHaveAttribute("aria-pressed", "true");
  await expect(page.locator("#scrub")).toHaveAttribute("max", "380");
  await page.keyboard.press("v");
  await expect(page.getByRole("radio", { name: "Above" })).toBeChecked();
});

test("Enter completes and Escape takes back what is typed in a field of the table, and both stay in it", async ({ page }) => {
  await openApp(page);
  await page.getByRole("button", { name: "Table", exact: true }).click();
  const name = page.getByLabel("Name of lane 1", { exact: true });
  const before = await name.inputValue();
  const undo = page.locator("#undo");
  await name.focus();
  await page.keyboard.press("Control+a");
  await page.keyboard.type("port");
  await expect(name).toHaveValue("port");
  await page.keyboard.press("Escape");
  await expect(name).toHaveValue(before);
  await expect(name).toBeFocused();
  await page.keyboard.press("Tab");
  await expect(undo).toBeDisabled();

  await name.focus();
  await page.keyboard.press("Control+a");
  await page.keyboard.type("port");
  await page.keyboard.press("Enter");
  await expect(page.locator("#message")).toHaveText("Lane port");
  await expect(name).toBeFocused();
  await expect(name).toHaveValue("port");
  await page.keyboard.press("Escape");
  await expect(name).toHaveValue("port");

  const start = page.getByLabel("Start of lane port, pulse 1 in ms");
  const at = await start.inputValue();
  await start.fill("7");
  await start.press("Escape");
  await expect(start).toHaveValue(at);
  await start.fill("7");
  await start.press("Enter");
  await expect(start).toBeFocused();
  await expect(undo).toBeEnabled();
  await expect(start).not.toHaveValue(at);
});

test("what is typed in a field is taken when a key shows another view, and before a key saves the file", async ({ page }) => {
  await openApp(page);
  await page.locator("#timeline").focus();
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("Enter");
  await page.keyboard.press("Tab");
  await expect(page.locator("#pulse-length")).toBeFocused();
  await page.keyboard.type("300");
  await page.keyboard.press("Alt+8");
  await expect(page.locator("#undo")).toHaveText("Undo: Set length");

  const setup = page.locator(".setup");
  await setup.getByRole("button", { name: /^Situations/ }).click();
  await setup.locator("[name=thing]").first().click();
  const label = setup.getByLabel("Label", { exact: true });
  await label.focus();
  await page.keyboard.press("Control+a");
  await page.keyboard.type("In the yard");
  const waiting = page.waitForEvent("download");
  await page.keyboard.press("Control+s");
  const parts = [];
  for await (const part of await (await waiting).createReadStream()) parts.push(part);
  const program = JSON.parse(Buffer.concat(parts).toString());
  expect(program.situations[0].label).toBe("In the yard");
  // The hand is still in the field.
  await expect(label).toBeFocused();
  await page.keyboard.type(", dry");
  await page.keyboard.press("Enter");
  await expect(setup.locator("[name=thing]").first()).toHaveText(/In the yard, dry/);
});

test("any set of heads is chosen with the keyboard alone", async ({ page }) => {
  await openApp(page);
  const heads = page.locator("#heads");
  const chosen = heads.locator("[aria-selected=true]");
  const at = () => heads.getAttribute("aria-activedescendant");
  await tabTo(page, "heads");
  await page.keyboard.press("Home");
  // Grows with every press, though identifiers rise otherwise than heads stand.
  const visited = new Set([await at()]);
  for (let n = 2; n <= 6; n += 1) {
    await page.keyboard.press("Shift+ArrowRight");
    await expect(chosen).toHaveCount(n);
    visited.add(await at());
  }
  expect(visited.size).toBe(6);
  // Goes on without choosing, then takes that one in and leaves it out again.
  const before = await at();
  await page.keyboard.press("Control+ArrowDown");
  await expect(chosen).toHaveCount(6);
  await expect.poll(at).not.toBe(before);
  await expect(page.locator("#message")).toHaveText(/^Head .+, not selected; 6 heads selected$/);
  await page.keyboard.press("Space");
  await expect(chosen).toHaveCount(7);
  await expect(page.locator("#message")).toHaveText(/^Head .+, selected; 7 heads selected$/);
  await page.keyboard.press("Space");
  await expect(chosen).toHaveCount(6);
  await page.keyboard.press("Control+a");
  await expect(chosen).toHaveCount(46);
  await page.keyboard.press("ArrowLeft");
  await expect(chosen).toHaveCount(1);
});

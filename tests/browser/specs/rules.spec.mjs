// The rule book in the app: fixes tried first, waivers, the profile, and rules explained with drawings.
import { expect, scanForBarriers, test } from "../fixture.mjs";
import { openApp, openDemo, pickFile, saveFile } from "../app.mjs";

/** Opens the demo that is made wrong on purpose and waits for its findings. */
async function openFaulty(page) {
  await openApp(page);
  await openDemo(page, "Faulty breakdown truck");
  await expect(page.locator("#findings .finding")).not.toHaveCount(0);
  // Of all states, not of the shown one alone.
  await expect(page.locator(".found")).not.toContainText("From before the change under way");
}

/** Opens the panel of rules and shows those that a text finds. */
async function findRules(page, text) {
  await page.getByRole("tab", { name: "Rules" }).click();
  await page.getByLabel("Find", { exact: true }).fill(text);
}

/** The saved program. */
const saved = async (page) => JSON.parse((await saveFile(page)).text);

test("at 1280 by 800 the findings are in sight, with at least half of the column", async ({ page }) => {
  await openFaulty(page);
  const column = await page.locator(".results").boundingBox();
  const found = await page.locator(".found").boundingBox();
  expect(found.height).toBeGreaterThanOrEqual(column.height / 2);
  await expect(page.locator("#findings .finding").first()).toBeInViewport();
  await expect(page.locator("#counts")).toBeInViewport();
  await expect(page.locator(".summary .figures dt").first()).toBeInViewport();
});

test("a fix is tried first, shows what changes, and is one step", async ({ page }) => {
  await openFaulty(page);
  const finding = page.locator("#findings .finding", { hasText: "LW001" }).first();
  const before = await page.locator("#counts").textContent();
  await finding.getByRole("button", { name: /^Fix LW001/ }).click();
  const dialog = page.getByRole("dialog");
  await expect(dialog).toContainText("Judged again: this finding is gone");
  await expect(dialog.locator("tbody tr").first()).toContainText("period");
  await scanForBarriers(page);
  await dialog.getByRole("button", { name: "Cancel" }).click();
  expect(await page.locator("#counts").textContent()).toBe(before);

  await finding.getByRole("button", { name: /^Fix LW001/ }).click();
  const label = await dialog.locator("h3").first().textContent();
  await dialog.getByRole("button", { name: "Apply" }).first().click();
  await expect(page.locator("#counts")).not.toHaveText(before);
  await expect(page.locator("#message")).toContainText(label);
  await page.keyboard.press("Control+z");
  await expect(page.locator("#counts")).toHaveText(before);
});

test("a fix that is asked for right after a change keeps the change", async ({ page }) => {
  await openFaulty(page);
  const finding = page.locator("#findings .finding", { hasText: "LW001" }).first();
  await finding.locator(".go").click();
  await page.locator(".pattern summary").click();
  const button = finding.getByRole("button", { name: /^Fix LW001/ });
  await button.scrollIntoViewIfNeeded();
  const fix = await button.boundingBox();
  await page.locator("#pattern-name").fill("Named just now");
  await page.keyboard.press("Enter");
  // Before the program is judged again.
  await page.mouse.click(fix.x + fix.width / 2, fix.y + fix.height / 2);
  await page.getByRole("dialog").getByRole("button", { name: "Apply" }).first().click();
  await expect(page.locator("#undo")).not.toHaveText("Undo: Rename pattern");
  const labels = (await saved(page)).patterns.map(({ label }) => label);
  expect(labels).toContain("Named just now");
});

test("a finding is waived with a reason, listed apart, saved, and taken back", async ({ page }) => {
  await openFaulty(page);
  const before = await page.locator("#counts").textContent();
  const n = (await saved(page)).waivers.length;
  await page.getByRole("button", { name: /^Waive LW001/ }).first().click();
  const dialog = page.getByRole("dialog");
  await expect(dialog.getByLabel("Date")).toHaveValue(/^\d{4}-\d\d-\d\d$/);
  // A waiver without a reason is none.
  await dialog.getByRole("button", { name: "Waive", exact: true }).click();
  await expect(dialog).toBeVisible();
  await dialog.getByLabel("Reason").fill("Only used inside the yard");
  await dialog.getByLabel("Accepted by").fill("R. Example");
  await scanForBarriers(page);
  await dialog.getByRole("button", { name: "Waive", exact: true }).click();
  const waived = page.getByRole("region", { name: "Waived findings" });
  await expect(waived).toContainText("Only used inside the yard");
  const kept = (await saved(page)).waivers;
  expect(kept).toHaveLength(n + 1);
  expect(kept.at(-1)).toMatchObject({ rule: "LW001", reason: "Only used inside the yard", by: "R. Example" });
  await waived.locator(".finding", { hasText: "R. Example" }).getByRole("button", { name: "Remove waiver" }).click();
  await expect(page.locator("#counts")).toHaveText(before);
});

test("a rule is chosen and left out, and its outcome stands beside it", async ({ page }) => {
  await openFaulty(page);
  await findRules(page, "LW001");
  const row = page.locator("#view tbody tr", { hasText: "LW001" }).first();
  await expect(row).toContainText(/failed .*\d+ findings?.* in \d+ of \d+ states/);
  await row.getByRole("checkbox").uncheck();
  await expect(row).toContainText("not evaluated");
  await expect(page.locator("#findings .finding", { hasText: "LW001" })).toHaveCount(0);
  await row.getByRole("checkbox").check();
  await expect(row).toContainText("failed");
});

test("severity and parameter are set in the profile, and a value out of range is not taken", async ({ page }) => {
  await openFaulty(page);
  await findRules(page, "LW001");
  await page.getByRole("combobox", { name: "Severity of LW001" }).selectOption("info");
  await page.locator("#view .name", { hasText: "LW001" }).click();
  const gap = page.locator("#LW001-gap_ms");
  await gap.fill("100");
  await gap.press("Enter");
  await expect(page.locator("#message")).toContainText("gap_ms");
  const chosen = async () => (await saved(page)).profile.rules.find((rule) => rule.code === "LW001");
  expect(await chosen()).toMatchObject({ severity: "info", parameters: { gap_ms: 100 } });
  await gap.fill("-5");
  await gap.press("Enter");
  expect(await gap.evaluate((field) => field.validationMessage)).toMatch(/^-5 ms is below the least that makes sense for this limit, from 0 ms to \d+ ms wanted$/);
  await expect(gap).toHaveAttribute("aria-invalid", "true");
  expect(await chosen()).toMatchObject({ parameters: { gap_ms: 100 } });
  await gap.fill("120 ms");
  await gap.press("Enter");
  await expect(gap).not.toHaveAttribute("aria-invalid");
  expect(await chosen()).toMatchObject({ parameters: { gap_ms: 120 } });
  await scanForBarriers(page);
});

test("an unverified limit is confirmed with the agency's own source", async ({ page }) => {
  await openApp(page);
  await findRules(page, "LW001");
  const row = page.locator("#view tbody tr", { hasText: "LW001" }).first();
  if (!(await row.getByRole("checkbox").isChecked())) await row.getByRole("checkbox").check();
  await page.locator("#view .name", { hasText: "LW001" }).click();
  const details = page.locator(".rules .details").first();
  await expect(details).toContainText("unverified");
  await details.getByText("Confirm…").click();
  await details.getByLabel(/^Source/).fill("Standard on our shelf, 2021, 3.4");
  await details.getByLabel("Confirmed by").fill("R. Example");
  await scanForBarriers(page);
  await details.getByRole("button", { name: "Confirm the limits of LW001" }).click();
  await expect(details).toContainText("Confirmed by R. Example");
  await expect(details).not.toContainText("unverified");
  const rule = (await saved(page)).profile.rules.find((known) => known.code === "LW001");
  expect(rule.confirmed).toMatchObject({ source: "Standard on our shelf, 2021, 3.4", by: "R. Example" });
  // Confirmed were the values as they stood; another value is not.
  await page.locator("#LW001-gap_ms").fill("100");
  await page.locator("#LW001-gap_ms").press("Enter");
  await expect(details).toContainText("unverified");
  await page.locator("#undo").click();
  await expect(details).toContainText("Confirmed by R. Example");
  await details.getByRole("button", { name: "Take back" }).click();
  await expect(details).toContainText("unverified");
});

test("a profile starts from a shipped one, is named, and travels with the program", async ({ page }) => {
  await openApp(page);
  await page.getByRole("tab", { name: "Rules" }).click();
  await page.getByLabel("Start from").selectOption("Warning lamps, SAE J595 and J845");
  await expect(page.getByLabel("Profile", { exact: true })).toHaveValue("Warning lamps, SAE J595 and J845");
  await page.getByLabel("Profile", { exact: true }).fill("Our county");
  await page.getByLabel("Applies in").fill("Our county and its roads");
  await page.getByLabel("Applies in").press("Tab");
  const file = await saveFile(page);
  const profile = JSON.parse(file.text).profile;
  expect(profile).toMatchObject({ title: "Our county", jurisdiction: "Our county and its roads" });
  expect(profile.rules.map((rule) => rule.code)).toEqual(["LW001", "LW005", "LW042"]);
  await pickFile(page, "again.json", file.text);
  await expect(page.getByLabel("Profile", { exact: true })).toHaveValue("Our county");
});

test("the panel of rules works with the keyboard alone", async ({ page }) => {
  await openApp(page);
  await page.keyboard.press("Alt+7");
  await expect(page.getByRole("tab", { name: "Rules" })).toHaveAttribute("aria-selected", "true");
  await page.getByLabel("Find", { exact: true }).focus();
  await page.keyboard.type("LW001");
  await expect(page.locator("#view tbody .name")).toHaveCount(1);
  await page.keyboard.press("Tab");
  await expect(page.getByRole("checkbox", { name: /LW001/ })).toBeFocused();
  await page.keyboard.press("Tab");
  await page.keyboard.press("Enter");
  await expect(page.locator(".rules .details")).toContainText("Looks at:");
});

test("a rule is explained with its failing and its passing example drawn", async ({ page }) => {
  await openFaulty(page);
  await page.getByRole("button", { name: "Explain LW001" }).first().click();
  const dialog = page.getByRole("dialog");
  const failing = dialog.locator("figure", { hasText: "Failing example" }).first();
  // The page's example: 80 ms of red in a period of 249 ms, so the bar is 80/249 of the ruler.
  await expect(failing.locator("text", { hasText: "249 ms" })).toHaveCount(1);
  const bar = failing.locator("rect.red");
  await expect(bar).toHaveCount(1);
  const width = Number(await bar.getAttribute("width"));
  expect(width / 500).toBeCloseTo(80 / 249, 3);
  await expect(dialog.locator("figure", { hasText: "Passing example" }).locator("rect.red")).toHaveCount(1);
  await scanForBarriers(page);
});

test("what a rule looks at is narrowed and widened again, each in one step", async ({ page }) => {
  test.slow();
  await openFaulty(page);
  await findRules(page, "LW001");
  await page.locator("#view .name", { hasText: "LW001" }).click();
  const details = page.locator(".rules .details").first();
  await expect(details).toContainText("all states");
  await expect(details).toContainText("all heads");
  const chosen = async () => (await saved(page)).profile.rules.find((rule) => rule.code === "LW001");
  const before = await chosen();
  expect(before.heads).toBeUndefined();
  await details.getByRole("combobox", { name: "Add to Heads of LW001" }).selectOption({ label: "Grille, left" });
  await details.getByRole("combobox", { name: "Add to Not patterns of LW001" }).selectOption({ index: 1 });
  const when = details.getByRole("combobox", { name: "Add to States with of LW001" });
  const words = await when.locator("option").nth(1).textContent();
  await when.selectOption({ index: 1 });
  await expect(page.locator("#undo")).toContainText("what LW001 looks at");
  await expect(details.getByRole("button", { name: `Take ${words} away from States with` })).toBeVisible();
  const narrowed = await chosen();
  expect(narrowed.heads).toEqual(["head:grille-left"]);
  expect(narrowed.except_patterns).toHaveLength(before.except_patterns.length + 1);
  expect(narrowed.when).toHaveLength(1);
  await scanForBarriers(page);
  await details.getByRole("button", { name: "Take Grille, left away from Heads" }).click();
  await details.getByRole("button", { name: `Take ${words} away from States with` }).click();
  await expect(details).toContainText("all states");
  const widened = await chosen();
  expect(widened.heads).toBeUndefined();
  expect(widened.when).toBeUndefined();
  await page.locator("#undo").click();
  expect((await chosen()).when).toEqual(narrowed.when);
});

test("a profile goes out as a file and comes in from one, with what is wrong listed", async ({ page }) => {
  await openFaulty(page);
  await page.getByRole("tab", { name: "Rules" }).click();
  const before = (await saved(page)).profile;
  const waiting = page.waitForEvent("download");
  await page.getByRole("button", { name: "Download profile" }).click();
  const download = await waiting;
  expect(download.suggestedFilename()).toMatch(/profile\.json$/);
  const parts = [];
  for await (const part of await download.createReadStream()) parts.push(part);
  const file = JSON.parse(Buffer.concat(parts).toString());
  expect(file.format).toBe("lampwright-profile");
  expect(file.profile).toEqual(before);

  file.profile.title = "Sister county";
  file.profile.rules = [{ code: "LW001", heads: ["head:grille-left", "head:nowhere"] }, { code: "LW002", severity: "grave" }];
  const input = page.getByLabel("Open profile");
  await input.setInputFiles({ name: "sister.json", mimeType: "application/json", buffer: Buffer.from(JSON.stringify(file)) });
  await expect(page.getByLabel("Profile", { exact: true })).toHaveValue("Sister county");
  const problems = page.locator("#profile-problems");
  await expect(problems).toContainText("sister.json: 2 problems");
  await expect(problems).toContainText("grave");
  await expect(problems).toContainText("nowhere");
  const taken = (await saved(page)).profile;
  expect(taken.rules).toEqual([{ code: "LW001", heads: ["head:grille-left"] }]);
  await page.locator("#undo").click();
  expect((await saved(page)).profile).toEqual(before);

  await input.setInputFiles({ name: "none.json", mimeType: "application/json", buffer: Buffer.from("{") });
  await expect(problems).toContainText("none.json: 1 problem, not taken over");
  expect((await saved(page)).profile).toEqual(before);
});

test("rules the profile does not choose are one line until they are asked for", async ({ page }) => {
  await openApp(page);
  await page.getByRole("tab", { name: "Rules" }).click();
  const names = page.locator("#view tbody .name");
  await expect(names.first()).toBeVisible();
  const n = await names.count();
  const fold = page.getByRole("button", { name: /^Show \d+ rules that the profile does not choose$/ });
  const folded = Number((await fold.textContent()).match(/\d+/)[0]);
  await fold.click();
  await expect(names).toHaveCount(n + folded);
  await page.getByRole("button", { name: "Show the chosen rules only" }).click();
  await expect(names).toHaveCount(n);
});

// Findings, outcomes, states and reasons.
import { expect, test } from "../fixture.mjs";
import { figure, openApp, openDemo, pickFile } from "../app.mjs";

test("the demo is judged in every situation, with cautions beside its band", async ({ page }) => {
  await openApp(page);
  await expect(page.locator("#band")).toHaveText(/LOW|LIMIT/);
  await expect(page.locator("#band-detail")).toContainText("in the worst second toward");
  await expect(page.locator(".glance")).toContainText("not a medical clearance");
  await expect(page.locator("#counts")).toContainText("0 errors, 0 warnings");
  await page.getByRole("tab", { name: "Rules" }).click();
  const outcomes = page.locator("#view table");
  await expect(outcomes).toContainText("passed");
  await page.getByRole("button", { name: /^Show \d+ rules that the profile does not choose$/ }).click();
  await expect(outcomes).toContainText("not evaluated");
});

test("a finding is one press from its place, and its rule from its page", async ({ page }) => {
  await openApp(page);
  await openDemo(page, "Faulty breakdown truck");
  const findings = page.locator("#findings");
  await expect(page.locator("#counts")).not.toContainText(/^0 errors,/);
  const finding = findings.locator(".finding", { hasText: "LW001" }).first();
  await expect(finding).toContainText("measured");
  await expect(finding).toContainText("limit");
  await expect(finding).toContainText("Source:");
  await finding.locator(".go").click();
  await expect(finding.locator(".go")).toHaveAttribute("aria-current", "true");
  await expect(page.locator("#message")).not.toBeEmpty();
  await expect(page.locator("[role=option][aria-selected=true]")).not.toHaveCount(0);
  await finding.getByRole("button", { name: "Explain LW001" }).click();
  const dialog = page.getByRole("dialog");
  await expect(dialog).toContainText("Sources");
  await expect(dialog).toContainText("SAE");
});

test("a finding of a direction shows the directions", async ({ page }) => {
  await openApp(page);
  await openDemo(page, "Faulty breakdown truck");
  await page.locator("#findings .finding", { hasText: "LW020" }).first().locator(".go").click();
  await expect(page.getByRole("tab", { name: "Screening" })).toHaveAttribute("aria-selected", "true");
  await expect(page.locator("#view table tbody tr.is-selected")).toHaveCount(1);
});

test("signals and controls reach every state, and each head says why", async ({ page }) => {
  await openApp(page);
  await page.getByRole("tab", { name: "States" }).click();
  const before = await page.locator("#state-words").textContent();
  const rows = page.locator("#view tbody tr");
  await expect.poll(() => rows.count()).toBeGreaterThan(30);
  await page.locator("#view fieldset").filter({ hasText: "vehicle" }).first().getByRole("radio").last().check();
  await expect(page.locator("#state-words")).not.toHaveText(before);
  await page.getByRole("button", { name: "All signals to default" }).click();
  await expect(page.locator("#state-words")).toContainText("all signals at default");

  await page.locator("#heads").focus();
  await page.keyboard.press("Home");
  const reason = page.locator(".reason");
  await expect(reason).toContainText("Decided by");
  await expect(reason).toContainText("Hidden below");
  const first = await reason.locator("h3").textContent();
  await page.keyboard.press("ArrowDown");
  await expect(reason.locator("h3")).not.toHaveText(first);
});

test("a head is selected with the mouse, and its lanes are a press away", async ({ page }) => {
  await openApp(page);
  const box = await page.locator("#heads").boundingBox();
  const reason = page.locator(".reason");
  await expect(reason).toBeVisible();
  // The front left corner of the vehicle, where a head is.
  for (let step = 0; step < 40 && (await reason.locator("h3").count()) === 0; step += 1) {
    await page.mouse.click(box.x + 30 + step * 5, box.y + 40);
  }
  await expect(reason).toContainText("Decided by");
  await expect(page.locator("[role=option][aria-selected=true]")).toHaveCount(1);
});

test("figures carry units", async ({ page }) => {
  await openApp(page);
  await expect(figure(page, "Current, mean")).toContainText(/\d A/);
  await expect(figure(page, "Right after left")).toContainText(/° *at [\d.]+ Hz, [\d.]+\/min/);
  await expect(figure(page, "Left over at idle")).toContainText(/A/);
});

test("a program without light says of both sides that they are not lit", async ({ page }) => {
  await openApp(page);
  const empty = { format: "lampwright-program", version: 1, name: "Nothing yet", vehicle: { name: "Trailer 5" } };
  await pickFile(page, "empty.json", JSON.stringify(empty));
  await expect(page.locator("#program-name")).toHaveText("Nothing yet");
  for (const label of ["Right after left", "Rear after front"]) await expect(figure(page, label)).toHaveText("not both lit");
});

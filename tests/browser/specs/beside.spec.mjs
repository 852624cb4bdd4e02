// Rule pages and demos are not part of what is loaded at the start; they are read when they are opened.
import { expect, test } from "../fixture.mjs";
import { askForDemo, openApp, openDemo } from "../app.mjs";

test("a page that cannot be loaded says so, and comes when it can", async ({ page, trouble }) => {
  trouble.allow(/Failed to load resource/);
  trouble.allow(/request failed: .*\/rules\/lw\d+\.md/);
  await openApp(page);
  await openDemo(page, "Faulty breakdown truck");
  await page.route("**/rules/*.md", (route) => route.abort());
  const explain = page.getByRole("button", { name: "Explain LW001" }).first();
  const dialog = page.getByRole("dialog");
  await explain.click();
  await expect(dialog.getByRole("alert")).toContainText("The page of LW001");
  await expect(dialog.getByRole("alert")).toContainText("could not be loaded");
  await dialog.getByRole("button", { name: "Close" }).click();
  await page.unroute("**/rules/*.md");
  await explain.click();
  await expect(dialog.locator("figure", { hasText: "Failing example" }).first()).toBeVisible();
  await expect(dialog.getByRole("alert")).toHaveCount(0);
});

test("a demo that cannot be loaded leaves the open program as it is", async ({ page, trouble }) => {
  trouble.allow(/Failed to load resource/);
  trouble.allow(/request failed: .*\/programs\/rescue-tender\.json/);
  await openApp(page);
  await page.route("**/programs/*.json", (route) => route.abort());
  await askForDemo(page, "Rescue tender");
  await expect(page.getByRole("dialog")).toContainText("could not be loaded");
  await expect(page.locator("#program-name")).toHaveText("Highway incident-support van");
});

test("the one-file page brings its demos and pages along", async ({ page, oneFileAddress }) => {
  await page.goto(oneFileAddress);
  await openDemo(page, "Faulty breakdown truck");
  await expect(page.locator("#program-name")).toHaveText("Breakdown truck, faulty on purpose");
  await page.getByRole("button", { name: "Explain LW001" }).first().click();
  await expect(page.getByRole("dialog").locator("figure").first()).toBeVisible();
});

test("the distributed site opens demos and pages without a network", async ({ page, context, siteAddress }) => {
  await page.goto(siteAddress);
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
  await page.reload();
  await context.setOffline(true);
  await openDemo(page, "Faulty breakdown truck");
  await expect(page.locator("#program-name")).toHaveText("Breakdown truck, faulty on purpose");
  await page.getByRole("button", { name: "Explain LW001" }).first().click();
  await expect(page.getByRole("dialog").locator("figure").first()).toBeVisible();
});

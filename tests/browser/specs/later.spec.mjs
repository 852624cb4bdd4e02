// What the first look does without is loaded when something of it is opened, once, and can be asked for again.
import { expect, test } from "../fixture.mjs";

const PART = "split_later.wasm";

test("the other part is loaded when a view of it is opened, and not again", async ({ page }) => {
  const asked = [];
  page.on("request", (request) => {
    if (request.url().endsWith(PART)) asked.push(request.url());
  });
  await page.goto("/");
  await expect(page.getByRole("tab", { name: "Timeline" })).toHaveAttribute("aria-selected", "true");
  await expect(page.locator("#play")).toBeVisible();
  expect(asked).toHaveLength(0);
  await page.getByRole("tab", { name: "Power" }).click();
  await expect(page.getByRole("table", { name: /Fuses/ })).toBeVisible();
  await page.getByRole("tab", { name: "Rules" }).click();
  await expect(page.locator("#view")).toContainText("Profile");
  await page.keyboard.press("?");
  await expect(page.getByRole("dialog")).toBeVisible();
  expect(asked).toHaveLength(1);
});

test("what is typed while the first dialog is on its way is for it, and changes nothing else", async ({ page }) => {
  let answer;
  const isAsked = new Promise((asked) => {
    page.route(`**/${PART}`, (route) => {
      answer = () => route.continue();
      asked();
    });
  });
  await page.goto("/");
  await expect(page.locator("#play")).toBeVisible();
  await page.locator("#timeline").focus();
  await page.keyboard.press("Home");
  await page.keyboard.press("Control+k");
  await isAsked;
  // Each of these would change the pulse in focus.
  await page.keyboard.type("]d-");
  for (let letter = 0; letter < 3; letter += 1) await page.keyboard.press("Backspace");
  await page.keyboard.type("step table");
  await page.keyboard.press("Enter");
  answer();
  await expect(page.getByRole("dialog", { name: "Step table for a controller" })).toBeVisible();
  await page.keyboard.press("Escape");
  await expect(page.getByRole("dialog")).toHaveCount(0);
  await page.keyboard.press("Control+k");
  await expect(page.getByRole("combobox", { name: "Command", exact: true })).toHaveValue("");
  await page.keyboard.press("Escape");
  await expect(page.locator("#undo")).toBeDisabled();
  await page.locator("#timeline").focus();
  await page.keyboard.press("]");
  await expect(page.locator("#undo")).toBeEnabled();
});

test("a part that could not be loaded is said to be missing and asked for again", async ({ page, trouble }) => {
  trouble.allow(/request failed: .*split_later\.wasm/);
  trouble.allow(/Failed to load resource|Failed to fetch/);
  let isCut = true;
  await page.route(`**/${PART}`, (route) => (isCut ? route.abort() : route.continue()));
  await page.goto("/");
  await page.getByRole("tab", { name: "Power" }).click();
  const notice = page.getByRole("alert").filter({ hasText: "could not be loaded" });
  await expect(notice).toBeVisible();
  isCut = false;
  await notice.getByRole("button", { name: "Try again" }).click();
  await expect(page.getByRole("table", { name: /Fuses/ })).toBeVisible();
});

test("the other part works without a network and from disk", async ({ page, context, siteAddress, oneFileAddress }) => {
  await page.goto(siteAddress);
  await expect(page.locator("#play")).toBeVisible();
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
  await context.setOffline(true);
  await page.reload();
  await page.getByRole("tab", { name: "Power" }).click();
  await expect(page.getByRole("table", { name: /Fuses/ })).toBeVisible();
  await context.setOffline(false);
  await page.goto(oneFileAddress);
  await page.getByRole("tab", { name: "Power" }).click();
  await expect(page.getByRole("table", { name: /Fuses/ })).toBeVisible();
});

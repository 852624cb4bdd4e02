// The fixture itself: each of these must fail (its line shows a cross), and Playwright reports the
// one that does not.
import { expect, scanForBarriers, test } from "../fixture.mjs";

test.beforeEach(async ({ page }) => {
  await page.goto("/");
  // The app empties the page when it starts.
  await expect(page.getByRole("heading", { level: 1 })).toBeVisible();
  test.fail();
});

test("an error on the console fails a test", async ({ page }) => {
  await page.evaluate(() => console.error("something is wrong"));
});

test("an exception in the page fails a test", async ({ page }) => {
  const problem = page.waitForEvent("pageerror");
  await page.evaluate(() => {
    setTimeout(() => {
      throw new Error("something is wrong");
    });
  });
  await problem;
});

test("a request beyond the origin fails a test", async ({ page }) => {
  await page.evaluate(() => {
    location.href = "http://127.0.0.1:9/";
  });
  await page.waitForURL(/127\.0\.0\.1:9|chrome-error/).catch(() => undefined);
});

test("an answer that a file is missing fails a test", async ({ page }) => {
  await page.evaluate(() => fetch("missing.json").then(() => undefined));
});

test("an allowance without need fails a test", async ({ trouble }) => {
  trouble.allow(/never happens/);
});

test("a serious barrier fails the scan", async ({ page }) => {
  await page.evaluate(() => {
    document.body.insertAdjacentHTML("beforeend", "<button></button>");
  });
  await expect(page.locator("button")).not.toHaveCount(0);
  await scanForBarriers(page);
});

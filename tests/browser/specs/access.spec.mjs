// Without barriers: every view and dialog, both surfaces, large text.
import { expect, scanForBarriers, test } from "../fixture.mjs";
import { openApp, openDemo } from "../app.mjs";

for (const scheme of ["dark", "light"]) {
  test(`no serious barriers on the ${scheme} surface, in any view`, async ({ page }) => {
    test.setTimeout(90_000);
    // The surface is dark until a person chooses, whatever the system prefers.
    await page.emulateMedia({ colorScheme: "light" });
    await openApp(page);
    await expect(page.locator("html")).toHaveAttribute("data-theme", "dark");
    if (scheme === "light") await page.getByRole("button", { name: "Light surface" }).click();
    await expect(page.locator("html")).toHaveAttribute("data-theme", scheme);
    await openDemo(page, "Faulty breakdown truck");
    await expect(page.locator("#findings .finding")).not.toHaveCount(0);
    await page.locator("#timeline").focus();
    await page.keyboard.press("ArrowRight");
    await page.locator("#heads").focus();
    await page.keyboard.press("Home");
    for (const view of ["Timeline", "States", "Screening", "Power", "Rules"]) {
      await page.getByRole("tab", { name: view }).click();
      await scanForBarriers(page);
    }
    await page.getByRole("tab", { name: "Timeline" }).click();
    await page.getByRole("button", { name: "Table", exact: true }).click();
    await scanForBarriers(page);
    await page.getByRole("button", { name: "Keys (?)" }).click();
    await scanForBarriers(page);
    await page.keyboard.press("Escape");
    await page.getByRole("button", { name: /^Explain/ }).first().click();
    await scanForBarriers(page);
    await page.keyboard.press("Escape");
    await page.getByRole("button", { name: "Programs…" }).click();
    await scanForBarriers(page);
  });
}

test("the chosen surface is remembered", async ({ page }) => {
  await openApp(page);
  await page.getByRole("button", { name: "Light surface" }).click();
  await expect(page.locator("html")).toHaveAttribute("data-theme", "light");
  await page.reload();
  await expect(page.locator("html")).toHaveAttribute("data-theme", "light");
});

/** How far the page is wider than the window, in CSS pixels. */
const overflow = (page) => page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);

// WCAG 2.2, success criteria 1.4.4 (resize text to 200 %) and 1.4.10 (reflow at 320 CSS pixels).
test("text at twice its size still fits across", async ({ page }) => {
  await page.addInitScript(() => {
    document.addEventListener("DOMContentLoaded", () => {
      document.documentElement.style.setProperty("font-size", "175%");
    });
  });
  await openApp(page);
  // Chromium judges the widths again only when the window changes.
  await page.setViewportSize({ width: 1279, height: 800 });
  await expect.poll(() => overflow(page)).toBeLessThanOrEqual(1);
  await page.getByRole("tab", { name: "States" }).click();
  expect(await overflow(page)).toBeLessThanOrEqual(1);
});

test("a narrow window needs no scrolling across", async ({ page }) => {
  await page.setViewportSize({ width: 320, height: 640 });
  await openApp(page);
  expect(await overflow(page)).toBeLessThanOrEqual(1);
});

test("no element carries a style attribute that the policy would drop", async ({ page }) => {
  await openApp(page);
  const styled = await page.evaluate(() =>
    [...document.querySelectorAll("[style]")].map((element) => element.outerHTML.slice(0, 80)).filter((html) => !html.startsWith("<canvas")),
  );
  expect(styled).toEqual([]);
});

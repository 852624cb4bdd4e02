// Without barriers: every view and dialog, both surfaces, large text.
import { expect, scanForBarriers, test } from "../fixture.mjs";
import { openApp, openDemo } from "../app.mjs";

for (const scheme of ["dark", "light"]) {
  test(`no serious barriers on the ${scheme} surface, in any view`, async ({ page }) => {
    test.setTimeout(90_000);
    await page.emulateMedia({ colorScheme: scheme });
    await openApp(page);
    await expect(page.locator("html")).toHaveAttribute("data-theme", scheme);
    await openDemo(page, "Faulty breakdown truck");
    await expect(page.locator("#findings .finding")).not.toHaveCount(0);
    await page.locator("#timeline").focus();
    await page.keyboard.press("ArrowRight");
    await page.locator("#heads").focus();
    await page.keyboard.press("Home");
    for (const view of ["Timeline", "States", "Screening", "Power"]) {
      await page.getByRole("tab", { name: view }).click();
      await scanForBarriers(page);
    }
    await page.getByRole("tab", { name: "Timeline" }).click();
    await page.getByRole("button", { name: "Table" }).click();
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

test("text at twice its size still fits across", async ({ page }) => {
  await page.addInitScript(() => {
    document.addEventListener("DOMContentLoaded", () => {
      document.documentElement.style.setProperty("font-size", "175%");
    });
  });
  await openApp(page);
  const overflow = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
  expect(overflow).toBeLessThanOrEqual(1);
});

test("no element carries a style attribute that the policy would drop", async ({ page }) => {
  await openApp(page);
  const styled = await page.evaluate(() =>
    [...document.querySelectorAll("[style]")].map((element) => element.outerHTML.slice(0, 80)).filter((html) => !html.startsWith("<canvas")),
  );
  expect(styled).toEqual([]);
});

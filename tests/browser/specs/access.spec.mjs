// Without barriers: every view and dialog, both themes, forced colors, more contrast, large text, visible focus.
import { expect, scanForBarriers, test } from "../fixture.mjs";
import { drag, openApp, openDemo, place } from "../app.mjs";

/** Opens the views one after the other, with something selected everywhere, and looks at each. */
async function everyView(page, look) {
  await openDemo(page, "Faulty breakdown truck");
  await expect(page.locator("#findings .finding")).not.toHaveCount(0);
  await page.locator("#timeline").focus();
  await page.keyboard.press("ArrowRight");
  await page.locator("#heads").focus();
  await page.keyboard.press("Home");
  await page.locator(".segments").getByText("Approach", { exact: true }).click();
  for (const view of await page.getByRole("tab").allTextContents()) {
    await page.getByRole("tab", { name: view, exact: true }).click();
    await look(`view ${view}`);
  }
  await page.getByRole("tab", { name: "Timeline" }).click();
  await page.getByRole("button", { name: "Table", exact: true }).click();
  await look("table of pulses");
}

/** Opens the dialogs one after the other, and looks at each. */
async function everyDialog(page, look) {
  await openDemo(page, "Faulty breakdown truck");
  await expect(page.locator("#findings .finding")).not.toHaveCount(0);
  const dialogs = {
    keys: () => page.getByRole("button", { name: "Keys (?)" }).click(),
    rule: () => page.getByRole("button", { name: /^Explain/ }).first().click(),
    programs: () => page.getByRole("button", { name: "Programs…" }).click(),
    builder: () => page.getByRole("button", { name: "Build pattern…" }).click(),
    library: () => page.getByRole("button", { name: "Library…" }).click(),
    "name and notes": () => page.locator("#program-name").click(),
    commands: () => page.keyboard.press("Control+k"),
    "full speed": () => page.getByRole("button", { name: "Full speed…" }).click(),
  };
  for (const [name, open] of Object.entries(dialogs)) {
    await open();
    await expect(page.getByRole("dialog"), name).toBeVisible();
    await look(`dialog ${name}`);
    await page.keyboard.press("Escape");
    await expect(page.getByRole("dialog"), name).toHaveCount(0);
  }
}

const everywhere = { view: everyView, dialog: everyDialog };

for (const [part, every] of Object.entries(everywhere)) {
  for (const theme of ["dark", "light"]) {
    test(`no serious barriers in the ${theme} theme, in any ${part}`, async ({ page }) => {
      test.setTimeout(240_000);
      // The theme is dark until a person chooses, whatever the system prefers.
      await page.emulateMedia({ colorScheme: "light" });
      await openApp(page);
      await expect(page.locator("html")).toHaveAttribute("data-theme", "dark");
      if (theme === "light") await page.getByRole("button", { name: "Light theme" }).click();
      await expect(page.locator("html")).toHaveAttribute("data-theme", theme);
      await every(page, () => scanForBarriers(page));
    });

    test(`no serious barriers with forced colors on a ${theme} system, in any ${part}`, async ({ page }) => {
      test.setTimeout(240_000);
      await page.emulateMedia({ colorScheme: theme, forcedColors: "active" });
      await openApp(page);
      await every(page, () => scanForBarriers(page));
    });
  }
}

test("the chosen theme is remembered", async ({ page }) => {
  await openApp(page);
  await page.getByRole("button", { name: "Light theme" }).click();
  await expect(page.locator("html")).toHaveAttribute("data-theme", "light");
  await page.reload();
  await expect(page.locator("html")).toHaveAttribute("data-theme", "light");
});

/** The largest contrast of anything painted in a part of a canvas against the ground the canvas stands on (WCAG 2.2, "contrast ratio"). */
const contrast = (page, selector, part) =>
  page.locator(selector).first().evaluate((canvas, [left, top, width, height]) => {
    const ratio = canvas.width / canvas.clientWidth;
    const copy = new OffscreenCanvas(canvas.width, canvas.height);
    const context = copy.getContext("2d");
    context.fillStyle = getComputedStyle(canvas.parentElement).backgroundColor;
    context.fillRect(0, 0, copy.width, copy.height);
    context.drawImage(canvas, 0, 0);
    const { data } = context.getImageData(left * ratio, top * ratio, width * ratio, height * ratio);
    const linear = (value) => (value / 255 <= 0.04045 ? value / 255 / 12.92 : ((value / 255 + 0.055) / 1.055) ** 2.4);
    let [least, most] = [1, 0];
    for (let at = 0; at < data.length; at += 4) {
      const now = 0.2126 * linear(data[at]) + 0.7152 * linear(data[at + 1]) + 0.0722 * linear(data[at + 2]);
      [least, most] = [Math.min(least, now), Math.max(most, now)];
    }
    return (most + 0.05) / (least + 0.05);
  }, part);

// WCAG 2.2, success criterion 1.4.3 (contrast at least 4.5 to 1); the names of the lanes stand left, those of the vehicle's front above.
for (const media of [{ forcedColors: "active" }, { contrast: "more" }, {}]) {
  for (const colorScheme of ["dark", "light"]) {
    test(`words on the canvases can be read: ${JSON.stringify(media)}, ${colorScheme}`, async ({ page }) => {
      await openApp(page);
      if (colorScheme === "light") await page.getByRole("button", { name: "Light theme" }).click();
      await page.emulateMedia({ ...media, colorScheme });
      await page.waitForTimeout(300);
      expect(await contrast(page, ".timeline canvas", [8, 32, 110, 36])).toBeGreaterThanOrEqual(4.5);
      expect(await contrast(page, "#heads canvas", [100, 2, 90, 16])).toBeGreaterThanOrEqual(4.5);
    });
  }
}

/** What is cut off: the page wider than the window, or words wider than what holds them. */
const cutOff = (page) =>
  page.evaluate(() => {
    const found = [];
    const more = document.documentElement.scrollWidth - window.innerWidth;
    if (more > 1) found.push(`the page by ${more} px`);
    for (const element of document.querySelectorAll("button, label, legend, summary, h1, h2, h3, p, dt, dd, th, td, .program")) {
      const box = element.getBoundingClientRect();
      if (!box.width || element.closest(".only-spoken")) continue;
      const style = getComputedStyle(element);
      const isClipping = style.overflowX !== "visible" && style.overflowX !== "auto";
      const wide = element.scrollWidth - element.clientWidth;
      if ((isClipping || element.tagName === "BUTTON") && wide > 1) found.push(`${element.tagName} "${element.textContent.slice(0, 40)}" by ${wide} px`);
      // Words that reach over the edge of the panel they stand in, unless it scrolls across.
      const panel = element.closest(".side, .center, .results, dialog, .head");
      const isScrolled = element.closest(".wide");
      if (panel && !isScrolled && box.right > panel.getBoundingClientRect().right + 1) {
        found.push(`${element.tagName} "${element.textContent.slice(0, 40)}" over its panel`);
      }
    }
    return found;
  });

// WCAG 2.2, success criteria 1.4.4 (resize text to 200 %) and 1.4.10 (reflow).
async function openAtTwiceTheText(page) {
  await page.addInitScript(() => {
    document.addEventListener("DOMContentLoaded", () => {
      document.documentElement.style.setProperty("font-size", "175%");
    });
  });
  await openApp(page);
  // Chromium judges the widths again only when the window changes.
  await page.setViewportSize({ width: 1279, height: 800 });
}

test("text at twice its size is not cut off in any view or dialog", async ({ page }) => {
  test.setTimeout(180_000);
  await openAtTwiceTheText(page);
  for (const every of Object.values(everywhere)) {
    await every(page, async (where) => expect.soft(await cutOff(page), where).toEqual([]));
  }
});

test("the timeline grows with the text, and its pulses are held where they are drawn", async ({ page }) => {
  await openAtTwiceTheText(page);
  await page.locator("#timeline").scrollIntoViewIfNeeded();
  const at = (ms) => place(page, 1, ms, 1000, 2);
  // Right 500 to 880 ms.
  const from = await at(600);
  await page.mouse.click(from.x, from.y);
  await expect(page.locator("#pulse-start")).toHaveValue("500");
  await drag(page, from, await at(650));
  await expect(page.locator("#pulse-start")).toHaveValue("550");
  // Text of another size while the page is open.
  await page.evaluate(() => document.documentElement.style.removeProperty("font-size"));
  await page.setViewportSize({ width: 1280, height: 800 });
  const narrow = await place(page, 1, 700, 1000);
  await drag(page, narrow, await place(page, 1, 750, 1000));
  await expect(page.locator("#pulse-start")).toHaveValue("600");
});

for (const [width, height] of [[1280, 800], [1920, 1080], [640, 400]]) {
  test(`nothing is cut off in a window of ${width} by ${height}, in any view or dialog`, async ({ page }) => {
    test.setTimeout(180_000);
    await page.setViewportSize({ width, height });
    await openApp(page);
    for (const every of Object.values(everywhere)) {
      await every(page, async (where) => expect.soft(await cutOff(page), where).toEqual([]));
    }
  });
}

test("a narrow window needs no scrolling across", async ({ page }) => {
  await page.setViewportSize({ width: 320, height: 640 });
  await openApp(page);
  expect(await cutOff(page)).toEqual([]);
});

// The preview is to be stopped without searching.
test("at 1280 by 800 the preview's buttons are in sight in every view of the vehicle", async ({ page }) => {
  await openApp(page);
  for (const name of ["Above", "Approach"]) {
    await page.locator(".segments").getByText(name, { exact: true }).click();
    for (const id of ["#play", "#scrub", "#pace", "#rate"]) await expect(page.locator(id)).toBeInViewport({ ratio: 1 });
  }
});

/** Whether what has the focus shows it: an outline of two pixels at least, of itself, of what stands for it, or of what holds it. */
const focusShows = (page) =>
  page.evaluate(() => {
    const active = document.activeElement;
    const shows = (element) => {
      if (!element) return false;
      const { outlineStyle, outlineWidth, outlineColor } = getComputedStyle(element);
      return outlineStyle !== "none" && parseFloat(outlineWidth) >= 2 && outlineColor !== "rgba(0, 0, 0, 0)";
    };
    const name = `${active.tagName} ${active.id || active.textContent.slice(0, 30)}`;
    return { name, is: shows(active) || shows(active.nextElementSibling) || shows(active.closest(".timeline, .drawing")) };
  });

for (const view of ["Timeline", "States", "Screening", "Power", "Rules"]) {
  test(`whatever has the focus shows it: ${view}`, async ({ page }) => {
    await openApp(page);
    await page.getByRole("tab", { name: view, exact: true }).click();
    await page.locator("#program-name").focus();
    const seen = new Set();
    const hidden = [];
    for (let press = 0; press < 80; press += 1) {
      await page.keyboard.press("Tab");
      const { name, is } = await focusShows(page);
      seen.add(name);
      if (!is && !name.startsWith("BODY")) hidden.push(name);
    }
    expect(seen.size).toBeGreaterThan(12);
    expect([...new Set(hidden)]).toEqual([]);
  });
}

// What cannot be pressed has to look so, the main button of a dialog too, and where the system chooses the colors.
for (const media of [{}, { forcedColors: "active" }]) {
  test(`a button that cannot be pressed looks otherwise: ${JSON.stringify(media)}`, async ({ page }) => {
    await page.emulateMedia(media);
    await openApp(page);
    const looks = (name) => page.getByRole("button", { name, exact: true }).evaluate((button) => {
      const { color, backgroundColor } = getComputedStyle(button);
      return `${color} on ${backgroundColor}`;
    });
    await expect(page.locator("#undo")).toBeDisabled();
    expect(await looks("Undo")).not.toBe(await looks("Save file"));
    await page.getByRole("button", { name: "Library…" }).click();
    const take = "Add and play on these heads";
    await expect(page.getByRole("button", { name: take })).toBeEnabled();
    const enabled = await looks(take);
    await page.locator("#library-scope").selectOption({ label: "selected heads (0)" });
    await expect(page.getByRole("button", { name: take })).toBeDisabled();
    expect(await looks(take)).not.toBe(enabled);
  });
}

test("buttons look like buttons", async ({ page }) => {
  await openApp(page);
  await openDemo(page, "Faulty breakdown truck");
  await expect(page.locator("#findings .finding")).not.toHaveCount(0);
  const plain = await page.evaluate(() =>
    [...document.querySelectorAll("button")]
      .filter((button) => button.getBoundingClientRect().width > 0)
      .filter((button) => {
        const { borderTopColor, borderTopStyle, borderTopWidth } = getComputedStyle(button);
        return borderTopStyle === "none" || parseFloat(borderTopWidth) < 1 || borderTopColor === "rgba(0, 0, 0, 0)";
      })
      .map((button) => button.textContent),
  );
  expect(plain).toEqual([]);
});

test("the timeline tells what is in focus, and tells it again when it changes", async ({ page }) => {
  await openApp(page);
  const timeline = page.locator("#timeline");
  await timeline.focus();
  await page.keyboard.press("ArrowRight");
  const words = "pulse 1 of 1 in lane left, starts 0 ms, 380 ms long, level 100 %";
  await expect(timeline).toHaveAccessibleDescription(words);
  await expect(page.locator("#message")).toHaveText(words);
  await expect(page.getByRole("status").filter({ hasText: words })).toHaveCount(1);
  await page.keyboard.press("ArrowDown");
  await expect(page.locator("#message")).toContainText("in lane right, starts 500 ms");
  await page.keyboard.press("Alt+ArrowRight");
  await expect(page.locator("#message")).toContainText("starts 510 ms");
  await page.keyboard.press("l");
  await expect(timeline).toHaveAccessibleDescription(/^lane right, 1 pulse, drives \d+ heads/);
});

test("the vehicle's heads and the preview have names and values", async ({ page }) => {
  await openApp(page);
  await page.locator("#heads").focus();
  await page.keyboard.press("Home");
  await expect(page.locator(".vehicle")).toMatchAriaSnapshot(`
    - region "Vehicle and preview":
      - combobox "Situation"
      - group "From where the vehicle is seen":
        - radio "Above" [checked]
        - radio "Approach"
      - listbox "Heads of the vehicle, arrow keys select":
        - group "Heads":
          - option /Roof front, left outer. amber flashing up to 100 %/ [selected]
      - slider "Time of the preview, ms": "0"
      - combobox "Pace of the preview"
      - button "Loop selection" [disabled]
  `);
  const active = await page.locator("#heads").getAttribute("aria-activedescendant");
  await expect(page.locator(`#${active}`)).toHaveAttribute("aria-selected", "true");
});

test("no element carries a style attribute that the policy would drop", async ({ page }) => {
  await openApp(page);
  const styled = await page.evaluate(() =>
    [...document.querySelectorAll("[style]")].map((element) => element.outerHTML.slice(0, 80)).filter((html) => !html.startsWith("<canvas")),
  );
  expect(styled).toEqual([]);
});

// Opening, refusing, saving, keeping: nothing a person made is lost.
import { expect, test } from "../fixture.mjs";
import { drag, figure, openApp, openDemo, pickFile, place, saveFile } from "../app.mjs";

async function nudge(page) {
  await page.locator("#timeline").focus();
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("]");
  await expect(page.locator("#pulse-length")).toHaveValue("390");
}

test("a reload keeps the work, the situation and the pattern", async ({ page }) => {
  await openApp(page);
  await page.locator("#situation").selectOption({ index: 2 });
  const words = await page.locator("#state-words").textContent();
  await page.locator("#pattern").selectOption({ index: 3 });
  const pattern = await page.locator("#pattern").inputValue();
  await page.locator("#pattern").selectOption({ label: "Alternating single flash, 60 per minute, 1000 ms" }).catch(() => {});
  await page.locator("#timeline").focus();
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("]");
  await expect(page.locator("#undo")).toBeEnabled();
  const length = await page.locator("#pulse-length").inputValue();
  const open = await page.locator("#pattern").inputValue();
  expect(open.length + pattern.length).toBeGreaterThan(0);
  // At once, before the pause after which it is written anyway.
  await page.reload();
  await expect(page.locator("#state-words")).toHaveText(words);
  await expect(page.locator("#pattern")).toHaveValue(open);
  await page.locator("#timeline").focus();
  await page.keyboard.press("ArrowRight");
  await expect(page.locator("#pulse-length")).toHaveValue(length);
});

test("a reload in the middle of a drag loses that drag alone", async ({ page }) => {
  await openApp(page);
  await nudge(page);
  await drag(page, await place(page, 1, 880, 1000), await place(page, 1, 940, 1000), { release: false });
  await expect(figure(page, "Duty, right")).toContainText("44.0 %");
  await page.reload();
  await expect(figure(page, "Duty, left")).toHaveText("39.0 %");
  await expect(figure(page, "Duty, right")).toHaveText("38.0 %");
});

for (const [what, words, script] of [
  ["full", /Not saved: storage full/, () => {
    Storage.prototype.setItem = () => { throw new DOMException("full", "QuotaExceededError"); };
  }],
  ["blocked", /Not saved: storage blocked/, () => {
    Object.defineProperty(window, "localStorage", { get() { throw new DOMException("blocked", "SecurityError"); } });
  }],
]) {
  test(`${what} storage is said at once, and a copy can be downloaded`, async ({ page }) => {
    await page.addInitScript(script);
    await page.goto("/");
    await expect(page.locator("#save-state")).toHaveText(words);
    await nudge(page);
    await expect(page.getByRole("alert")).toContainText(words);
    const waiting = page.waitForEvent("download");
    await page.getByRole("button", { name: "Download a copy" }).click();
    expect((await waiting).suggestedFilename()).toBe("highway-incident-support-van.json");
    await expect(page.locator("#pulse-length")).toHaveValue("390");
  });
}

test("a saved file opens again as the same program", async ({ page }) => {
  await openApp(page);
  await nudge(page);
  const saved = await saveFile(page);
  expect(saved.name).toBe("highway-incident-support-van.json");
  await openDemo(page, "Harbor-patrol car");
  await expect(page.locator("#program-name")).not.toHaveText("Highway incident-support van");
  await pickFile(page, saved.name, saved.text);
  await expect(page.locator("#program-name")).toHaveText("Highway incident-support van");
  // This browser keeps the same program: it comes back with its steps, so that the change is shown beside the figure.
  await expect(figure(page, "Duty, left")).toContainText("39.0 %");
  expect((await saveFile(page)).text).toBe(saved.text);
  await expect(page.locator("#undo")).toBeEnabled();
});

test("a broken file shows its problems with paths and the present program stays", async ({ page }) => {
  await openApp(page);
  await nudge(page);
  const { text } = await saveFile(page);
  const program = JSON.parse(text);
  program.name = "Half a program";
  program.vehicle.heads[3].emitters[0].output = "no-such-output";
  program.patterns[0].surprise = 1;
  await pickFile(page, "half.json", JSON.stringify(program));
  const dialog = page.getByRole("dialog");
  await expect(dialog).toContainText("vehicle.heads[3]");
  await expect(dialog).toContainText("patterns[0].surprise");
  await expect(page.locator("#program-name")).toHaveText("Highway incident-support van");
  await dialog.getByRole("button", { name: "Keep the present program" }).click();
  await expect(figure(page, "Duty, left")).toContainText("39.0 %");
  await expect(page.locator("#undo")).toBeEnabled();

  await pickFile(page, "half.json", JSON.stringify(program));
  await page.getByRole("button", { name: "Use what could be read" }).click();
  await expect(page.locator("#program-name")).toHaveText("Half a program");
  await page.getByRole("button", { name: "Programs…" }).click();
  // The demo, and the program that was kept.
  await expect(page.getByRole("dialog").getByRole("button", { name: "Highway incident-support van", exact: true })).toHaveCount(2);
});

test("what is no program at all is refused in words", async ({ page }) => {
  await openApp(page);
  await pickFile(page, "noise.json", "\u0000 not json");
  const dialog = page.getByRole("dialog");
  await expect(dialog).toContainText("Nothing of it could be read");
  await expect(dialog.getByRole("button", { name: "Use what could be read" })).toHaveCount(0);
  await page.keyboard.press("Escape");
  await expect(page.locator("#program-name")).toHaveText("Highway incident-support van");
});

test("a file is dropped on the page, and a text pasted", async ({ page }) => {
  await openApp(page);
  const { text } = await saveFile(page);
  const named = (name) => JSON.stringify({ ...JSON.parse(text), name });
  await page.evaluate((content) => {
    const data = new DataTransfer();
    data.items.add(new File([content], "dropped.json", { type: "application/json" }));
    document.body.dispatchEvent(new DragEvent("drop", { dataTransfer: data, bubbles: true, cancelable: true }));
  }, named("Dropped program"));
  await expect(page.locator("#program-name")).toHaveText("Dropped program");
  await page.evaluate((content) => {
    const data = new DataTransfer();
    data.setData("text/plain", content);
    document.body.dispatchEvent(new ClipboardEvent("paste", { clipboardData: data, bubbles: true, cancelable: true }));
  }, named("Pasted program"));
  await expect(page.locator("#program-name")).toHaveText("Pasted program");
});

test("two tabs with the same program do not overwrite each other", async ({ page, context }) => {
  await openApp(page);
  const other = await context.newPage();
  await openApp(other);
  await nudge(page);
  await expect(page.locator("#save-state")).toContainText("Saved in this browser");
  await page.waitForTimeout(500);
  await other.locator("#timeline").focus();
  await other.keyboard.press("ArrowRight");
  await other.keyboard.press("Alt+ArrowRight");
  await other.waitForTimeout(500);
  await other.getByRole("button", { name: "Programs…" }).click();
  const kept = other.getByRole("dialog").getByRole("button", { name: "Highway incident-support van", exact: true });
  // The demo, and one kept program of each tab.
  await expect(kept).toHaveCount(3);
});

test("no name gets longer than a file may have it, however it is pasted", async ({ page }) => {
  await openApp(page);
  const long = "n".repeat(5_000);
  const paste = async (field) => {
    await field.focus();
    await page.keyboard.press("Control+a");
    await page.keyboard.insertText(long);
    await page.keyboard.press("Tab");
  };
  await page.getByText(/^Pattern and lanes:/).click();
  await paste(page.locator("#pattern-name"));
  await page.getByRole("tab", { name: "Rules" }).click();
  await paste(page.locator("#profile-title"));
  await paste(page.locator("#profile-jurisdiction"));
  await expect(page.locator("#save-state")).toContainText("Saved in this browser");
  const { text } = await saveFile(page);
  const { profile, patterns } = JSON.parse(text);
  const name = "n".repeat(1_000);
  expect([profile.title, profile.jurisdiction]).toEqual([name, name]);
  expect(patterns.map(({ label }) => label)).toContain(name);
  // What is kept opens again without a question.
  await page.reload();
  await expect(page.locator("#program-name")).toHaveText("Highway incident-support van");
  await expect(page.getByRole("dialog")).toHaveCount(0);
});

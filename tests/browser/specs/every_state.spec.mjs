// Every possible state: counted, proven and judged in the page, beside other work.
import { expect, scanForBarriers, test } from "../fixture.mjs";
import { openApp, openDemo, pickFile, saveFile } from "../app.mjs";

const progress = (page) => page.locator("#every-state-progress");

async function openStates(page, demo) {
  await openApp(page);
  if (demo) await openDemo(page, demo);
  await page.getByRole("tab", { name: "States" }).click();
  await page.getByRole("button", { name: "Every possible state" }).click();
  await page.keyboard.press("Tab");
  await expect(page.getByRole("button", { name: "Judge every state" })).toBeFocused();
  await page.keyboard.press("Enter");
}

test("every state of a program is counted, proven and judged, and a state is one press away", async ({ page }) => {
  await openStates(page, "Harbor-patrol car");
  await expect(progress(page)).toHaveText("All states judged");
  const part = page.getByRole("region", { name: "Every possible state" });
  // Three positions of the warning switch and five inputs of two values: worked out by hand.
  await expect(part).toContainText("96 of 96 combinations of 6 signals are possible; they come to 48 distinct drives");
  await expect(part.getByRole("row", { name: /tailgate/i }).first()).toContainText("holds in all 48 states it speaks of");
  await expect(part).toContainText("LOW: 88 states");
  await expect(part).toContainText("Nothing found by the chosen rules");
  await part.getByText(/^Layers whose order matters/).click();
  await part.getByRole("button", { name: "warning glow, tailgate open, rest default" }).click();
  await expect(page.getByText("State: warning glow, tailgate open, rest default")).toBeVisible();
  await scanForBarriers(page);
});

test("a broken guarantee and findings come with their states, and a change makes them old", async ({ page }) => {
  await openStates(page, "Faulty breakdown truck");
  await expect(progress(page)).toHaveText("All states judged");
  const part = page.getByRole("region", { name: "Every possible state" });
  await expect(part).toContainText("broken in 1 state: heads deck-left, deck-right and winch are lit");
  await expect(part).toContainText("Head step-right is dark in every state");
  const rate = part.getByRole("row", { name: /LW020/ }).first();
  await expect(rate).toContainText("flashes in the worst second");
  await part.getByRole("button", { name: "warning on, deck-crew yes, rest default" }).first().click();
  await expect(page.getByText("State: warning on, deck-crew yes, rest default")).toBeVisible();
  await page.getByRole("tab", { name: "Timeline" }).click();
  await page.locator("#timeline").focus();
  await page.keyboard.press("Home");
  await page.keyboard.press("]");
  await page.getByRole("tab", { name: "States" }).click();
  await expect(progress(page)).toHaveText("From before a change of the program: judge again");
  await page.getByRole("button", { name: "Judge every state again" }).click();
  await expect(progress(page)).toHaveText("All states judged");
});

test("nothing of it is shown beside another program", async ({ page }) => {
  await openStates(page);
  const part = page.getByRole("region", { name: "Every possible state" });
  await expect(part).toContainText("92160 of 122880 combinations");
  // While it is still under way.
  await openDemo(page, "Harbor-patrol car");
  await page.getByRole("tab", { name: "States" }).click();
  await expect(part.getByRole("button", { name: "Judge every state", exact: true })).toBeVisible();
  await expect(part).not.toContainText("combinations");
});

test("a large program is judged beside other work and can be stopped", async ({ page }) => {
  await openStates(page);
  await expect(progress(page)).toHaveText(/^Judged \d+ of 10320 distinct drives$/, { timeout: 60_000 });
  // It goes on while another view is shown.
  await page.getByRole("tab", { name: "Power" }).click();
  await page.getByRole("tab", { name: "States" }).click();
  const n = async () => Number((await progress(page).textContent()).match(/\d+/)?.[0]);
  const before = await n();
  await expect.poll(n).toBeGreaterThan(before);
  await page.getByRole("button", { name: "Stop" }).last().click();
  await expect(progress(page)).toHaveText(/^Stopped. Judged \d+ of 10320 distinct drives$/);
  const part = page.getByRole("region", { name: "Every possible state" });
  await expect(part).toContainText("92160 of 122880 combinations of 14 signals are possible");
  await expect(part).toContainText(/So far, in \d+ of 92160 states/);
  await expect(part.getByText("not yet proven")).toHaveCount(0);
});

test("a program without signals has one state", async ({ page }) => {
  await openApp(page);
  const { text } = await saveFile(page);
  const { layers, signals, situations, controls, guarantees, dims, impossible, profile, waivers, ...rest } = JSON.parse(text);
  await pickFile(page, "one.json", JSON.stringify(rest));
  await page.getByRole("tab", { name: "States" }).click();
  await page.getByRole("button", { name: "Judge every state" }).click();
  await expect(progress(page)).toHaveText("All states judged");
  await expect(page.getByRole("region", { name: "Every possible state" })).toContainText("1 of 1 combinations of 0 signals are possible; they come to 1 distinct drives");
});

// Words for what a person does in the app; what they look at is in the specs.
import { expect } from "./fixture.mjs";

/** Sizes of the timeline's parts in CSS pixels, as the editor crate lays them out. */
export const LABEL = 128;
export const RULER = 28;
export const LANE = 44;
export const LANE_PADDING = 5;
export const FIT_MARGIN = 16;

/** Opens the page and waits until the demo is shown and judged; nothing is kept before it is changed. */
export async function openApp(page) {
  await page.goto("/");
  await expect(page.locator("#program-name")).toHaveText("Highway incident-support van");
  await expect(page.locator("#save-state")).toHaveText(/Not changed yet|Saved in this browser/);
}

/** Asks for a demo from the list of programs, whether or not it will be opened. */
export async function askForDemo(page, name) {
  await page.getByRole("button", { name: "Programs…" }).click();
  await page.getByRole("dialog").getByRole("button", { name, exact: true }).first().click();
}

/** Opens a demo from the list of programs, and waits until it is there. */
export async function openDemo(page, name) {
  await askForDemo(page, name);
  await expect(page.locator("#message")).toHaveText(/^Opened/);
}

/** The place of an instant of a lane on the page, when the whole period is shown, with text of so many times its usual size. */
export async function place(page, lane, ms, periodMs, scale = 1) {
  const box = await page.locator("#timeline-above").boundingBox();
  const room = box.width - (LABEL + FIT_MARGIN) * scale;
  return {
    x: box.x + LABEL * scale + (ms / periodMs) * room,
    y: box.y + (RULER + lane * LANE + LANE / 2) * scale,
  };
}

/** The identifier of what has the focus. */
export const focused = (page) => page.evaluate(() => document.activeElement?.id ?? "");

/** The run lengths of the focused lane. */
export const runs = (page) => page.locator("#lane-runs");

/** What the page says last. */
export const message = (page) => page.locator("#message");

/** Presses the label of a lane. */
export async function pressLane(page, lane) {
  const box = await page.locator("#timeline-above").boundingBox();
  await page.mouse.click(box.x + 40, box.y + RULER + lane * LANE + LANE / 2);
}

/** Presses, moves in steps and lets go. */
export async function drag(page, from, to, { release = true } = {}) {
  await page.mouse.move(from.x, from.y);
  await page.mouse.down();
  await page.mouse.move((from.x + to.x) / 2, (from.y + to.y) / 2, { steps: 4 });
  await page.mouse.move(to.x, to.y, { steps: 4 });
  if (release) await page.mouse.up();
}

/** A figure of the summary by its label. */
export function figure(page, label) {
  return page.locator(".figures dt", { hasText: label }).locator("xpath=following-sibling::dd[1]");
}

/** Gives the page a program file as the file picker would. */
export async function pickFile(page, name, text) {
  const chooser = page.waitForEvent("filechooser");
  await page.getByRole("button", { name: "Open file…" }).click();
  await (await chooser).setFiles({ name, mimeType: "application/json", buffer: Buffer.from(text) });
}

/** Saves the program as a file and returns its name and text. */
export async function saveFile(page) {
  const waiting = page.waitForEvent("download");
  await page.getByRole("button", { name: "Save file" }).click();
  const download = await waiting;
  const parts = [];
  for await (const part of await download.createReadStream()) parts.push(part);
  return { name: download.suggestedFilename(), text: Buffer.concat(parts).toString() };
}

// Keeping: what a person made outlasts a full disk, another tab, a reload and a stop of the app.
import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { expect, scanForBarriers, test } from "../fixture.mjs";
import { askForDemo, openApp, openDemo, pickFile, place, saveFile } from "../app.mjs";

const VAN = "Highway incident-support van";

/** Lengthens the first pulse of the first lane by a tick. */
async function lengthen(page) {
  await page.locator("#timeline").focus();
  await page.keyboard.press("Home");
  await page.keyboard.press("]");
}

async function saved(page) {
  await expect(page.locator("#save-state")).toContainText("Saved in this browser");
}

/** Texts of the programs this browser keeps, by key. */
function keptTexts(page) {
  return page.evaluate(() => Object.fromEntries(
    Object.entries(localStorage).filter(([key]) => key.startsWith("lampwright.program.")),
  ));
}

/** Leaves no room for anything as long as a program. */
function fillStorage(page) {
  return page.evaluate(() => {
    for (let size = 1 << 20; size > 64; size >>= 1) {
      try {
        for (let n = 0; ; n += 1) localStorage.setItem(`filler.${size}.${n}`, "x".repeat(size));
      } catch { /* a smaller one may still fit */ }
    }
  });
}

/** Takes out what filled the storage. */
function emptyStorage(page) {
  return page.evaluate(() => {
    for (const key of Object.keys(localStorage)) if (key.startsWith("filler.")) localStorage.removeItem(key);
  });
}

async function programs(page) {
  await page.getByRole("button", { name: "Programs…" }).click();
  return page.getByRole("dialog");
}

test("nothing is written before a first change, and demos leave no copies", async ({ page }) => {
  await openApp(page);
  await expect(page.locator("#save-state")).toHaveText("Not changed yet");
  for (const name of ["Harbor-patrol car", VAN, "Harbor-patrol car", VAN]) {
    await openDemo(page, name);
    await expect(page.locator("#message")).toContainText("Opened");
  }
  await expect(page.locator("#program-name")).toHaveText(VAN);
  await page.waitForTimeout(400);
  expect(Object.keys(await keptTexts(page))).toEqual([]);
  await openDemo(page, "Rescue tender");
  await expect(page.locator("#program-name")).not.toHaveText(VAN);
  const name = await page.locator("#program-name").textContent();
  await page.reload();
  await expect(page.locator("#program-name")).toHaveText(name);
  expect(Object.keys(await keptTexts(page))).toEqual([]);
  await lengthen(page);
  await saved(page);
  expect(Object.keys(await keptTexts(page))).toHaveLength(1);
});

test("a file opened twice is kept once", async ({ page }) => {
  await openApp(page);
  const { text } = await saveFile(page);
  const file = JSON.stringify({ ...JSON.parse(text), name: "From a file" });
  await pickFile(page, "one.json", file);
  await expect(page.locator("#program-name")).toHaveText("From a file");
  await saved(page);
  await openDemo(page, "Harbor-patrol car");
  await expect(page.locator("#program-name")).not.toHaveText("From a file");
  await pickFile(page, "one.json", file);
  await expect(page.locator("#program-name")).toHaveText("From a file");
  await saved(page);
  expect(Object.keys(await keptTexts(page))).toHaveLength(1);
});

test("with full storage, opening another program asks first", async ({ page }) => {
  await openApp(page);
  await fillStorage(page);
  await lengthen(page);
  await expect(page.locator("#save-state")).toHaveText("Not saved: storage full, download a copy");
  await expect(page.getByRole("alert")).toHaveCount(1);
  await askForDemo(page, "Harbor-patrol car");
  const dialog = page.getByRole("dialog");
  await expect(dialog).toContainText("The present program is not saved");
  await scanForBarriers(page);
  await dialog.getByRole("button", { name: "Cancel" }).click();
  await expect(page.locator("#program-name")).toHaveText(VAN);
  await expect(page.locator("#undo")).toBeEnabled();

  await askForDemo(page, "Harbor-patrol car");
  const waiting = page.waitForEvent("download");
  await dialog.getByRole("button", { name: "Download and open" }).click();
  expect((await waiting).suggestedFilename()).toBe("highway-incident-support-van.json");
  await expect(page.locator("#program-name")).not.toHaveText(VAN);

  await lengthen(page);
  await askForDemo(page, VAN);
  await dialog.getByRole("button", { name: "Open without saving" }).click();
  await expect(page.locator("#program-name")).toHaveText(VAN);
});

test("what was downloaded in full storage is not asked about again", async ({ page }) => {
  await openApp(page);
  await fillStorage(page);
  await lengthen(page);
  const waiting = page.waitForEvent("download");
  await page.getByRole("button", { name: "Download a copy" }).click();
  await waiting;
  await openDemo(page, "Harbor-patrol car");
  await expect(page.locator("#program-name")).not.toHaveText(VAN);
});

test("a program longer than the browser's storage is kept, opened again, and handed out by a stop", async ({ page, trouble }) => {
  trouble.allow(/RuntimeError|unreachable/);
  const stop = await holdApp(page);
  await openApp(page);
  const { text } = await saveFile(page);
  // Repeats itself like the pulses of a long pattern do, with letters of more than one byte.
  const about = Array.from({ length: 400_000 }, (_, index) => `Läuft ${index % 977} ms · `).join("");
  await pickFile(page, "long.json", JSON.stringify({ ...JSON.parse(text), about }));
  await saved(page);
  await lengthen(page);
  await expect.poll(() => page.evaluate(() => Object.keys(localStorage).some((key) => key.startsWith("lampwright.steps.")))).toBe(true);
  // A browser gives five million characters to all programs together.
  expect(about.length).toBeGreaterThan(5 * 1024 * 1024);
  expect(Object.values(await keptTexts(page)).join("").length).toBeLessThan(2_000_000);
  await page.reload();
  await expect(page.locator("#undo")).toBeEnabled();
  const now = await saveFile(page);
  expect(JSON.parse(now.text).about).toBe(about);
  await stop();
  const waiting = page.waitForEvent("download");
  await page.locator("#stopped").getByRole("button", { name: "Download the kept program" }).click();
  const parts = [];
  for await (const part of await (await waiting).createReadStream()) parts.push(part);
  expect(Buffer.concat(parts).toString()).toBe(now.text);
});

test("steps give way to the program when storage is nearly full", async ({ page }) => {
  await openApp(page);
  await lengthen(page);
  await saved(page);
  expect(await page.evaluate(() => Object.keys(localStorage).some((key) => key.startsWith("lampwright.steps.")))).toBe(true);
  // Leaves room for the program and for nothing beside it.
  await page.evaluate(() => {
    for (let size = 1 << 20; size > 16; size >>= 1) {
      try {
        for (let n = 0; ; n += 1) localStorage.setItem(`filler.${size}.${n}`, "x".repeat(size));
      } catch { /* a smaller one may still fit */ }
    }
  });
  // A longer name makes the text longer by more than what is left, but not than the steps were.
  await page.locator("#program-name").click();
  await page.locator("#program-title").fill(`Van ${"n".repeat(100)}`);
  await page.keyboard.press("Enter");
  await expect.poll(async () => Object.values(await keptTexts(page)).join("")).toContain(`Van ${"n".repeat(100)}`);
  await saved(page);
});

test("undo and redo work after a reload, with their names", async ({ page }) => {
  await openApp(page);
  await lengthen(page);
  await page.keyboard.press("Alt+ArrowRight");
  await page.keyboard.press("]");
  await page.keyboard.press("Control+z");
  const names = await page.locator("#undo, #redo").allTextContents();
  expect(names[0]).toMatch(/^Undo: ./);
  expect(names[1]).toMatch(/^Redo: ./);
  const before = (await saveFile(page)).text;
  await page.reload();
  await expect(page.locator("#undo")).toHaveText(names[0]);
  await expect(page.locator("#redo")).toHaveText(names[1]);
  expect((await saveFile(page)).text).toBe(before);
  await page.locator("#timeline").focus();
  await page.keyboard.press("Control+Shift+z");
  await expect(page.locator("#redo")).toBeDisabled();
  for (let step = 0; step < 3; step += 1) await page.keyboard.press("Control+z");
  await expect(page.locator("#undo")).toBeDisabled();
  const first = (await saveFile(page)).text;
  // The demo as it comes, written the same way.
  await openDemo(page, VAN);
  await expect(page.locator("#undo")).toBeDisabled();
  await expect(page.locator("#redo")).toBeDisabled();
  expect(first).toBe((await saveFile(page)).text);
});

/** Kills the process of a page, which lets it do nothing any more, not even what pages do when they are closed. */
async function kill(page) {
  const session = await page.context().newCDPSession(page);
  const gone = page.waitForEvent("crash");
  // It never answers.
  session.send("Page.crash").catch(() => {});
  await gone;
  await page.close();
}

const onTheTimeline = async (page, from, to) => ({ from: await place(page, ...from, 1000), to: await place(page, ...to, 1000) });

/** A step by key that is done right before a drag, and what it does to the file. */
const LENGTHEN = {
  key: "]",
  ready: async (page) => {
    await page.locator("#timeline").focus();
    await page.keyboard.press("Home");
  },
  done: (program) => { open(program).lanes[0].pulses[0].length_ms += 10; },
};
const LENGTHEN_ALL = {
  key: "]",
  ready: async (page) => {
    await LENGTHEN.ready(page);
    for (let press = 0; press < 2; press += 1) await page.keyboard.press("Control+a");
  },
  done: (program) => { for (const lane of open(program).lanes) lane.pulses[0].length_ms += 10; },
};
const FORWARD = {
  key: "Alt+ArrowUp",
  ready: async (page) => {
    await page.keyboard.press("Alt+8");
    const heads = page.getByRole("list", { name: "Heads" }).getByRole("button");
    await heads.nth(0).click();
    await heads.nth(1).click({ modifiers: ["Shift"] });
    await page.locator("#heads").focus();
  },
  done: (program) => {
    for (const head of program.vehicle.heads) head.x_m = Math.round(1000 * head.x_m + 50) / 1000;
  },
};

/** The pattern that is open at first. */
const open = (program) => program.patterns.find((pattern) => pattern.period_ms === 1000 && pattern.lanes[0].pulses[0].length_ms >= 380);

/** Drags of every kind: the step before them, from where to where they go, and what the step is called that comes of them. */
const DRAGS = [
  { of: "an edge", before: LENGTHEN, way: (page) => onTheTimeline(page, [1, 880], [1, 940]), label: /^Undo: Move end of pulse/ },
  {
    of: "a level",
    before: LENGTHEN,
    way: async (page) => {
      const { from } = await onTheTimeline(page, [0, 200], [0, 200]);
      return { from: { x: from.x, y: from.y - 16 }, to: from };
    },
    label: /^Undo: Set level of pulse/,
  },
  {
    of: "several pulses",
    before: LENGTHEN_ALL,
    way: async (page) => {
      const { from, to } = await onTheTimeline(page, [0, 200], [0, 250]);
      return { from: { x: from.x, y: from.y + 5 }, to: { x: to.x, y: to.y + 5 } };
    },
    label: /^Undo: Move pulses/,
  },
  { of: "a new pulse", before: LENGTHEN, way: (page) => onTheTimeline(page, [0, 700], [0, 780]), label: /^Undo: Draw pulse/ },
  {
    of: "heads on the plan",
    before: FORWARD,
    way: async (page) => {
      const box = await page.locator("#heads canvas").boundingBox();
      const from = { x: box.x + box.width / 2, y: box.y + box.height / 2 };
      return { from, to: { x: from.x - 30, y: from.y - 60 } };
    },
    label: /^Undo: Move heads/,
  },
];

/** Two heads close to the middle of an empty vehicle, where they are easy to take hold of. */
async function openTwoHeads(page) {
  await page.getByRole("button", { name: "Programs…" }).click();
  await page.getByRole("dialog").getByRole("button", { name: /empty program/i }).click();
  await expect(page.locator("#program-name")).toHaveText("New program");
  const add = page.locator(".setup").getByRole("button", { name: "Add", exact: true });
  await add.click();
  await add.click();
  await expect(page.locator("#heads [role=option]")).toHaveCount(2);
  await saved(page);
}

/** Moves the pressed pointer some eighths of the way, and lets the page draw it. */
async function pull(page, { from, to }, nMoves) {
  await page.mouse.move(from.x, from.y);
  await page.mouse.down();
  for (let move = 1; move <= nMoves; move += 1) {
    await page.mouse.move(from.x + ((to.x - from.x) * move) / 8, from.y + ((to.y - from.y) * move) / 8);
  }
}

const drawn = (page) => page.evaluate(() => new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(resolve))));

/** A page with what this browser keeps. */
async function reopened(context) {
  const page = await context.newPage();
  await page.goto("/");
  await expect(page.locator("#undo")).toBeEnabled();
  return page;
}

for (const { of, before, way, label } of DRAGS) {
  test(`a tab that is killed at any moment of a drag of ${of} loses that drag alone`, async ({ page, context }) => {
    await openApp(page);
    if (before === FORWARD) await openTwoHeads(page);
    let there = page;
    const expected = JSON.parse((await saveFile(there)).text);
    for (const nMoves of [0, 1, 6]) {
      await before.ready(there);
      const line = await way(there);
      // A step right before: it is there afterwards, however early the drag is cut off.
      await there.keyboard.press(before.key);
      before.done(expected);
      await pull(there, line, nMoves);
      await drawn(there);
      await kill(there);
      there = await reopened(context);
      expect(JSON.parse((await saveFile(there)).text), `killed after ${nMoves} moves`).toEqual(expected);
    }
    // The same to its end: it was a drag of this kind, and a kill right after it takes nothing.
    await before.ready(there);
    await pull(there, await way(there), 8);
    await there.mouse.up();
    await drawn(there);
    await kill(there);
    there = await reopened(context);
    await expect(there.locator("#undo")).toHaveText(label);
    expect(JSON.parse((await saveFile(there)).text)).not.toEqual(expected);
    await there.locator("#undo").click();
    expect(JSON.parse((await saveFile(there)).text)).toEqual(expected);
  });
}

test("a tab that is killed while a slider of the builder is dragged loses what the builder showed alone", async ({ page, context }) => {
  await openApp(page);
  await lengthen(page);
  await page.keyboard.press("Alt+b");
  const slider = page.getByRole("slider", { name: "Length of a pulse, slider" });
  const box = await slider.boundingBox();
  const at = (share) => ({ x: box.x + share * box.width, y: box.y + box.height / 2 });
  const length = await page.locator("#builder-length").inputValue();
  await pull(page, { from: at(0.2), to: at(0.7) }, 6);
  await expect(page.locator("#builder-length")).not.toHaveValue(length);
  await kill(page);
  const there = await reopened(context);
  await expect(there.locator("#undo")).toHaveText(/^Undo: ./);
  const kept = JSON.parse((await saveFile(there)).text);
  await there.locator("#undo").click();
  await expect(there.locator("#undo")).toBeDisabled();
  const first = JSON.parse((await saveFile(there)).text);
  LENGTHEN.done(first);
  expect(kept).toEqual(first);
});

test("two tabs on one program say so, and the second goes on with a copy", async ({ page, context }) => {
  await openApp(page);
  await lengthen(page);
  await saved(page);
  const other = await context.newPage();
  await other.goto("/");
  await expect(other.locator("#shared")).toHaveText("This program is open in another tab too: what you change here goes to a copy");
  await expect(page.locator("#shared")).toHaveText("This program is open in another tab too: what is changed there goes to a copy");
  await scanForBarriers(page);
  const first = Object.values(await keptTexts(page));

  await lengthen(other);
  await expect(other.locator("#told")).toContainText(`a copy was made of it for what is changed here, ${VAN} (copy)`);
  await expect(other.locator("#program-name")).toHaveText(`${VAN} (copy)`);
  await saved(other);
  // Neither is open twice any more, and the first is as it was.
  await expect(page.locator("#shared")).toHaveCount(0);
  await expect(other.locator("#shared")).toHaveCount(0);
  const both = Object.values(await keptTexts(page));
  expect(both).toHaveLength(2);
  expect(both).toContain(first[0]);

  await lengthen(page);
  await page.waitForTimeout(400);
  await expect(page.locator("#program-name")).toHaveText(VAN);
  expect(Object.keys(await keptTexts(page))).toHaveLength(2);

  const third = await context.newPage();
  await third.goto("/");
  await expect(third.locator("#shared")).toBeVisible();
  // Killed: it says nothing any more.
  await third.close();
  await expect(page.locator("#shared")).toHaveCount(0);
  await expect(other.locator("#shared")).toHaveCount(0);
});

test("a kept program changed behind this tab's back is not overwritten", async ({ page }) => {
  await openApp(page);
  await lengthen(page);
  await saved(page);
  await page.evaluate(() => {
    const key = Object.keys(localStorage).find((name) => name.startsWith("lampwright.program."));
    localStorage.setItem(key, localStorage.getItem(key).replace("Highway", "Changed elsewhere: highway"));
  });
  await lengthen(page);
  await expect(page.locator("#program-name")).toHaveText(`${VAN} (copy)`);
  const names = Object.values(await keptTexts(page)).map((text) => JSON.parse(text).name).sort();
  expect(names).toEqual(["Changed elsewhere: highway incident-support van", `${VAN} (copy)`]);
});

async function damage(page, change) {
  await openApp(page);
  await lengthen(page);
  await saved(page);
  await page.evaluate((source) => {
    const change = { cut: (text) => text.slice(0, text.length / 2), newer: (text) => text.replace('"version": 1', '"version": 99') }[source];
    const key = Object.keys(localStorage).find((name) => name.startsWith("lampwright.program."));
    localStorage.setItem(key, change(localStorage.getItem(key)));
  }, change);
  const [text] = Object.values(await keptTexts(page));
  await page.reload();
  return text;
}

test("a damaged kept program is asked about, stays kept and can be downloaded", async ({ page }) => {
  const text = await damage(page, "cut");
  const dialog = page.getByRole("dialog");
  await expect(dialog).toContainText(`${VAN}, kept in this browser`);
  await expect(dialog).toContainText("Could be read:");
  const waiting = page.waitForEvent("download");
  await dialog.getByRole("button", { name: "Download the kept text" }).click();
  const parts = [];
  for await (const part of await (await waiting).createReadStream()) parts.push(part);
  expect(Buffer.concat(parts).toString()).toBe(text);
  await dialog.getByRole("button", { name: "Open what could be read as a new program" }).click();
  await expect(page.locator("#program-name")).toHaveText(VAN);
  await saved(page);
  const kept = Object.values(await keptTexts(page));
  expect(kept).toHaveLength(2);
  expect(kept).toContain(text);
});

test("a page with a damaged kept program starts with a demo when told so", async ({ page }) => {
  const text = await damage(page, "cut");
  await page.getByRole("dialog").getByRole("button", { name: "Start with a demo" }).click();
  await expect(page.locator("#save-state")).toHaveText("Not changed yet");
  expect(Object.values(await keptTexts(page))).toEqual([text]);
});

test("a kept program of a newer version is not opened and stays", async ({ page }) => {
  const text = await damage(page, "newer");
  const dialog = page.getByRole("dialog");
  await expect(dialog).toContainText("a newer version, 99");
  await expect(dialog.getByRole("button", { name: /Open what could be read/ })).toHaveCount(0);
  await expect(dialog.getByRole("button", { name: "Download the kept text" })).toBeVisible();
  expect(Object.values(await keptTexts(page))).toEqual([text]);
});

test("the program is renamed from the head, with its notes, and both are undone", async ({ page }) => {
  await openApp(page);
  await page.locator("#program-name").click();
  const dialog = page.getByRole("dialog");
  await scanForBarriers(page);
  await dialog.getByLabel("Name").fill("Van of the night shift");
  await dialog.getByLabel("Notes").fill("Decided in spring\nsecond line");
  await dialog.getByRole("button", { name: "Apply" }).click();
  await expect(page.locator("#program-name")).toHaveText("Van of the night shift");
  const file = JSON.parse((await saveFile(page)).text);
  expect(file.name).toBe("Van of the night shift");
  expect(file.about).toBe("Decided in spring\nsecond line");
  await page.getByRole("button", { name: "Undo: Rename program" }).click();
  await expect(page.locator("#program-name")).toHaveText(VAN);
});

test("a link carries the program to another browser", async ({ page, browser, baseURL, context }) => {
  await context.grantPermissions(["clipboard-read", "clipboard-write"]);
  await openApp(page);
  await lengthen(page);
  await (await programs(page)).getByRole("button", { name: "Copy link" }).click();
  await expect(page.locator("#told")).toContainText(/Link copied, \d+ kB/);
  const link = await page.evaluate(() => navigator.clipboard.readText());
  expect(link).toContain(`${baseURL}/#program=d`);
  expect(link.length).toBeLessThan(33 * 1024);
  const sent = await saveFile(page);

  const elsewhere = await browser.newContext();
  await elsewhere.addInitScript(() => { delete window.showSaveFilePicker; });
  const opened = await elsewhere.newPage();
  await opened.goto(link);
  await expect(opened.locator("#save-state")).toContainText("Saved in this browser");
  expect((await saveFile(opened)).text).toBe(sent.text);
  expect(opened.url()).toBe(`${baseURL}/`);
  await elsewhere.close();
});

test("links that are none, or damaged, are said to be so", async ({ page }) => {
  await page.goto("/#nonsense");
  await expect(page.locator("#told")).toContainText("#nonsense at the end of the address is no program");
  await page.getByRole("button", { name: "Dismiss" }).click();
  await expect(page.locator("#told")).toHaveCount(0);
  await page.goto("/#program=dAAAA");
  await expect(page.locator("#told")).toContainText("The program in the link is damaged");
  await page.goto(`/#program=d${"A".repeat(40_000)}`);
  await expect(page.locator("#told")).toContainText("longer than 32 kB");
  // A text that is no program is told like a file.
  await page.goto(`/#program=p${Buffer.from("{nope").toString("base64url")}`);
  await expect(page.getByRole("dialog")).toContainText("Nothing of it could be read as a program");
});

test("no link is made for a program that is too long for one", async ({ page }) => {
  await openApp(page);
  const { text } = await saveFile(page);
  const noise = Array.from({ length: 40_000 }, (_, index) => ((index * 2_654_435_761) % 4_294_967_296).toString(36)).join("");
  await pickFile(page, "long.json", JSON.stringify({ ...JSON.parse(text), about: noise }));
  await saved(page);
  await (await programs(page)).getByRole("button", { name: "Copy link" }).click();
  await expect(page.locator("#told")).toContainText(/No link was made: it would take \d+ kB, at most 32 kB/);
});

test("a file is saved in place where the browser can, and a copy is a download", async ({ page }) => {
  await page.addInitScript(() => {
    window.written = [];
    window.showSaveFilePicker = async (options) => {
      window.asked = [...(window.asked ?? []), options.suggestedName];
      if (window.refuse) throw new DOMException("none chosen", "AbortError");
      return {
        name: "shift.json",
        createWritable: async () => {
          if (window.isLocked) throw new DOMException("locked", "NoModificationAllowedError");
          let text = "";
          return { write: async (part) => { text += part; }, close: async () => { window.written.push(text); } };
        },
      };
    };
  });
  await openApp(page);
  await page.evaluate(() => { window.refuse = true; });
  await page.getByRole("button", { name: "Save file" }).click();
  await expect.poll(() => page.evaluate(() => window.asked)).toEqual(["highway-incident-support-van.json"]);
  await expect(page.locator("#told")).toHaveCount(0);
  await page.evaluate(() => { window.refuse = false; });
  await page.getByRole("button", { name: "Save file" }).click();
  await expect(page.locator("#save-state")).toContainText("Saved in shift.json");
  await lengthen(page);
  await page.keyboard.press("Control+s");
  await expect.poll(() => page.evaluate(() => window.written.length)).toBe(2);
  // Asked once more after the refusal, and not for the second writing.
  expect(await page.evaluate(() => window.asked.length)).toBe(2);
  const waiting = page.waitForEvent("download");
  await (await programs(page)).getByRole("button", { name: "Save a copy" }).click();
  const copy = [];
  for await (const part of await (await waiting).createReadStream()) copy.push(part);
  const written = await page.evaluate(() => window.written);
  expect(written[1]).toBe(Buffer.concat(copy).toString());
  expect(written[1]).not.toBe(written[0]);
  await page.evaluate(() => { window.isLocked = true; });
  await page.keyboard.press("Control+s");
  await expect(page.locator("#told")).toContainText("shift.json could not be written");
  // A file that was opened is offered under its own name.
  await pickFile(page, "night shift.json", JSON.stringify({ ...JSON.parse(Buffer.concat(copy)), name: "Night shift" }));
  await expect(page.locator("#program-name")).toHaveText("Night shift");
  await page.getByRole("button", { name: "Save file" }).click();
  await expect.poll(() => page.evaluate(() => window.asked.at(-1))).toBe("night shift.json");
});

/** Lets a test stop the compiled app: a call that no caller makes ends in a trap. */
async function holdApp(page) {
  await page.addInitScript(() => {
    for (const name of ["instantiate", "instantiateStreaming"]) {
      const original = WebAssembly[name];
      WebAssembly[name] = async (...parts) => {
        const result = await original.apply(WebAssembly, parts);
        window.compiled = (result.instance ?? result).exports;
        return result;
      };
    }
  });
  return () => page.evaluate(() => { setTimeout(() => window.compiled.__wbindgen_malloc(0x7fffffff, 3)); });
}

test("a stop of the app offers the kept work and a reload", async ({ page, trouble }) => {
  trouble.allow(/RuntimeError|unreachable/);
  const stop = await holdApp(page);
  await openApp(page);
  await lengthen(page);
  await saved(page);
  const [text] = Object.values(await keptTexts(page));
  await stop();
  const notice = page.locator("#stopped");
  await expect(notice).toContainText(`kept in this browser: ${VAN}, saved 20`);
  await expect(page.locator("canvas")).toHaveCount(0);
  await scanForBarriers(page);
  const waiting = page.waitForEvent("download");
  await notice.getByRole("button", { name: "Download the kept program" }).click();
  const parts = [];
  for await (const part of await (await waiting).createReadStream()) parts.push(part);
  expect(Buffer.concat(parts).toString()).toBe(text);
  await notice.getByRole("button", { name: "Reload" }).click();
  await expect(page.locator("#program-name")).toHaveText(VAN);
  await expect(page.locator("#undo")).toBeEnabled();
});

test("the one-file page says as well when it stops", async ({ page, trouble, oneFileAddress }) => {
  trouble.allow(/RuntimeError|unreachable/);
  const stop = await holdApp(page);
  await page.goto(oneFileAddress);
  await expect(page.locator("#program-name")).toHaveText(VAN);
  await stop();
  await expect(page.locator("#stopped")).toContainText("it had not been changed yet");
});

function drop(page, items) {
  return page.evaluate((given) => {
    const data = new DataTransfer();
    for (const { name, text } of given) {
      if (name) data.items.add(new File([text], name, { type: "application/json" }));
      else data.setData("text/plain", text);
    }
    document.body.dispatchEvent(new DragEvent("drop", { dataTransfer: data, bubbles: true, cancelable: true }));
  }, items);
}

test("what is dropped is opened, or said to be nothing to open", async ({ page }) => {
  await openApp(page);
  const { text } = await saveFile(page);
  const named = (name) => JSON.stringify({ ...JSON.parse(text), name });
  await drop(page, [{ name: "a.json", text: named("First") }, { name: "b.json", text: named("Second") }]);
  await expect(page.locator("#program-name")).toHaveText("First");
  await expect(page.locator("#told")).toHaveText(/^2 files at once: only the first is read, a\.json/);
  await drop(page, [{ text: named("As a text") }]);
  await expect(page.locator("#program-name")).toHaveText("As a text");
  await drop(page, [{ text: "just words" }]);
  await expect(page.locator("#told")).toContainText("Nothing of what was dropped is a file, or the text of one");
});

test("a folder is said to be nothing that can be read", async ({ page, context }) => {
  await openApp(page);
  const session = await context.newCDPSession(page);
  const folder = mkdtempSync(join(tmpdir(), "dropped-"));
  const data = { items: [], files: [folder], dragOperationsMask: 1 };
  for (const type of ["dragEnter", "dragOver", "drop"]) {
    await session.send("Input.dispatchDragEvent", { type, x: 600, y: 400, data });
  }
  await expect(page.getByRole("dialog")).toContainText("nothing that can be read: a folder, or a file that is no longer there");
  await page.keyboard.press("Escape");
  await expect(page.locator("#program-name")).toHaveText(VAN);
});

test("other files of this app are called by what they are", async ({ page }) => {
  await openApp(page);
  const dialog = page.getByRole("dialog");
  await pickFile(page, "flash.json", JSON.stringify({ format: "lampwright-pattern", version: 1, pattern: {} }));
  await expect(dialog).toContainText("flash.json was not imported: pattern.id: found nothing");
  await page.keyboard.press("Escape");
  await pickFile(page, "rules.json", JSON.stringify({ format: "lampwright-profile", version: 1, profile: {} }));
  await expect(dialog).toContainText("This is the file of a profile");
  await page.keyboard.press("Escape");
  await pickFile(page, "nope.json", "{nope");
  await expect(dialog).toContainText("Nothing of it could be read as a program");
  await expect(dialog.getByRole("button", { name: "Use what could be read" })).toHaveCount(0);
});

test("kept programs are renamed, duplicated, removed and put back", async ({ page }) => {
  await openApp(page);
  await lengthen(page);
  await saved(page);
  await openDemo(page, "Harbor-patrol car");
  await expect(page.locator("#program-name")).not.toHaveText(VAN);
  await lengthen(page);
  await saved(page);
  const dialog = await programs(page);
  const list = dialog.locator(".kept > li");
  await expect(list).toHaveCount(2);
  const van = list.filter({ hasText: VAN });
  await expect(van).toContainText(/saved \d{4}-\d\d-\d\d \d\d:\d\d:\d\d, \d+ kB/);

  await van.getByRole("button", { name: /^Rename/ }).click();
  await expect(page.locator("#new-name")).toBeFocused();
  await scanForBarriers(page);
  await page.locator("#new-name").fill("Night van");
  await page.keyboard.press("Enter");
  const night = list.filter({ has: page.getByRole("button", { name: "Night van", exact: true }) });
  await expect(night).toHaveCount(1);

  await night.getByRole("button", { name: /^Duplicate/ }).click();
  await expect(list).toHaveCount(3);
  const copy = list.filter({ has: page.getByRole("button", { name: "Night van (copy)", exact: true }) });
  await expect(copy).toHaveCount(1);

  await copy.getByRole("button", { name: /^Remove/ }).click();
  await expect(list).toHaveCount(2);
  await expect(dialog).toContainText("Night van (copy) was removed");
  await dialog.getByRole("button", { name: "Put it back" }).click();
  await expect(list).toHaveCount(3);
  await copy.getByRole("button", { name: "Night van (copy)", exact: true }).click();
  await expect(page.locator("#program-name")).toHaveText("Night van (copy)");
});

test("what was removed is put back later too, and takes no other program's place", async ({ page }) => {
  await openApp(page);
  await lengthen(page);
  await saved(page);
  await openDemo(page, "Harbor-patrol car");
  await lengthen(page);
  await saved(page);
  await openDemo(page, "Rescue tender");
  let dialog = await programs(page);
  const list = dialog.locator(".kept > li");
  await expect(list).toHaveCount(2);
  const texts = Object.values(await keptTexts(page)).sort();
  for (let left = 1; left >= 0; left -= 1) {
    await list.first().getByRole("button", { name: /^Remove/ }).click();
    await expect(list).toHaveCount(left);
  }
  expect(await keptTexts(page)).toEqual({});
  // With the dialog closed, another program is kept, under the key of one of them.
  await page.keyboard.press("Escape");
  await lengthen(page);
  await saved(page);
  const [tender] = Object.values(await keptTexts(page));
  dialog = await programs(page);
  // Where there is no room it stays to be put back.
  await fillStorage(page);
  await dialog.getByRole("button", { name: "Put it back" }).first().click();
  await expect(dialog.getByRole("alert")).toContainText("storage full");
  await expect(dialog.getByRole("button", { name: "Put it back" })).toHaveCount(2);
  await emptyStorage(page);
  for (let left = 1; left >= 0; left -= 1) {
    await dialog.getByRole("button", { name: "Put it back" }).first().click();
    await expect(dialog.getByRole("button", { name: "Put it back" })).toHaveCount(left);
  }
  await expect(list).toHaveCount(3);
  expect(Object.values(await keptTexts(page)).sort()).toEqual([...texts, tender].sort());
});

test("a tab that is loaded again shows its own program, whatever other tabs show", async ({ page, context }) => {
  await openApp(page);
  await lengthen(page);
  await saved(page);
  const other = await context.newPage();
  await other.goto("/");
  await openDemo(other, "Harbor-patrol car");
  await lengthen(other);
  await saved(other);
  const name = await other.locator("#program-name").textContent();
  await page.reload();
  await expect(page.locator("#program-name")).toHaveText(VAN);
  await saved(page);
  await other.reload();
  await expect(other.locator("#program-name")).toHaveText(name);
  await saved(other);
  // A tab to come shows what was open last.
  const third = await context.newPage();
  await third.goto("/");
  await expect(third.locator("#program-name")).toHaveText(name);
});

test("what there is no room to list is not left behind, and makes no copies", async ({ page }) => {
  await openApp(page);
  await page.evaluate(() => {
    const write = Storage.prototype.setItem;
    Storage.prototype.setItem = function (key, text) {
      if (window.isListFull && key === "lampwright.index") throw new DOMException("no room", "QuotaExceededError");
      write.call(this, key, text);
    };
  });
  const fill = (isFull) => page.evaluate((isFull) => { window.isListFull = isFull; }, isFull);
  const refused = () => expect(page.locator("#save-state")).toHaveText("Not saved: storage full, download a copy");
  await fill(true);
  for (let step = 0; step < 2; step += 1) {
    await lengthen(page);
    await refused();
    expect(await keptTexts(page)).toEqual({});
  }
  await fill(false);
  await lengthen(page);
  await saved(page);
  const kept = await keptTexts(page);
  expect(Object.keys(kept)).toHaveLength(1);
  await fill(true);
  await lengthen(page);
  await refused();
  expect(await keptTexts(page)).toEqual(kept);
  await fill(false);
  await lengthen(page);
  await saved(page);
  expect(Object.keys(await keptTexts(page))).toEqual(Object.keys(kept));
});

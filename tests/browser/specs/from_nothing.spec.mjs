// From an empty program to a pattern that plays on eight heads, as one person would do it, well under a minute.
// The pattern: alternating double flash, pulses of 75 ms, 2 Hz, the right side half a period later.
import { expect, test } from "../fixture.mjs";
import { openApp, saveFile } from "../app.mjs";
import { picture } from "../flashes.mjs";
import { Person } from "../person.mjs";

const PERIOD = 500;
const HALF = 250;

// The rules of warning lamps. By the set a new program starts with, eight flashes in a second are too many, and it says so.
const PROFILE = "Warning lamps, SAE J595 and J845";

/** A minute is the limit; a quarter of it is left for reading and for a slow machine (our own choice). */
const MOST_SECONDS = 45;

const dialog = (page, name) => page.getByRole("dialog", { name });
const button = (where, name) => where.getByRole("button", { name, exact: true });

/** Runs a command by a part of its name. */
async function command(person, words) {
  await person.unit(async () => {
    await person.press("Control+k");
    await expect(person.page.locator("#find")).toBeFocused();
    await person.type(words);
    await person.press("Enter");
  });
  await expect(dialog(person.page, "Find a command")).toHaveCount(0);
}

/** Chooses the rules to judge by with the keyboard. */
async function chooseRules(person) {
  const { page } = person;
  await person.press("Alt+7");
  await expect(page.locator("#view")).toBeFocused();
  await expect(page.locator("#profile-start")).toBeVisible();
  await person.tabTo("profile-start");
  await person.press("Space");
  await person.type("Warning l");
  await person.press("Enter");
  await expect(page.locator("#profile-title")).toHaveValue(PROFILE);
}

/** Looks at what the person has come to: eight heads that play it, a file that says so, and no error. */
async function expectItPlays(person, left) {
  const { page } = person;
  console.log(`from nothing: ${person}`);
  expect(person.seconds, "of the person's time").toBeLessThan(MOST_SECONDS);

  await expect(page.locator("#play")).toContainText("Stop");
  const heads = page.locator("#heads [role=option]");
  await expect(heads).toHaveCount(8);
  for (let head = 0; head < 8; head += 1) await expect(heads.nth(head)).toContainText("amber flashing");
  // The picture of the vehicle changes, so something is to be seen.
  const first = await picture(page);
  await expect.poll(() => picture(page)).not.toBe(first);
  await page.keyboard.press("Escape");
  await expect(page.locator("#play")).toContainText("Play");
  await expect(page.locator("#save-state")).toContainText("Saved in this browser");

  const program = JSON.parse((await saveFile(page)).text);
  const sideOf = Object.fromEntries(program.vehicle.heads.map((head) => [`head:${head.id}`, Math.sign(head.y_m)]));
  expect(Object.values(sideOf).sort()).toEqual([-1, -1, -1, -1, 1, 1, 1, 1]);
  expect(program.patterns).toHaveLength(1);
  const [pattern] = program.patterns;
  expect(pattern.period_ms).toBe(PERIOD);
  const lanes = pattern.lanes.map(({ role, pulses }) => [role, pulses.map((pulse) => [pulse.start_ms, pulse.length_ms])]);
  const right = left.map(([start, length]) => [start + HALF, length]);
  expect(lanes).toEqual([["left", left], ["right", right]]);
  // Every pulse is full and shows what color the head has.
  for (const pulse of pattern.lanes.flatMap((lane) => lane.pulses)) {
    expect(Object.keys(pulse).sort()).toEqual(["length_ms", "start_ms"]);
  }
  expect(program.layers).toHaveLength(1);
  const [layer] = program.layers;
  expect(layer.when ?? []).toEqual([]);
  expect(layer.play.pattern).toBe(pattern.id);
  const bound = layer.play.bindings.map(({ lane, heads: of, ...more }) => ({ lane, sides: of.map((head) => sideOf[head]), ...more }));
  expect(bound.map(({ offset_ms: offset, ...of }) => ({ ...of, offset: offset ?? 0 }))).toEqual([
    { lane: "left", sides: [1, 1, 1, 1], offset: 0 },
    { lane: "right", sides: [-1, -1, -1, -1], offset: 0 },
  ]);
  // Rules were chosen, they looked, and none of them says that it is an error.
  expect(program.profile.title).toBe(PROFILE);
  expect(program.profile.rules.length).toBeGreaterThan(0);
  await expect(page.locator("#findings")).toContainText(`Judged by ${program.profile.rules.length} rules of the profile ${PROFILE}`);
  await expect(page.locator("#findings .severity.error")).toHaveCount(0);
}

test("by mouse alone", async ({ page }) => {
  await openApp(page);
  const person = new Person(page, { only: "mouse" });
  await person.click(button(page, "Programs…"));
  await person.click(button(dialog(page, "Programs"), "New empty program"));
  await expect(page.locator("#program-name")).toHaveText("New program");
  await person.click(button(page, "Add 8 heads around the roof"));
  await expect(page.locator("#heads [role=option]")).toHaveCount(8);
  await person.click(page.getByRole("tab", { name: "Rules" }));
  await person.choose(page.locator("#profile-start"), PROFILE);
  await expect(page.locator("#profile-title")).toHaveValue(PROFILE);
  await person.click(button(page, "Build pattern…"));
  const builder = dialog(page, "Build a pattern");
  await expect(page.locator("#builder-arrangement option:checked")).toHaveText("Left against right");
  // A slider is dragged to about where the value is; it stops at the usual value nearest to it.
  const slide = async (name, value) => {
    const slider = builder.getByRole("slider", { name: `${name}, slider` });
    await expect(slider).toBeInViewport({ ratio: 1 });
    const [least, most, now] = await slider.evaluate((input) => [input.min, input.max, input.value].map(Number));
    const box = await slider.boundingBox();
    const at = (of) => ({ x: box.x + 8 + ((of - least) / (most - least)) * (box.width - 16), y: box.y + box.height / 2 });
    const there = at(value);
    await person.drag(at(now), { x: there.x + 2, y: there.y }, 8);
    await expect(slider).toHaveValue(String(value));
  };
  await slide("Pulses per flash", 2);
  await slide("Flashes per lane", 120);
  await slide("Length of a pulse", 75);
  await expect(page.locator("#builder-gap")).toHaveValue("75");
  await expect(page.locator("#builder-scope option:checked")).toHaveText("all heads, as none flashes now (8)");
  await person.click(button(builder, "Add and play on these heads"));
  await expect(builder).toHaveCount(0);
  await person.click(page.locator("#play"));
  await expectItPlays(person, [[0, 75], [150, 75]]);
});

test("by keyboard alone", async ({ page }) => {
  await openApp(page);
  const person = new Person(page, { only: "keyboard" });
  await command(person, "empty");
  await expect(page.locator("#program-name")).toHaveText("New program");
  await command(person, "eight");
  await expect(page.locator("#heads [role=option]")).toHaveCount(8);
  await chooseRules(person);
  await person.press("Alt+b");
  const builder = dialog(page, "Build a pattern");
  await expect(page.locator("#builder-arrangement option:checked")).toHaveText("Left against right");
  await person.tabTo("builder-pulses");
  await person.press("ArrowUp");
  for (const [id, text] of [["hertz", "2"], ["length", "75"]]) {
    await person.tabTo(`builder-${id}`);
    await person.type(text);
  }
  await person.tabTo("builder-gap");
  await expect(page.locator("#builder-gap")).toHaveValue("75");
  await expect(page.locator("#built")).toHaveText("Alternating double flash, 120 per minute a side");
  await person.tabTo("take");
  await person.press("Enter");
  await expect(builder).toHaveCount(0);
  await person.press("Space");
  await expectItPlays(person, [[0, 75], [150, 75]]);
});

test("by typing the lane as numbers", async ({ page }) => {
  await openApp(page);
  const person = new Person(page);
  await command(person, "empty");
  await expect(page.locator("#program-name")).toHaveText("New program");
  await command(person, "eight");
  await expect(page.locator("#heads [role=option]")).toHaveCount(8);
  await chooseRules(person);
  await command(person, "add pattern");
  await expect(page.locator("#timeline")).toBeFocused();
  await person.press("t");
  await expect(page.locator("#answer")).toBeFocused();
  await person.type("75 50 75 300");
  await person.press("Enter");
  await expect(page.locator("#message")).toHaveText("Lane left typed, period 500 ms");
  await person.press("m");
  await expect(page.locator("#message")).toHaveText("Lane right plays the same 250 ms later");
  await person.press("Alt+o");
  await expect(page.locator("#message")).toHaveText("Play New pattern on 8 heads");
  await person.press("Space");
  await expectItPlays(person, [[0, 75], [125, 75]]);
});

test("the count of a person's time says what the model says", async ({ page }) => {
  await page.setContent("<body style='margin:0'><button id=far style='position:absolute;left:708px;top:368px;width:64px;height:64px'>x</button>");
  const person = new Person(page);
  await person.click(page.locator("#far"));
  // 100 px to a button of 64 px: 1.35 + 0.8 + 0.1 log2(100 / 64 + 0.5) + 2 × 0.1.
  expect(person.seconds).toBeCloseTo(1.35 + 0.8 + 0.1 * Math.log2(100 / 64 + 0.5) + 0.2, 6);
  const before = person.seconds;
  await person.press("Control+k");
  expect(person.seconds - before).toBeCloseTo(0.4 + 1.35 + 2 * 0.28, 6);
  await expect(new Person(page, { only: "mouse" }).press("a")).rejects.toThrow("by mouse alone");
});

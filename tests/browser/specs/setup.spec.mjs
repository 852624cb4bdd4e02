// From an empty program to a playing one: heads, wiring and logic in the set-up, by mouse, by keyboard and by numbers.
import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { expect, scanForBarriers, test } from "../fixture.mjs";
import { drag, openApp, openDemo, place, saveFile } from "../app.mjs";

const setup = (page) => page.locator(".setup");
const button = (page, name) => setup(page).getByRole("button", { name, exact: true });
const field = (page, name) => setup(page).getByLabel(name, { exact: true });

async function openEmpty(page) {
  await openApp(page);
  await page.getByRole("button", { name: "Programs…" }).click();
  await page.getByRole("dialog").getByRole("button", { name: /empty program/i }).click();
  await expect(page.locator("#program-name")).toHaveText("New program");
}

async function addEightHeads(page) {
  await page.getByRole("tab", { name: "Set-up" }).click();
  await button(page, "Add 8 heads around the roof").click();
  await expect(button(page, "Heads 8")).toBeVisible();
}

/** Types a number as a person does, and leaves the field. */
async function type(page, name, text) {
  await field(page, name).fill(text);
  await field(page, name).press("Enter");
}

async function undoAll(page) {
  for (let step = 0; step < 60 && (await page.locator("#undo").isEnabled()); step += 1) await page.locator("#undo").click();
  await expect(page.locator("#undo")).toBeDisabled();
}

test("eight heads, a pattern bound to them, a preview that plays, findings, and all of it undone", async ({ page }) => {
  await openEmpty(page);
  const before = (await saveFile(page)).text;
  await addEightHeads(page);
  await expect(page.locator("#heads [role=option]")).toHaveCount(8);
  await button(page, "Add a pattern to play").click();

  // A pulse in the lane of the left side, none in that of the right.
  await expect(page.getByRole("tab", { name: "Timeline" })).toHaveAttribute("aria-selected", "true");
  await page.locator("#timeline").focus();
  await page.keyboard.press("i");
  await page.getByRole("tab", { name: "Rules" }).click();
  await page.getByLabel("Start from").selectOption("Special warning lamps, UN Regulation No. 65");

  await page.getByRole("tab", { name: "Set-up" }).click();
  await button(page, "Play New pattern on the 8 selected heads").click();
  await expect(page.locator("#message")).toHaveText("Play New pattern on 8 heads");
  await expect(page.locator("#undo")).toHaveText("Undo: Play New pattern on 8 heads");
  await expect(button(page, "Layers 1")).toBeVisible();

  await expect(page.locator("#head-front-left-1")).toContainText("amber flashing");
  await expect(page.locator("#head-front-right-1")).toContainText("amber dark");
  await page.locator("#play").click();
  await expect(page.locator("#play")).toContainText("Stop");
  await page.keyboard.press("Escape");
  await expect(page.locator("#play")).toContainText("Play");
  await expect(page.locator(".finding").first()).toBeVisible();

  // What plays on a head holds it; it goes from there too when that is asked for.
  await button(page, "Rear right 2").click();
  await button(page, "Remove").click();
  await expect(setup(page).getByRole("alert")).toHaveText("layer New pattern still refers to it, change that first");
  await button(page, "Remove there too").click();
  await expect(page.locator("#heads [role=option]")).toHaveCount(7);

  await undoAll(page);
  expect((await saveFile(page)).text).toBe(before);
});

test("numbers are taken as typed, refused where they are typed, and Escape takes them back", async ({ page }) => {
  await openEmpty(page);
  await addEightHeads(page);
  await button(page, "Front left 1").click();
  await type(page, "Forward of the middle, m", "1,25");
  await expect(field(page, "Forward of the middle, m")).toHaveValue("1.25");
  await expect(page.locator("#undo")).toHaveText("Undo: Forward of the middle of Front left 1");

  const forward = field(page, "Forward of the middle, m");
  await forward.pressSequentially("00");
  await expect(forward).toHaveValue("1.2500");
  await forward.pressSequentially("1");
  await expect(page.locator("#setup-refusal")).toHaveText("a number with at most 3 decimals wanted, not 1.25001");
  await expect(forward).toHaveAttribute("aria-invalid", "true");
  await forward.fill("250");
  await forward.press("Enter");
  await expect(page.locator("#setup-refusal")).toHaveText("-100 m to 100 m wanted, not 250");
  await forward.press("Escape");
  await expect(forward).toHaveValue("1.25");
  await expect(page.locator("#setup-refusal")).toHaveCount(0);

  // A value nobody entered is marked as assumed until it is entered.
  const current = field(page, "Emitter 1: Current at full level, A");
  await expect(current).toHaveValue("");
  await expect(current).toHaveAttribute("placeholder", "0.405, assumed");
  await type(page, "Emitter 1: Current at full level, A", "0.8");
  await expect(current).toHaveValue("0.8");
  await button(page, "Add emitter").click();
  await field(page, "Emitter 2: Color").selectOption("amber");
  await expect(page.locator("#setup-refusal")).toContainText("a color only once per head wanted");
  await expect(field(page, "Emitter 2: Color")).toHaveValue("red");
  await field(page, "Left of the middle, m").press("ArrowUp");
  await expect(field(page, "Left of the middle, m")).toHaveValue("0.65");
  await field(page, "Emitter 2: Color").selectOption("white");
  await expect(page.locator("#head-front-left-1")).toContainText("amber dark, white dark");
  await page.locator("#undo").click();
  await expect(field(page, "Emitter 2: Color")).toHaveValue("red");
  await scanForBarriers(page);
});

test("a head is dragged on the plan, moved by key, mirrored and lined up", async ({ page }) => {
  await openEmpty(page);
  await page.getByRole("tab", { name: "Set-up" }).click();
  await button(page, "Add").click();
  const [forward, left] = [field(page, "Forward of the middle, m"), field(page, "Left of the middle, m")];
  await expect(forward).toHaveValue("0");
  const box = await page.locator("#heads canvas").boundingBox();
  const middle = { x: box.x + box.width / 2, y: box.y + box.height / 2 };
  await drag(page, middle, { x: middle.x - 30, y: middle.y - 50 }, { release: false });
  await expect.poll(async () => Number(await forward.inputValue())).toBeGreaterThan(0.2);
  const dragged = [Number(await forward.inputValue()), Number(await left.inputValue())];
  expect(dragged[1]).toBeGreaterThan(0.05);
  for (const meters of dragged) expect(Math.round(meters * 1000) % 50).toBe(0);
  await expect(page.locator("#undo")).toHaveText("Undo: Add head");
  await page.keyboard.press("Escape");
  await expect(forward).toHaveValue("0");
  await page.mouse.up();
  await drag(page, middle, { x: middle.x - 30, y: middle.y - 50 });
  await expect(page.locator("#undo")).toHaveText("Undo: Move heads");
  await expect(forward).toHaveValue(String(dragged[0]));

  // Steps by key are one step that says the whole way.
  await page.locator("#heads").focus();
  for (const key of ["ArrowUp", "ArrowUp", "ArrowDown"]) await page.keyboard.press(`Alt+${key}`);
  await expect.poll(async () => Number(await forward.inputValue())).toBeCloseTo(dragged[0] + 0.05, 3);
  await expect(page.locator("#undo")).toHaveText(/^Undo: Move .+ 0\.05 m forward$/);
  await type(page, "Label", "Roof left");
  await button(page, "Copy to the other side").click();
  await expect(button(page, "Roof right")).toHaveAttribute("aria-pressed", "true");
  await expect(left).toHaveValue(String(-dragged[1]));

  // Both together: one number for all, and values that differ are said.
  await button(page, "Roof left").click({ modifiers: ["Shift"] });
  await expect(left).toHaveAttribute("placeholder", "various");
  await type(page, "Forward of the middle, m", "-1.5");
  await button(page, "Roof left").click();
  await expect(forward).toHaveValue("-1.5");
  await button(page, "Remove").click();
  await expect(button(page, "Heads 1")).toBeVisible();
  await undoAll(page);
  await expect(button(page, "Heads 0")).toBeVisible();
});

test("outputs, fuses and the vehicle are filled in, and what is used is not removed", async ({ page }) => {
  await openEmpty(page);
  await addEightHeads(page);
  await button(page, "Fuses 0").click();
  await button(page, "Add").click();
  await type(page, "Label", "Panel 3");
  await button(page, "Outputs 0").click();
  await button(page, "Add").click();
  await expect(field(page, "Label")).toHaveValue("Output 1, rating assumed");
  await field(page, "Fuse").selectOption({ label: "Panel 3" });
  await field(page, "Wire to the heads").selectOption({ label: "known" });
  await field(page, "Conductor size").selectOption({ label: "by gauge" });
  await expect(field(page, "Cross-section, mm²")).toHaveCount(0);
  await type(page, "Gauge, 0 is 1/0, -1 is 2/0, AWG", "14");
  await type(page, "Length one way, m", "5.5");
  await button(page, "Fuses 1").click();
  await button(page, "Panel 3").click();
  await button(page, "Remove").click();
  await expect(setup(page).getByRole("alert")).toHaveText("output Output 1, rating assumed still refers to it, change that first");
  await expect(button(page, "Fuses 1")).toBeVisible();

  await button(page, "Vehicle and supply").click();
  await type(page, "Length, m", "6.8");
  await field(page, "Battery").selectOption({ label: "by charge" });
  await type(page, "Charge, Ah", "95");
  const saved = JSON.parse((await saveFile(page)).text);
  expect(saved.vehicle.outline.length_m).toBe(6.8);
  expect(saved.vehicle.supply.battery).toEqual({ amp_hours: 95 });
  expect(saved.vehicle.outputs[0]).toMatchObject({ fuse: "fuse-1", wire: { gauge_awg: 14, length_m: 5.5, return: "wire" } });

  await button(page, "New program with this vehicle").click();
  await expect(page.locator("#program-name")).toHaveText("New program, new");
  await expect(page.locator("#heads [role=option]")).toHaveCount(8);
});

test("a signal, a layer with conditions and a situation, with the keyboard", async ({ page }) => {
  await openEmpty(page);
  await addEightHeads(page);
  const press = async (name) => {
    await button(page, name).focus();
    await page.keyboard.press("Enter");
  };
  await press("Signals 0");
  await press("Add");
  await type(page, "Label", "Rear door");
  await type(page, "Values, parted by commas", "closed, open");
  await expect(field(page, "At rest")).toHaveValue("closed");

  await press("Layers 0");
  await press("Add");
  const open = setup(page).getByRole("group", { name: "When: Rear door" }).getByLabel("open");
  await open.focus();
  await page.keyboard.press("Space");
  await expect(open).toBeChecked();
  await field(page, "Then").selectOption({ label: "hold steady light" });
  await type(page, "Level, %", "0");
  await expect(page.locator("#setup-refusal")).toContainText("more than 0");
  await type(page, "Level, %", "12.5");
  await expect(page.locator("#head-rear-left-1")).toContainText("amber dark");

  await page.getByRole("tab", { name: "States" }).click();
  await page.getByLabel("open").first().check();
  await expect(page.locator("#head-rear-left-1")).toContainText("amber steady at 12.5 %");
  await page.getByRole("tab", { name: "Set-up" }).click();
  await press("Situations 0");
  await press("Add");
  await type(page, "Label", "Loading at night");
  await expect(page.locator("#situation option:checked")).toHaveText("Loading at night");
  await press("Signals 1");
  await press("Rear door");
  await press("Remove");
  await expect(setup(page).getByRole("alert")).toContainText("situation Loading at night still refer to it");
});

test("a value in use is renamed wherever it is used, in one step", async ({ page }) => {
  await openApp(page);
  await page.getByRole("tab", { name: "Set-up" }).click();
  await button(page, /^Signals/).click();
  await button(page, "Gear").click();
  await type(page, "Values, parted by commas", "park, reverse, forward");
  await expect(page.locator("#undo")).toHaveText("Undo: Rename value drive of Gear to forward");
  await expect(setup(page).getByRole("alert")).toHaveCount(0);
  const text = (await saveFile(page)).text;
  expect(text).not.toContain('"gear": "drive"');
  expect(JSON.parse(text).impossible[0].gear).toBe("forward");
  await page.locator("#undo").click();
  await expect(field(page, "Values, parted by commas")).toHaveValue("park, reverse, drive");
  await expect(page.locator("#undo")).toBeDisabled();
});

test("heads that nothing lights yet are one finding with their names, and each can be gone to", async ({ page }) => {
  await openEmpty(page);
  await addEightHeads(page);
  const findings = page.locator("#findings");
  await expect(page.locator("#counts")).toHaveText("0 errors, 8 warnings, 0 infos");
  await expect(findings.getByRole("heading", { name: "Warnings (8)" })).toBeVisible();
  await expect(findings.locator(".finding:visible")).toHaveCount(1);
  const others = findings.locator("summary");
  await expect(others).toHaveText(/^The same of 7 more heads: Front left 2, /);
  await others.click();
  await expect(findings.locator(".finding:visible")).toHaveCount(8);
  await scanForBarriers(page);
  await findings.locator(".finding:visible .go").nth(3).click();
  await expect(page.locator("#heads [aria-selected=true]")).toHaveCount(1);
});

test("the starter says why a row does not fit", async ({ page }) => {
  await openEmpty(page);
  await page.getByRole("tab", { name: "Set-up" }).click();
  await field(page, "Facing forward").fill("12");
  await button(page, "Add 16 heads around the roof").click();
  await expect(setup(page).getByRole("alert")).toHaveText("12 heads 0.4 m apart take 4.4 m, the vehicle has 2 m there");
  await field(page, "Spacing, m").fill("0.15");
  await button(page, "Add 16 heads around the roof").click();
  await expect(button(page, "Heads 16")).toBeVisible();
});

test("a new program is judged from its first flash: nine a second on eight heads are found at once", async ({ page }) => {
  await openEmpty(page);
  const file = fileURLToPath(new URL("../../../patterns/profiles/starting-set.json", import.meta.url));
  const { rules, title } = JSON.parse(readFileSync(file, "utf8")).profile;
  const judged = `Judged by ${rules.length} rules of the profile ${title}`;
  await expect(page.locator("#findings")).toContainText(judged);
  await addEightHeads(page);
  await expect(setup(page)).toContainText(judged);
  await button(page, "Add a pattern to play").click();
  await page.locator("#timeline").focus();
  await page.keyboard.press("i");
  await page.locator("#lane-rate").fill("9");
  await page.locator("#lane-rate").press("Enter");
  await expect(page.locator("#lane-rate")).toHaveValue(/^9/);
  await page.getByRole("tab", { name: "Set-up" }).click();
  await button(page, "Play New pattern on the 8 selected heads").click();
  await expect(page.locator("#findings .finding", { hasText: "LW020" }).first()).toBeVisible();
  await expect(page.locator("#findings .finding", { hasText: "LW022" }).first()).toBeVisible();

  const { profile } = JSON.parse((await saveFile(page)).text);
  expect(profile.title).toBe("Starting set of general rules");
  expect(profile.jurisdiction).toBe("No jurisdiction; local law and the agency's specification decide");
  await button(page, "Change rules").click();
  await expect(page.getByRole("tab", { name: "Rules" })).toHaveAttribute("aria-selected", "true");
  await expect(page.locator("#profile-title")).toHaveValue(profile.title);
});

test("a guarantee and what cannot happen are filled in with the keyboard, judged, and taken back", async ({ page }) => {
  await openEmpty(page);
  await addEightHeads(page);
  const press = async (name) => {
    await button(page, name).focus();
    await page.keyboard.press("Enter");
  };
  await press("Layers 0");
  await press("Add");
  await field(page, "Then").selectOption({ label: "hold steady light" });
  await press("Guarantees 0");
  await press("Add");
  await type(page, "Label", "Roof heads are dark");
  await expect(field(page, "Must").locator("option:checked")).toHaveText("be dark");
  await expect(page.locator("#findings .finding", { hasText: "LW041" }).first()).toBeVisible();
  await field(page, "Must").selectOption({ label: "stay at a level or below" });
  await expect(page.locator("#undo")).toHaveText("Undo: Must of Roof heads are dark");
  await type(page, "Level at most, %", "100.5");
  await expect(page.locator("#setup-refusal")).toContainText("wanted, not");
  await type(page, "Level at most, %", "100");
  await expect(page.locator("#findings .finding", { hasText: "LW041" })).toHaveCount(0);
  await field(page, "Must").selectOption({ label: "never show some colors" });
  const colors = setup(page).getByRole("group", { name: "None of these colors" });
  await expect(colors.getByLabel("W white")).toBeChecked();
  await colors.getByLabel("A amber").focus();
  await page.keyboard.press("Space");
  await expect(colors.getByLabel("A amber")).toBeChecked();
  await expect(page.locator("#findings .finding", { hasText: "LW041" }).first()).toContainText("Roof heads are dark");
  await scanForBarriers(page);

  await press("Impossible conditions 0");
  await expect(setup(page)).toContainText("There is no signal yet: add one first");
  await expect(setup(page)).toContainText("Left out when every state is judged, in the view States");
  for (const signal of ["Gear", "Rear door"]) {
    await button(page, /^Signals/).click();
    await button(page, "Add").click();
    await type(page, "Label", signal);
  }
  await press("Impossible conditions 0");
  const another = (signal) => setup(page).getByRole("group", { name: `Another condition: ${signal}` });
  await another("Gear").getByLabel("on").focus();
  await page.keyboard.press("Space");
  await expect(button(page, "Impossible conditions 1")).toBeVisible();
  await setup(page).getByRole("group", { name: "Condition 1: Rear door" }).getByLabel("on").check();
  await expect(page.locator("#undo")).toHaveText("Undo: Rear door in what cannot happen");
  const { impossible, guarantees } = JSON.parse((await saveFile(page)).text);
  expect(impossible).toEqual([{ "signal-1": "on", "signal-2": "on" }]);
  expect(guarantees[0].must).toEqual({ show_never: ["white", "amber"] });
  await setup(page).getByRole("group", { name: "Condition 1: Rear door" }).getByLabel("on").uncheck();
  await press("Remove condition 1");
  await expect(button(page, "Impossible conditions 0")).toBeVisible();
  await undoAll(page);
  await expect(button(page, "Guarantees 0")).toBeVisible();
});

test("a measured beam is typed point by point or pasted, and a chromaticity is assumed until it is entered", async ({ page }) => {
  await openEmpty(page);
  await addEightHeads(page);
  await button(page, "Front left 1").click();
  await field(page, "Beam").selectOption({ label: "measured table" });
  await expect(field(page, "Points of the beam: Intensity of point 2, %")).toHaveValue("50");
  await type(page, "Points of the beam: Intensity of point 2, %", "62,5");
  await expect(page.locator("#undo")).toHaveText("Undo: Intensity of point 2 of Front left 1");
  await type(page, "Points of the beam: Angle of point 2, °", "10");
  await expect(page.locator("#setup-refusal")).toHaveText("angles of the beam that rise wanted, not 0 ° after 10 °");
  await field(page, "Points of the beam: Angle of point 2, °").press("Escape");
  await expect(field(page, "Points of the beam: Angle of point 2, °")).toHaveValue("-20");
  await button(page, "Points of the beam: Remove point 5").click();
  await expect(field(page, "Points of the beam: Angle of point 5, °")).toHaveCount(0);
  await button(page, "Add a point").click();
  await expect(field(page, "Points of the beam: Angle of point 5, °")).toHaveValue("25");

  const all = setup(page).getByLabel(/All points as text/);
  await expect(all).toHaveValue("-40 0\n-20 62.5\n0 100\n20 50\n25 0");
  await all.fill("angle\tcd\n-15\t450\n0\t900\n15");
  await expect(page.locator("#setup-refusal")).toHaveText("line 4: an angle and an intensity wanted, such as -20 12.5, not 15");
  await expect(all).toHaveAttribute("aria-invalid", "true");
  await all.pressSequentially("\t300");
  await expect(page.locator("#setup-refusal")).toHaveCount(0);
  await page.keyboard.press("Tab");
  await expect(page.locator("#undo")).toHaveText("Undo: Points of the beam of Front left 1");
  await expect(all).toHaveValue("-15 50\n0 100\n15 33.3");

  const chromaticity = field(page, "Emitter 1: Chromaticity, CIE 1931 x, y");
  await expect(chromaticity).toHaveAttribute("placeholder", "0.575, 0.424, assumed");
  await chromaticity.fill("0.58");
  await expect(page.locator("#setup-refusal")).toHaveText("x and y wanted, such as 0.575, 0.424");
  await type(page, "Emitter 1: Chromaticity, CIE 1931 x, y", "0,5801 0,4152");
  await expect(chromaticity).toHaveValue("0.5801, 0.4152");
  const head = JSON.parse((await saveFile(page)).text).vehicle.heads[0];
  expect(head.emitters[0].chromaticity).toEqual({ x: 0.5801, y: 0.4152 });
  expect(head.beam.table.horizontal).toEqual([{ angle_deg: -15, fraction: 0.5 }, { angle_deg: 0, fraction: 1 }, { angle_deg: 15, fraction: 0.333 }]);
  await scanForBarriers(page);
  await undoAll(page);
  await expect(button(page, "Heads 0")).toBeVisible();
});

test("by keyboard alone the focus goes on to what comes next, and never gets lost", async ({ page }) => {
  await openEmpty(page);
  await page.getByRole("tab", { name: "Set-up" }).click();
  await button(page, "Add 8 heads around the roof").focus();
  await page.keyboard.press("Enter");
  await expect(button(page, "Add a pattern to play")).toBeFocused();

  // The list is one stop on the way; arrow keys walk in it, and Shift adds to what is chosen.
  await button(page, "All").focus();
  await page.keyboard.press("Tab");
  await expect(button(page, "Front left 1")).toBeFocused();
  await page.keyboard.press("ArrowDown");
  await page.keyboard.press("Enter");
  await expect(button(page, "Front left 2")).toHaveAttribute("aria-pressed", "true");
  await expect(button(page, "Front left 1")).toHaveAttribute("aria-pressed", "false");
  await page.keyboard.press("ArrowDown");
  await page.keyboard.press("Shift+Enter");
  await expect(setup(page).getByRole("heading", { name: "What is filled in here goes into all 2 heads" })).toBeVisible();
  await page.keyboard.press("End");
  await page.keyboard.press("Tab");
  await expect(setup(page).getByRole("button", { name: /^peak intensity/ })).toBeFocused();

  // What is new is named first; from there the same field of its neighbors is one key away.
  await button(page, "Add").focus();
  await page.keyboard.press("Enter");
  await expect(field(page, "Label")).toBeFocused();
  await page.keyboard.type("Beacon");
  await page.keyboard.press("PageUp");
  await expect(field(page, "Label")).toBeFocused();
  await expect(field(page, "Label")).toHaveValue("Front right 1");
  await expect(page.locator("#undo")).toHaveText("Undo: Label of Head 1");
  await page.keyboard.press("PageDown");
  await expect(field(page, "Label")).toHaveValue("Beacon");
  const current = field(page, "Emitter 1: Current at full level, A");
  await current.fill("-1");
  await page.keyboard.press("PageDown");
  await expect(page.locator("#setup-refusal")).toContainText("wanted, not -1");
  await expect(setup(page).getByRole("heading", { name: "Head Beacon" })).toBeVisible();
  await page.keyboard.press("Escape");

  await button(page, "Add emitter").focus();
  await page.keyboard.press("Enter");
  await expect(field(page, "Emitter 2: Color")).toBeFocused();
  await expect(page.locator("#undo")).toHaveText("Undo: Add emitter to Beacon");
  await button(page, "Remove emitter 1").focus();
  await page.keyboard.press("Enter");
  await expect(button(page, "Remove emitter 1")).toBeFocused();
  await button(page, "Remove").focus();
  await page.keyboard.press("Enter");
  await expect(button(page, "Remove")).toBeFocused();
  await expect(button(page, "Front right 2")).toHaveAttribute("aria-pressed", "true");
  await page.keyboard.press("Enter");
  await expect(button(page, "Heads 7")).toBeVisible();
});

test("what is not entered yet is counted, chosen with one press and filled in for all at once", async ({ page }) => {
  await openEmpty(page);
  await addEightHeads(page);
  await button(page, "An output for each emitter").click();
  await expect(page.locator("#undo")).toHaveText("Undo: Add 8 outputs");
  await button(page, "Front left 1").click();
  await type(page, "Emitter 1: Current at full level, A", "0.8");
  await button(page, "current 7").click();
  await expect(setup(page).getByRole("heading", { name: "What is filled in here goes into all 7 heads" })).toBeVisible();
  await expect(field(page, "Emitter 1: Current at full level, A")).toBeFocused();
  await page.keyboard.type("0.75");
  await page.keyboard.press("Enter");
  await expect(page.locator("#undo")).toHaveText("Undo: Current at full level of emitter 1 of 7 heads");
  await expect(setup(page).getByRole("button", { name: /^current/ })).toHaveCount(0);

  await button(page, "Fuses 0").click();
  await button(page, "Add").click();
  await button(page, "Outputs 8").click();
  await button(page, "fuse 8").click();
  await expect(field(page, "Fuse")).toBeFocused();
  await field(page, "Fuse").selectOption({ label: "Fuse 1, rating assumed" });
  await expect(setup(page).getByRole("button", { name: /^fuse/ })).toHaveCount(0);
  // A rating that is entered is assumed no longer, and where they differ the form says so.
  await button(page, "Front left 1 amber, rating assumed").click();
  await type(page, "Largest continuous current, A", "8");
  await expect(button(page, "Front left 1 amber")).toBeVisible();
  await field(page, "Fuse").selectOption({ label: "none" });
  await button(page, "All").click();
  await expect(field(page, "Largest continuous current, A")).toHaveAttribute("placeholder", "various");
  await expect(field(page, "Fuse").locator("option:checked")).toHaveText("various");
  const { outputs, heads } = JSON.parse((await saveFile(page)).text).vehicle;
  expect(outputs.map((output) => output.fuse)).toEqual([undefined, ...Array(7).fill("fuse-1")]);
  expect(heads.map((head) => head.emitters[0].full_current_a)).toEqual([0.8, ...Array(7).fill(0.75)]);
});

test("the form of a head begins in sight and says what it is about, however far it is scrolled", async ({ page }) => {
  await openApp(page);
  await openDemo(page, "Rescue tender");
  await page.getByRole("tab", { name: "Set-up" }).click();
  const list = setup(page).getByRole("list", { name: "Heads" });
  await list.getByRole("button").last().click();
  await expect(field(page, "Label")).toBeInViewport({ ratio: 1 });
  const title = setup(page).getByRole("heading", { name: "Head Work light, rear right" });
  await button(page, "Add emitter").scrollIntoViewIfNeeded();
  await expect(field(page, "Label")).not.toBeInViewport();
  await expect(title).toBeInViewport({ ratio: 1 });
  await expect(button(page, "Guarantees 7")).toBeInViewport({ ratio: 1 });
  // What is chosen on the plan comes into sight in the list too, and the form stays where it is.
  await expect.poll(() => list.evaluate((element) => element.scrollTop)).toBeGreaterThan(0);
  await page.locator("#heads").focus();
  await page.keyboard.press("Home");
  await expect(setup(page).getByRole("heading", { name: "Head Roof front, left outer" })).toBeInViewport({ ratio: 1 });
  await expect.poll(() => list.evaluate((element) => element.scrollTop)).toBeLessThan(10);
  await expect(field(page, "Label")).not.toBeInViewport();
});

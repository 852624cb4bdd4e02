// A thousand random acts by mouse and by keyboard, all of them taken back and all of them done again.
//
// Other acts than those of every run: LAMPWRIGHT_SEEDS=11,12 npx playwright test specs/acts.spec.mjs
import { expect, test } from "../fixture.mjs";
import { Hand } from "../acts.mjs";
import { openApp, saveFile } from "../app.mjs";

const SEEDS = process.env.LAMPWRIGHT_SEEDS?.split(",").map(Number) ?? [1, 2];
const N_ACTS = 500;

/** Presses a key until the button of a name is off; gives how often, in tens. */
async function turnAll(page, name, key) {
  // Away from any field, which would keep the key to itself.
  await page.locator("h1").click();
  let nPressed = 0;
  for (; await page.locator(name).isEnabled(); nPressed += 10) {
    expect(nPressed, `${key} comes to an end`).toBeLessThan(20 * N_ACTS);
    for (let press = 0; press < 10; press += 1) await page.keyboard.press(key);
  }
  return nPressed;
}

for (const seed of SEEDS) {
  test(`${N_ACTS} random acts are undone to the first program and redone to the last, seed ${seed}`, async ({ page }) => {
    test.setTimeout(1_500_000);
    await openApp(page);
    const first = (await saveFile(page)).text;
    const hand = new Hand(page, seed);
    try {
      for (let act = 0; act < N_ACTS; act += 1) await hand.act();
    } catch (problem) {
      problem.message += `, after these acts:\n${hand.log.slice(-12).join("\n")}`;
      throw problem;
    } finally {
      await test.info().attach("acts", { body: hand.log.join("\n"), contentType: "text/plain" });
    }
    const last = (await saveFile(page)).text;

    const nUndone = await turnAll(page, "#undo", "Control+z");
    expect((await saveFile(page)).text).toBe(first);
    const nRedone = await turnAll(page, "#redo", "Control+y");
    expect((await saveFile(page)).text).toBe(last);

    expect(Math.min(nUndone, nRedone), "the acts made steps").toBeGreaterThan(N_ACTS / 4);
    expect(hand.idle, "kinds of acts that never did what they are there for").toEqual([]);
  });
}

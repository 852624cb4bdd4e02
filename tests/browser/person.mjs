// A person at work, and how long the work would take them.
//
// Time is counted by the keystroke-level model (Card, Moran and Newell, "The keystroke-level model
// for user performance time with interactive systems", Communications of the ACM 23, 1980; figures
// from memory): each act is thought about, each key, press and way of the hand takes its time.
// Harder than the model, so that the figure is no best case: every act is thought about, but for
// those that find a command by its name, and the keys are those of a person who is no typist.
// What the page takes to answer is not in it; the specs print that beside it.
import { expect } from "./fixture.mjs";

/** One key, a person who types 40 words a minute. */
const KEY = 0.28;
/** Pressing a button of the mouse, or letting it go. */
const BUTTON = 0.1;
/** The hand goes from the keyboard to the mouse, or back. */
const HAND = 0.4;
/** Thinking of the next act. */
const THINK = 1.35;
/** Bringing the pointer to a target `size` wide that is `distance` away. */
const pointing = (distance, size) => 0.8 + 0.1 * Math.log2(distance / size + 0.5);

/** Works with the mouse, with the keyboard, or with both; what is not allowed fails the test. */
export class Person {
  seconds = 0;
  n_acts = 0;
  #hand = null;
  #at = { x: 640, y: 400 };
  #begin = performance.now();

  constructor(page, { only } = {}) {
    this.page = page;
    this.only = only;
  }

  #act(hand) {
    if (this.only) expect(hand, `by ${this.only} alone`).toBe(this.only);
    this.seconds += THINK + (this.#hand && this.#hand !== hand ? HAND : 0);
    this.n_acts += 1;
    this.#hand = hand;
  }

  async #point({ x, y }, size) {
    this.seconds += Math.max(0, pointing(Math.hypot(x - this.#at.x, y - this.#at.y), size));
    this.#at = { x, y };
    await this.page.mouse.move(x, y);
  }

  async #press() {
    this.seconds += 2 * BUTTON;
    await this.page.mouse.down();
    await this.page.mouse.up();
  }

  /** Presses something with the mouse; it has to be in sight, whole, and under no other thing. */
  async click(target) {
    await expect(target).toBeInViewport({ ratio: 1 });
    await expect(target).toBeEnabled();
    const box = await target.boundingBox();
    const middle = { x: box.x + box.width / 2, y: box.y + box.height / 2 };
    this.#act("mouse");
    await this.#point(middle, Math.min(box.width, box.height));
    const isOnTop = await target.evaluate(
      (element, { x, y }) => element.contains(document.elementFromPoint(x, y)),
      middle,
    );
    expect(isOnTop, "nothing lies above what is pressed").toBe(true);
    await this.#press();
  }

  /** Drags from one place to another, both of them `size` pixels wide. */
  async drag(from, to, size) {
    this.#act("mouse");
    await this.#point(from, size);
    await this.page.mouse.down();
    await this.page.mouse.move((from.x + to.x) / 2, (from.y + to.y) / 2, { steps: 3 });
    await this.#point(to, size);
    await this.page.mouse.up();
    this.seconds += 2 * BUTTON;
  }

  /** Chooses from a list with the mouse: one press opens it, another picks. The list itself is the browser's and out of reach here. */
  async choose(target, label) {
    await this.click(target);
    await this.page.keyboard.press("Escape");
    this.#act("mouse");
    this.seconds += pointing(150, 20) + 2 * BUTTON;
    await target.selectOption({ label });
  }

  /** Acts that are thought about together, as the model has it for what is done in one go. */
  async unit(acts) {
    const nBefore = this.n_acts;
    await acts();
    this.seconds -= THINK * (this.n_acts - nBefore - 1);
  }

  /** Presses keys together, some times in a row. */
  async press(keys, times = 1) {
    this.#act("keyboard");
    this.seconds += KEY * keys.split(/(?<=.)\+/).length * times;
    for (let press = 0; press < times; press += 1) await this.page.keyboard.press(keys);
  }

  /** Presses Tab until something has the focus. */
  async tabTo(id) {
    const focused = () => this.page.evaluate(() => document.activeElement?.id ?? "");
    this.#act("keyboard");
    for (let press = 0; (await focused()) !== id; press += 1) {
      expect(press, `${id} is reached with Tab`).toBeLessThan(40);
      this.seconds += KEY;
      await this.page.keyboard.press("Tab");
    }
  }

  /** Types a text. */
  async type(text) {
    this.#act("keyboard");
    this.seconds += KEY * text.length;
    await this.page.keyboard.type(text);
  }

  /** What it took, for the record. */
  toString() {
    const waited = (performance.now() - this.#begin) / 1000;
    return `${this.n_acts} acts, ${this.seconds.toFixed(1)} s of a person; the script with its checks ran ${waited.toFixed(1)} s`;
  }
}

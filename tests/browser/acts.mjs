// Random acts of a person at work, by mouse and by keyboard, each of a kind.
//
// Invariant: what is done follows from the seed and from what the page shows; no act waits for a
// change, as many change nothing, but only until the page has had time to answer.
// Absent: acts that leave the page, open another program or write a file.

import { FIT_MARGIN, LABEL, LANE, LANE_PADDING, RULER } from "./app.mjs";

/** Shares from 0 to below 1, always the same for one seed (a linear congruence with the constants of Numerical Recipes, from memory). */
function shares(seed) {
  let state = seed;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
}

/** What the hand sees of the page, from within it. */
function openEye() {
  const isFree = (element) => !element.disabled && element.checkVisibility();

  /** Everything in sight that is no figure of a judgment, which comes when it comes. */
  const sight = () => {
    const all = (selector) => [...document.querySelectorAll(selector)];
    const canvas = document.querySelector(".timeline canvas");
    let pixels = 0;
    if (canvas?.width) {
      const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
      for (let at = 0; at < data.length; at += 4 * 13) pixels = (Math.imul(pixels, 31) + data[at] + 3 * data[at + 1]) | 0;
    }
    return [
      document.documentElement.outerHTML.slice(0, 200),
      pixels,
      ...["#timeline-focus", "#state-words", ".time output"].map((one) => document.querySelector(one)?.textContent),
      ...all("input, select, textarea").map((one) => (one.type === "radio" || one.type === "checkbox" ? one.checked : one.value)),
      ...all("[aria-pressed=true], [aria-selected=true], [aria-current=true], [aria-expanded=true]").map((one) => one.textContent),
    ].join("\n");
  };

  window.eye = {
    /** One of what a selector finds, brought into view. */
    find(selector, share, { words, isFocused } = {}) {
      let all = [...document.querySelectorAll(selector)].filter(isFree);
      if (words) all = all.filter((one) => new RegExp(words).test(one.textContent));
      const element = all[Math.floor(share * all.length)];
      if (!element) return null;
      element.scrollIntoView({ block: "nearest", inline: "nearest" });
      if (isFocused) element.focus();
      const box = element.getBoundingClientRect();
      return {
        x: box.x + box.width / 2,
        y: box.y + box.height / 2,
        width: box.width,
        words: (element.getAttribute("aria-label") || element.textContent.trim() || element.id).slice(0, 60),
        value: element.value ?? "",
        nOptions: element.options?.length ?? 0,
      };
    },

    /** The open pattern as the hidden table has it, and where the timeline stands. */
    lanes() {
      const box = document.querySelector("#timeline-above")?.getBoundingClientRect();
      const period = document.querySelector(".pattern > summary")?.textContent.match(/period ([\d.]+) ms/);
      if (!box || !period) return null;
      const lanes = [...document.querySelectorAll("#lane-table tbody")].map((lane) => (
        [...lane.querySelectorAll("tr:has(td)")].map((row) => {
          const [start, length, , level] = [...row.querySelectorAll("td")].map((cell) => Number.parseFloat(cell.textContent));
          return { start, length, level };
        })
      ));
      return { x: box.x, y: box.y, width: box.width, height: box.height, period: Number(period[1]), lanes };
    },

    /** A place on the plan where a head is drawn: lamps are the only colorful things there. */
    head(share) {
      const canvas = document.querySelector("#heads canvas");
      const { width, height } = canvas;
      const { data } = canvas.getContext("2d").getImageData(0, 0, width, height);
      const colorful = [];
      for (let at = 0; at < width * height; at += 3) {
        const [red, green, blue] = data.subarray(4 * at, 4 * at + 3);
        if (Math.max(red, green, blue) - Math.min(red, green, blue) > 70) colorful.push(at);
      }
      if (colorful.length === 0) return null;
      const at = colorful[Math.floor(share * colorful.length)];
      const box = canvas.getBoundingClientRect();
      return { x: box.x + ((at % width) / width) * box.width, y: box.y + (Math.floor(at / width) / height) * box.height };
    },

    /** Waits until the page has painted twice, then looks. */
    async look() {
      for (let frame = 0; frame < 2; frame += 1) await new Promise((resolve) => { requestAnimationFrame(resolve); });
      const [undo, redo] = ["#undo", "#redo"].map((id) => document.querySelector(id));
      return {
        undo: undo?.textContent,
        canRedo: redo?.disabled === false,
        sight: sight(),
        view: document.querySelector("[role=tab][aria-selected=true]")?.textContent,
        isTable: document.querySelector("#table-switch[aria-pressed=true]") !== null,
        dialog: document.querySelector("dialog[open]")?.id ?? "",
        isStopped: document.querySelector("#stopped") !== null,
      };
    },
  };
}

/** Typed texts, some of them fit for nothing. */
const NUMBERS = ["0", "1", "2", "5", "10", "25", "40", "60", "75", "100", "120", "200", "250", "380", "500", "800", "1000", "2000", "-1", "0.5", "12.5", "33.333", "0,25", "1e3", "", "many", "99999999999"];
const WORDS = ["Left", "right", "Front bar", "1", "a b", "rear-2", "Ünten", "", "x".repeat(70), "<b>&amp;", "7"];
const RUNS = ["75 50 75 300", "100 900", "0 250 75 50 75 300", "50 50", "10 20 30 40 50 60", "1000", "75", ""];

/** What a person would answer, by the title of the question. */
const ANSWERS = {
  "Type the lane": RUNS,
  "Scale to a rate": ["1", "1.5", "2", "150/min", "0.3", "many"],
  "Scale to a lit share": ["10", "30", "50", "99", "101"],
  "Repeat to fill the period": ["2", "3", "4", "50"],
  "Shift around the period": ["10", "125", "-40", "3000", "0.5"],
  "Scale to a period": ["500", "800", "1200", "333", "1"],
  "Mirror to a lane": ["left", "right", "other", "2", "a b"],
};

const KEYS = [
  "ArrowLeft", "ArrowRight", "ArrowUp", "ArrowDown", "Home", "End", "l", "Control+a", "Shift+ArrowRight", "Shift+ArrowDown",
  "i", "Delete", "Alt+ArrowLeft", "Alt+ArrowRight", "Alt+Shift+ArrowRight", "[", "]", "-", "+", "Shift+r", "Shift+b", "Shift+l",
  "Control+c", "Control+x", "Control+v", "d", "/", "j", "Shift+j", "r", "m", "x", "e", "q", "k", "Shift+k", "Alt+l", "Alt+Delete",
  "Alt+Shift+ArrowDown", "Alt+Shift+ArrowUp", "PageDown", "PageUp", "9", "0", ".", ",", "s", "Shift+s", "v", "o", "<", ">",
];

/** Views by the digit that is pressed with Alt. */
const VIEWS = { Timeline: 1, States: 2, Screening: 3, Power: 5, Rules: 7, "Set-up": 8 };

/** A hand at work, and what came of it. */
export class Hand {
  /** What was done, one line for each act. */
  log = [];
  /** For each kind, how many acts, and how many of them made a step or changed what is seen. */
  kinds = Object.fromEntries(KINDS().map(({ name }) => [name, { acts: 0, steps: 0, seen: 0 }]));
  #share;
  #deck = [];

  constructor(page, seed) {
    this.page = page;
    this.#share = shares(seed);
  }

  /** Kinds of acts that never did what they are there for. */
  get idle() {
    return KINDS().filter(({ name, makes }) => {
      const { steps, seen } = this.kinds[name];
      return (makes === STEP ? steps : steps + seen) === 0;
    }).map(({ name }) => name);
  }

  /** Acts once, by a kind drawn from a shuffled deck of all kinds. */
  async act() {
    if (!this.now) {
      await this.page.evaluate(openEye);
      this.now = await this.#look();
    }
    if (this.#deck.length === 0) this.#deck = this.#shuffled(KINDS());
    const kind = this.#deck.pop();
    this.said = "";
    if (kind.view) await this.#go(kind.view);
    // What the act before did late is not laid to one that must make no step.
    if (kind.makes === LOOK) this.now = await this.#look();
    const before = this.now;
    await kind.act(this);
    let now = await this.#look();
    for (let press = 0; now.dialog && press < 4; press += 1) {
      await this.page.keyboard.press("Escape");
      now = await this.#look();
    }
    this.now = now;
    const count = this.kinds[kind.name];
    const isStep = now.undo !== before.undo || (before.canRedo && !now.canRedo);
    count.acts += 1;
    count.steps += isStep ? 1 : 0;
    count.seen += now.sight !== before.sight || this.hasSeen ? 1 : 0;
    this.hasSeen = false;
    this.log.push(`${this.log.length + 1} ${kind.name}: ${this.said}${isStep ? ` -> ${now.undo}` : ""}`);
    if (now.dialog) throw new Error(`the dialog ${now.dialog} stays open`);
    if (now.isStopped) throw new Error("the app has stopped");
    if (kind.makes === LOOK && isStep) throw new Error(`${kind.name} made a step`);
  }

  #look() {
    return this.page.evaluate(() => window.eye.look());
  }

  #shuffled(list) {
    const all = [...list];
    for (let at = all.length - 1; at > 0; at -= 1) {
      const other = this.below(at + 1);
      [all[at], all[other]] = [all[other], all[at]];
    }
    return all;
  }

  async #go(view) {
    if (this.now.view !== view) {
      if (this.chance(0.5)) await this.page.keyboard.press(`Alt+${VIEWS[view]}`);
      else await this.press("[role=tab]", { words: `^${view}$` });
    } else if (!this.now.isTable) return;
    await this.press("#table-switch[aria-pressed=true]");
    this.now = await this.#look();
  }

  below(bound) {
    return Math.floor(this.#share() * bound);
  }

  one(list) {
    return list[this.below(list.length)];
  }

  chance(share) {
    return this.#share() < share;
  }

  /** A number between two. */
  between(from, to) {
    return from + (to - from) * this.#share();
  }

  say(words) {
    this.said += `${this.said && ", "}${words}`;
  }

  find(selector, options) {
    return this.page.evaluate(([...all]) => window.eye.find(...all), [selector, this.#share(), options ?? {}]);
  }

  lanes() {
    return this.page.evaluate(() => window.eye.lanes());
  }

  /** Presses one of what a selector finds with the mouse. */
  async press(selector, options) {
    const found = await this.find(selector, options);
    if (!found) return null;
    this.say(`press ${found.words || found.value || selector}`);
    await this.page.mouse.click(found.x, found.y);
    return found;
  }

  /** Opens a fold. */
  unfold(selector) {
    return this.press(`${selector}:not([open]) > summary`);
  }

  /** Types into one of what a selector finds; a number near to what is there, or anything. */
  async type(selector, texts, { isLeft, ...options } = {}) {
    const found = await this.find(selector, options);
    if (!found) return;
    const now = Number.parseFloat(found.value);
    const near = Number.isFinite(now) && this.chance(0.6);
    const text = near && texts === NUMBERS ? String(Math.round(now * this.between(0.7, 1.3) * 10) / 10) : this.one(texts);
    this.say(`type ${JSON.stringify(text)} into ${found.words}`);
    await this.page.mouse.click(found.x, found.y);
    await this.page.keyboard.press("Control+a");
    if (text === "") await this.page.keyboard.press("Delete");
    else await this.page.keyboard.type(text);
    if (isLeft) await this.#leave();
    else await this.page.keyboard.press(this.one(["Enter", "Enter", "Tab"]));
  }

  /** Goes away in the middle of typing. */
  async #leave() {
    if (this.chance(0.5)) await this.press("#undo, #redo, [role=tab], .head button, #table-switch, .setup [name=kind]", { words: "^(?!Open|Save)" });
    else await this.keys([this.one(["Alt+1", "Alt+2", "Alt+7", "Alt+8", "Control+k", "Control+z", "Escape", "F1"])]);
    // A field that is left for a place where nothing happens is complete.
    await this.keys(["Escape"]);
    await this.press("h1");
  }

  /** Chooses from a list by key, as the list itself is the browser's. */
  async choose(selector, options) {
    const found = await this.find(selector, { ...options, isFocused: true });
    if (!found) return;
    const keys = this.one([["ArrowDown"], ["ArrowUp"], ["ArrowDown", "ArrowDown"], ["Home"], ["End"]]);
    this.say(`choose ${keys.join(" ")} in ${found.words.slice(0, 30)}`);
    for (const key of keys) await this.page.keyboard.press(key);
  }

  /** Presses keys one after the other. */
  async keys(keys) {
    this.say(keys.join(" "));
    for (const key of keys) await this.page.keyboard.press(key);
  }

  /** Puts the keyboard focus on something. */
  focus(selector) {
    return this.find(selector, { isFocused: true });
  }

  /** Answers the question that is asked, if one is. */
  async answer() {
    const title = await this.find("#asker-title");
    if (!title) return;
    const text = this.one(ANSWERS[title.words] ?? NUMBERS);
    this.say(`answer ${JSON.stringify(text)} to ${title.words}`);
    await this.page.keyboard.press("Control+a");
    await this.page.keyboard.type(text);
    await this.page.keyboard.press("Enter");
  }

  /** Presses, moves in steps and lets go; only where the cursor says that the pointer is `over` the right part. */
  async drag(from, to, { over, held = [], button = "left", keys = [] } = {}) {
    const { mouse, keyboard } = this.page;
    this.say(`drag ${[...held, button].join(" ")} ${[from.x, from.y].map(Math.round)} to ${[to.x, to.y].map(Math.round)}`);
    await mouse.move(from.x, from.y);
    if (over && (await this.page.evaluate(() => document.querySelector("#timeline-above").style.cursor)) !== over) {
      this.say("missed");
      return;
    }
    for (const key of held) await keyboard.down(key);
    await mouse.down({ button });
    await mouse.move(to.x, to.y, { steps: 3 });
    if (keys.length > 0) {
      this.hasSeen = (await this.#look()).sight !== this.now.sight;
      await this.keys(keys);
      await mouse.move(to.x + 12, to.y + 5, { steps: 2 });
    }
    await mouse.up({ button });
    for (const key of held) await keyboard.up(key);
  }

  /** One of what the lanes in sight have, with the way from an instant to its place when the whole period is shown; none when there is none. */
  async #oneOf(choices) {
    await this.focus("#timeline");
    await this.page.keyboard.press("0");
    await this.#look();
    const open = await this.lanes();
    if (!open) return null;
    if (RULER + open.lanes.length * LANE > open.height) await this.#panToTop(open);
    const lanes = open.lanes.slice(0, Math.floor((open.height - RULER) / LANE));
    const all = lanes.flatMap((pulses, lane) => choices(pulses, open.period).map((choice) => ({ ...choice, lane })));
    return all.length > 0 ? { ...this.one(all), at: places(open) } : null;
  }

  async #panToTop({ x, y, lanes }) {
    const { mouse } = this.page;
    await mouse.move(x + 40, y + 40);
    await mouse.down({ button: "middle" });
    await mouse.move(x + 40, y + 40 + lanes.length * LANE);
    await mouse.up({ button: "middle" });
    await this.#look();
  }

  /** A pulse of the open pattern. */
  pulse() {
    return this.#oneOf((pulses) => pulses);
  }

  /** A dark stretch that is wide enough to be drawn in. */
  gap() {
    return this.#oneOf((pulses, period) => (
      [0, ...pulses.map(({ start, length }) => start + length)]
        .map((from, at) => ({ from, to: pulses[at]?.start ?? period }))
        .filter(({ from, to }) => to - from > period / 20)
    ));
  }
}

/** From an instant of a lane to its place on the page, when the whole period is shown. */
function places(open) {
  return (lane, ms, level) => ({
    x: open.x + LABEL + (ms / open.period) * (open.width - LABEL - FIT_MARGIN),
    y: open.y + RULER + lane * LANE + (level === undefined ? LANE / 2 : LANE_PADDING + (1 - level / 100) * (LANE - 2 * LANE_PADDING)),
  });
}

/** A place of the timeline, right of the labels and below the ruler. */
function anywhere(hand, open) {
  return {
    x: open.x + hand.between(LABEL + 5, open.width - 5),
    y: open.y + hand.between(RULER + 2, Math.min(open.height - 4, RULER + LANE * (open.lanes.length + 1))),
  };
}

/** Makes a step, if it fits. */
const STEP = "a step";
/** Changes what is seen, and never the program. */
const LOOK = "a look";
/** Makes a step, changes what is seen, or does nothing. */
const EITHER = "either";

/** Everything that is done, with what it makes and the view it is done in. */
function KINDS() {
  const timeline = [
    ["draw a pulse", STEP, async (hand) => {
      const gap = await hand.gap();
      if (!gap) return;
      const { at, lane, from, to } = gap;
      await hand.drag(at(lane, from + (to - from) * hand.between(0.3, 0.5)), at(lane, from + (to - from) * hand.between(0.6, 1.2)), { over: "crosshair" });
    }],
    ["drag a pulse", STEP, async (hand) => {
      if (hand.chance(0.3)) await hand.keys(["Control+a", "Control+a"]);
      const pulse = await hand.pulse();
      if (!pulse) return;
      const middle = pulse.at(pulse.lane, pulse.start + pulse.length / 2);
      await hand.drag(middle, { x: middle.x + hand.between(-90, 90), y: middle.y + hand.between(-30, 30) }, { held: hand.one([[], [], ["Alt"]]) });
    }],
    ["drag an edge", STEP, async (hand) => {
      const pulse = await hand.pulse();
      if (!pulse) return;
      const edge = pulse.at(pulse.lane, pulse.start + hand.one([0, pulse.length]));
      await hand.drag(edge, { x: edge.x + hand.between(-60, 60), y: edge.y }, { held: hand.one([[], [], ["Alt"]]) });
    }],
    ["drag a level", STEP, async (hand) => {
      const pulse = await hand.pulse();
      if (!pulse) return;
      const top = pulse.at(pulse.lane, pulse.start + pulse.length / 2, pulse.level);
      await hand.drag(top, { x: top.x, y: top.y + hand.between(-15, 25) });
    }],
    ["give a drag up", LOOK, async (hand) => {
      const pulse = await hand.pulse();
      if (!pulse) return;
      const from = pulse.at(pulse.lane, pulse.start + pulse.length * hand.one([0, 0.5, 1]));
      await hand.drag(from, { x: from.x + hand.between(-60, 60), y: from.y + 5 }, { keys: ["Escape"] });
    }],
    ["keys in a drag", EITHER, async (hand) => {
      const pulse = await hand.pulse();
      if (!pulse) return;
      const from = pulse.at(pulse.lane, pulse.start + pulse.length * hand.one([0, 0.5, 1]));
      const keys = ["Control+z", "Control+y", "Delete", "i", "x", "d", "m", "e", "]", "-", "Control+a", "Control+x", "Control+v", "Alt+l", "Alt+Delete", "PageDown", "PageUp", "s", "Alt+2", "Alt+8", "Alt+ArrowRight", "Home", " ", "k", "Control+k", "n", "Alt+b", "F1"];
      await hand.drag(from, { x: from.x + hand.between(-60, 60), y: from.y + 5 }, { keys: [hand.one(keys)] });
    }],
    ["drag anything", EITHER, async (hand) => {
      const open = await hand.lanes();
      if (!open) return;
      await hand.drag(anywhere(hand, open), anywhere(hand, open), { held: hand.one([[], ["Alt"], ["Shift"], ["Control"]]) });
    }],
    ["rubber band", LOOK, async (hand) => {
      const gap = await hand.gap();
      if (!gap) return;
      const from = gap.at(gap.lane, (gap.from + gap.to) / 2);
      await hand.drag(from, { x: from.x + hand.between(-300, 300), y: from.y + hand.between(-60, 60) }, { over: "crosshair", held: [hand.one(["Shift", "Control"])] });
    }],
    ["lane head", LOOK, async (hand) => {
      const open = await hand.lanes();
      if (!open) return;
      const [x, y] = [open.x + 40, open.y + RULER + (hand.below(Math.min(open.lanes.length, 4)) + 0.5) * LANE];
      const held = hand.one([[], ["Shift"]]);
      for (const key of held) await hand.page.keyboard.down(key);
      await hand.page.mouse.click(x, y);
      for (const key of held) await hand.page.keyboard.up(key);
    }],
    ["ruler", LOOK, async (hand) => {
      const open = await hand.lanes();
      if (!open) return;
      const y = open.y + RULER / 2;
      await hand.drag({ x: open.x + hand.between(LABEL + 5, open.width - 5), y }, { x: open.x + hand.between(LABEL + 5, open.width - 5), y });
    }],
    ["wheel and pan", LOOK, async (hand) => {
      const open = await hand.lanes();
      if (!open) return;
      const at = anywhere(hand, open);
      await hand.page.mouse.move(at.x, at.y);
      const by = hand.between(-600, 500);
      hand.say(`wheel ${Math.round(by)}`);
      await hand.page.mouse.wheel(hand.chance(0.3) ? by : 0, by);
      if (hand.chance(0.4)) await hand.drag(at, anywhere(hand, open), { button: "middle" });
    }],
    ["numbers of a pulse", STEP, async (hand) => {
      await hand.pulse();
      await hand.keys(["ArrowRight"]);
      await hand.type("#pulse-start, #pulse-length, #pulse-level", NUMBERS);
    }],
    ["leave a field half typed", EITHER, async (hand) => {
      await hand.focus("#timeline");
      await hand.keys(["ArrowRight"]);
      if (hand.chance(0.3)) await hand.press("#table-switch[aria-pressed=false]");
      if (hand.chance(0.3)) await hand.unfold(".pattern");
      await hand.type(".center .view input:not([type=checkbox])", hand.chance(0.2) ? WORDS : NUMBERS, { isLeft: true });
    }],
    ["color of a pulse", STEP, async (hand) => {
      await hand.focus("#timeline");
      await hand.keys(["ArrowRight"]);
      await hand.choose(".fields:not(.lane) select");
    }],
    ["numbers of a lane", STEP, async (hand) => {
      await hand.focus("#timeline");
      await hand.keys([hand.one(["ArrowUp", "ArrowDown", "l"])]);
      if (hand.chance(0.5)) await hand.type("#lane-runs", RUNS);
      else await hand.type("#lane-rate, #lane-duty", NUMBERS);
    }],
    ["numbers of a pattern", STEP, async (hand) => {
      await hand.unfold(".pattern");
      if (hand.chance(0.3)) await hand.type("#pattern-name", WORDS);
      else await hand.type("#pattern-period, #pattern-tick", NUMBERS);
    }],
    ["heads of a lane", STEP, async (hand) => {
      await hand.focus("#timeline");
      await hand.keys(["ArrowDown"]);
      await hand.unfold(".lane details");
      await hand.press(".lane details input[type=checkbox]");
    }],
    ["mute and alone", LOOK, async (hand) => {
      await hand.focus("#timeline");
      await hand.keys(["l"]);
      await hand.press(".lane > button");
    }],
    ["toolbar", STEP, (hand) => hand.press(".center .view > .row:first-child button", { words: "^(Whole|Insert|Delete|Add)" })],
    ["menu of shapes", STEP, async (hand) => {
      await hand.unfold(".shapes");
      await hand.press(".shapes button");
      await hand.answer();
    }],
    ["menu of the pattern", STEP, async (hand) => {
      await hand.unfold(".pattern");
      await hand.press(".pattern button");
      await hand.answer();
    }],
    ["choose a pattern", LOOK, (hand) => hand.choose("#pattern")],
    ["table", STEP, async (hand) => {
      await hand.press("#table-switch[aria-pressed=false]");
      const what = hand.one(["numbers", "numbers", "name", "color", "add", "delete"]);
      if (what === "numbers") await hand.type("#lane-table td input", NUMBERS);
      if (what === "name") await hand.type("#lane-table th input", WORDS);
      if (what === "color") await hand.choose("#lane-table select");
      if (what === "add") await hand.press("#lane-table button[id^=add]");
      if (what === "delete") await hand.press("#lane-table button[id^=delete]");
    }],
    ["keys", STEP, async (hand) => {
      await hand.focus("#timeline");
      await hand.keys(Array.from({ length: 6 }, () => hand.one(KEYS)));
      const focused = await hand.page.evaluate(() => document.activeElement?.id);
      if (focused !== "timeline") throw new Error(`the keys ${hand.said} took the focus from the timeline`);
    }],
    ["questions by key", STEP, async (hand) => {
      await hand.focus("#timeline");
      await hand.keys(["ArrowRight", hand.one(["n", "w", "t", "h", "u", "p", "Shift+o"])]);
      await hand.answer();
    }],
  ].map(([name, makes, act]) => ({ name, makes, act, view: "Timeline" }));

  const setup = [
    ["lists of the set-up", LOOK, async (hand) => {
      await hand.press(".setup [name=kind]");
      await hand.press(".setup [name=thing]");
    }],
    ["change a list", STEP, async (hand) => {
      if (hand.chance(0.6)) await hand.press(".setup [name=kind]");
      await hand.press(".setup [name=thing]");
      await hand.press(".setup [name=list]");
    }],
    ["fill a field in", STEP, async (hand) => {
      if (hand.chance(0.6)) await hand.press(".setup [name=kind]");
      await hand.press(".setup [name=thing]");
      await hand.type("#setup-form input:not([type=checkbox])", hand.chance(0.3) ? WORDS : NUMBERS);
    }],
    ["leave the set-up half typed", EITHER, async (hand) => {
      if (hand.chance(0.6)) await hand.press(".setup [name=kind]");
      await hand.press(".setup [name=thing]");
      await hand.type("#setup-form input:not([type=checkbox])", hand.chance(0.3) ? WORDS : NUMBERS, { isLeft: true });
    }],
    ["choose in the set-up", STEP, async (hand) => {
      if (hand.chance(0.6)) await hand.press(".setup [name=kind]");
      await hand.press(".setup [name=thing]");
      await hand.choose("#setup-form select");
    }],
    ["boxes of the set-up", STEP, async (hand) => {
      await hand.press(".setup [name=kind]", { words: "^(Layers|Dim|Groups|Situations|Impossible|Guarantees|Controls)" });
      await hand.press(".setup [name=thing]");
      await hand.unfold("#setup-form details");
      await hand.press("#setup-form input[type=checkbox]");
    }],
    ["buttons of the set-up", STEP, async (hand) => {
      if (hand.chance(0.6)) await hand.press(".setup [name=kind]");
      await hand.press(".setup [name=thing]");
      await hand.press("#setup-form button", { words: "^(?!New program)" });
    }],
    ["work on heads", STEP, async (hand) => {
      await hand.press(".setup [name=kind]", { words: "^Heads" });
      await hand.press(".setup [name=thing]");
      if (hand.chance(0.5)) await hand.page.keyboard.down("Shift");
      await hand.press(".setup [name=thing]");
      await hand.page.keyboard.up("Shift");
      if (hand.chance(0.2)) await hand.unfold(".setup details");
      await hand.press(".setup [name=command], .setup [name=play], .setup [name=around]");
    }],
    ["keys while a head is dragged", EITHER, async (hand) => {
      await hand.press("input[name=projection] + span", { words: "^Above$" });
      const head = await hand.page.evaluate((share) => window.eye.head(share), hand.between(0, 1));
      const keys = ["Control+z", "Control+y", "Alt+ArrowUp", "Alt+1", "Escape", "Home", "v", "Control+k", "Alt+o"];
      if (head) await hand.drag(head, { x: head.x + hand.between(-25, 25), y: head.y + hand.between(-25, 25) }, { keys: [hand.one(keys)] });
    }],
    ["drag a head", STEP, async (hand) => {
      await hand.press("input[name=projection] + span", { words: "^Above$" });
      const head = await hand.page.evaluate((share) => window.eye.head(share), hand.between(0, 1));
      if (head) await hand.drag(head, { x: head.x + hand.between(-25, 25), y: head.y + hand.between(-25, 25) }, { held: hand.one([[], ["Alt"], ["Shift"]]) });
    }],
    ["move heads by key", STEP, async (hand) => {
      await hand.focus("#heads");
      await hand.keys([hand.one(["Home", "End", "ArrowDown"]), hand.one(["Alt+ArrowUp", "Alt+ArrowLeft", "Alt+Shift+ArrowDown", "Alt+ArrowRight"])]);
    }],
  ].map(([name, makes, act]) => ({ name, makes, act, view: "Set-up" }));

  const rules = [
    ["choose rules", STEP, (hand) => hand.press(".rules tbody input[type=checkbox]")],
    ["severity of a rule", STEP, (hand) => hand.choose(".rules tbody select[aria-label^=Severity]")],
    ["limits of a rule", STEP, async (hand) => {
      if (!(await hand.find(".rules .details"))) await hand.press(".rules .name");
      const what = hand.one(["limit", "limit", "scope", "scope", "away", "other"]);
      if (what === "limit") await hand.type(".rules .details input.decimal", NUMBERS);
      if (what === "scope") await hand.choose(".rules .details select");
      if (what === "away") await hand.press(".rules .details button", { words: "×$" });
      if (what === "other") await hand.press(".rules .name[aria-expanded=true]");
    }],
    ["profile", STEP, async (hand) => {
      if (hand.chance(0.3)) await hand.choose("#profile-start");
      else await hand.type("#view input[type=text]", WORDS);
    }],
  ].map(([name, makes, act]) => ({ name, makes, act, view: "Rules" }));

  const states = [
    ["signals and controls", LOOK, async (hand) => {
      if (hand.chance(0.2)) await hand.choose("#view select");
      else await hand.press("#view input[type=radio], #view .controls button");
    }],
  ].map(([name, makes, act]) => ({ name, makes, act, view: "States" }));

  const anywhereElse = [
    ["views", LOOK, async (hand) => {
      await hand.press("[role=tab][aria-selected=false]");
    }],
    ["find a command", EITHER, async (hand) => {
      await hand.keys([hand.one(["Control+k", "F2"])]);
      const found = await hand.find("#found [role=option] > span:first-child", { words: "^(?!New|Open|Save|Copy a link)" });
      if (!found) return;
      hand.say(found.words);
      await hand.page.keyboard.type(found.words.slice(0, 24));
      await hand.keys(["Enter"]);
      await hand.answer();
    }],
    ["undo and redo", EITHER, async (hand) => {
      if (hand.chance(0.4)) await hand.press("#undo, #redo");
      else await hand.keys(Array.from({ length: 1 + hand.below(3) }, () => hand.one(["Control+z", "Control+z", "Control+y"])));
    }],
    ["select heads", LOOK, async (hand) => {
      if (hand.chance(0.5)) {
        await hand.focus("#heads");
        await hand.keys([hand.one(["Home", "End"]), hand.one(["ArrowLeft", "ArrowUp", "ArrowDown", "Shift+ArrowRight"])]);
      } else {
        const head = await hand.page.evaluate((share) => window.eye.head(share), hand.between(0, 1));
        if (head) await hand.page.mouse.click(head.x, head.y);
      }
    }],
    ["look from elsewhere", LOOK, async (hand) => {
      await hand.press("input[name=projection] + span");
      await hand.type("#eye-distance, #eye-direction", NUMBERS);
    }],
    ["choose a situation", LOOK, (hand) => hand.choose("#situation")],
    ["preview", LOOK, async (hand) => {
      await hand.press("#play");
      await hand.page.evaluate(() => window.eye.look());
      await hand.press("#play, #loop");
      await hand.choose("#pace");
      const slider = await hand.find("#scrub");
      if (slider) await hand.page.mouse.click(slider.x + hand.between(-0.4, 0.4) * slider.width, slider.y);
      await hand.keys(["Escape"]);
    }],
    ["go to a finding", LOOK, (hand) => hand.press("#findings .go, #findings .more button", { words: "^(Go to|LW)" })],
    ["fix a finding", STEP, async (hand) => {
      if (hand.chance(0.4) || !(await hand.press("#findings .more button", { words: "^Fix" }))) return;
      // Changes are tried once the program as it is now is judged, which comes to an end.
      await hand.page.waitForFunction(() => !document.querySelector("#fix")?.textContent.includes("Trying changes"));
      await hand.press("#fix button.main");
    }],
    ["waive a finding", STEP, async (hand) => {
      if (hand.chance(0.3) && (await hand.press("#findings .more button", { words: "^Remove waiver" }))) return;
      if (!(await hand.press("#findings .more button", { words: "^Waive" }))) return;
      await hand.page.evaluate(() => window.eye.look());
      await hand.type("#waive-reason", ["Only in the yard", "x"]);
      await hand.type("#waive-by", ["R. Example", "S. Example"]);
      if (hand.chance(0.3)) await hand.press("#waive-everywhere");
      await hand.press("#waive button.main");
    }],
    ["name and notes", STEP, async (hand) => {
      await hand.press("#program-name");
      await hand.page.evaluate(() => window.eye.look());
      await hand.type("#program-title, #program-notes", WORDS);
      await hand.press("#title button.main");
    }],
    ["build a pattern", STEP, async (hand) => {
      await hand.keys(["Alt+b"]);
      await hand.page.evaluate(() => window.eye.look());
      await hand.type("#builder input.decimal", NUMBERS);
      if (hand.chance(0.5)) await hand.choose("#builder select");
      if (hand.chance(0.3)) await hand.press("#builder #everywhere");
      await hand.press("#builder button", { words: "^Add" });
    }],
    ["take from the library", STEP, async (hand) => {
      await hand.keys(["Alt+p"]);
      await hand.page.evaluate(() => window.eye.look());
      await hand.press("#library tbody input[type=radio]");
      if (hand.chance(0.3)) await hand.press("#library #everywhere");
      await hand.press("#library button", { words: "^Add" });
    }],
    ["look at dialogs", LOOK, async (hand) => {
      await hand.keys([hand.one(["F1", "Alt+n", "Alt+p", "Alt+b", "F2"])]);
      hand.hasSeen = (await hand.page.evaluate(() => window.eye.look())).dialog !== "";
    }],
    ["theme", LOOK, (hand) => hand.press(".head button", { words: "theme$" })],
  ].map(([name, makes, act]) => ({ name, makes, act }));

  return [...timeline, ...setup, ...rules, ...states, ...anywhereElse];
}

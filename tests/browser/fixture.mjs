// What every spec imports in place of "@playwright/test":
//
//   import { expect, test, scanForBarriers } from "../fixture.mjs";
//
//   test("what a person does and sees", async ({ page }) => {
//     await page.goto("/");                       // relative to the served pages
//     …
//     await scanForBarriers(page);                // axe: no serious or critical violations
//   });
//
// Whatever else a test checks, it also fails when, in any page of its browser context,
//   - something is written to the console as an error,
//   - an exception or a rejected promise reaches the page,
//   - a request goes anywhere but to the page's own origin (data:, blob: and the page that was
//     opened from disk aside), or a request to the origin fails or is answered with 400 or more.
//
// A test that provokes such a thing on purpose says so first, with the words it expects:
//
//   test("a broken file", async ({ page, trouble }) => {
//     trouble.allow(/the words of the message/);
//
// An allowance that was never needed fails the test too, so that none outlives its reason.
//
// Addresses: `page.goto("/")` is the pages as `cargo xtask serve` shows them. `siteAddress` is the
// distributed site with its service worker (a secure origin of its own), `oneFileAddress` the page
// that opens from disk. Each test starts with a fresh profile: no storage, no service worker.
import { expect, test as base } from "@playwright/test";
import AxeBuilder from "@axe-core/playwright";

export { expect };

/** The part of the environment that `server.mjs` sets. */
function address(name) {
  const value = process.env[name];
  if (!value) throw new Error(`${name} is not set: the servers did not start`);
  return value;
}

/** Collects what must not happen in a page. */
class Trouble {
  #found = [];
  #allowed = [];

  constructor(origins) {
    this.origins = origins;
  }

  /** Expects trouble whose text matches; without it, the test fails. */
  allow(pattern) {
    this.#allowed.push({ pattern, isUsed: false });
  }

  watch(context) {
    context.on("console", (message) => {
      if (message.type() === "error") this.#add(`console: ${message.text()}`);
    });
    context.on("weberror", (problem) => this.#add(`page: ${problem.error()}`));
    context.on("request", (request) => {
      if (!this.#isOwn(request.url())) this.#add(`request beyond the origin: ${request.url()}`);
    });
    context.on("requestfailed", (request) => {
      this.#add(`request failed: ${request.url()} ${request.failure()?.errorText}`);
    });
    context.on("response", (response) => {
      if (response.status() >= 400) this.#add(`answer ${response.status()}: ${response.url()}`);
    });
  }

  /** Fails if anything happened that was not allowed, or an allowance was not needed. */
  check() {
    expect(this.#found, "no errors, and no requests beyond the origin").toEqual([]);
    const unused = this.#allowed.filter(({ isUsed }) => !isUsed).map(({ pattern }) => `${pattern}`);
    expect(unused, "every allowance was needed").toEqual([]);
  }

  #add(text) {
    const allowance = this.#allowed.find(({ pattern }) => text.match(pattern));
    if (allowance) allowance.isUsed = true;
    else this.#found.push(text);
  }

  #isOwn(url) {
    const { protocol, origin, href } = new URL(url);
    if (protocol === "data:" || protocol === "blob:") return true;
    if (protocol === "file:") return href.split(/[?#]/)[0] === address("LAMPWRIGHT_ONE_FILE");
    return this.origins.includes(origin);
  }
}

export const test = base.extend({
  baseURL: async ({}, use) => use(address("LAMPWRIGHT_ADDRESS")),
  siteAddress: async ({}, use) => use(address("LAMPWRIGHT_SITE")),
  oneFileAddress: async ({}, use) => use(address("LAMPWRIGHT_ONE_FILE")),
  trouble: [
    async ({ context, baseURL, siteAddress }, use) => {
      const trouble = new Trouble([baseURL, siteAddress]);
      // The browser's own dialog for a file to write has no place here: saving is a download,
      // as in browsers without it. The spec that saves in place brings a dialog of its own.
      await context.addInitScript(() => { delete window.showSaveFilePicker; });
      trouble.watch(context);
      await use(trouble);
      trouble.check();
    },
    { auto: true },
  ],
});

/** Fails on any serious or critical accessibility violation, naming rule and elements. */
export async function scanForBarriers(page) {
  const { violations, passes } = await new AxeBuilder({ page }).analyze();
  expect(passes.length, "the scan looked at something").toBeGreaterThan(0);
  const barriers = violations
    .filter(({ impact }) => impact === "serious" || impact === "critical")
    .map(({ id, help, nodes }) => `${id}: ${help}: ${nodes.map(({ target }) => target.join(" ")).join(", ")}`);
  expect(barriers, "no serious or critical accessibility violations").toEqual([]);
}

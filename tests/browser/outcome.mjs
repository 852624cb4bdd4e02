// What a run says at its very end: every test that did not pass at once, with the cause, so that the
// end of a log tells it. And what is unsafe once is unsafe: a second try takes back a stall of the
// machine, but not this.

/** Begins what a check on people's safety says when it fails; a run in which one failed has failed. */
export const UNSAFE = "unsafe:";

/** How many lines of an error are repeated. */
const MOST_LINES = 12;

// Escape sequences that color a terminal.
const plain = (text) => text.replace(/\u001b\[[0-9;]*m/g, "");

/** A reporter of Playwright's. */
export default class Outcome {
  #tests = () => [];

  onBegin(_config, suite) {
    this.#tests = () => suite.allTests();
  }

  onEnd(run) {
    let isUnsafe = false;
    for (const test of this.#tests()) {
      // Some tests show that the fixture lets tests fail.
      if (!["flaky", "unexpected"].includes(test.outcome())) continue;
      const failures = test.results.flatMap(({ errors, retry }) => errors.map(({ message, value }) => ({ retry, text: plain(message ?? value ?? "") })));
      const outcome = test.outcome() === "flaky" ? "passed at the second try" : "failed";
      console.log(`\n${outcome}: ${test.titlePath().filter(Boolean).join(" › ")}`);
      for (const { retry, text } of failures) {
        const lines = text.split("\n").filter((line) => line.trim() !== "");
        console.log(`  try ${retry + 1}:`);
        for (const line of lines.slice(0, MOST_LINES)) console.log(`    ${line}`);
        isUnsafe ||= text.includes(UNSAFE);
      }
    }
    if (isUnsafe && run.status === "passed") {
      console.log("\nproblem: a check on people's safety failed once, which no second try takes back");
      return { status: "failed" };
    }
    return undefined;
  }
}

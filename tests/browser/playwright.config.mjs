// How the browser tests run: Debian's Chromium, one local server, nothing downloaded.
// `cargo xtask test --only browser` starts them; `npx playwright test` here works too, once
// `cargo xtask dist` has built what they look at.
import { defineConfig } from "@playwright/test";

const isContinuous = Boolean(process.env.CI);

export default defineConfig({
  testDir: "specs",
  testMatch: "**/*.spec.mjs",
  outputDir: "results",
  globalSetup: "./server.mjs",
  // Two cores: more workers only make each other late.
  workers: 2,
  fullyParallel: true,
  forbidOnly: isContinuous,
  // A shared machine can stall a browser for seconds; what passes only the second time is listed as
  // flaky. What keeps people safe has to hold every time: `outcome.mjs` fails the run if it once did not.
  retries: 1,
  // Generous, for a machine that is busy with other work: a pass never waits this long.
  timeout: 120_000,
  expect: { timeout: 15_000 },
  reporter: [["list"], ["./outcome.mjs"]],
  use: {
    browserName: "chromium",
    headless: true,
    viewport: { width: 1280, height: 800 },
    colorScheme: "dark",
    trace: "retain-on-failure",
    screenshot: "only-on-failure",
    launchOptions: {
      executablePath: process.env.LAMPWRIGHT_CHROMIUM ?? "/usr/bin/chromium",
      args: [
        "--no-sandbox",
        "--disable-gpu",
        "--disable-quic",
        "--no-first-run",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
      ],
    },
  },
});

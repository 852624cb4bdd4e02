// Starts the servers that the tests talk to, and stops them afterwards.
//
// LAMPWRIGHT_ADDRESS is set to the pages as `cargo xtask serve` shows them, LAMPWRIGHT_SITE to the
// distributed site with its service worker, LAMPWRIGHT_ONE_FILE to the page that opens from disk.
import { spawn } from "node:child_process";
import { createInterface } from "node:readline";
import { dirname, join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";

const root = join(dirname(fileURLToPath(import.meta.url)), "..", "..");

/** Starts one server on a free port; resolves to its address and its process. */
async function start(...flags) {
  const program = process.env.LAMPWRIGHT_XTASK;
  const serve = ["serve", "--no-build", "--port", "0", "--stop-with-input", ...flags];
  const child = program
    ? spawn(program, serve, { cwd: root, stdio: ["pipe", "pipe", "inherit"] })
    : spawn("cargo", ["xtask", ...serve], { cwd: root, stdio: ["pipe", "pipe", "inherit"] });
  const ended = new Promise((_, reject) => {
    child.once("error", reject);
    child.once("exit", (code) => reject(new Error(`the server ended with ${code} before it was ready`)));
  });
  ended.catch(() => {});
  const ready = (async () => {
    for await (const line of createInterface({ input: child.stdout })) {
      const address = line.match(/http:\/\/127\.0\.0\.1:\d+/);
      if (address) return address[0];
    }
    throw new Error("the server gave no address");
  })();
  return { address: await Promise.race([ready, ended]), child };
}

export default async function startServers() {
  const pages = await start();
  const site = await start("--dist");
  process.env.LAMPWRIGHT_ADDRESS = pages.address;
  process.env.LAMPWRIGHT_SITE = site.address;
  process.env.LAMPWRIGHT_ONE_FILE = pathToFileURL(join(root, "dist", "lampwright.html")).href;
  return () => {
    for (const { child } of [pages, site]) child.stdin.end();
  };
}

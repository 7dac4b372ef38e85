// Chromium for tests, and the binary serving a rehearsal.

import { spawn } from "node:child_process";
import { createInterface } from "node:readline";
import { chromium } from "playwright-core";

const FLAGS = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

/** The binary under test. */
export const binary = process.env.PLIMSOLL ?? "plimsoll";

/**
 * Starts Chromium.
 * @param {string[]} [more] flags
 */
export function launch(more = []) {
  return chromium.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: [...FLAGS, ...more],
  });
}

/**
 * Starts the server on a free port; returns once it listens.
 * @param {string[]} args after `serve`
 * @param {string[]} [before] before `serve`
 */
export async function serve(args, before = []) {
  const server = spawn(binary, [...before, "serve", ...args, "--port", "0"], {
    stdio: ["ignore", "pipe", "inherit"],
  });
  /** @type {string} */
  const url = await new Promise((found, failed) => {
    server.once("exit", () => failed(new Error("the server ended before it listened")));
    createInterface({ input: /** @type {any} */ (server.stdout) }).on("line", (line) => {
      if (line.startsWith("Open ")) found(line.slice(5).trim());
    });
  });
  return { url, server };
}

/**
 * Waits until something holds.
 * @param {string} what
 * @param {() => unknown} check
 * @param {number} [ms]
 */
export async function until(what, check, ms = 8000) {
  const end = Date.now() + ms;
  while (Date.now() < end) {
    if (await check()) return;
    await new Promise((done) => setTimeout(done, 50));
  }
  throw new Error(`did not come: ${what}`);
}

// The binary under test: serving on a free port.

import { spawn } from "node:child_process";
import { createInterface } from "node:readline";

/** The binary under test. */
export const binary = process.env.PLIMSOLL ?? "plimsoll";

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

// An archive with an invented squad and one opened wave, made with the binary's own commands and forms.

import { execFileSync } from "node:child_process";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { binary, serve } from "./server.mjs";

/**
 * Posts a form of a page as a browser would: with its seal and what stands in its boxes.
 * @param {string} url of the page
 * @param {string} action path to which the form goes
 * @param {[string, string][]} fields
 */
export async function submit(url, action, fields) {
  const page = await (await fetch(url)).text();
  const seal = /name="seal" value="([0-9a-f]{64})"/.exec(page)?.[1] ?? "";
  const origin = new URL(url).origin;
  const answer = await fetch(origin + action, {
    method: "POST",
    redirect: "manual",
    headers: { origin, "content-type": "application/x-www-form-urlencoded" },
    body: new URLSearchParams([["seal", seal], ...fields]).toString(),
  });
  if (answer.status >= 400) throw new Error(`${action}: ${answer.status} ${await answer.text()}`);
  return answer;
}

/**
 * Makes the archive; returns the id of the wave.
 * @param {string} archive folder
 * @param {string} test id
 * @param {number} runners
 * @param {number} assessors
 */
export async function makeClub(archive, test, runners, assessors) {
  const roster = join(archive, "..", "roster.csv");
  const names = Array.from(
    { length: runners },
    (_, n) => `Runner ${String(n + 1).padStart(2, "0")}`,
  );
  writeFileSync(roster, `name\n${names.join("\n")}\n`);
  execFileSync(binary, ["--archive", archive, "people", "import", roster], { stdio: "pipe" });
  const { url, server } = await serve([], ["--archive", archive]);
  try {
    const made = await submit(url, "/days", [
      ["date", "2026-11-25"],
      ["test", test],
    ]);
    const plan = made.headers.get("location") ?? "";
    const page = await (await fetch(url + plan)).text();
    const here = [...page.matchAll(/name="here" value="([0-9a-f-]{36})"/g)].map((m) => m[1] ?? "");
    await submit(url + plan, `${plan}/deal`, [
      ["lanes", String(runners)],
      ["assessors", String(assessors)],
      .../** @type {[string, string][]} */ (here.map((id) => ["here", id])),
    ]);
    await submit(url + plan, `${plan}/open`, []);
    const today = await (await fetch(url)).text();
    return /\/line\/([0-9a-f-]{36})/.exec(today)?.[1] ?? "";
  } finally {
    await ended(server);
  }
}

/**
 * Kills a server and waits until it is gone.
 * @param {import("node:child_process").ChildProcess} server
 */
export function ended(server) {
  return new Promise((done) => {
    if (server.exitCode != null || server.signalCode != null) done(null);
    server.once("exit", done);
    server.kill("SIGKILL");
  });
}

/**
 * Joins a wave as the guest of each code; returns their cookies.
 * @param {string} url
 * @param {string} wave
 */
export async function joinAll(url, wave) {
  const page = await (await fetch(`${url}/wave/${wave}`)).text();
  const codes = [...page.matchAll(/Code <strong>([0-9A-Z]+)<\/strong>/g)].map((m) => m[1]);
  const cookies = [];
  for (const [n, code] of codes.entries()) {
    const answer = await fetch(`${url}/join/${code}`, {
      method: "POST",
      redirect: "manual",
      headers: { origin: new URL(url).origin, "content-type": "application/x-www-form-urlencoded" },
      body: `name=Assessor+${n + 1}`,
    });
    cookies.push((answer.headers.get("set-cookie") ?? "").split(";")[0] ?? "");
  }
  return cookies;
}

// A whole wave on the real server: 24 simulated runners at 20 times the speed, three phones, one of
// them without network for two minutes of the test, through to the coach's page. What the phones
// leave is what the fold makes of the written script.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { launch } from "./chromium.mjs";
import { startNetwork } from "./proxy.mjs";
import { binary, serve, until } from "./server.mjs";

const SPEED = 20;
/** Half of the two minutes of the test in which the third phone has no network, ms. */
const OFFLINE_MS = 60_000;
/** A gesture later than this has missed its instant of the script, ms: the next cue may have sounded. */
const LATE_MS = 600;
/** Times a wave is run again when this machine was too slow to tap in time. */
const TRIES = 4;
/** This machine did not tap in time: nothing is known of the program. */
class Late extends Error {}

/** Runs the wave once; returns what was proved. */
async function wholeWave() {
  /** @type {string[]} */
  const proved = [];
  const scene = (/** @type {string} */ text) => proved.push(text);
  const { url, server } = await serve(["--rehearse"]);
  const network = await startNetwork(Number(new URL(url).port));
  const browser = await launch();
  const folder = mkdtempSync(join(tmpdir(), "wave-"));
  /** @type {string[]} */
  const errors = [];

  /**
   * @param {number} width
   * @param {number} height
   */
  async function open(width, height) {
    const context = await browser.newContext({ viewport: { width, height }, hasTouch: true });
    const page = await context.newPage();
    page.on("pageerror", (e) => errors.push(e.message));
    return page;
  }

  /** Joins a wave with a code, as a guest does; returns the line screen. */
  async function joined(
    /** @type {any} */ phone,
    /** @type {string} */ at,
    /** @type {string} */ code,
  ) {
    await phone.goto(`${at}/join/${code}`);
    await phone.getByLabel("Your name").fill("Assessor");
    await phone.getByRole("button", { name: "Join" }).tap();
    await phone.waitForSelector(".lane");
  }

  try {
    // --- the lead's page gives the codes and the script ---
    const lead = await open(1280, 800);
    await lead.goto(url);
    const wave = /\/line\/([0-9a-f-]{36})/.exec(await lead.content())?.[1];
    assert.ok(wave, "today shows the wave");
    await lead.goto(`${url}/wave/${wave}`);
    const codes = await lead.locator("article strong").allTextContents();
    assert.equal(codes.length, 3);
    await lead.goto(`${url}/rehearsal/${wave}`);
    const script = await lead.locator("tr[data-cue-ms]").evaluateAll((/** @type {any[]} */ rows) =>
      rows.map((row) => ({
        cue_ms: Number(row.dataset["cueMs"]),
        what: JSON.parse(row.dataset["what"]),
      })),
    );
    assert.ok(script.length >= 24, `${script.length} lines of script`);

    // --- three phones join; the third goes through a network that will fail ---
    const shaky = `http://127.0.0.1:${network.port}`;
    const phones = [await open(390, 844), await open(360, 640), await open(390, 844)];
    for (const [n, phone] of phones.entries()) {
      await joined(phone, n === 2 ? shaky : url, codes[n] ?? "");
    }
    /** @type {number[][]} */
    const lanes = [];
    for (const phone of phones) {
      lanes.push(
        await phone
          .locator(".lane")
          .evaluateAll((/** @type {any[]} */ all) => all.map((l) => Number(l.dataset["lane"]))),
      );
    }
    assert.deepEqual(
      lanes.flat().sort((a, b) => a - b),
      Array.from({ length: 24 }, (_, n) => n + 1),
    );
    scene("three phones join by code; every lane is on one of them");

    // --- the wave runs; the assessors tap what the script says, when it says so ---
    await lead.goto(`${url}/wave/${wave}`);
    await lead.getByRole("button", { name: "Run the clock, I tap" }).click();
    await lead.waitForSelector(".lane");
    const api = `${url}/api/waves/${wave}`;
    const view = async () => (await fetch(api)).json();
    const { state: begun, speed } = await view();
    assert.equal(speed, SPEED);
    const zero_ms = begun.anchor.zero_ms;
    const at = async (/** @type {number} */ cue_ms) => {
      const wait = zero_ms + cue_ms / SPEED - Date.now();
      if (wait > 0) await new Promise((done) => setTimeout(done, wait));
    };
    const third = script.filter((line) => lanes[2]?.includes(line.what.lane));
    const middle = third[Math.floor(third.length / 2)]?.cue_ms ?? 0;
    const offline = { from: middle - OFFLINE_MS, to: middle + OFFLINE_MS };
    let kept = 0;

    /** @param {number} n */
    async function assess(n) {
      const phone = phones[n];
      for (const line of script) {
        if (!phone || !lanes[n]?.includes(line.what.lane)) continue;
        await at(line.cue_ms);
        const row = phone.locator(`.lane[data-lane="${line.what.lane}"]`);
        const { kind, reason } = line.what;
        if (kind === "miss") await row.locator(".who").tap();
        else if (kind === "early_start") {
          await row.locator("[data-do=more]").tap();
          await row.locator("[data-do=early_start]").tap();
        } else if (kind === "stop") {
          await row.locator(".stop").tap();
          const why = row.locator(`[data-do=reason][data-reason=${reason}]`);
          if ((await why.getAttribute("aria-pressed")) !== "true") await why.tap();
        } else assert.fail(`no gesture for ${kind}`);
        const late_ms = Date.now() - (zero_ms + line.cue_ms / SPEED);
        if (late_ms > LATE_MS) throw new Late(`${kind} ${Math.round(late_ms)} ms late`);
        if (n === 2 && line.cue_ms > offline.from && line.cue_ms < offline.to) kept += 1;
      }
    }
    async function weather() {
      await at(offline.from);
      network.fail();
      await until("offline", async () =>
        (await phones[2]?.locator(".signs").textContent())?.includes("offline"),
      );
      await at(offline.to);
      network.mend();
    }
    await Promise.all([assess(0), assess(1), assess(2), weather()]);
    const wanted = new Set(script.filter((s) => s.what.kind === "stop").map((s) => s.what.lane));
    await until(
      "every stop on the server",
      async () => {
        const { state } = await view();
        return [...wanted].every(
          (n) => state.lanes.find((/** @type {any} */ l) => l.plan.lane === n).stop,
        );
      },
      30_000,
    );
    assert.ok(kept > 0, "the phone without network had something to record");
    scene(`${script.length} calls tapped; ${kept} of them without network, delivered later`);

    // --- other screens followed ---
    await until("the lead's screen shows the same", async () => {
      return (await lead.locator('.lane[data-status="stopped"]').count()) === wanted.size;
    });

    // --- the same as the fold of the written script ---
    const { state, results, read_back } = await view();
    assert.deepEqual(state.refused, []);
    const base = { v: 1, device: "script", at_ms: zero_ms, cue_pm_ms: 0, role: "lead" };
    const whats = [
      { cue_ms: 0, what: { kind: "opened", plan: state.opening } },
      { cue_ms: 0, what: { kind: "started", lanes: lanes.flat() } },
      ...script,
    ];
    const log = whats.map((line, n) =>
      JSON.stringify({
        ...base,
        ...line,
        id: `01950000-0000-7000-8000-${String(n + 1).padStart(12, "0")}`,
        seq: n + 1,
        order: n + 1,
      }),
    );
    const file = join(folder, "script.jsonl");
    writeFileSync(file, `${log.join("\n")}\n`);
    const folded = JSON.parse(
      execFileSync(binary, ["day", "replay", file, "--json"], { encoding: "utf8" }),
    );
    const settled = (/** @type {any[]} */ all) =>
      all.map((r) => ({ lane: r.lane, person: r.person, settlement: r.settlement }));
    assert.deepEqual(settled(results), settled(folded.results));
    const reasons = (/** @type {any} */ of) =>
      of.lanes.map((/** @type {any} */ l) => [
        l.plan.lane,
        l.stop?.reason,
        l.early_starts,
        l.misses.length,
      ]);
    assert.deepEqual(reasons(state), reasons(folded.state));
    assert.equal(read_back.words, folded.read_back_in_words);
    scene(`the outcomes are those of the script: ${read_back.words}`);

    // --- close, and on to the coach's page ---
    await lead.goto(`${url}/close/${wave}`);
    assert.ok((await lead.content()).includes(read_back.words));
    await lead.getByLabel("Signed by").fill("The lead");
    await lead.getByRole("button", { name: "Close the wave" }).click();
    await lead.getByRole("link", { name: "Results of the day" }).click();
    const ladder = JSON.parse(
      execFileSync(binary, ["ladder", state.opening.test, "--json"], { encoding: "utf8" }),
    );
    const table = await lead.locator("table").last().locator("tbody tr").allTextContents();
    let scored = 0;
    for (const result of results) {
      const bouts = result.settlement.outcome?.amount?.bouts;
      if (bouts == null) continue;
      scored += 1;
      const name = state.opening.lanes.find((/** @type {any} */ l) => l.lane === result.lane).name;
      const row = table.find((text) => text.startsWith(name)) ?? "";
      const { label, distance_m } = ladder.bouts[bouts - 1];
      assert.ok(row.includes(label) && row.includes(String(distance_m)), `${name}: ${row}`);
    }
    assert.equal(scored, wanted.size);
    scene(`the coach's page shows all ${scored}`);
    await phones[0]?.locator(".signs").getByText("wave closed").waitFor();
    scene("the phones know that the wave is closed");
    assert.deepEqual(errors, []);
    return proved;
  } finally {
    await browser.close();
    network.close();
    server.kill();
    rmSync(folder, { recursive: true });
  }
}

for (let n = 1; n <= TRIES; n += 1) {
  try {
    for (const text of await wholeWave()) process.stdout.write(`ok  ${text}\n`);
    break;
  } catch (error) {
    if (error instanceof Late && n < TRIES) {
      process.stdout.write(`again: ${error.message}\n`);
      continue;
    }
    process.stdout.write(`FAIL the whole wave: ${/** @type {Error} */ (error).stack}\n`);
    process.exitCode = 1;
    break;
  }
}

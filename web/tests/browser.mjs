// The line screen in real Chromium, from a plain-http name as phones see it: sound, taps, faults.
// Uses the stand-in of mock.mjs; one scene after another on the same wave.

import assert from "node:assert/strict";
import { launch } from "./chromium.mjs";
import { startMock } from "./mock.mjs";
import { until } from "./server.mjs";

const browser = await launch(["--host-resolver-rules=MAP phone.test 127.0.0.1"]);
const mock = await startMock();
const url = `http://phone.test:${mock.port}/line/w1`;
const errors = [];

async function open(role) {
  const context = await browser.newContext({
    viewport: { width: 390, height: 844 },
    hasTouch: true,
  });
  await context.addCookies([
    { name: "plimsoll", value: role, url: `http://phone.test:${mock.port}` },
  ]);
  await context.addInitScript(() => {
    const Real = AudioContext;
    globalThis.AudioContext = class extends Real {
      constructor(o) {
        super(o);
        globalThis.theContext = this;
      }
    };
  });
  const page = await context.newPage();
  page.on("pageerror", (e) => errors.push(`${role}: ${e.message}`));
  await page.goto(url);
  return page;
}
const logged = (kind) => [...mock.events.values()].filter((e) => e.what.kind === kind);
async function hold(page, text) {
  const box = await page.getByRole("button", { name: text }).boundingBox();
  await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
  await page.mouse.down();
  await page.waitForTimeout(1200);
  await page.mouse.up();
}
const scene = (text) => process.stdout.write(`ok  ${text}\n`);

// --- start ---
const lead = await open("lead");
await lead.waitForFunction(
  () =>
    !document.querySelector(".lead .button")?.disabled && document.querySelector(".lead .button"),
);
assert.equal(await lead.evaluate(() => isSecureContext), false);
await lead.getByRole("button", { name: /^Start/ }).click();
await lead.waitForTimeout(300);
assert.equal(logged("anchored").length, 0, "a short press starts nothing");
scene("a short press does not start");
const before = Date.now();
await hold(lead, /^Start|^Press again/);
await until("anchor", () => logged("anchored").length === 1);
const [anchored] = logged("anchored");
const lead_in = anchored.what.zero_ms - before;
assert.ok(lead_in > 6500 && lead_in < 9500, `cue time 0 lies ${lead_in} ms after the press`);
assert.ok(anchored.what.pm_ms < 200, `uncertain by ${anchored.what.pm_ms} ms`);
await until("start signal", () => logged("started").length === 1, 12_000);
assert.deepEqual(logged("started")[0].what.lanes, [1, 2, 3, 4, 5, 6, 7, 8]);
assert.equal(logged("started")[0].cue_ms, 0);
scene(`held for a second it starts; the anchor is known to ±${anchored.what.pm_ms} ms`);

// The context clock and the anchor agree: the track's zero lies where the anchor says.
const drift = await lead.evaluate(() => {
  const s = globalThis.theContext.getOutputTimestamp();
  return {
    at: s.contextTime,
    perf: s.performanceTime,
    wall: Date.now() - performance.now(),
    state: globalThis.theContext.state,
  };
});
assert.equal(drift.state, "running");

// --- taps ---
const one = await open("assessor");
await one.waitForSelector('.lane[data-status="running"]');
assert.equal(await one.locator(".lead").isVisible(), false, "the lead's part is for the lead");
await until("first judged cue", () => Date.now() > anchored.what.zero_ms + 7400, 12_000);
await one.locator('.lane[data-lane="3"] .who').tap();
await until("miss", () => logged("miss").length === 1);
assert.deepEqual(logged("miss")[0].what, { kind: "miss", lane: 3, bout: 1, cue: 1 });
assert.ok(Math.abs(logged("miss")[0].cue_ms - (Date.now() - anchored.what.zero_ms)) < 500);
await until(
  "mark",
  async () => (await one.locator('.lane[data-lane="3"] .mark').textContent()) === "1 miss",
);
scene("one tap for a miss, with its cue");
await one.locator('.lane[data-lane="4"] .stop').tap();
await one.locator('.lane[data-lane="4"] .choices').getByText("injury").tap();
await until("two stops", () => logged("stop").length === 2);
assert.deepEqual(
  logged("stop").map((e) => e.what.reason),
  ["exhaustion", "injury"],
);
assert.equal(mock.state().lanes[3].stop.reason, "injury");
await until("incident", () => logged("incident").length === 1);
scene("one tap for a stop; the reason in the same gesture");
await one.getByRole("button", { name: /^Undo stop/ }).tap();
await until("undos", () => logged("undo").length === 2);
assert.equal(mock.state().lanes[3].status, "running");
scene("undo takes the stop and its reason back");
await one.getByRole("button", { name: "keys", exact: true }).tap();
await one.locator("body").press("2");
await one.locator("body").press("e");
await until("early start", () => logged("early_start").length === 1);
assert.equal(logged("early_start")[0].what.lane, 2);
scene("keys: the lane, then what happened");

// --- cues for the eye; mirror ---
await one.getByRole("button", { name: "show cues" }).tap();
await one.locator(".pace[data-cue]").waitFor({ timeout: 20_000 });
const word = await one.locator(".pace").getAttribute("data-cue");
assert.ok(["turn", "finish", "go"].includes(word), `shown: ${word}`);
const lanesNow = () =>
  one.locator(".lane").evaluateAll((all) => all.map((l) => Number(l.dataset.lane)));
assert.deepEqual(await lanesNow(), [1, 2, 3, 4, 5, 6, 7, 8]);
await one.getByRole("button", { name: "mirror" }).tap();
assert.deepEqual(await lanesNow(), [8, 7, 6, 5, 4, 3, 2, 1]);
await one.getByRole("button", { name: "mirror" }).tap();
scene("a cue is shown; the mirror turns the order");

// --- no network ---
mock.down = true;
mock.cut();
await until("offline sign", async () =>
  (await one.locator(".signs").textContent()).includes("offline"),
);
await one.locator('.lane[data-lane="5"] .more').tap();
await one.locator('.lane[data-lane="5"] .choices').getByText("short turn").tap();
await until("shown at once", async () =>
  (await one.locator('.lane[data-lane="5"] .mark').textContent()).includes("1 short"),
);
assert.ok((await one.locator(".signs").textContent()).includes("offline · 1 kept here"));
await one.reload();
await one.waitForTimeout(800);
mock.down = false;
mock.drop = 2; // the first two answers are lost
await until("kept over the reload", () => logged("short_turn").length === 1, 25_000);
await until(
  "acknowledged",
  async () =>
    (await one.evaluate(
      () => Object.keys(localStorage).filter((k) => k.startsWith("plimsoll.event")).length,
    )) === 0,
  25_000,
);
assert.equal(mock.state().lanes[4].short_turns, 1);
scene(
  "a tap without network shows at once, outlives a reload, arrives exactly once though answers were lost",
);

// --- only plain requests come through ---
mock.deaf = true;
mock.cut();
const posts = mock.posts;
await until(
  "polling",
  async () => (await one.locator(".device").textContent()).includes("Connection: slow"),
  25_000,
);
await one.locator('.lane[data-lane="6"] .who').tap();
await until("miss by POST", () => logged("miss").some((e) => e.what.lane === 6), 10_000);
assert.ok(mock.posts > posts);
mock.take(
  [
    {
      v: 1,
      id: "0190aaaa-0000-7000-8000-000000000001",
      device: "far",
      seq: 1,
      order: 900,
      at_ms: 0,
      role: "assessor",
      what: { kind: "early_start", lane: 7 },
    },
  ],
  "assessor",
);
await until("view by waiting", async () =>
  (await one.locator('.lane[data-lane="7"] .mark').textContent()).includes("1 early"),
);
mock.deaf = false;
scene("without a socket: long polling and POST");

// --- two tabs of one browser ---
const twin = await one.context().newPage();
await twin.goto(url);
await twin.waitForSelector('.lane[data-status="running"]');
const name = async (p) => /Device (\S+)\./.exec(await p.locator(".device").textContent())[1];
assert.notEqual(await name(one), await name(twin));
await twin.close();
scene("two tabs have two names");

// --- interruption ---
await until(
  "lead is back",
  async () => !(await lead.locator(".signs").textContent()).includes("offline"),
  20_000,
);
await lead.getByRole("button", { name: /^Interrupt/ }).focus();
await lead.keyboard.down("Enter");
await lead.waitForTimeout(400);
await lead.keyboard.up("Enter");
assert.equal(logged("interrupted").length, 0, "a short press of a key interrupts nothing");
await lead.keyboard.down("Enter");
await lead.waitForTimeout(1200);
await lead.keyboard.up("Enter");
await until("interruption", () => logged("interrupted").length === 1);
await until("choices", () => lead.getByText("The cues broke off").isVisible());
assert.ok((await lead.locator(".pace .what").textContent()).includes("interrupted"));
const go = lead.getByRole("button", { name: /^Go on with/ });
const label = (await go.textContent()).replace("Go on with ", "");
await go.tap();
await until("new anchor", () => logged("anchored").length === 2);
const bout = mock.timeline.bouts.find((b) => b.label === label);
const second = logged("anchored")[1];
const wait_s = (second.what.zero_ms + bout.start_ms - Date.now()) / 1000;
assert.ok(wait_s > 3 && wait_s < 6.5, `the bout starts in ${wait_s} s`);
scene(`interrupted and gone on with ${label}: it starts ${wait_s.toFixed(1)} s later`);

// --- another device takes over ---
const spare = await open("assessor");
await spare.waitForSelector('.lane[data-status="running"]');
await spare.getByRole("button", { name: "Play the cues here" }).tap();
await until("third anchor", () => logged("anchored").length === 3);
const third = logged("anchored")[2];
assert.ok(
  Math.abs(third.what.zero_ms - second.what.zero_ms) <= 60,
  `moved by ${third.what.zero_ms - second.what.zero_ms} ms`,
);
assert.notEqual(third.device, second.device);
scene(
  `another device takes over within ${Math.abs(third.what.zero_ms - second.what.zero_ms)} ms of the anchor`,
);

// --- the device holds up its sound ---
await spare.evaluate(() => globalThis.theContext.suspend());
await until("reported", () => logged("interrupted").length === 2);
assert.equal(logged("interrupted")[1].what.why, "this device held up its sound");
scene("a device that holds up its sound reports it");

// --- pieces abut ---
const seam = await lead.evaluate(async () => {
  const { renderOffline } = await import("/assets/line/player.js");
  const rate = 48_000;
  const whole = Float32Array.from({ length: 3 * rate }, (_, n) => Math.sin(n / 7) * 0.5);
  const cuts = [0, 17_001, 61_440, 61_441, 3 * rate];
  const buffers = new Map();
  const pieces = cuts.slice(0, -1).map((at, n) => {
    const part = whole.slice(at, cuts[n + 1]);
    const buffer = new AudioBuffer({ length: part.length, sampleRate: rate, numberOfChannels: 1 });
    buffer.copyToChannel(part, 0);
    buffers.set(n, buffer);
    return { n, at_s: at / rate, length_s: part.length / rate, url: "" };
  });
  const sound = { sample_rate: rate, zero_s: 1, duration_s: 3, track_url: "", pieces };
  const worst = [];
  for (const [zero, from] of [
    [1.5, 0],
    [1.25, 0.9],
    [0.4, 0.1],
  ]) {
    const out = (await renderOffline(sound, buffers, zero, from, 4)).getChannelData(0);
    const begin = Math.round((zero - 1) * rate);
    let bad = 0;
    for (let n = Math.max(0, Math.round(from * rate)); n < out.length; n += 1) {
      bad = Math.max(bad, Math.abs(out[n] - (whole[n - begin] ?? 0)));
    }
    worst.push(bad);
  }
  return worst;
});
for (const bad of seam) assert.ok(bad < 1e-6, `differs by ${bad}`);
scene("pieces played by the plan are the track, sample by sample, from wherever it begins");

assert.deepEqual(errors, []);
await browser.close();
mock.stop();

// The whole ir1 as a phone plays it: the server's pieces, decoded by Chromium and started by the page's own
// plan on one audio clock, written to a file and listened to by the binary. Every cue within 3 ms.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { closeSync, mkdtempSync, openSync, rmSync, writeSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { launch } from "./chromium.mjs";
import { binary, serve } from "./server.mjs";

/** Onsets may lie so far from the timeline, ms. */
const ALLOWED_MS = 3;
/** Cue time 0 on the audio clock: an instant off every round number, s. */
const ZERO_S = 7.4321;

/** Header of a WAV file: PCM, 16 bits, one channel. */
function header(/** @type {number} */ rate, /** @type {number} */ bytes) {
  const head = Buffer.alloc(44);
  head.write("RIFF", 0);
  head.writeUInt32LE(36 + bytes, 4);
  head.write("WAVEfmt ", 8);
  head.writeUInt32LE(16, 16);
  head.writeUInt16LE(1, 20);
  head.writeUInt16LE(1, 22);
  head.writeUInt32LE(rate, 24);
  head.writeUInt32LE(rate * 2, 28);
  head.writeUInt16LE(2, 32);
  head.writeUInt16LE(16, 34);
  head.write("data", 36);
  head.writeUInt32LE(bytes, 40);
  return head;
}

const { url, server } = await serve(["--rehearse"]);
const browser = await launch();
const folder = mkdtempSync(join(tmpdir(), "listened-"));
try {
  const page = await (await browser.newContext({ bypassCSP: true })).newPage();
  const today = await (await fetch(url)).text();
  const wave = /\/line\/([0-9a-f-]{36})/.exec(today)?.[1];
  await page.goto(`${url}/line/${wave}`);
  const path = join(folder, "played.wav");
  const file = openSync(path, "w");
  writeSync(file, header(48_000, 0));
  let bytes = 0;
  await page.exposeFunction("take", (/** @type {string} */ part) => {
    bytes += writeSync(file, Buffer.from(part, "base64"));
  });
  const played = await page.evaluate(
    async ([where, zero_s]) => {
      const plan = /** @type {string} */ ("/assets/line/plan.js");
      const { startsFrom } = await import(plan);
      const sound = await (await fetch(`${where}/sound`)).json();
      const length = Math.ceil((zero_s - sound.zero_s + sound.duration_s) * sound.sample_rate);
      const context = new OfflineAudioContext(1, length, sound.sample_rate);
      for (const start of startsFrom(sound, zero_s, 0)) {
        const piece = sound.pieces.find((/** @type {any} */ p) => p.n === start.n);
        const raw = await (await fetch(piece.url)).arrayBuffer();
        const node = context.createBufferSource();
        node.buffer = await context.decodeAudioData(raw);
        node.connect(context.destination);
        node.start(start.when_s, start.offset_s);
      }
      const samples = (await context.startRendering()).getChannelData(0);
      const step = 20 * sound.sample_rate;
      for (let from = 0; from < samples.length; from += step) {
        const part = samples.subarray(from, from + step);
        const whole = Int16Array.from(part, (x) =>
          Math.round(Math.max(-1, Math.min(1, x)) * 32767),
        );
        let text = "";
        const raw = new Uint8Array(whole.buffer);
        for (let n = 0; n < raw.length; n += 8192)
          text += String.fromCharCode(...raw.subarray(n, n + 8192));
        await /** @type {any} */ (globalThis).take(btoa(text));
      }
      return { rate: sound.sample_rate, pieces: sound.pieces.length };
    },
    /** @type {[string, number]} */ ([`/api/waves/${wave}`, ZERO_S]),
  );
  writeSync(file, header(played.rate, bytes), 0, 44, 0);
  closeSync(file);
  const heard = JSON.parse(
    execFileSync(binary, ["listen", path, "--json"], { encoding: "utf8", maxBuffer: 1 << 26 }),
  );
  assert.equal(heard.test, "ir1");
  assert.equal(heard.cues_heard, heard.cues_expected);
  assert.equal(heard.cues.length, 273, "start, turn and finish of 91 bouts");
  assert.deepEqual(heard.gaps, []);
  let worst = 0;
  for (const cue of heard.cues) {
    const at_ms = (cue.heard_s - ZERO_S - cue.timeline_s) * 1000;
    worst = Math.max(worst, Math.abs(at_ms));
  }
  assert.ok(worst <= ALLOWED_MS, `a cue lies ${worst} ms off`);
  process.stdout.write(
    `ok  ir1 out of Web Audio: ${heard.cues.length} cues of ${played.pieces} pieces within ${worst.toFixed(3)} ms\n`,
  );
} catch (error) {
  process.stdout.write(`FAIL ir1 out of Web Audio: ${/** @type {Error} */ (error).stack}\n`);
  process.exitCode = 1;
} finally {
  await browser.close();
  server.kill();
  rmSync(folder, { recursive: true });
}

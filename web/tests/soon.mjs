// Who may stop next, on the line screen: in rests only, for the lead; an assessor asks for it by a switch.
// No target moves or shrinks when a mark comes and goes. Pictures go to LOOK_DIR.

import assert from "node:assert/strict";
import { mkdir, readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { launch } from "./chromium.mjs";
import { shuttles } from "./fixtures.mjs";
import { startMock } from "./mock.mjs";
import { until } from "./server.mjs";

const OUT = process.env.LOOK_DIR ?? join(tmpdir(), "line-soon");
/** 15 mm at 96 px to the inch, px. */
const TARGET = (15 / 25.4) * 96;
await mkdir(OUT, { recursive: true });
const axe = await readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const browser = await launch();
const scene = (text) => process.stdout.write(`ok  ${text}\n`);

/** Anchors the wave so many ms after the end of bout `n`, or before it. */
function runs(mock, n, after_ms) {
  const { finish_ms } = mock.timeline.bouts[n - 1];
  const zero_ms = Date.now() - finish_ms - after_ms;
  const event = (what, seq, cue_ms) => ({
    v: 1,
    id: `00000000-0000-7000-8000-00000000${n}${seq}0`.padEnd(36, "0").slice(0, 36),
    device: "other",
    seq,
    order: 1 + seq,
    at_ms: Date.now(),
    cue_ms,
    role: "lead",
    what,
  });
  mock.take(
    [
      event({ kind: "anchored", zero_ms, pm_ms: 12 }, 1, null),
      event({ kind: "started", lanes: [1, 2, 3, 4, 5, 6, 7, 8] }, 2, 0),
      event({ kind: "stop", lane: 6, reason: "exhaustion" }, 3, finish_ms - 30_000),
    ],
    "lead",
  );
}

/** The boxes of all buttons of the lanes. */
const boxes = (page) =>
  page.evaluate(() =>
    [...document.querySelectorAll(".lane button")].map((b) => {
      const { x, y, width, height } = b.getBoundingClientRect();
      return [x, y, width, height];
    }),
  );
const marks = (page) =>
  page.evaluate(() =>
    [...document.querySelectorAll(".lane")]
      .filter((l) => !l.querySelector(".soon").hidden)
      .map((l) => Number(l.dataset.lane)),
  );

for (const role of ["lead", "assessor", "medic"]) {
  for (const light of ["day", "dusk"]) {
    const mock = await startMock({ timeline: shuttles({ rest_s: 12 }) });
    mock.watch = [
      { lane: 2, name: "a", probability: 0.71, why: "" },
      { lane: 5, name: "b", probability: 0.5, why: "" },
      { lane: 6, name: "c", probability: 0.9, why: "" },
      { lane: 1, name: "d", probability: 0.49, why: "" },
      { lane: 3, name: "e", probability: null, why: "" },
    ];
    const page = await browser.newPage({
      viewport: { width: 390, height: 844 },
      hasTouch: true,
      bypassCSP: true,
    });
    const faults = [];
    page.on("pageerror", (e) => faults.push(e.message));
    const url = `http://127.0.0.1:${mock.port}`;
    await page.context().addCookies([{ name: "plimsoll", value: role, url }]);
    await page.addInitScript((l) => localStorage.setItem("plimsoll.light", l), light);
    await page.goto(`${url}/line/w1`);
    await page.waitForSelector(".lane");
    // Two seconds before the end of a bout, then its rest of twelve.
    runs(mock, 9, -2500);
    await page.waitForSelector('.lane[data-status="running"]');
    await page.waitForTimeout(700);
    assert.deepEqual(await marks(page), [], `${role}: no mark while they run`);
    assert.equal(mock.watched.length, 0, `${role}: nothing asked while they run`);
    const before = await boxes(page);
    if (role === "assessor") {
      await page.waitForTimeout(3500);
      assert.deepEqual(await marks(page), [], "who judges is not told");
      assert.equal(mock.watched.length, 0, "nor does the device know");
      await page.getByRole("button", { name: "◇ may stop" }).tap();
    }
    await until(`${role}: marks`, async () => (await marks(page)).length > 0, 8000);
    assert.deepEqual(await marks(page), [2, 5], "an even chance or more, and still running");
    assert.deepEqual(mock.watched, [{ role, bout: 9 }], "one question a rest");
    const during = await boxes(page);
    assert.deepEqual(during, before, `${role}: no target moved`);
    const shown = during.filter(([, , width]) => width > 0);
    assert.ok(
      shown.every(([, , w, h]) => w >= TARGET - 0.6 && h >= TARGET - 0.6),
      "15 mm or more",
    );
    const laid = await page.evaluate(() => {
      const inside = (a, b) => a.left >= b.left && a.right <= b.right && a.top >= b.top;
      return [...document.querySelectorAll(".soon:not([hidden])")].map((s) => {
        const box = s.getBoundingClientRect();
        const row = s.closest(".who").getBoundingClientRect();
        const over = [...s.closest(".who").querySelectorAll(".name, .mark, .verb, .bib")].filter(
          (other) => {
            const range = document.createRange();
            range.selectNodeContents(other);
            const o = range.getBoundingClientRect();
            return (
              o.width > 0 &&
              box.left < Math.min(o.right, other.getBoundingClientRect().right) &&
              box.right > o.left &&
              box.top + 2 < o.bottom &&
              box.bottom - 2 > o.top
            );
          },
        );
        return { inside: inside(box, row), over: over.map((o) => o.className) };
      });
    });
    assert.ok(
      laid.every((l) => l.inside && l.over.length === 0),
      JSON.stringify(laid),
    );
    await page.screenshot({ path: join(OUT, `soon-${role}-${light}.png`) });
    const name = await page.locator('.lane[data-lane="2"] .who').textContent();
    assert.ok(name.includes("◇ soon"), "the shape and a word");
    await page.evaluate(axe);
    const result = await page.evaluate(() =>
      globalThis.axe.run(document, { rules: { "color-contrast-enhanced": { enabled: true } } }),
    );
    assert.deepEqual(
      result.violations.map((v) => `${v.id} ${v.nodes[0].target}`),
      [],
    );
    await until(`${role}: the next bout`, async () => (await marks(page)).length === 0, 15_000);
    assert.deepEqual(await boxes(page), before, `${role}: nothing moved when the marks went`);
    if (role === "assessor") {
      await page.reload();
      await page.waitForSelector(".lane");
      const on = await page
        .getByRole("button", { name: "◇ may stop" })
        .getAttribute("aria-pressed");
      assert.equal(on, "false", "asked for anew each time");
    }
    assert.deepEqual(faults, []);
    await page.close();
    mock.stop();
    scene(`${role}, ${light}: marks in the rest alone, no target moved`);
  }
}
await browser.close();

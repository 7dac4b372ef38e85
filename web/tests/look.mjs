// Opens the line screen in Chromium at three sizes and two lights, takes pictures, measures targets
// and runs the accessibility rules. Pictures go to the folder in LOOK_DIR.

import { mkdir, readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { launch } from "./chromium.mjs";
import { startMock } from "./mock.mjs";

const OUT = process.env.LOOK_DIR ?? join(tmpdir(), "line-look");
const SIZES = [
  [390, 844],
  [360, 640],
  [1280, 800],
];
/** 15 mm at 96 px to the inch, px. */
const TARGET = (15 / 25.4) * 96;

await mkdir(OUT, { recursive: true });
const axe = await readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const browser = await launch(["--autoplay-policy=no-user-gesture-required"]);
let bad = 0;
const fault = (text) => {
  bad += 1;
  process.stdout.write(`FAULT ${text}\n`);
};

for (const [width, height] of SIZES) {
  for (const light of ["day", "dusk"]) {
    for (const role of ["assessor", "lead"]) {
      const mock = await startMock();
      const page = await browser.newPage({
        viewport: { width, height },
        hasTouch: width < 1000,
        bypassCSP: true,
      });
      page.on("pageerror", (e) => fault(`page error: ${e.message}`));
      page.on("console", (m) => m.type() === "error" && fault(`console: ${m.text()}`));
      await page
        .context()
        .addCookies([{ name: "plimsoll", value: role, url: `http://127.0.0.1:${mock.port}` }]);
      await page.addInitScript((l) => localStorage.setItem("plimsoll.light", l), light);
      await page.goto(`http://127.0.0.1:${mock.port}/line/w1`);
      await page.waitForSelector(".lane");
      const name = `${width}x${height}-${light}-${role}`;
      await page.waitForTimeout(600);
      await page.screenshot({ path: join(OUT, `${name}-0.png`) });
      const bout = mock.timeline.bouts[9];
      const other = (what, seq, cue_ms, device = "other") => ({
        v: 1,
        id: `00000000-0000-7000-8000-0000000000${10 + seq}`,
        device,
        seq,
        order: 2 + seq,
        at_ms: Date.now(),
        cue_ms,
        role: "assessor",
        by: "Odo Brant",
        what,
      });
      mock.take(
        [
          other({ kind: "anchored", zero_ms: Date.now() - bout.start_ms - 3000, pm_ms: 12 }, 1),
          other({ kind: "started", lanes: [1, 2, 3, 4, 5, 6, 7, 8] }, 2, 0),
          other({ kind: "miss", lane: 2 }, 3, 60_000),
          other({ kind: "miss", lane: 5 }, 4, 60_000),
          other({ kind: "miss", lane: 5 }, 5, 90_000),
          other({ kind: "stop", lane: 6, reason: "injury" }, 6, bout.start_ms - 20_000),
        ],
        "assessor",
      );
      await page.waitForSelector('.lane[data-status="running"]');
      await page.click('.lane[data-lane="3"] .who');
      await page.click('.lane[data-lane="4"] .stop');
      await page.click('.lane[data-lane="8"] .more');
      await page.waitForTimeout(400);
      await page.screenshot({ path: join(OUT, `${name}-1.png`) });
      const small = await page.evaluate((target) => {
        const found = [];
        for (const b of document.querySelectorAll("button, a.button-quiet, a.button")) {
          const r = b.getBoundingClientRect();
          if (r.width > 0 && (r.width < target - 0.6 || r.height < target - 0.6))
            found.push(
              `${b.className}/${b.textContent} ${r.width.toFixed(1)}×${r.height.toFixed(1)}`,
            );
          if (r.width > 0 && b.scrollWidth > b.clientWidth + 1)
            found.push(`cut off: ${b.textContent}`);
        }
        return found;
      }, TARGET);
      for (const s of small) fault(`${name} target: ${s}`);
      const fit = await page.evaluate(() => {
        const last = document.querySelector(".lane:last-child").getBoundingClientRect();
        const undo = document.querySelector(".undo").getBoundingClientRect();
        return {
          last: last.bottom,
          undo: undo.top,
          wide: document.documentElement.scrollWidth - innerWidth,
        };
      });
      process.stdout.write(
        `${name}: last lane ends at ${fit.last.toFixed(0)}, undo begins at ${fit.undo.toFixed(0)}, too wide by ${fit.wide}\n`,
      );
      await page.evaluate(axe);
      const result = await page.evaluate(() =>
        globalThis.axe.run(document, {
          runOnly: [
            "wcag2a",
            "wcag2aa",
            "wcag21a",
            "wcag21aa",
            "wcag22aa",
            "wcag2aaa",
            "best-practice",
          ],
          rules: { "color-contrast-enhanced": { enabled: true } },
        }),
      );
      for (const v of result.violations)
        fault(
          `${name} axe ${v.id}: ${v.nodes
            .slice(0, 3)
            .map((n) => `${n.target} ${n.failureSummary?.split("\n")[1] ?? ""}`)
            .join(" | ")}`,
        );
      if (role === "lead" && light === "day") {
        mock.take(
          [
            other(
              { kind: "interrupted", why: "The loudspeaker fell silent" },
              7,
              bout.start_ms + 4000,
            ),
            other({ kind: "miss", lane: 1, bout: 3, cue: 2 }, 8, 50_000),
            other({ kind: "reached", lane: 1, bout: 3, cue: 2 }, 21, 50_500, "third"),
          ].map((e, n) => ({ ...e, id: e.id.slice(0, -2) + (30 + n) })),
          "assessor",
        );
        mock.extra = (s) => {
          s.conflicts = [
            {
              lane: 1,
              kind: "miss",
              about: "miss:3.2",
              ruled: false,
              calls: s.lanes[0].misses[0]?.calls ?? [],
            },
          ];
        };
        mock.tell();
        await page.waitForTimeout(500);
        await page.screenshot({ path: join(OUT, `${name}-2.png`) });
      }
      await page.close();
      mock.stop();
    }
  }
}
for (const light of ["day", "dusk"]) {
  const mock = await startMock();
  const page = await browser.newPage({ viewport: { width: 700, height: 1300 }, bypassCSP: true });
  await page.addInitScript((l) => localStorage.setItem("plimsoll.light", l), light);
  await page.goto(`http://127.0.0.1:${mock.port}/assets/tests/parts.html`);
  await page.waitForTimeout(200);
  await page.screenshot({ path: join(OUT, `parts-${light}.png`) });
  await page.evaluate(axe);
  const rules = { "color-contrast-enhanced": { enabled: true } };
  const found = await page.evaluate((r) => globalThis.axe.run(document, { rules: r }), rules);
  for (const v of found.violations) fault(`parts ${light} axe ${v.id}: ${v.nodes[0].target}`);
  await page.close();
  mock.stop();
}
await browser.close();
process.stdout.write(bad > 0 ? `${bad} faults\n` : "no faults\n");
process.exitCode = bad > 0 ? 1 : 0;

// Pictures of every page of a rehearsed day, at phone and laptop size, by day and dusk, into docs/pages.
// Usage: npm run shots. Look at them: nothing overlaps, everything can be read.

import { mkdirSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { launch } from "./chromium.mjs";
import { submit } from "./club.mjs";
import { serve, until } from "./server.mjs";

const OUT = fileURLToPath(new URL("../../docs/pages", import.meta.url));
const SIZES = [
  { size: "phone", viewport: { width: 390, height: 844 } },
  { size: "laptop", viewport: { width: 1280, height: 800 } },
];
const LIGHTS = ["day", "dusk"];

const { url, server } = await serve(["--rehearse"]);
const browser = await launch();
mkdirSync(OUT, { recursive: true });
for (const old of readdirSync(OUT)) if (old.endsWith(".webp")) rmSync(join(OUT, old));
let taken = 0;

/** Opens a page at every size in every light; the cookie is a guest's. */
async function each(/** @type {(page: any, name: string) => Promise<void>} */ work, cookie = "") {
  for (const { size, viewport } of SIZES) {
    for (const light of LIGHTS) {
      const context = await browser.newContext({ viewport });
      if (cookie) {
        const [name, value] = cookie.split("=");
        await context.addCookies([{ name: name ?? "", value: value ?? "", url }]);
      }
      await context.addInitScript((l) => localStorage.setItem("plimsoll.light", l), light);
      const page = await context.newPage();
      await work(page, `${size}-${light}`);
      await context.close();
    }
  }
}

async function shoot(/** @type {any} */ page, /** @type {string} */ name, whole = true) {
  const session = await page.context().newCDPSession(page);
  const { cssContentSize } = await session.send("Page.getLayoutMetrics");
  const { width, height } = page.viewportSize();
  const tall = whole ? Math.min(cssContentSize.height, 6000) : height;
  const clip = { x: 0, y: 0, width, height: Math.max(tall, height), scale: 1 };
  const { data } = await session.send("Page.captureScreenshot", {
    format: "webp",
    quality: 80,
    captureBeyondViewport: whole,
    clip,
  });
  writeFileSync(join(OUT, `${name}.webp`), Buffer.from(data, "base64"));
  taken += 1;
}

try {
  const today = await (await fetch(url)).text();
  const day = /\/plan\/([0-9a-f-]{36})/.exec(today)?.[1];
  const wave = /\/line\/([0-9a-f-]{36})/.exec(today)?.[1];
  await submit(`${url}/checks/${day}`, `/checks/${day}/course`, [
    ["left_m", "20.02"],
    ["right_m", "19.86"],
    ["diagonal_a_m", "28.20"],
    ["diagonal_b_m", "28.31"],
  ]);
  await submit(`${url}/checks/${day}`, `/checks/${day}/conditions`, [
    ["temperature_c", "27"],
    ["humidity_percent", "55"],
    ["wind_m_s", "1.5"],
    ["wind_from_deg", "220"],
    ["lanes_deg", "40"],
    ["globe_c", "39"],
    ["surface", "grass"],
  ]);
  await submit(`${url}/checks/${day}`, `/checks/${day}/emergency`, [
    ["venue", "Lower field"],
    ["calls", "The lead"],
    ["phone", "112"],
    ["fetches_aed", "Assessor 1"],
    ["aed_place", "Wall by the changing rooms"],
    ["address", "1 Meadow Lane, east gate"],
    ["aed_walk_s", "70"],
  ]);
  const here = /\/here\/([0-9A-Z]+)/.exec(await (await fetch(`${url}/arrival/${day}`)).text())?.[1];
  const code = /Code <strong>([0-9A-Z]+)/.exec(
    await (await fetch(`${url}/wave/${wave}`)).text(),
  )?.[1];
  const person = /\/person\/[0-9a-f-]{36}/.exec(await (await fetch(`${url}/people`)).text())?.[0];
  const before = {
    today: "/",
    people: "/people",
    definitions: "/library",
    definition: "/library/ir1",
    archive: "/archive",
    join: `/join/${code}`,
    here: `/here/${here}`,
    plan: `/plan/${day}`,
    briefing: `/briefing/${day}`,
    person: person ?? "/people",
    "person-change": person ? `${person}/change` : "/people",
    checks: `/checks/${day}`,
    arrival: `/arrival/${day}`,
    medic: `/medic/${day}`,
    wave: `/wave/${wave}`,
    script: `/rehearsal/${wave}`,
    typed: `/typed/${wave}`,
    choose: "/choose",
    study: "/study",
    change: "/change?test=ir1&from=1480&to=1640&error=4.9%25",
    mixed: "/mixed?test=ir1",
    reference: "/reference",
  };
  await each(async (page, name) => {
    for (const [what, path] of Object.entries(before)) {
      await page.goto(url + path);
      await shoot(page, `${what}-${name}`);
    }
  });

  const joined = await fetch(`${url}/join/${code}`, {
    method: "POST",
    redirect: "manual",
    headers: { origin: new URL(url).origin, "content-type": "application/x-www-form-urlencoded" },
    body: "name=Odo",
  });
  const guest = (joined.headers.get("set-cookie") ?? "").split(";")[0] ?? "";
  await submit(`${url}/wave/${wave}`, `/wave/${wave}/rehearse`, [
    ["speed", "20"],
    ["judged", "simulated"],
  ]);
  const view = async () => (await fetch(`${url}/api/waves/${wave}`)).json();
  const running = async () =>
    (await view()).state.lanes.filter((/** @type {any} */ l) => l.status === "running").length;
  await until("some have stopped", async () => (await running()) < 21, 60_000);
  for (const [who, cookie] of [
    ["lead", ""],
    ["assessor", guest],
  ]) {
    await each(async (page, name) => {
      await page.goto(`${url}/line/${wave}`);
      await page.waitForSelector('.lane[data-status="running"]');
      await page.waitForTimeout(400);
      await shoot(page, `line-${who}-${name}`, false);
    }, cookie);
  }
  await until("all have stopped", async () => (await running()) === 0, 120_000);
  await each(async (page, name) => {
    await page.goto(`${url}/close/${wave}`);
    await shoot(page, `close-${name}`);
  });
  await each(async (page, name) => {
    await page.goto(`${url}/after/${wave}`);
    await shoot(page, `after-${name}`);
  }, guest);
  await submit(`${url}/close/${wave}`, `/close/${wave}`, [["by", "The lead"]]);
  await each(async (page, name) => {
    await page.goto(`${url}/results/${day}`);
    await shoot(page, `results-${name}`);
    await page.goto(`${url}/questions/${day}?cut=600m`);
    await shoot(page, `questions-${name}`);
    await page.goto(`${url}/train/${day}`);
    await shoot(page, `train-${name}`);
  });
  process.stdout.write(`${taken} pictures in docs/pages\n`);
} finally {
  await browser.close();
  server.kill();
}

// Every page of the real server, at phone and laptop size, day and dusk: axe-core finds nothing, nothing
// scrolls sideways. The binary is named by PLIMSOLL.

import { readFileSync } from "node:fs";
import { launch } from "./chromium.mjs";
import { serve } from "./server.mjs";

const axe = readFileSync(new URL("../node_modules/axe-core/axe.min.js", import.meta.url), "utf8");
const { url, server } = await serve(["--rehearse"]);
const browser = await launch();

let failed = 0;
try {
  const today = await (await fetch(url)).text();
  const day = /\/plan\/([0-9a-f-]{36})/.exec(today)?.[1];
  const wave = /\/line\/([0-9a-f-]{36})/.exec(today)?.[1];
  const here = /\/here\/[0-9A-Z]+/.exec(await (await fetch(`${url}/arrival/${day}`)).text())?.[0];
  const person = /\/person\/[0-9a-f-]{36}/.exec(await (await fetch(`${url}/people`)).text())?.[0];
  const paths = ["/", "/people", "/library", "/library/ir1", "/archive", "/join"];
  paths.push(`/plan/${day}`, `/checks/${day}`, `/arrival/${day}`, `/medic/${day}`);
  paths.push(`/briefing/${day}`, "/choose", "/study", "/mixed?test=ir1", "/reference");
  paths.push("/change?test=ir1&from=1480&to=1640");
  paths.push(here ?? "no code", person ?? "nobody", person ? `${person}/change` : "nobody");
  paths.push(
    `/wave/${wave}`,
    `/rehearsal/${wave}`,
    `/typed/${wave}`,
    `/after/${wave}`,
    `/close/${wave}`,
    `/line/${wave}`,
  );
  for (const [width, height] of [
    [390, 844],
    [360, 640],
    [1280, 800],
  ]) {
    for (const colorScheme of /** @type {const} */ (["light", "dark"])) {
      // The policy of the pages forbids foreign scripts, axe among them.
      const context = await browser.newContext({
        bypassCSP: true,
        colorScheme,
        viewport: { width, height },
      });
      const page = await context.newPage();
      for (const path of paths) {
        const answer = await page.goto(url + path);
        await page.evaluate(axe);
        const found = await page.evaluate("axe.run()");
        const faults = found.violations.map((/** @type {{id: string}} */ v) => v.id);
        if (answer?.status() !== 200) faults.push(`status ${answer?.status()}`);
        if (await page.evaluate("document.documentElement.scrollWidth > innerWidth"))
          faults.push("scrolls sideways");
        const name = `${path.replace(/[0-9a-f-]{36}/, "…")} at ${width}, ${colorScheme}`;
        process.stdout.write(
          faults.length ? `FAIL ${name}: ${faults.join(", ")}\n` : `ok  ${name}\n`,
        );
        failed += faults.length ? 1 : 0;
      }
      await context.close();
    }
  }
} finally {
  await browser.close();
  server.kill();
}
process.exitCode = failed ? 1 : 0;

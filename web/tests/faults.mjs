// Waves of 24 runners and 3 assessors in simulated time, with the real server process and the real outbox
// of the line screen: the server is killed, phones are killed, the network drops, delays, doubles and
// reorders. Nothing acknowledged is lost, nothing counts twice, the outcomes are those without faults.
// Usage: node tests/faults.mjs [WAVES]. The seed of a wave is its number.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { cpSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { uuid7 } from "../line/ids.js";
import { answered, batchOf, record, restored, sawView } from "../line/queue.js";
import { keep, keptOf, quickShelf } from "../line/store.js";
import { ended, joinAll, makeClub } from "./club.mjs";
import { binary, serve } from "./server.mjs";

const WAVES = Number(process.argv[2] ?? 30);
/** Step of simulated time, ms. */
const STEP = 5_000;

/** A seeded generator of numbers from 0 to 1: splitmix64 (Steele, Lea & Flood 2014). */
function generator(/** @type {number} */ seed) {
  let state = BigInt(seed) * 0x9e3779b97f4a7c15n;
  return () => {
    state = (state + 0x9e3779b97f4a7c15n) & 0xffffffffffffffffn;
    let z = state;
    z = ((z ^ (z >> 30n)) * 0xbf58476d1ce4e5b9n) & 0xffffffffffffffffn;
    z = ((z ^ (z >> 27n)) * 0x94d049bb133111ebn) & 0xffffffffffffffffn;
    return Number((z ^ (z >> 31n)) >> 11n) / 2 ** 53;
  };
}

/** Storage of a phone: what is in it outlives the page. */
function storage() {
  return new Proxy(/** @type {any} */ ({}), {
    get: (all, key) =>
      ({
        getItem: (/** @type {string} */ k) => all[k] ?? null,
        setItem: (/** @type {string} */ k, /** @type {string} */ v) => {
          all[k] = v;
        },
        removeItem: (/** @type {string} */ k) => delete all[k],
      })[String(key)],
    ownKeys: (all) => Reflect.ownKeys(all),
    getOwnPropertyDescriptor: (all, key) => Reflect.getOwnPropertyDescriptor(all, key),
  });
}

/** What assessors do: misses, an undo now and then, an early start, a stop for everyone. */
function scripted(
  /** @type {any[]} */ bouts,
  /** @type {number[][]} */ lanes,
  /** @type {() => number} */ random,
) {
  /** @type {{at: number, who: number, what: any, undo?: boolean}[]} */
  const lines = [];
  for (const [who, own] of lanes.entries()) {
    for (const lane of own) {
      const last = 3 + Math.floor(random() * 40);
      const finish = (/** @type {number} */ n) => bouts[n - 1].finish_ms;
      const calls = Math.floor(random() * 3);
      for (let n = 0; n < calls; n += 1) {
        const bout = 1 + Math.floor(random() * (last - 1));
        const cue = bouts[bout - 1].cues.length;
        const what = { kind: "miss", lane, bout, cue };
        const at = finish(bout) + 500;
        lines.push({ at, who, what });
        if (random() < 0.4) lines.push({ at: at + 1_500, who, what, undo: true });
      }
      if (random() < 0.3) {
        const at = finish(1 + Math.floor(random() * last)) + 9_000;
        lines.push({ at, who, what: { kind: "early_start", lane } });
      }
      const reason = random() < 0.1 ? "injury" : "exhaustion";
      lines.push({ at: finish(last) + 3_000, who, what: { kind: "stop", lane, reason } });
    }
  }
  return lines.sort((a, b) => a.at - b.at);
}

const tally = { kills: 0, phones: 0, lost: 0, unanswered: 0, late: 0, events: 0 };

/**
 * Runs a wave; returns what it came to.
 * @param {string} archive
 * @param {string} wave
 * @param {number} seed
 * @param {boolean} faulty
 */
async function run(archive, wave, seed, faulty) {
  const random = generator(seed);
  const fate = generator(seed + 1_000_003);
  const chance = (/** @type {number} */ p) => faulty && fate() < p;
  let { url, server } = await serve([], ["--archive", archive]);
  const api = () => `${url}/api/waves/${wave}`;
  const cookies = await joinAll(url, wave);
  const { bouts } = await (await fetch(`${api()}/timeline`)).json();
  const first = await (await fetch(api())).json();
  const lanes = first.state.opening.assessors.map((/** @type {any} */ a) => a.lanes);
  const script = scripted(bouts, lanes, random);
  /** @type {Set<string>} */
  const acknowledged = new Set();
  /** @type {(() => Promise<unknown>)[]} messages still on the way */
  let underway = [];

  const phones = cookies.map((cookie, n) => ({
    cookie,
    disk: storage(),
    box: restored(`phone-${n + 1}`, {}, []),
    /** @type {Map<string, string>} own actions that may be taken back */
    done: new Map(),
  }));
  const put = (/** @type {any} */ phone, /** @type {any} */ next) => {
    keep([quickShelf(phone.disk, wave)], phone.disk, wave, phone.box, next);
    phone.box = next;
  };
  const post = (/** @type {string} */ cookie, /** @type {any[]} */ events) =>
    fetch(`${api()}/events`, {
      method: "POST",
      headers: {
        cookie,
        origin: new URL(url).origin,
        "x-plimsoll": "1",
        "content-type": "application/json",
      },
      body: JSON.stringify({ events }),
    }).then(async (answer) => {
      const body = await answer.json();
      if (answer.ok) return body;
      if (answer.status === 429) return null;
      throw new Error(`${answer.status} ${JSON.stringify(body)}`);
    });
  /** What the server says is on disk when it says so is held against it. */
  const heard = (/** @type {any} */ answer) => {
    for (const id of answer?.acknowledged ?? []) acknowledged.add(id);
    assert.deepEqual(answer?.refused ?? [], [], "refused");
    return answer;
  };

  async function deliver(/** @type {any} */ phone) {
    const batch = batchOf(phone.box);
    if (batch.length === 0) return;
    if (chance(0.2)) {
      tally.lost += 1;
      return;
    }
    if (chance(0.15)) {
      // It arrives some steps later, behind what is sent after it.
      tally.late += 1;
      underway.push(() => post(phone.cookie, batch).then(heard));
      return;
    }
    const answer = await post(phone.cookie, batch).then(heard);
    if (chance(0.2)) tally.unanswered += 1;
    else if (answer) put(phone, answered(phone.box, answer));
  }

  async function restart(/** @type {Promise<unknown>[]} */ inFlight) {
    await ended(server);
    await Promise.all(inFlight);
    ({ url, server } = await serve([], ["--archive", archive]));
    tally.kills += 1;
    const view = await (
      await fetch(api(), { headers: { cookie: phones[0]?.cookie ?? "" } })
    ).json();
    assert.ok(view.version >= acknowledged.size, "acknowledged events are there after a kill");
  }

  let at = 0;
  let next = 0;
  const end = (script.at(-1)?.at ?? 0) + STEP;
  for (let quiet = 0; quiet < 3; at += STEP) {
    while (next < script.length && (script[next]?.at ?? 0) <= at) {
      const line = /** @type {any} */ (script[next]);
      next += 1;
      const phone = /** @type {any} */ (phones[line.who]);
      const key = JSON.stringify(line.what);
      const what = line.undo ? { kind: "undo", event: phone.done.get(key) } : line.what;
      const cue = { cue_ms: line.at, pm_ms: 10 };
      const bytes = Uint8Array.from({ length: 10 }, () => Math.floor(random() * 256));
      const when = {
        id: uuid7(1_795_000_000_000 + line.at, bytes),
        at_ms: 1_795_000_000_000 + line.at,
        cue,
        role: "assessor",
      };
      const { box, event } = record(phone.box, what, when);
      phone.done.set(key, event.id);
      put(phone, box);
    }
    for (const phone of phones) {
      if (chance(0.05)) {
        // The page is gone; what comes back is what was on the device.
        tally.phones += 1;
        const left = await quickShelf(phone.disk, wave).all();
        phone.box = restored(
          phone.box.device,
          keptOf(phone.disk, wave, phone.box.device) ?? {},
          left,
        );
      }
      if (chance(0.1)) {
        const view = await (await fetch(api(), { headers: { cookie: phone.cookie } })).json();
        put(phone, sawView(phone.box, { version: view.version, order: view.state.order }));
      }
    }
    if (chance(0.02)) {
      // Killed while messages are being taken in.
      const inFlight = phones.map((phone) => {
        const batch = batchOf(phone.box);
        // Cut off without an answer: the phone knows nothing.
        return post(phone.cookie, batch).then(heard, () => null);
      });
      await new Promise((done) => setTimeout(done, fate() * 4));
      await restart(inFlight);
    }
    for (const phone of phones) await deliver(phone);
    const due = underway.filter(() => at > end || fate() < 0.3);
    underway = underway.filter((send) => !due.includes(send));
    for (const send of due.reverse()) await send();
    quiet =
      at > end && underway.length === 0 && phones.every((p) => p.box.waiting.length === 0)
        ? quiet + 1
        : 0;
  }
  const view = await (await fetch(api())).json();
  if (faulty) await restart([]);
  await ended(server);
  const log = execFileSync(binary, ["--archive", archive, "day", "log", wave], { encoding: "utf8" })
    .trim()
    .split("\n")
    .map((line) => JSON.parse(line));
  const ids = log.map((e) => e.id);
  const numbers = log.map((e) => `${e.device} ${e.seq}`);
  assert.equal(new Set(ids).size, ids.length, "an event twice");
  assert.equal(new Set(numbers).size, numbers.length, "a number twice");
  for (const id of acknowledged) assert.ok(ids.includes(id), `acknowledged and lost: ${id}`);
  assert.equal(log.length, script.length + 1, "every call once, beside the opening");
  if (faulty) tally.events += script.length;
  const lanesOf = view.state.lanes.map((/** @type {any} */ l) => ({
    lane: l.plan.lane,
    status: l.status,
    early: l.early_starts,
    misses: l.misses.map((/** @type {any} */ m) => [m.key, m.standing]),
    stop: [l.stop?.reason, l.stop?.completed?.bouts],
  }));
  return { results: view.results, lanes: lanesOf, conflicts: view.state.conflicts };
}

const folder = mkdtempSync(join(tmpdir(), "faults-"));
try {
  const club = join(folder, "club");
  const wave = await makeClub(club, "ir1", 24, 3);
  for (let seed = 1; seed <= WAVES; seed += 1) {
    const outcomes = [];
    for (const faulty of [false, true]) {
      const archive = join(folder, `${seed}-${faulty}`);
      cpSync(club, archive, { recursive: true });
      outcomes.push(await run(archive, wave, seed, faulty));
      rmSync(archive, { recursive: true });
    }
    assert.deepEqual(outcomes[1], outcomes[0], "the outcomes are those without faults");
  }
  assert.ok(tally.kills >= WAVES && tally.phones > 0 && tally.lost > 0 && tally.late > 0);
  process.stdout.write(
    `ok  ${WAVES} waves: ${tally.events} calls, ${tally.kills} kills of the server, ${tally.phones} of phones, ` +
      `${tally.lost} messages lost, ${tally.unanswered} unanswered, ${tally.late} late; ` +
      "no acknowledged event lost, none twice, outcomes as without faults\n",
  );
} catch (error) {
  process.stdout.write(`FAIL waves with faults: ${/** @type {Error} */ (error).stack}\n`);
  process.exitCode = 1;
} finally {
  rmSync(folder, { recursive: true, force: true });
}

// The outbox: every event arrives exactly once, whatever the network and the tab do.

import assert from "node:assert/strict";
import { test } from "node:test";
import { deviceName, uuid7 } from "../../line/ids.js";
import {
  answered,
  batchOf,
  emptyOutbox,
  forgotten,
  overlaid,
  record,
  remembered,
  restored,
  sawView,
} from "../../line/queue.js";
import { keep, keptOf, nameFor, quickShelf } from "../../line/store.js";
import { chance } from "../fixtures.mjs";

/** Storage as pages have it, in memory. */
class Memory {
  constructor() {
    Object.defineProperty(this, "limit", {
      value: Number.POSITIVE_INFINITY,
      writable: true,
      enumerable: false,
    });
  }
  getItem(key) {
    return Object.hasOwn(this, key) ? this[key] : null;
  }
  setItem(key, value) {
    if (value.length > this.limit) throw new Error("full");
    this[key] = String(value);
  }
  removeItem(key) {
    delete this[key];
  }
}

const bytes = (next) => (n) => Uint8Array.from({ length: n }, () => Math.floor(next() * 256));
const free = { taken: async () => false };

/** A server as in docs/formats/live.md: doubles by id are taken again, a number used twice is not. */
function server() {
  const log = new Map();
  const numbers = new Map();
  return {
    log,
    take(events) {
      const answer = { acknowledged: [], refused: [], version: 0 };
      for (const e of events) {
        const number = `${e.device}/${e.seq}`;
        if (!log.has(e.id) && numbers.has(number))
          answer.refused.push({ id: e.id, why: "number used" });
        else {
          log.set(e.id, e);
          numbers.set(number, e.id);
          answer.acknowledged.push(e.id);
        }
      }
      return { ...answer, version: log.size };
    },
  };
}

test("exactly once, with lost and late and doubled messages, reloads and killed tabs", async () => {
  for (let seed = 1; seed <= 60; seed += 1) {
    const next = chance(seed);
    const random = bytes(next);
    const local = new Memory();
    let session = new Memory();
    const shelf = quickShelf(local, "w");
    const far = server();
    /** @type {any[][]} requests under way; @type {any[]} answers under way */
    let requests = [];
    let answers = [];
    const made = [];
    const open = async () => {
      const device = await nameFor({ session, local, wave: "w", random, ...free });
      return restored(device, keptOf(local, "w", device) ?? {}, await shelf.all());
    };
    let box = await open();
    const set = (after) => {
      keep([shelf], local, "w", box, after);
      box = after;
    };
    for (let step = 0; step < 300; step += 1) {
      const dice = next();
      if (dice < 0.3) {
        const done = record(
          box,
          { kind: "miss", lane: 1 },
          { id: uuid7(step, random(10)), at_ms: step, role: "assessor" },
        );
        made.push(done.event);
        set(done.box);
      } else if (dice < 0.55) {
        requests.push(batchOf(box));
      } else if (dice < 0.75 && requests.length > 0) {
        const n = Math.floor(next() * requests.length);
        const fate = next();
        if (fate > 0.3) answers.push(far.take(requests[n]));
        if (fate < 0.7) requests.splice(n, 1);
      } else if (dice < 0.92 && answers.length > 0) {
        const n = Math.floor(next() * answers.length);
        const fate = next();
        if (fate > 0.3) set(answered(box, answers[n]));
        if (fate < 0.7) answers.splice(n, 1);
      } else if (dice < 0.96) {
        set(sawView(box, { version: far.log.size, order: Math.floor(next() * 50) }));
      } else {
        // Reload; sometimes the tab was killed and its session is gone, messages with it.
        if (next() < 0.5) session = new Memory();
        requests = [];
        answers = [];
        box = await open();
      }
    }
    for (let n = 0; batchOf(box).length > 0; n += 1) {
      assert.ok(n < 50, "the outbox empties");
      set(answered(box, far.take(batchOf(box))));
    }
    assert.deepEqual([...far.log.keys()].sort(), made.map((e) => e.id).sort(), `seed ${seed}`);
    assert.equal(
      new Set(made.map((e) => `${e.device}/${e.seq}`)).size,
      made.length,
      `seed ${seed}`,
    );
    assert.equal(box.refused.length, 0);
    const order = made.map((e) => e.order);
    assert.deepEqual(
      order,
      [...order].sort((a, b) => a - b),
      "order rises with what the device does",
    );
    assert.equal((await shelf.all()).length, 0, "nothing is left on the shelf");
  }
});

test("two tabs never share a name; a name left over is taken up again", async () => {
  const local = new Memory();
  const random = bytes(chance(3));
  const first = await nameFor({ session: new Memory(), local, wave: "w", random, ...free });
  const copied = new Memory();
  copied.setItem("plimsoll.device.w", first);
  const second = await nameFor({
    session: copied,
    local,
    wave: "w",
    random,
    taken: async (n) => n === first,
  });
  assert.notEqual(second, first);
  const third = await nameFor({
    session: new Memory(),
    local,
    wave: "w",
    random,
    taken: async (n) => n === second,
  });
  assert.equal(third, first);
  const other = await nameFor({ session: new Memory(), local, wave: "v", random, ...free });
  assert.ok(![first, second].includes(other), "a wave has names of its own");
});

test("a name whose numbers are lost is not used again", async () => {
  const session = new Memory();
  session.setItem("plimsoll.device.w", "left");
  const name = await nameFor({
    session,
    local: new Memory(),
    wave: "w",
    random: bytes(chance(5)),
    ...free,
  });
  assert.notEqual(name, "left");
});

test("numbers go on after the highest kept event even when the numbers themselves were not kept", () => {
  const { event } = record(
    { ...emptyOutbox("d"), next_seq: 9, order: 20 },
    { kind: "note", text: "x" },
    { id: "a", at_ms: 0, role: "lead" },
  );
  const box = restored("d", {}, [event, event]);
  assert.deepEqual([box.next_seq, box.order, box.waiting.length], [10, 21, 1]);
});

test("an acknowledged event stays laid over until a view has it", () => {
  const done = record(
    emptyOutbox("d"),
    { kind: "miss", lane: 1 },
    { id: "a", at_ms: 0, role: "lead" },
  );
  const held = answered(done.box, { acknowledged: ["a"], version: 7 });
  assert.deepEqual([held.waiting.length, overlaid(held).length], [0, 1]);
  assert.equal(overlaid(sawView(held, { version: 6, order: 0 })).length, 1);
  assert.equal(overlaid(sawView(held, { version: 7, order: 3 })).length, 0);
  assert.equal(sawView(held, { version: 7, order: 3 }).order, 3);
});

test("a refused event is set aside with the reason, and is not among the actions any more", () => {
  const done = record(
    emptyOutbox("d"),
    { kind: "miss", lane: 1 },
    { id: "a", at_ms: 0, role: "lead" },
  );
  const box = answered(remembered(done.box, done.event), {
    refused: [{ id: "a", why: "no such lane" }],
  });
  assert.equal(box.refused[0].why, "no such lane");
  assert.deepEqual([box.waiting.length, box.recent.length], [0, 0]);
});

test("a reason joins the stop it belongs to, and both are undone together", () => {
  let box = emptyOutbox("d");
  for (const [id, lane] of [
    ["a", 1],
    ["b", 2],
    ["c", 1],
  ]) {
    const done = record(
      box,
      { kind: "stop", lane, reason: "injury" },
      { id, at_ms: 0, role: "lead" },
    );
    box = remembered(done.box, done.event, id === "c");
  }
  assert.deepEqual(
    box.recent.map((a) => a.ids),
    [["b"], ["a", "c"]],
  );
  assert.deepEqual(
    forgotten(box, box.recent[1]).recent.map((a) => a.ids),
    [["b"]],
  );
});

test("cue times are whole and within the range of the format", () => {
  const at = (cue_ms) =>
    record(
      emptyOutbox("d"),
      { kind: "miss", lane: 1 },
      { id: "a", at_ms: 1.6, role: "lead", cue: { cue_ms, pm_ms: 3.2 } },
    ).event;
  assert.deepEqual([at(5.4).cue_ms, at(5.4).cue_pm_ms, at(5.4).at_ms], [5, 4, 2]);
  assert.equal(at(-1e9).cue_ms, -600_000);
  assert.equal(
    "cue_ms" in
      record(emptyOutbox("d"), { kind: "miss" }, { id: "a", at_ms: 0, role: "lead", cue: null })
        .event,
    false,
  );
});

test("a shelf that is full or holds rubbish harms nothing", async () => {
  const local = new Memory();
  local.setItem("plimsoll.event.w.x", "{not json");
  local.limit = 3;
  const shelf = quickShelf(local, "w");
  shelf.put({ id: "a", device: "d", seq: 1 });
  assert.deepEqual(await shelf.all(), []);
});

test("ids are UUIDs of version 7 that rise with time, and names fit the format", () => {
  const random = bytes(chance(11));
  let last = "";
  for (let n = 0; n < 500; n += 1) {
    const id = uuid7(1_700_000_000_000 + n, random(10));
    assert.match(id, /^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
    assert.ok(id > last);
    last = id;
    assert.match(deviceName(random(16)), /^[A-Za-z0-9_-]{1,40}$/);
  }
  assert.equal(uuid7(0x0123456789ab, new Uint8Array(10)).slice(0, 13), "01234567-89ab");
});

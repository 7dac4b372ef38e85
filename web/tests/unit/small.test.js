// Keys, undo places, back-off, signs, the plan of the sound, the strip.

import assert from "node:assert/strict";
import { test } from "node:test";
import { backOff } from "../../line/channel.js";
import { ACTION_KEYS, pressed, ROW_KEYS } from "../../line/keys.js";
import { sidesOf } from "../../line/lead.js";
import { heldUp, leadIn, startsFrom } from "../../line/plan.js";
import { signsOf } from "../../line/signs.js";
import { xOf } from "../../line/strip.js";
import { placed } from "../../line/undo.js";
import { chance } from "../fixtures.mjs";

test("a lane key arms, an action key acts, escape disarms", () => {
  assert.deepEqual(pressed(null, "3", 8), { armed: 2 });
  assert.deepEqual(pressed(2, "m", 8), { armed: null, act: { row: 2, action: "miss" } });
  assert.deepEqual(pressed(2, "e", 8), { armed: null, act: { row: 2, action: "early_start" } });
  assert.deepEqual(pressed(2, "Escape", 8), { armed: null });
  assert.deepEqual(pressed(null, "m", 8), { armed: null });
  assert.deepEqual(pressed(null, "u", 8), { armed: null, act: { row: null, action: "undo" } });
  assert.deepEqual(pressed(null, "9", 8), { armed: null });
  assert.deepEqual(pressed(null, "e", 20), { armed: ROW_KEYS.indexOf("e") });
  assert.equal(new Set(ROW_KEYS).size, ROW_KEYS.length);
  assert.ok(!ROW_KEYS.includes("u") && Object.keys(ACTION_KEYS).includes("u"));
});

test("an action keeps its place until another needs it", () => {
  let places = placed([null, null, null], ["a"]);
  assert.deepEqual(places, ["a", null, null]);
  places = placed(places, ["b", "a"]);
  places = placed(places, ["c", "b", "a"]);
  assert.deepEqual(places, ["a", "b", "c"]);
  places = placed(places, ["d", "c", "b", "a"]);
  assert.deepEqual(places, ["d", "b", "c"]);
  assert.deepEqual(placed(places, ["d", "b", "a"]), ["d", "b", "a"]);
});

test("back-off doubles, is spread, and has an end", () => {
  assert.deepEqual([backOff(0, 1), backOff(1, 1), backOff(2, 0)], [500, 1000, 1000]);
  for (let n = 0; n < 40; n += 1) assert.ok(backOff(n, 1) <= 10_000 && backOff(n, 0) >= 250);
});

test("pieces abut on the sample grid wherever playing begins", () => {
  const next = chance(21);
  for (let round = 0; round < 300; round += 1) {
    const pieces = [];
    let at = 0;
    for (let n = 0; n < 12; n += 1) {
      const samples = 1 + Math.floor(next() * 480_000);
      pieces.push({ n, at_s: at / 48_000, length_s: samples / 48_000, url: "" });
      at += samples;
    }
    const sound = {
      sample_rate: 48_000,
      zero_s: 5.5,
      duration_s: at / 48_000,
      track_url: "",
      pieces,
    };
    const zero = 3 + next() * 20;
    const from = zero - 5.5 + next() * sound.duration_s * 1.1 - 1;
    const starts = startsFrom(sound, zero, from);
    const grid = (s) => Math.round(s * 48_000);
    starts.forEach((s, n) => {
      assert.ok(Math.abs(s.when_s * 48_000 - grid(s.when_s)) < 1e-4);
      const follows = starts[n + 1];
      if (follows) assert.equal(grid(s.when_s) + grid(s.length_s), grid(follows.when_s));
      // What sounds at `when` is the sample of the track that belongs there.
      const piece = pieces[s.n];
      assert.equal(grid(s.when_s) - grid(zero - 5.5), grid(piece.at_s) + grid(s.offset_s));
    });
    const end = zero - 5.5 + sound.duration_s;
    if (from > end + 0.01) assert.equal(starts.length, 0);
    else if (from < end - 0.01) {
      assert.equal(grid(starts[0].when_s), Math.max(grid(from), grid(zero - 5.5)));
      const last = starts.at(-1);
      assert.equal(grid(last.when_s) + grid(last.length_s), grid(zero - 5.5) + at);
    }
  }
});

test("an audio clock that stood still is noticed, one that runs is not", () => {
  const before = { audio_s: 10, wall_ms: 5000 };
  assert.equal(heldUp(before, { audio_s: 11, wall_ms: 6100 }, 250), false);
  assert.equal(heldUp(before, { audio_s: 11, wall_ms: 6300 }, 250), true);
});

test("going on begins before the bout, never before the finish of the one before", () => {
  assert.equal(leadIn({ start_ms: 60_000 }, { finish_ms: 50_000 }, 5), 55);
  assert.equal(leadIn({ start_ms: 60_000 }, { finish_ms: 58_000 }, 5), 58.5);
  assert.equal(leadIn({ start_ms: 0 }, null, 5), -5);
});

test("signs: offline says how many calls are kept, a rough marker says so", () => {
  const calm = {
    online: true,
    waiting: 0,
    clock_pm_ms: 12,
    anchored: true,
    playing: false,
    broken: false,
    awake: "off",
    hidden_s: 0,
    charge: null,
    disputes: 0,
    interrupted: false,
    closed: false,
    bye: "",
  };
  assert.deepEqual(signsOf(calm), [{ words: "±12 ms", grave: false }]);
  assert.equal(signsOf({ ...calm, online: false, waiting: 3 })[0].words, "offline · 3 kept here");
  assert.deepEqual(signsOf({ ...calm, clock_pm_ms: 400 }), [
    { words: "marker rough ±400 ms", grave: true },
  ]);
  assert.equal(signsOf({ ...calm, clock_pm_ms: null }).at(-1).words, "clock not known");
  assert.equal(signsOf({ ...calm, awake: "none", charge: 0.1 }).filter((s) => s.grave).length, 2);
});

test("the strip is to scale and its mirror is its mirror", () => {
  const course = { leg_m: 20, recovery_m: 5 };
  const x = (m, mirror) => xOf(course, m, 390, mirror);
  assert.ok(Math.abs((x(20, false) - x(0, false)) / (x(0, false) - x(-5, false)) - 4) < 1e-9);
  for (const m of [-5, 0, 7.5, 20]) assert.ok(Math.abs(x(m, true) + x(m, false) - 390) < 1e-9);
});

test("a disagreement has two sides, each with who says so", () => {
  const call = (event, by, says_so, more = {}) => ({
    event,
    device: by,
    by,
    says_so,
    completed: null,
    reason: null,
    cue_ms: 1,
    ...more,
  });
  const miss = sidesOf(
    {
      lane: 1,
      kind: "miss",
      about: "miss:3.2",
      ruled: false,
      calls: [call("a", "Odo", true), call("b", "Una", false)],
    },
    null,
  );
  assert.deepEqual(miss, [
    { words: "Miss in bout 3: says Odo", stands: { side: "event", id: "a" } },
    { words: "Was there: says Una", stands: { side: "none" } },
  ]);
  const stop = sidesOf(
    {
      lane: 1,
      kind: "stop",
      about: "stop",
      ruled: false,
      calls: [
        call("a", "Odo", true, { completed: 4, reason: "injury" }),
        call("b", "Una", true, { completed: 5, reason: "misses" }),
      ],
    },
    null,
  );
  assert.deepEqual(
    stop.map((s) => s.stands.id),
    ["a", "b"],
  );
  assert.equal(stop[1].words, "bout 5, misses: says Una");
});

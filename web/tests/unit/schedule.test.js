// Where the pace is, what comes next, and which cue a tap is about.

import assert from "node:assert/strict";
import { test } from "node:test";
import {
  finishedBy,
  indexOf,
  judgedCue,
  momentAt,
  nextCue,
  underWay,
} from "../../line/schedule.js";
import { chance, continuous, shuttles } from "../fixtures.mjs";

const index = indexOf(shuttles());
const NEAR = 1e-6;

test("the marker is at the place of each cue when it sounds", () => {
  for (const bout of index.timeline.bouts) {
    for (const cue of bout.cues.slice(0, -1)) {
      assert.ok(Math.abs(momentAt(index, cue.at_ms).place_m - cue.place_m) < NEAR, bout.label);
    }
    assert.ok(Math.abs(momentAt(index, bout.finish_ms - 1e-6).place_m) < 1e-3, bout.label);
    assert.ok(Math.abs(momentAt(index, bout.start_ms).place_m) < NEAR, bout.label);
  }
});

test("within a bout the marker moves at the bout's speed", () => {
  for (const bout of index.timeline.bouts) {
    const at = bout.start_ms + 1000;
    const moved = momentAt(index, at + 500).place_m - momentAt(index, at).place_m;
    assert.ok(Math.abs(moved - (bout.speed_kmh / 3.6) * 0.5) < NEAR, bout.label);
  }
});

test("in the rest it walks out to the cone behind the start line and back", () => {
  const [first, second] = index.timeline.bouts;
  const half = (first.finish_ms + second.start_ms) / 2;
  assert.ok(Math.abs(momentAt(index, half).place_m + 5) < NEAR);
  assert.ok(Math.abs(momentAt(index, half + 2500).place_m + 2.5) < NEAR);
  assert.equal(momentAt(index, half - 2000).way, -1);
  assert.equal(momentAt(index, half + 2000).way, 1);
  assert.equal(momentAt(index, half).phase, "rest");
});

test("a continuous test turns at the far line and comes back", () => {
  const c = indexOf(continuous());
  const [one, two] = c.timeline.bouts;
  assert.ok(Math.abs(momentAt(c, one.finish_ms).place_m - 20) < NEAR);
  assert.equal(momentAt(c, one.finish_ms + 100).way, -1);
  assert.ok(Math.abs(momentAt(c, two.finish_ms).place_m) < NEAR);
  assert.equal(c.coming.length, c.judged.length + 1, "one start, then one cue a leg");
});

test("a start that is not at a line follows from the first cue, its place and the speed", () => {
  // 30 s at 9 km/h are 75 m on 40 m: out, back to 5 m from the start; then on from the line at 0.
  const pace = 9 / 3.6;
  const bout = (n, start_s, cues) => ({
    bout: n,
    label: String(n),
    stage: "1",
    speed_kmh: 9,
    start_ms: start_s * 1000,
    finish_ms: (start_s + 30) * 1000,
    distance_m: 75 * n,
    cues,
  });
  const a = bout(1, 0, [
    { cue: 1, kind: "line", at_ms: 8000, place_m: 20 },
    { cue: 2, kind: "turn", at_ms: 16_000, place_m: 40 },
    { cue: 3, kind: "line", at_ms: 24_000, place_m: 20 },
    { cue: 4, kind: "finish", at_ms: 30_000 },
  ]);
  const b = bout(2, 45, [
    { cue: 1, kind: "line", at_ms: 53_000, place_m: 20 },
    { cue: 2, kind: "finish", at_ms: 75_000 },
  ]);
  const i = indexOf({
    ...shuttles(),
    course: { leg_m: 40, recovery_m: 0 },
    bouts: [a, b],
    end_ms: 75_000,
  });
  assert.ok(Math.abs(momentAt(i, 29_999.999).place_m - (40 - 14 * pace)) < 0.01);
  assert.equal(momentAt(i, 45_000).place_m, 0);
  const rest = momentAt(i, 37_500);
  assert.equal(rest.phase, "rest");
  assert.ok(Math.abs(rest.place_m - 2.5) < 0.01);
});

test("on a loop the marker goes round", () => {
  const bouts = [1, 2, 3].map((n) => ({
    bout: n,
    label: `${n}`,
    stage: "1",
    speed_kmh: 12,
    start_ms: (n - 1) * 60_000,
    finish_ms: n * 60_000,
    distance_m: 200 * n,
    cues: [{ cue: 1, kind: "line", at_ms: n * 60_000, place_m: 0 }],
  }));
  const i = indexOf({ ...shuttles(), course: { leg_m: 400, loop: true }, bouts, end_ms: 180_000 });
  assert.ok(Math.abs(momentAt(i, 90_000).place_m - 300) < NEAR);
  assert.ok(Math.abs(momentAt(i, 150_000).place_m - 100) < NEAR);
});

test("a tap up to 300 ms before a cue is about that cue", () => {
  for (const cue of index.judged) {
    const at = (/** @type {number} */ ms) => judgedCue(index, cue.at_ms + ms);
    assert.equal(at(0), cue);
    assert.equal(at(-299), cue);
    assert.notEqual(at(-301), cue);
  }
  assert.equal(judgedCue(index, 0), null);
});

test("look-ups agree with a plain walk through the bouts, at 2000 instants", () => {
  const next = chance(7);
  const { bouts, end_ms } = index.timeline;
  for (let n = 0; n < 2000; n += 1) {
    const at = next() * (end_ms + 20_000) - 10_000;
    assert.equal(finishedBy(index, at), bouts.filter((b) => b.finish_ms <= at).length);
    const on = bouts.find((b) => b.start_ms <= at && at < b.finish_ms);
    assert.equal(underWay(index, at), on ? on.bout : null);
    const all = bouts.flatMap((b) => [b.start_ms, ...b.cues.map((c) => c.at_ms)]);
    const coming = all.filter((ms) => ms > at);
    assert.equal(nextCue(index, at)?.at_ms ?? null, coming.length > 0 ? Math.min(...coming) : null);
  }
});

test("before and after the ladder there is still a place to show", () => {
  assert.equal(momentAt(index, -4000).phase, "before");
  assert.equal(momentAt(index, -4000).in_ms, 4000);
  const after = momentAt(index, index.timeline.end_ms + 1);
  assert.equal(after.phase, "after");
  assert.equal(after.next, null);
});

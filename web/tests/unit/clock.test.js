// The estimate of the server's clock: the true offset always lies within the half width told.

import assert from "node:assert/strict";
import { test } from "node:test";
import { cueTime, estimate, sampleOf, withSample } from "../../line/clock.js";
import { chance } from "../fixtures.mjs";

test("the shortest round trip decides, and its half covers the truth", () => {
  for (let seed = 1; seed <= 200; seed += 1) {
    const next = chance(seed);
    const offset = (next() - 0.5) * 1e9;
    let samples = [];
    let local = 1000;
    let shortest = Number.POSITIVE_INFINITY;
    for (let n = 0; n < 12; n += 1) {
      const [out, back] = [next() * 80, next() * 80];
      shortest = Math.min(shortest, out + back);
      samples = withSample(samples, sampleOf(local, local + out + back, local + out + offset));
      local += 500;
    }
    const best = estimate(samples, local);
    assert.ok(Math.abs(best.offset_ms - offset) <= best.pm_ms + 1e-6, `seed ${seed}`);
    // 6 s of drift at 100 parts per million is 0.6 ms.
    assert.ok(best.pm_ms <= shortest / 2 + 0.7, `seed ${seed}`);
  }
});

test("an old short ping gives way to a new longer one", () => {
  const old = sampleOf(0, 2, 101);
  const fresh = sampleOf(599_980, 600_000, 600_100);
  assert.equal(estimate([old, fresh], 600_000).pm_ms, 10);
  assert.equal(estimate([old, fresh], 100).pm_ms < 1.1, true);
});

test("impossible pings are left out, and nothing is made of nothing", () => {
  assert.equal(sampleOf(10, 5, 100), null);
  assert.equal(sampleOf(0, 5, Number.NaN), null);
  assert.deepEqual(withSample([], null), []);
  assert.equal(estimate([], 0), null);
  assert.equal(cueTime(null, { offset_ms: 0, pm_ms: 1 }, 0), null);
  assert.equal(cueTime({ zero_ms: 0, pm_ms: 1 }, null, 0), null);
});

test("cue time is the server's time since the anchor; both doubts add up", () => {
  const cue = cueTime({ zero_ms: 5000, pm_ms: 10 }, { offset_ms: 4500, pm_ms: 3 }, 1500);
  assert.deepEqual(cue, { cue_ms: 1000, pm_ms: 13 });
});

test("in a rehearsal cue time runs faster, and so does its doubt", () => {
  const cue = cueTime({ zero_ms: 5000, pm_ms: 10 }, { offset_ms: 4500, pm_ms: 3 }, 1500, 20);
  assert.deepEqual(cue, { cue_ms: 20_000, pm_ms: 260 });
});

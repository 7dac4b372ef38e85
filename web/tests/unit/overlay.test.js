// The preview of own taps: as the fold would have it (docs/formats/events.md).

import assert from "node:assert/strict";
import { test } from "node:test";
import { deedOf } from "../../line/acts.js";
import { laidOver } from "../../line/overlay.js";
import { indexOf } from "../../line/schedule.js";
import { laneWords, missesNow } from "../../line/words.js";
import { chance, emptyState, shuttles } from "../fixtures.mjs";

const index = indexOf(shuttles());
const bout = (n) => index.timeline.bouts[n - 1];
let serial = 0;

/** An event of a device. */
function event(what, cue_ms, device = "me") {
  serial += 1;
  const one = {
    v: 1,
    id: `e${serial}`,
    device,
    seq: serial,
    order: serial,
    at_ms: 0,
    role: "assessor",
    what,
  };
  return cue_ms == null ? one : { ...one, cue_ms };
}
const begun = (settings) =>
  laidOver(
    emptyState(settings),
    [event({ kind: "started", lanes: [1, 2, 3, 4, 5, 6, 7, 8] }, 0)],
    index,
  );
const lane = (state, n = 1) => state.lanes[n - 1];

test("a start sets the lanes running, an absent one stays out", () => {
  const state = laidOver(
    emptyState(),
    [event({ kind: "not_started", lane: 2 }), event({ kind: "started", lanes: [1, 3] }, 0)],
    index,
  );
  assert.deepEqual(
    state.lanes.slice(0, 3).map((l) => l.status),
    ["running", "not_started", "running"],
  );
});

test("two misses end a run under the cumulative rule, at the bout before the second", () => {
  const state = begun();
  const taps = [
    event({ kind: "miss", lane: 1 }, bout(3).finish_ms + 500),
    event({ kind: "miss", lane: 1 }, bout(5).finish_ms + 500),
  ];
  const one = lane(laidOver(state, taps.slice(0, 1), index));
  assert.deepEqual([one.warning.count, one.warning.over, one.misses[0].key], [1, false, "3.2"]);
  const two = lane(laidOver(state, taps, index));
  assert.deepEqual([two.warning.count, two.warning.over], [2, true]);
  const stop = event({ kind: "stop", lane: 1, reason: "misses" }, bout(6).start_ms + 1000);
  const ended = lane(laidOver(state, [...taps, stop], index));
  assert.deepEqual(ended.stop.completed, {
    bouts: 4,
    in_progress: 5,
    close_call: false,
    corrected: false,
  });
});

test("consecutive misses count only when they follow one another, and clear at the next cue", () => {
  const state = begun({ counting: "consecutive" });
  const at = (n) => index.judged[n].at_ms + 400;
  const apart = lane(
    laidOver(
      state,
      [4, 6].map((n) => event({ kind: "miss", lane: 1 }, at(n))),
      index,
    ),
  );
  assert.deepEqual([apart.warning.count, apart.warning.over], [1, false]);
  assert.equal(apart.warning.clears_at_ms, index.judged[7].at_ms);
  assert.equal(missesNow(apart, index.judged[7].at_ms + 200), 1);
  assert.equal(missesNow(apart, index.judged[7].at_ms + 400), 0);
  const chain = lane(
    laidOver(
      state,
      [4, 5].map((n) => event({ kind: "miss", lane: 1 }, at(n))),
      index,
    ),
  );
  assert.deepEqual([chain.warning.count, chain.warning.over], [2, true]);
});

test("zone and line are counted apart where a zone is judged", () => {
  const state = begun({ zone_mm: 2000, line_limit: 3 });
  const taps = [1, 2, 3].map((n) =>
    event({ kind: "miss", lane: 1, place: "line" }, bout(n).finish_ms + 100),
  );
  const l = lane(laidOver(state, taps.slice(0, 2), index));
  assert.deepEqual([l.warning.count, l.warning.at_line, l.warning.over], [0, 2, false]);
  assert.equal(lane(laidOver(state, taps, index)).warning.over, true);
});

test("a stop counts the bouts whose finish had sounded; soon after a finish it is a close call", () => {
  const state = begun();
  const at = (cue_ms) =>
    lane(laidOver(state, [event({ kind: "stop", lane: 1, reason: "exhaustion" }, cue_ms)], index))
      .stop.completed;
  assert.deepEqual(at(bout(5).start_ms + 2000), {
    bouts: 4,
    in_progress: 5,
    close_call: false,
    corrected: false,
  });
  assert.deepEqual(at(bout(4).finish_ms + 1000), {
    bouts: 4,
    in_progress: null,
    close_call: true,
    corrected: false,
  });
  assert.equal(at(bout(4).finish_ms - 1).bouts, 3);
  const extra = begun({ last_incomplete_counts: true });
  const l = lane(
    laidOver(
      extra,
      [event({ kind: "stop", lane: 1, reason: "exhaustion" }, bout(5).start_ms + 2000)],
      index,
    ),
  );
  assert.equal(l.stop.completed.bouts, 5);
});

test("the first tap says when, the last says why", () => {
  const taps = [
    event({ kind: "stop", lane: 1, reason: "exhaustion" }, bout(5).start_ms + 2000),
    event({ kind: "stop", lane: 1, reason: "injury" }, bout(7).start_ms),
  ];
  const { stop } = lane(laidOver(begun(), taps, index));
  assert.deepEqual([stop.reason, stop.completed.bouts, stop.calls.length], ["injury", 4, 1]);
});

test("whatever is laid over and then undone leaves no trace, in any mix", () => {
  const kinds = ["miss", "stop", "early_start", "short_turn", "course_error", "miss"];
  for (let seed = 1; seed <= 150; seed += 1) {
    const next = chance(seed);
    const state = begun({ counting: next() < 0.5 ? "consecutive" : "cumulative" });
    const taps = Array.from({ length: 8 }, () => {
      const kind = kinds[Math.floor(next() * kinds.length)];
      const n = 1 + Math.floor(next() * 3);
      const extra =
        kind === "stop"
          ? { reason: "exhaustion" }
          : kind === "course_error"
            ? { from_bout: 1, to_bout: 1 }
            : {};
      return event({ kind, lane: n, ...extra }, next() * 150_000);
    });
    const undos = taps.map((t) => event({ kind: "undo", event: t.id }));
    assert.deepEqual(laidOver(state, [...taps, ...undos], index), state, `pending, seed ${seed}`);
    // The same where the server had the taps already and only the undos wait.
    const there = laidOver(state, taps, index);
    const back = laidOver(there, undos, index);
    const bare = (s) => s.lanes.map(({ waiting, ...l }) => l);
    assert.deepEqual(bare(back), bare(state), `held, seed ${seed}`);
  }
});

test("an event that the view has already is not laid over twice", () => {
  const tap = event({ kind: "early_start", lane: 1 }, 1000);
  const once = laidOver(begun(), [tap], index);
  assert.equal(lane(laidOver(once, [tap], index)).early_starts, 1);
});

test("an undone undo puts the tap back", () => {
  const tap = event({ kind: "miss", lane: 1 }, bout(2).finish_ms);
  const undo = event({ kind: "undo", event: tap.id });
  const redo = event({ kind: "undo", event: undo.id });
  assert.equal(lane(laidOver(begun(), [tap, undo, redo], index)).warning.count, 1);
});

test("dissent makes a miss disputed, an excuse takes it out of the count", () => {
  const miss = event({ kind: "miss", lane: 1 }, bout(2).finish_ms, "other");
  const state = laidOver(begun(), [miss], index);
  const dissent = deedOf("reached", lane(state), { index, cue_ms: bout(3).start_ms, device: "me" })
    .events[0];
  assert.deepEqual(dissent, { kind: "reached", lane: 1, bout: 2, cue: 2 });
  const disputed = lane(laidOver(state, [event(dissent)], index));
  assert.deepEqual([disputed.misses[0].standing, disputed.warning.count], ["disputed", 1]);
  const excuse = deedOf("excused", lane(state), { index, cue_ms: 0, device: "me" }).events[0];
  assert.equal(excuse.miss, miss.id);
  assert.equal(lane(laidOver(state, [event(excuse)], index)).warning.count, 0);
});

test("deeds: a second miss at the same cue, a stop of the rule, a reason, one bout more", () => {
  const state = begun();
  const at = (cue_ms) => ({ index, cue_ms, device: "me" });
  const first = deedOf("miss", lane(state), at(bout(3).finish_ms + 200)).events[0];
  assert.deepEqual(first, { kind: "miss", lane: 1, bout: 3, cue: 2 });
  const once = laidOver(state, [event(first, bout(3).finish_ms + 200)], index);
  assert.equal(
    deedOf("miss", lane(once), at(bout(3).finish_ms + 900)).no,
    "already called for this cue",
  );
  const over = laidOver(once, [event({ kind: "miss", lane: 1 }, bout(4).finish_ms)], index);
  assert.equal(deedOf("stop", lane(over), at(bout(5).start_ms)).events[0].reason, "misses");
  const stopped = laidOver(
    state,
    [event({ kind: "stop", lane: 1, reason: "exhaustion" }, bout(5).start_ms)],
    index,
  );
  assert.deepEqual(deedOf("reason", lane(stopped), { ...at(0), reason: "exhaustion" }), {});
  const medical = deedOf("reason", lane(stopped), { ...at(0), reason: "medical" });
  assert.deepEqual(
    medical.events.map((e) => e.kind),
    ["stop", "incident"],
  );
  assert.equal(medical.join, true);
  const more = deedOf("correction", lane(stopped), { ...at(0), by: 1 }).events[0];
  assert.equal(lane(laidOver(stopped, [event(more)], index)).stop.completed.bouts, 5);
  assert.equal(deedOf("miss", lane(state), at(0)).no, "no cue yet");
});

test("a lower bound ends those still running at the break, void takes them out", () => {
  const broke = event({ kind: "interrupted", why: "silence" }, bout(6).start_ms + 500);
  const how = (choice) => event({ kind: "resumed", interruption: broke.id, how: { choice } });
  const kept = lane(laidOver(begun(), [broke, how("lower_bound")], index));
  assert.deepEqual(
    [kept.status, kept.stop.reason, kept.stop.completed.bouts],
    ["stopped", "technical", 5],
  );
  assert.equal(lane(laidOver(begun(), [broke, how("void")], index)).status, "void");
});

test("words: mark and word say the same", () => {
  const state = begun();
  assert.deepEqual(laneWords(lane(state), index, 0), { fill: 0, words: "no miss" });
  const one = laidOver(state, [event({ kind: "miss", lane: 1 }, bout(2).finish_ms)], index);
  assert.deepEqual(laneWords(lane(one), index, bout(2).finish_ms), { fill: 1, words: "1 miss" });
  const out = laidOver(
    one,
    [event({ kind: "stop", lane: 1, reason: "injury" }, bout(5).start_ms + 1)],
    index,
  );
  assert.deepEqual(laneWords(lane(out), index, 0), {
    fill: 2,
    words: "stopped 3.1 · in progress 3.2",
  });
});

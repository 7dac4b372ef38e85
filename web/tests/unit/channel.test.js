import assert from "node:assert/strict";
import { test } from "node:test";
import { changedView } from "../../line/channel.js";

/** @type {any} */
const view = {
  version: 4,
  server_ms: 1,
  name: "a wave",
  state: {
    opening: { lanes: [1, 2] },
    started: false,
    lanes: [
      { plan: { lane: 1 }, misses: [] },
      { plan: { lane: 2 }, misses: [] },
    ],
  },
  results: [
    { lane: 1, settlement: "not_started" },
    { lane: 2, settlement: "not_started" },
  ],
  read_back: { words: "0 started" },
};
const change = {
  since: 4,
  version: 6,
  server_ms: 9,
  speed: 20,
  state: { started: true },
  lanes: [{ plan: { lane: 2 }, misses: ["a miss"] }],
  results: [{ lane: 2, settlement: { open: "running" } }],
  read_back: { words: "2 started" },
};

test("a change is put into the view before it; what did not change stays", () => {
  assert.deepEqual(changedView(view, change), {
    version: 6,
    server_ms: 9,
    speed: 20,
    name: "a wave",
    state: {
      opening: { lanes: [1, 2] },
      started: true,
      lanes: [view.state.lanes[0], change.lanes[0]],
    },
    results: [view.results[0], change.results[0]],
    read_back: { words: "2 started" },
  });
  assert.equal(view.version, 4, "the view before is not touched");
});

test("a change that belongs to another view is not taken", () => {
  assert.equal(changedView({ ...view, version: 3 }, change), null);
});

// Whom to mark, who is shown it, and one question a rest.

import assert from "node:assert/strict";
import { test } from "node:test";
import { lanesOf, makeSoon, shownTo } from "../../line/soon.js";

test("an even chance or more is marked; nothing known is not", () => {
  const lanes = [
    { lane: 1, probability: 0.5 },
    { lane: 2, probability: 0.49 },
    { lane: 3, probability: null },
    { lane: 4, probability: 1 },
  ];
  assert.deepEqual([...lanesOf({ lanes })], [1, 4]);
  assert.deepEqual([...lanesOf(null)], []);
});

test("who judges is not told unless they ask", () => {
  assert.equal(shownTo({ role: "lead", lanes: [] }), true);
  assert.equal(shownTo({ role: "medic", lanes: [] }), true);
  assert.equal(shownTo({ role: "lead", lanes: [1, 2] }), false);
  assert.equal(shownTo({ role: "assessor", lanes: [] }), false);
  assert.equal(shownTo(undefined), false);
});

test("one question a rest, and no mark outside it", async () => {
  const asked = [];
  let changes = 0;
  const ask = async (url) => {
    asked.push(url);
    return { lanes: [{ lane: 7, probability: 0.8 }] };
  };
  const soon = makeSoon({ wave: "w 1", ask, changed: () => (changes += 1) });
  assert.equal(soon.marked(null).size, 0);
  assert.equal(soon.marked(4).size, 0, "not known yet");
  soon.marked(4);
  await Promise.resolve();
  await Promise.resolve();
  assert.deepEqual([...soon.marked(4)], [7]);
  assert.deepEqual(asked, ["/api/waves/w%201/watch?bout=4"]);
  assert.equal(changes, 1);
  assert.equal(soon.marked(null).size, 0, "the bout is on");
  // An answer that comes after its rest is over marks nobody.
  soon.marked(5);
  soon.marked(null);
  await Promise.resolve();
  await Promise.resolve();
  assert.equal(soon.marked(null).size, 0);
});

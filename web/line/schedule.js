// Where runners should be at a cue time, what comes next, and which cue a tap is about.
// Pure: works on the timeline that the server sends; no clock, no page.
// The 300 ms ahead and the way stops are counted are those of the fold (docs/formats/events.md).

/** @import {Bout, Timeline} from "./types.js" */

/** A tap up to this long before a cue still belongs to it, ms; as in the fold. */
const AHEAD_MS = 300;

/**
 * @typedef {{at_ms: number, place_m: number}} Knot
 * @typedef {{bout: number, cue: number, at_ms: number, kind: string, finish: boolean}} Judged
 * @typedef {{timeline: Timeline, knots: Knot[][], judged: Judged[], coming: Judged[]}} Index
 */

/**
 * Prepares a timeline for look-ups.
 * @param {Timeline} timeline
 * @returns {Index}
 */
export function indexOf(timeline) {
  /** @type {Knot[][]} */
  const knots = [];
  /** @type {Judged[]} */
  const judged = [];
  /** @type {Judged[]} */
  const coming = [];
  const length = timeline.course.leg_m;
  const loop = timeline.course.loop === true;
  let from = 0;
  for (const bout of timeline.bouts) {
    const path = pathOf(bout, from, length, loop);
    const last = bout.cues.length - 1;
    const start = { bout: bout.bout, cue: 0, at_ms: bout.start_ms, kind: "start", finish: false };
    const before = coming.at(-1);
    if (!before || before.at_ms < bout.start_ms - 1) coming.push(start);
    bout.cues.forEach((cue, n) => {
      const one = {
        bout: bout.bout,
        cue: cue.cue,
        at_ms: cue.at_ms,
        kind: cue.kind,
        finish: n === last,
      };
      judged.push(one);
      coming.push(one);
    });
    knots.push(path);
    from = path.at(-1)?.place_m ?? 0;
  }
  return { timeline, knots, judged, coming };
}

/**
 * Lays out the way of a bout as instants and places. The start follows from the first cue, its
 * place and the speed; where that leaves two answers, the one nearer to where the last bout ended.
 * @param {Bout} bout
 * @param {number} from
 * @param {number} length
 * @param {boolean} loop
 * @returns {Knot[]}
 */
function pathOf(bout, from, length, loop) {
  const pace = bout.speed_kmh / 3600;
  const first = bout.cues[0];
  let start = from;
  if (loop) {
    start = from % length;
  } else if (first && first.place_m != null) {
    const run = pace * (first.at_ms - bout.start_ms);
    const inside = [first.place_m - run, first.place_m + run]
      .filter((p) => p > -0.75 && p < length + 0.75)
      .sort((a, b) => Math.abs(a - from) - Math.abs(b - from));
    start = Math.min(Math.max(inside[0] ?? from, 0), length);
  }
  const path = [{ at_ms: bout.start_ms, place_m: start }];
  let way = start > length / 2 ? -1 : 1;
  for (const cue of bout.cues) {
    const back = path.at(-1) ?? { at_ms: bout.start_ms, place_m: start };
    const run = pace * (cue.at_ms - back.at_ms);
    let place = cue.place_m ?? null;
    if (loop) {
      place = back.place_m + run;
    } else if (place == null) {
      place = back.place_m + way * run;
      if (place > length) place = 2 * length - place;
      if (place < 0) place = -place;
    }
    if (cue.kind === "turn") way = -way;
    path.push({ at_ms: cue.at_ms, place_m: place });
  }
  return path;
}

/**
 * Returns the number of bouts whose finish had sounded.
 * @param {Index} index
 * @param {number} cue_ms
 */
export function finishedBy(index, cue_ms) {
  return countUpTo(index.timeline.bouts, (b) => b.finish_ms, cue_ms);
}

/**
 * Returns the bout under way; nothing in a rest.
 * @param {Index} index
 * @param {number} cue_ms
 * @returns {number | null}
 */
export function underWay(index, cue_ms) {
  const bout = index.timeline.bouts[finishedBy(index, cue_ms)];
  return bout && bout.start_ms <= cue_ms ? bout.bout : null;
}

/**
 * Returns the judged cue that a tap is about: the last one sounded, or one about to sound.
 * @param {Index} index
 * @param {number} cue_ms
 * @returns {Judged | null}
 */
export function judgedCue(index, cue_ms) {
  return index.judged[countUpTo(index.judged, (c) => c.at_ms, cue_ms + AHEAD_MS) - 1] ?? null;
}

/**
 * Returns the next cue to sound, starts included.
 * @param {Index} index
 * @param {number} cue_ms
 * @returns {Judged | null}
 */
export function nextCue(index, cue_ms) {
  return index.coming[countUpTo(index.coming, (c) => c.at_ms, cue_ms)] ?? null;
}

/**
 * Returns the bout by number.
 * @param {Index} index
 * @param {number | null | undefined} bout
 * @returns {Bout | null}
 */
export function boutOf(index, bout) {
  return (bout && index.timeline.bouts[bout - 1]) || null;
}

/**
 * @typedef {{phase: "before" | "running" | "rest" | "after", bout: Bout | null, place_m: number,
 *   way: 1 | -1, next: Judged | null, in_ms: number | null}} Moment
 */

/**
 * Returns where the pace is.
 * @param {Index} index
 * @param {number} cue_ms
 * @returns {Moment}
 */
export function momentAt(index, cue_ms) {
  const { bouts, course } = index.timeline;
  const done = finishedBy(index, cue_ms);
  const bout = bouts[done] ?? null;
  const next = nextCue(index, cue_ms);
  const in_ms = next ? next.at_ms - cue_ms : null;
  const path = index.knots[done];
  const last = index.knots[done - 1]?.at(-1) ?? null;
  if (!bout || !path) {
    return {
      phase: "after",
      bout: bouts.at(-1) ?? null,
      place_m: last?.place_m ?? 0,
      way: 1,
      next,
      in_ms,
    };
  }
  if (cue_ms >= bout.start_ms) {
    const { place_m, way } = along(path, cue_ms);
    const on = course.loop ? place_m % course.leg_m : place_m;
    return { phase: "running", bout, place_m: on, way, next, in_ms };
  }
  const start = path[0]?.place_m ?? 0;
  if (!last) return { phase: "before", bout, place_m: start, way: 1, next, in_ms };
  const rest = bout.start_ms - last.at_ms;
  const part = (cue_ms - last.at_ms) / rest;
  const walk = restPlace(last.place_m, start, part, course.recovery_m ?? 0);
  return { phase: "rest", bout, ...walk, next, in_ms };
}

/**
 * Walks out to the recovery cone behind the start line and back; elsewhere, on to the next start.
 * @param {number} from
 * @param {number} to
 * @param {number} part of the rest, 0 to 1
 * @param {number} cone_m
 * @returns {{place_m: number, way: 1 | -1}}
 */
function restPlace(from, to, part, cone_m) {
  if (cone_m > 0 && from < 0.01 && to < 0.01) {
    const out = part < 0.5;
    return { place_m: -cone_m * (out ? 2 * part : 2 - 2 * part), way: out ? -1 : 1 };
  }
  return { place_m: from + (to - from) * part, way: to >= from ? 1 : -1 };
}

/**
 * @param {Knot[]} path
 * @param {number} at_ms
 * @returns {{place_m: number, way: 1 | -1}}
 */
function along(path, at_ms) {
  const n = Math.min(
    Math.max(
      countUpTo(path, (k) => k.at_ms, at_ms),
      1,
    ),
    path.length - 1,
  );
  const [a, b] = [path[n - 1], path[n]];
  if (!a || !b || b.at_ms <= a.at_ms) return { place_m: a?.place_m ?? 0, way: 1 };
  const part = Math.min(Math.max((at_ms - a.at_ms) / (b.at_ms - a.at_ms), 0), 1);
  return {
    place_m: a.place_m + (b.place_m - a.place_m) * part,
    way: b.place_m >= a.place_m ? 1 : -1,
  };
}

/**
 * Returns how many of the sorted items lie at or before a limit.
 * @template T
 * @param {T[]} items
 * @param {(item: T) => number} key
 * @param {number} limit
 */
function countUpTo(items, key, limit) {
  let [low, high] = [0, items.length];
  while (low < high) {
    const mid = (low + high) >> 1;
    const item = items[mid];
    if (item !== undefined && key(item) <= limit) low = mid + 1;
    else high = mid;
  }
  return low;
}

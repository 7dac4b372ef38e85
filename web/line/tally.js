// Counts misses by the rule of the wave and bouts by the cue clock, as the fold does.
// Pure; part of the preview of own taps (overlay.js). Must stay in step with docs/formats/events.md.

import { boutOf, finishedBy, judgedCue, underWay } from "./schedule.js";

/** @import {Lane, State} from "./types.js" */
/** @import {Index} from "./schedule.js" */

/** A stop this soon after a finish is a close call, ms; as in the fold. */
const CLOSE_MS = 1500;

/**
 * Returns what a stop at a cue time had completed; nothing where neither clock nor rule can say.
 * @param {Lane} lane
 * @param {number | null} cue_ms
 * @param {string} reason
 * @param {State} state
 * @param {Index | null} index
 */
export function completedAt(lane, cue_ms, reason, state, index) {
  if (!index) return null;
  const settings = state.opening?.settings ?? {};
  const last = Math.min(lane.plan.ends_at ?? Number.POSITIVE_INFINITY, index.timeline.bouts.length);
  const rule = lastCounted(lane, settings, index);
  if (cue_ms == null) {
    if (reason !== "misses" || rule == null) return null;
    return counted(rule, rule + 1, false, settings, last);
  }
  const clock = finishedBy(index, cue_ms);
  if (reason === "misses" || (rule != null && rule < clock)) {
    const bouts = Math.min(rule ?? missedAt(cue_ms, settings, index), clock);
    return counted(bouts, bouts + 1, false, settings, last);
  }
  const since = clock > 0 ? cue_ms - (boutOf(index, clock)?.finish_ms ?? 0) : null;
  const close = since != null && since <= CLOSE_MS;
  return counted(clock, underWay(index, cue_ms), close, settings, last);
}

/**
 * @param {number} cue_ms
 * @param {any} settings
 * @param {Index} index
 */
function missedAt(cue_ms, settings, index) {
  const at = judgedCue(index, cue_ms);
  if (!at) return 0;
  const back =
    settings.counting === "consecutive" ? Math.max((settings.miss_limit ?? 0) - 1, 0) : 0;
  const first = index.judged[Math.max(index.judged.indexOf(at) - back, 0)];
  return (first?.bout ?? 1) - 1;
}

/**
 * @param {number} bouts
 * @param {number | null} in_progress
 * @param {boolean} close_call
 * @param {any} settings
 * @param {number} last
 */
function counted(bouts, in_progress, close_call, settings, last) {
  const extra = settings.last_incomplete_counts && in_progress != null ? 1 : 0;
  return {
    bouts: Math.min(bouts + extra, last),
    in_progress: in_progress != null && in_progress <= last ? in_progress : null,
    close_call,
    corrected: false,
  };
}

/**
 * Returns the misses that count under the rule, leaving out those at the line that have their own.
 * @param {Lane} lane
 * @param {any} settings
 */
function inRule(lane, settings) {
  const zoned = settings.zone_mm > 0 && settings.line_limit > 0;
  const counting = lane.misses.filter((m) => m.standing === "counts" || m.standing === "disputed");
  return { zoned, counting, ruled: counting.filter((m) => !zoned || m.place === "zone") };
}

/**
 * Returns the lengths of the chains of misses, one for each miss.
 * @param {import("./types.js").Miss[]} misses
 * @param {any} settings
 * @param {Index | null} index
 */
function chains(misses, settings, index) {
  let chain = 0;
  let last = Number.NaN;
  return misses.map((miss, n) => {
    if (settings.counting !== "consecutive") return n + 1;
    const at = index
      ? index.judged.findIndex((c) => c.bout === miss.bout && c.cue === miss.cue)
      : -1;
    chain = at >= 0 && at === last + 1 ? chain + 1 : 1;
    last = at >= 0 ? at : Number.NaN;
    return chain;
  });
}

/**
 * Returns the last bout that counts where the rule ends the run.
 * @param {Lane} lane
 * @param {any} settings
 * @param {Index} index
 * @returns {number | null}
 */
function lastCounted(lane, settings, index) {
  const { zoned, counting, ruled } = inRule(lane, settings);
  const limit = settings.miss_limit ?? 0;
  /** @type {number[]} */
  const ends = [];
  const at = limit > 0 ? chains(ruled, settings, index).findIndex((n) => n >= limit) : -1;
  if (at >= 0) {
    const first = settings.counting === "consecutive" ? at + 1 - limit : at;
    const bout = ruled[first]?.bout;
    if (bout != null) ends.push(bout - 1);
  }
  const line = zoned ? counting.filter((m) => m.place === "line")[settings.line_limit - 1] : null;
  if (line?.bout != null) ends.push(line.bout - 1);
  return ends.length > 0 ? Math.min(...ends) : null;
}

/**
 * Counts the misses of a lane anew.
 * @param {Lane} lane
 * @param {State} state
 * @param {Index | null} index
 */
export function recount(lane, state, index) {
  const settings = state.opening?.settings ?? {};
  const { zoned, counting, ruled } = inRule(lane, settings);
  const at_line = counting.filter((m) => m.place === "line").length;
  const runs = chains(ruled, settings, index);
  const limit = settings.miss_limit ?? lane.warning.limit;
  const over =
    (limit > 0 && runs.some((n) => n >= limit)) || (zoned && at_line >= settings.line_limit);
  lane.warning = { ...lane.warning, limit, count: runs.at(-1) ?? 0, at_line, over };
  lane.warning.clears_at_ms = null;
  const last = ruled.at(-1);
  if (settings.counting === "consecutive" && last && index) {
    const at = index.judged.findIndex((c) => c.bout === last.bout && c.cue === last.cue);
    lane.warning.clears_at_ms = at >= 0 ? (index.judged[at + 1]?.at_ms ?? null) : null;
  }
}

/**
 * Puts the standing of each miss right, and drops those that nobody calls any more.
 * @param {Lane} lane
 */
export function settle(lane) {
  for (const miss of lane.misses) {
    if (miss.standing === "excused" || miss.standing === "dismissed") continue;
    miss.standing = miss.calls.some((c) => !c.says_so) ? "disputed" : "counts";
  }
  lane.misses = lane.misses.filter((m) => m.calls.some((c) => c.says_so));
}

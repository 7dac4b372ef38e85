// What the line screen says in words: a lane's state, a reason, an action.
// Pure. Words only from the glossary of the trade; no colour, no markup.

import { boutOf } from "./schedule.js";

/** @import {Lane} from "./types.js" */
/** @import {Index, Moment} from "./schedule.js" */

/** @type {Record<string, string>} */
export const REASONS = {
  exhaustion: "fatigue",
  misses: "misses",
  injury: "injury",
  medical: "medical",
  technical: "technical",
  discipline: "sent off",
  withdrew: "withdrew",
  end_of_ladder: "end of ladder",
  not_recorded: "no reason yet",
};

/** @type {Record<string, string>} */
const ACTIONS = {
  miss: "miss",
  reached: "was there",
  excused: "excuse",
  early_start: "early start",
  short_turn: "short turn",
  course_error: "wrong line",
  stop: "stop",
  correction: "correction",
  not_started: "not started",
  incident: "incident",
  interrupted: "interruption",
};

/**
 * Returns the word of an action.
 * @param {string} kind
 */
export function actionWord(kind) {
  return ACTIONS[kind] ?? kind.replaceAll("_", " ");
}

/**
 * Returns the label of a bout; `0` before the first.
 * @param {Index | null} index
 * @param {number | null} bout
 */
export function labelOf(index, bout) {
  if (bout === 0) return "none";
  return (index && boutOf(index, bout)?.label) ?? (bout == null ? "?" : `bout ${bout}`);
}

/**
 * Returns the misses in force now: a count that the next cue has cleared is none.
 * @param {Lane} lane
 * @param {number | null} cue_ms
 */
export function missesNow(lane, cue_ms) {
  const { count, clears_at_ms, over } = lane.warning;
  if (!over && clears_at_ms != null && cue_ms != null && cue_ms > clears_at_ms + 300) return 0;
  return count;
}

/**
 * Returns a lane's state: the mark's fill (0, 1, 2 halves) and the words beside it.
 * @param {Lane} lane
 * @param {Index | null} index
 * @param {number | null} cue_ms
 * @returns {{fill: 0 | 1 | 2, words: string}}
 */
export function laneWords(lane, index, cue_ms) {
  if (lane.status === "not_started") return { fill: 2, words: "did not start" };
  if (lane.status === "void") return { fill: 2, words: "void: to be run again" };
  if (lane.status === "stopped" && lane.stop) return { fill: 2, words: stopWords(lane, index) };
  const count = missesNow(lane, cue_ms);
  const parts = [];
  if (lane.status === "waiting") parts.push("on the line");
  if (lane.warning.over) parts.push(`${plural(count, "miss", "misses")} · rule: stop`);
  else if (count > 0 || lane.status === "running") parts.push(plural(count, "miss", "misses"));
  if (lane.misses.some((m) => m.standing === "disputed")) parts.push("disputed");
  if (lane.warning.at_line > 0 && lane.warning.at_line !== count) {
    parts.push(`${lane.warning.at_line} at the line`);
  }
  if (lane.early_starts > 0) parts.push(`${lane.early_starts} early`);
  if (lane.short_turns > 0) parts.push(`${lane.short_turns} short`);
  return { fill: count > 0 ? 1 : 0, words: parts.join(" · ") };
}

/**
 * @param {Lane} lane
 * @param {Index | null} index
 */
function stopWords(lane, index) {
  const stop = lane.stop;
  if (!stop) return "stopped";
  if (!stop.completed) return "stopped, bouts not known";
  const { bouts, in_progress, close_call, corrected } = stop.completed;
  const parts = [`stopped ${labelOf(index, bouts)}`];
  if (in_progress != null) parts.push(`in progress ${labelOf(index, in_progress)}`);
  if (close_call) parts.push("close call");
  if (corrected) parts.push("put right");
  return parts.join(" · ");
}

/**
 * Returns what the next cue asks.
 * @param {string} kind
 */
export function cueWord(kind) {
  return kind === "start" ? "go" : kind;
}

/**
 * Returns the time to the next cue; whole seconds once it is far.
 * @param {number | null} in_ms
 */
export function inWords(in_ms) {
  if (in_ms == null) return "";
  return in_ms >= 9950
    ? `${Math.round(in_ms / 1000)} s`
    : `${(Math.max(in_ms, 0) / 1000).toFixed(1)} s`;
}

/**
 * Returns the line under the label: stage, speed, metres when this bout is done.
 * @param {Moment} moment
 */
export function paceWords(moment) {
  if (!moment.bout) return "";
  const { stage, speed_kmh, distance_m } = moment.bout;
  return `stage ${stage} · ${speed_kmh} km/h · ${distance_m} m`;
}

/**
 * @param {number} n
 * @param {string} one
 * @param {string} more
 */
export function plural(n, one, more) {
  return n === 0 ? `no ${one}` : `${n} ${n === 1 ? one : more}`;
}

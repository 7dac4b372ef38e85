// Lays own events that the last view does not have yet over it, so that a tap shows at once.
// Pure, and only a preview: the server's fold decides, and its view replaces this.
// Must stay in step with docs/formats/events.md, "What the fold makes of them".

import { finishedBy, judgedCue } from "./schedule.js";
import { completedAt, recount, settle } from "./tally.js";

/** @import {Call, Lane, State, WaveEvent} from "./types.js" */
/** @import {Index} from "./schedule.js" */

/**
 * Returns the state with the events laid over it; the state given is left alone.
 * @param {State} state
 * @param {WaveEvent[]} events oldest first
 * @param {Index | null} index
 * @returns {State}
 */
export function laidOver(state, events, index) {
  if (events.length === 0) return state;
  const next = structuredClone(state);
  const gone = undone(events);
  const known = new Set(next.lanes.flatMap((l) => l.trail.map((t) => t[0])));
  for (const event of events) {
    if (gone.has(event.id)) continue;
    if (event.what.kind === "undo") {
      const lane = next.lanes.find((l) => holds(l, event.what.event));
      if (lane) takeBack(lane, event.what.event, next, index);
      else takeBackWide(next, event.what.event);
    } else if (!known.has(event.id)) {
      put(next, event, index);
    }
  }
  return next;
}

/**
 * Returns the ids of pending events that pending undos take back, undos of undos included.
 * @param {WaveEvent[]} events
 */
function undone(events) {
  /** @type {Set<string>} */
  const gone = new Set();
  for (const event of [...events].reverse()) {
    if (event.what.kind === "undo" && !gone.has(event.id)) gone.add(event.what.event);
  }
  return gone;
}

/**
 * @param {State} state
 * @param {WaveEvent} event
 * @param {Index | null} index
 */
function put(state, event, index) {
  const { what } = event;
  if (what.kind === "started") {
    state.started = true;
    for (const lane of state.lanes) {
      if (what.lanes.includes(lane.plan.lane) && lane.status === "waiting") lane.status = "running";
    }
    return;
  }
  if (what.kind === "anchored") {
    state.anchor = { device: event.device, zero_ms: what.zero_ms, pm_ms: what.pm_ms };
    return;
  }
  if (what.kind === "interrupted") {
    if (state.interruptions.some((i) => i.event === event.id)) return;
    const finished = index && event.cue_ms != null ? finishedBy(index, event.cue_ms) : null;
    const cue_ms = event.cue_ms ?? null;
    state.interruptions.push({ event: event.id, cue_ms, finished, why: what.why, how: null });
    return;
  }
  if (what.kind === "resumed") {
    resume(state, what, index);
    return;
  }
  if (what.kind === "ruled") {
    const about = state.conflicts.find(
      (c) => c.lane === what.ruling.lane && c.about === what.ruling.about,
    );
    if (about) about.ruled = true;
    return;
  }
  if (what.kind === "joined" && !state.lanes.some((l) => l.plan.lane === what.runner.lane)) {
    state.lanes.push(newLane(what.runner, state));
    state.lanes.sort((a, b) => a.plan.lane - b.plan.lane);
  }
  const lane = state.lanes.find((l) => l.plan.lane === (what.lane ?? what.runner?.lane));
  if (lane) putOnLane(lane, event, state, index);
}

/**
 * @param {State} state
 * @param {any} what
 * @param {Index | null} index
 */
function resume(state, what, index) {
  const broken = state.interruptions.find((i) => i.event === what.interruption);
  if (broken) broken.how = what.how;
  if (what.how.choice === "at_bout") return;
  for (const lane of state.lanes) {
    if (lane.status !== "running") continue;
    if (what.how.choice === "void") {
      lane.status = "void";
    } else {
      const cue_ms = broken?.cue_ms ?? null;
      const completed = completedAt(lane, cue_ms, "technical", state, index);
      lane.status = "stopped";
      lane.stop = { reason: "technical", completed, cue_ms, at_ms: null, calls: [] };
    }
  }
}

/**
 * @param {Lane} lane
 * @param {WaveEvent} event
 * @param {State} state
 * @param {Index | null} index
 */
function putOnLane(lane, event, state, index) {
  const { what } = event;
  lane.waiting = true;
  lane.trail.push([event.id, event.device, what.kind]);
  switch (what.kind) {
    case "miss":
    case "reached":
      putMiss(lane, event, index);
      break;
    case "excused": {
      const miss = lane.misses.find((m) => m.calls.some((c) => c.event === what.miss));
      if (miss) {
        miss.standing = "excused";
        miss.excuse = what.why;
      }
      break;
    }
    case "early_start":
      lane.early_starts += 1;
      break;
    case "short_turn":
      lane.short_turns += 1;
      break;
    case "course_error":
      lane.course_errors.push([what.from_bout, what.to_bout]);
      break;
    case "not_started":
      if (lane.status === "waiting" || lane.status === "running") lane.status = "not_started";
      break;
    case "stop":
      putStop(lane, event, state, index);
      break;
    case "correction":
      correct(lane, what);
      break;
    default:
      break;
  }
  recountAll(lane, state, index);
}

/**
 * @param {Lane} lane
 * @param {WaveEvent} event
 * @param {Index | null} index
 */
function putMiss(lane, event, index) {
  const { what } = event;
  const at =
    what.bout && what.cue
      ? { bout: what.bout, cue: what.cue }
      : index && event.cue_ms != null
        ? judgedCue(index, event.cue_ms)
        : null;
  const key = at ? `${at.bout}.${at.cue}` : event.id;
  const says_so = what.kind === "miss";
  let miss = lane.misses.find((m) => m.key === key);
  if (!miss) {
    if (!says_so) return;
    const place = what.place ?? "zone";
    const [bout, cue] = [at?.bout ?? null, at?.cue ?? null];
    miss = { key, bout, cue, place, standing: "counts", calls: [], excuse: null };
    lane.misses.push(miss);
    lane.misses.sort((a, b) => (a.bout ?? 9e9) - (b.bout ?? 9e9) || (a.cue ?? 0) - (b.cue ?? 0));
  }
  // Whoever saw the runner not even in the zone decides what kind of miss it was.
  if (says_so && (what.place ?? "zone") === "zone") miss.place = "zone";
  miss.calls = [...miss.calls.filter((c) => c.device !== event.device), call(event, says_so)];
  settle(lane);
}

/**
 * @param {WaveEvent} event
 * @param {boolean} says_so
 * @returns {Call}
 */
function call(event, says_so) {
  const cue_ms = event.cue_ms ?? null;
  const [id, device, by] = [event.id, event.device, event.by ?? null];
  return { event: id, device, by, says_so, completed: null, reason: null, cue_ms };
}

/**
 * @param {Lane} lane
 * @param {WaveEvent} event
 * @param {State} state
 * @param {Index | null} index
 */
function putStop(lane, event, state, index) {
  const reason = event.what.reason;
  const cue_ms = event.cue_ms ?? null;
  const calls = lane.stop?.calls ?? [];
  const own = calls.find((c) => c.device === event.device);
  if (own) own.reason = reason;
  else {
    const completed = completedAt(lane, cue_ms, reason, state, index)?.bouts ?? null;
    calls.push({ ...call(event, true), completed, reason });
  }
  lane.status = "stopped";
  lane.stop = stopOf(lane, calls, state, index);
}

/**
 * Returns the stop that the calls amount to: the one with fewer bouts is shown. A correction goes
 * before the calls.
 * @param {Lane} lane
 * @param {Call[]} calls
 * @param {State} state
 * @param {Index | null} index
 */
function stopOf(lane, calls, state, index) {
  for (const one of calls) {
    const done = completedAt(lane, one.cue_ms, one.reason ?? "not_recorded", state, index);
    one.completed = done?.bouts ?? null;
  }
  const least = [...calls].sort((a, b) => (a.completed ?? -1) - (b.completed ?? -1))[0];
  if (!least) return null;
  const { cue_ms } = least;
  const old = lane.trail.some((t) => t[2] === "correction") ? lane.stop : null;
  const reason = old?.reason ?? least.reason ?? "not_recorded";
  const clock = completedAt(lane, cue_ms, reason, state, index);
  const completed = old?.completed?.corrected ? old.completed : clock;
  return { reason, completed, cue_ms, at_ms: lane.stop?.at_ms ?? null, calls };
}

/**
 * Counts the lane anew, and with it what a stop had completed: a later miss may change both.
 * @param {Lane} lane
 * @param {State} state
 * @param {Index | null} index
 */
function recountAll(lane, state, index) {
  recount(lane, state, index);
  if (lane.stop && lane.stop.calls.length > 0) {
    lane.stop = stopOf(lane, lane.stop.calls, state, index);
  }
}

/**
 * @param {Lane} lane
 * @param {any} what
 */
function correct(lane, what) {
  const old = lane.stop?.completed;
  const in_progress = old?.in_progress ?? null;
  const completed =
    what.completed == null
      ? (old ?? null)
      : { bouts: what.completed, in_progress, close_call: false, corrected: true };
  const reason = what.reason ?? lane.stop?.reason ?? "not_recorded";
  const base = lane.stop ?? { cue_ms: null, at_ms: null, calls: [] };
  lane.stop = { ...base, reason, completed };
  lane.status = "stopped";
}

/**
 * @param {Lane} lane
 * @param {string} id
 */
function holds(lane, id) {
  return (
    lane.trail.some((t) => t[0] === id) ||
    lane.misses.some((m) => m.calls.some((c) => c.event === id)) ||
    lane.stop?.calls.some((c) => c.event === id) === true
  );
}

/**
 * @param {Lane} lane
 * @param {string} id
 * @param {State} state
 * @param {Index | null} index
 */
function takeBack(lane, id, state, index) {
  const kind = lane.trail.find((t) => t[0] === id)?.[2];
  lane.trail = lane.trail.filter((t) => t[0] !== id);
  lane.waiting = true;
  if (kind === "early_start") lane.early_starts = Math.max(0, lane.early_starts - 1);
  if (kind === "short_turn") lane.short_turns = Math.max(0, lane.short_turns - 1);
  if (kind === "course_error") lane.course_errors.pop();
  if (kind === "not_started") lane.status = state.started ? "running" : "waiting";
  if (kind === "excused") {
    for (const miss of lane.misses) {
      if (miss.standing === "excused") Object.assign(miss, { standing: "counts", excuse: null });
    }
  }
  for (const miss of lane.misses) miss.calls = miss.calls.filter((c) => c.event !== id);
  settle(lane);
  if (lane.stop && (kind === "stop" || lane.stop.calls.some((c) => c.event === id))) {
    const calls = lane.stop.calls.filter((c) => c.event !== id);
    lane.stop = stopOf(lane, calls, state, index);
    if (!lane.stop) lane.status = state.started ? "running" : "waiting";
  }
  recountAll(lane, state, index);
}

/**
 * @param {State} state
 * @param {string} id
 */
function takeBackWide(state, id) {
  state.interruptions = state.interruptions.filter((i) => i.event !== id);
}

/**
 * @param {import("./types.js").LanePlan} plan
 * @param {State} state
 * @returns {Lane}
 */
function newLane(plan, state) {
  const limit = state.opening?.settings?.miss_limit ?? 0;
  const warning = { count: 0, limit, clears_at_ms: null, over: false, at_line: 0 };
  return {
    plan,
    status: state.started && (plan.from_bout ?? 1) > 1 ? "running" : "waiting",
    misses: [],
    warning,
    early_starts: 0,
    short_turns: 0,
    course_errors: [],
    stop: null,
    readings: [],
    trail: [],
  };
}

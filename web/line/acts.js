// From what was tapped on a row to the event that it records.
// Pure: state and cue in, event kinds out; nothing when there is nothing to record, with the reason.

/** @import {Lane, What} from "./types.js" */
/** @import {Index} from "./schedule.js" */

import { finishedBy, judgedCue, underWay } from "./schedule.js";

/**
 * @typedef {{events?: What[], undo?: string[], join?: boolean, no?: string}} Deed `undo`: ids of
 *   events to take back; `join`: belongs to the action before; `no`: why nothing is recorded
 */

/**
 * Returns what an action on a lane amounts to.
 * @param {string} action
 * @param {Lane} lane
 * @param {{index: Index | null, cue_ms: number | null, device: string, reason?: string | undefined,
 *   by?: number | undefined}} at
 * @returns {Deed}
 */
export function deedOf(action, lane, at) {
  const n = lane.plan.lane;
  const { index, cue_ms } = at;
  switch (action) {
    case "miss":
    case "miss_line": {
      if (lane.status !== "running") return { no: "not running" };
      const cue = index && cue_ms != null ? judgedCue(index, cue_ms) : null;
      if (index && cue_ms != null && !cue) return { no: "no cue yet" };
      const own = lane.misses.find((m) => cue && m.key === `${cue.bout}.${cue.cue}`);
      if (own?.calls.some((c) => c.device === at.device && c.says_so) && action === "miss") {
        return { no: "already called for this cue" };
      }
      /** @type {What} */
      const what = { kind: "miss", lane: n };
      if (cue) Object.assign(what, { bout: cue.bout, cue: cue.cue });
      if (action === "miss_line") what["place"] = "line";
      return { events: [what] };
    }
    case "stop":
      if (lane.stop?.calls.some((c) => c.device === at.device)) return {};
      return {
        events: [{ kind: "stop", lane: n, reason: lane.warning.over ? "misses" : "exhaustion" }],
      };
    case "reason":
      return reasonDeed(lane, at.reason ?? "exhaustion", at.device);
    case "early_start":
    case "short_turn":
      return { events: [{ kind: action, lane: n }] };
    case "not_started":
      return { events: [{ kind: "not_started", lane: n }] };
    case "present":
      return { undo: ofKind(lane, "not_started") };
    case "join": {
      const from =
        index && cue_ms != null ? finishedBy(index, cue_ms) + (underWay(index, cue_ms) ? 2 : 1) : 1;
      const runner = { ...lane.plan, from_bout: from };
      return { undo: ofKind(lane, "not_started"), events: [{ kind: "joined", runner }] };
    }
    case "excused": {
      const miss = [...lane.misses]
        .reverse()
        .find((m) => m.standing === "counts" || m.standing === "disputed");
      const call = miss?.calls.find((c) => c.says_so);
      if (!call) return { no: "no miss to excuse" };
      return { events: [{ kind: "excused", lane: n, miss: call.event, why: "interference" }] };
    }
    case "reached": {
      const miss = [...lane.misses]
        .reverse()
        .find((m) => m.bout && m.cue && m.calls.some((c) => c.says_so && c.device !== at.device));
      if (miss) return { events: [{ kind: "reached", lane: n, bout: miss.bout, cue: miss.cue }] };
      const own = [...lane.misses]
        .reverse()
        .flatMap((m) => m.calls)
        .find((c) => c.device === at.device);
      return own ? { undo: [own.event] } : { no: "no miss of this lane" };
    }
    case "course_error": {
      const bout =
        index && cue_ms != null ? (underWay(index, cue_ms) ?? finishedBy(index, cue_ms)) : 0;
      if (!bout) return { no: "no bout yet" };
      return { events: [{ kind: "course_error", lane: n, from_bout: bout, to_bout: bout }] };
    }
    case "correction": {
      const bouts = lane.stop?.completed?.bouts;
      if (bouts == null) return { no: "bouts not known: put them in when closing" };
      const completed = bouts + (at.by ?? 0);
      if (completed < 0) return { no: "no bout less than none" };
      return { events: [{ kind: "correction", lane: n, completed }] };
    }
    case "incident":
      return { events: [{ kind: "incident", lane: n, text: "something to look into" }] };
    default:
      return { no: `no such action: ${action}` };
  }
}

/**
 * A reason after a stop: the first tap said when, this one says why. A withdrawal for a medical
 * concern is an incident too; its text holds no health reason.
 * @param {Lane} lane
 * @param {string} reason
 * @param {string} device
 * @returns {Deed}
 */
function reasonDeed(lane, reason, device) {
  const own = lane.stop?.calls.some((c) => c.device === device) === true;
  if (own && lane.stop?.reason === reason) return {};
  const n = lane.plan.lane;
  /** @type {What[]} */
  const events = [
    own || !lane.stop ? { kind: "stop", lane: n, reason } : { kind: "correction", lane: n, reason },
  ];
  if (reason === "medical" || reason === "injury") {
    events.push({ kind: "incident", lane: n, text: "withdrawn by staff" });
  }
  return { events, join: own };
}

/**
 * @param {Lane} lane
 * @param {string} kind
 */
function ofKind(lane, kind) {
  return lane.trail.filter((t) => t[2] === kind).map((t) => t[0]);
}

// The outbox of one device: numbers events, keeps them until the server has them on disk.
// Pure: every function takes the outbox and returns a new one; storing is the store's business.

/** @import {WaveEvent, What} from "./types.js" */

/** Events in one message; the contract allows 200. */
const BATCH = 100;
/** Own actions kept so that they can be undone. */
const RECENT = 12;

/**
 * @typedef {{ids: string[], lane: number | null, kind: string, at_ms: number}} Action
 * @typedef {{device: string, next_seq: number, order: number, waiting: WaveEvent[],
 *   shown: {event: WaveEvent, version: number}[], refused: {event: WaveEvent, why: string}[],
 *   recent: Action[]}} Outbox
 */

/**
 * Returns an empty outbox.
 * @param {string} device
 * @returns {Outbox}
 */
export function emptyOutbox(device) {
  return { device, next_seq: 1, order: 0, waiting: [], shown: [], refused: [], recent: [] };
}

/**
 * Records what happened as the next event.
 * @param {Outbox} box
 * @param {What} what
 * @param {{id: string, at_ms: number, cue?: {cue_ms: number, pm_ms: number} | null, role: string,
 *   by?: string | undefined}} when
 * @returns {{box: Outbox, event: WaveEvent}}
 */
export function record(box, what, when) {
  const order = box.order + 1;
  /** @type {WaveEvent} */
  const event = {
    v: 1,
    id: when.id,
    device: box.device,
    seq: box.next_seq,
    order,
    at_ms: Math.round(when.at_ms),
    role: when.role,
    what,
  };
  if (when.by) event.by = when.by;
  if (when.cue) {
    event.cue_ms = Math.min(Math.max(Math.round(when.cue.cue_ms), -600_000), 86_400_000);
    event.cue_pm_ms = Math.min(Math.ceil(when.cue.pm_ms), 4_294_967_295);
  }
  return {
    box: { ...box, next_seq: box.next_seq + 1, order, waiting: [...box.waiting, event] },
    event,
  };
}

/**
 * Returns the events to send next, oldest first.
 * @param {Outbox} box
 * @returns {WaveEvent[]}
 */
export function batchOf(box) {
  return box.waiting.slice(0, BATCH);
}

/**
 * Takes in an answer of the server. An acknowledged event stays shown until a view has it.
 * @param {Outbox} box
 * @param {{acknowledged?: string[], refused?: {id: string, why: string}[], version?: number}} answer
 * @returns {Outbox}
 */
export function answered(box, answer) {
  const held = new Set(answer.acknowledged ?? []);
  const why = new Map((answer.refused ?? []).map((r) => [r.id, r.why]));
  const version = answer.version ?? 0;
  const shown = [...box.shown];
  const refused = [...box.refused];
  const waiting = box.waiting.filter((event) => {
    const reason = why.get(event.id);
    if (held.has(event.id)) shown.push({ event, version });
    else if (reason !== undefined) refused.push({ event, why: reason });
    else return true;
    return false;
  });
  if (waiting.length === box.waiting.length) return box;
  const out = new Set(refused.map((r) => r.event.id));
  const recent = box.recent.filter((a) => !a.ids.some((id) => out.has(id)));
  return { ...box, waiting, shown, refused, recent };
}

/**
 * Takes in a view: what it already has need not be laid over it any more.
 * @param {Outbox} box
 * @param {{version: number, order: number}} view
 * @returns {Outbox}
 */
export function sawView(box, view) {
  const shown = box.shown.filter((s) => s.version > view.version);
  const order = Math.max(box.order, view.order);
  if (shown.length === box.shown.length && order === box.order) return box;
  return { ...box, shown, order };
}

/**
 * Returns what has to be laid over the last view, oldest first.
 * @param {Outbox} box
 * @returns {WaveEvent[]}
 */
export function overlaid(box) {
  return [...box.shown.map((s) => s.event), ...box.waiting].sort((a, b) => a.seq - b.seq);
}

/**
 * Remembers an own action, or adds an event to the last one of the same lane and kind (`join`).
 * @param {Outbox} box
 * @param {WaveEvent} event
 * @param {boolean} join
 * @returns {Outbox}
 */
export function remembered(box, event, join = false) {
  const lane = event.what.lane ?? null;
  const kind = event.what.kind;
  const at = join ? box.recent.findIndex((a) => a.lane === lane && a.kind === kind) : -1;
  const recent =
    at >= 0
      ? box.recent.map((a, n) => (n === at ? { ...a, ids: [...a.ids, event.id] } : a))
      : [{ ids: [event.id], lane, kind, at_ms: event.at_ms }, ...box.recent].slice(0, RECENT);
  return { ...box, recent };
}

/**
 * Forgets an action that has been undone.
 * @param {Outbox} box
 * @param {Action} action
 * @returns {Outbox}
 */
export function forgotten(box, action) {
  return { ...box, recent: box.recent.filter((a) => a !== action && a.ids[0] !== action.ids[0]) };
}

/**
 * Puts an outbox together from what a store kept, however little: numbers are never used again.
 * @param {string} device
 * @param {{next_seq?: number, order?: number, recent?: Action[]}} kept
 * @param {WaveEvent[]} events
 * @returns {Outbox}
 */
export function restored(device, kept, events) {
  /** @type {Map<string, WaveEvent>} */
  const own = new Map();
  for (const event of events) if (event.device === device) own.set(event.id, event);
  const waiting = [...own.values()].sort((a, b) => a.seq - b.seq);
  return {
    ...emptyOutbox(device),
    waiting,
    next_seq: waiting.reduce((n, e) => Math.max(n, e.seq + 1), kept.next_seq ?? 1),
    order: waiting.reduce((n, e) => Math.max(n, e.order), kept.order ?? 0),
    recent: Array.isArray(kept.recent) ? kept.recent.slice(0, RECENT) : [],
  };
}

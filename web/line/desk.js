// The outbox at work: records what happened, keeps it on the device, hands it to the channel.
// Must not know the page; the rules of the outbox itself are in queue.js.

import { uuid7 } from "./ids.js";
import {
  answered,
  batchOf,
  forgotten,
  overlaid,
  record,
  remembered,
  restored,
  sawView,
} from "./queue.js";
import { claims, deepShelf, keep, keptOf, nameFor, quickShelf } from "./store.js";

/** @import {View, WaveEvent, What} from "./types.js" */
/** @import {Action, Outbox} from "./queue.js" */

/** @param {number} n */
const random = (n) => crypto.getRandomValues(new Uint8Array(n));

/**
 * Opens the outbox of this tab for a wave, with what was left in it, and what tabs that are gone
 * left behind: those events are sent as they are, the server takes each once.
 * @param {string} wave
 * @param {{changed: () => void, flush: () => void}} ends
 */
export async function openDesk(wave, { changed, flush }) {
  const claim = claims(wave);
  const device = await nameFor({
    session: sessionStorage,
    local: localStorage,
    wave,
    random,
    taken: claim.taken,
  });
  claim.own(device);
  const deep = await deepShelf(wave);
  const quick = quickShelf(localStorage, wave);
  const shelves = deep ? [quick, deep] : [quick];
  const found = (await Promise.all(shelves.map((s) => s.all()))).flat();
  let box = restored(device, keptOf(localStorage, wave, device) ?? {}, found);
  const strangers = [
    ...new Map(found.filter((e) => e.device !== device).map((e) => [e.id, e])).values(),
  ];
  /** @type {WaveEvent[]} */
  let left = strangers;
  let me = { role: "assessor", name: "" };

  /** @param {Outbox} next */
  function set(next) {
    if (next === box) return;
    keep(shelves, localStorage, wave, box, next);
    box = next;
    changed();
  }

  return {
    device,
    box: () => box,
    overlaid: () => overlaid(box),
    waiting: () => box.waiting.length + left.length,
    /** Returns the events to send next: what others left first. */
    batch: () => (left.length > 0 ? left.slice(0, 100) : batchOf(box)),
    /**
     * Records what happened; `undoable` puts it among the last actions, `join` adds it to the one
     * before.
     * @param {What} what
     * @param {{cue_ms: number, pm_ms: number} | null} cue
     * @param {{undoable?: boolean, join?: boolean}} [how]
     * @returns {WaveEvent}
     */
    record(what, cue, how = {}) {
      const at_ms = Date.now();
      const id = uuid7(at_ms, random(10));
      const by = me.name || undefined;
      const done = record(box, what, { id, at_ms, cue, role: me.role, by });
      set(how.undoable ? remembered(done.box, done.event, how.join) : done.box);
      flush();
      return done.event;
    },
    /** @param {Action} action */
    forget: (action) => set(forgotten(box, action)),
    /** @param {any} answer */
    answer(answer) {
      const over = new Set([
        ...(answer.acknowledged ?? []),
        ...(answer.refused ?? []).map((/** @type {any} */ r) => r.id),
      ]);
      const gone = left.filter((e) => over.has(e.id)).map((e) => e.id);
      left = left.filter((e) => !over.has(e.id));
      for (const shelf of shelves) shelf.drop(gone);
      set(answered(box, answer));
    },
    /** @param {View} view */
    view(view) {
      me = { role: view.me.role, name: view.me.name };
      set(sawView(box, { version: view.version, order: view.state.order }));
    },
  };
}

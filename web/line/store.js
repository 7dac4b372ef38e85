// Keeps the outbox on the device: first in localStorage, which is done before the tap returns, and
// in IndexedDB, which holds more. Either alone is enough. One tab has one device name at a time.
// Must not decide anything about events; that is the outbox's.

import { deviceName } from "./ids.js";

/** @import {WaveEvent} from "./types.js" */
/** @import {Outbox} from "./queue.js" */

/** How long another tab has to say that a name is taken, ms. */
const CLAIM_MS = 120;

/**
 * @typedef {{next_seq?: number, order?: number, recent?: any[]}} Kept
 * @typedef {{all: () => Promise<WaveEvent[]>, put: (e: WaveEvent) => void,
 *   drop: (ids: string[]) => void}} Shelf
 */

/**
 * Shelf of events in localStorage.
 * @param {Storage} storage
 * @param {string} wave
 * @returns {Shelf}
 */
export function quickShelf(storage, wave) {
  const prefix = `plimsoll.event.${wave}.`;
  return {
    async all() {
      const found = [];
      for (const key of Object.keys(storage)) {
        const text = key.startsWith(prefix) ? storage.getItem(key) : null;
        const event = text && parsed(text);
        if (event) found.push(event);
      }
      return found;
    },
    put(event) {
      try {
        storage.setItem(prefix + event.id, JSON.stringify(event));
      } catch {
        // Full or forbidden: the other shelf has it.
      }
    },
    drop(ids) {
      for (const id of ids) storage.removeItem(prefix + id);
    },
  };
}

/**
 * Shelf of events in IndexedDB.
 * @param {string} wave
 * @returns {Promise<Shelf | null>}
 */
export function deepShelf(wave) {
  return new Promise((resolve) => {
    /** @type {IDBOpenDBRequest} */
    let opening;
    try {
      opening = indexedDB.open("plimsoll-line", 1);
    } catch {
      resolve(null);
      return;
    }
    opening.onupgradeneeded = () => opening.result.createObjectStore("events");
    opening.onerror = () => resolve(null);
    opening.onblocked = () => resolve(null);
    opening.onsuccess = () => {
      const db = opening.result;
      const events = (/** @type {IDBTransactionMode} */ mode) =>
        db.transaction("events", mode, { durability: "strict" }).objectStore("events");
      const range = IDBKeyRange.bound(`${wave}.`, `${wave}.\uffff`);
      resolve({
        all: () =>
          new Promise((done) => {
            const asked = events("readonly").getAll(range);
            asked.onsuccess = () => done(asked.result);
            asked.onerror = () => done([]);
          }),
        put: (event) => void events("readwrite").put(event, `${wave}.${event.id}`),
        drop: (ids) => {
          if (ids.length === 0) return;
          const store = events("readwrite");
          for (const id of ids) store.delete(`${wave}.${id}`);
        },
      });
    };
  });
}

/**
 * Writes what follows from the change of an outbox: new events first, then the numbers.
 * @param {Shelf[]} shelves
 * @param {Storage} storage
 * @param {string} wave
 * @param {Outbox} before
 * @param {Outbox} after
 */
export function keep(shelves, storage, wave, before, after) {
  const had = new Set(before.waiting.map((e) => e.id));
  const has = new Set(after.waiting.map((e) => e.id));
  const gone = before.waiting.filter((e) => !has.has(e.id)).map((e) => e.id);
  for (const shelf of shelves) {
    for (const event of after.waiting) if (!had.has(event.id)) shelf.put(event);
    shelf.drop(gone);
  }
  const { next_seq, order, recent } = after;
  try {
    storage.setItem(keptKey(wave, after.device), JSON.stringify({ next_seq, order, recent }));
  } catch {
    // Full or forbidden: the numbers follow from the events that wait.
  }
}

/**
 * @param {Storage} storage
 * @param {string} wave
 * @param {string} device
 * @returns {Kept | null}
 */
export function keptOf(storage, wave, device) {
  const text = storage.getItem(keptKey(wave, device));
  return text ? parsed(text) : null;
}

/**
 * Finds a device name for this tab: its own of before, one left over by a tab that is gone, or a
 * new one. Names whose numbers are not kept are never used again.
 * @param {{session: Storage, local: Storage, wave: string, random: (n: number) => Uint8Array,
 *   taken: (name: string) => Promise<boolean>}} from
 * @returns {Promise<string>}
 */
export async function nameFor({ session, local, wave, random, taken }) {
  const key = `plimsoll.device.${wave}`;
  const mine = session.getItem(key);
  const prefix = keptKey(wave, "");
  const left = Object.keys(local)
    .filter((k) => k.startsWith(prefix))
    .map((k) => k.slice(prefix.length));
  const names = [...new Set([...(mine ? [mine] : []), ...left])].filter((n) => left.includes(n));
  let name = "";
  for (const candidate of names) {
    if (name === "" && !(await taken(candidate))) name = candidate;
  }
  if (name === "") name = deviceName(random(16));
  session.setItem(key, name);
  local.setItem(prefix + name, local.getItem(prefix + name) ?? "{}");
  return name;
}

/**
 * Lets tabs of one browser ask each other whether a name is in use, and answers for this one.
 * @param {string} wave
 * @returns {{taken: (name: string) => Promise<boolean>, own: (name: string) => void}}
 */
export function claims(wave) {
  if (typeof BroadcastChannel === "undefined") return { taken: async () => false, own: () => {} };
  const channel = new BroadcastChannel(`plimsoll.claims.${wave}`);
  let owned = "";
  /** @type {Map<string, () => void>} */
  const asked = new Map();
  channel.onmessage = ({ data }) => {
    if (data.ask && (data.ask === owned || asked.has(data.ask)))
      channel.postMessage({ yes: data.ask });
    if (data.yes) asked.get(data.yes)?.();
  };
  return {
    own: (name) => {
      owned = name;
    },
    taken: (name) =>
      new Promise((resolve) => {
        const done = (/** @type {boolean} */ answer) => {
          asked.delete(name);
          resolve(answer);
        };
        asked.set(name, () => done(true));
        channel.postMessage({ ask: name });
        setTimeout(() => asked.has(name) && done(false), CLAIM_MS);
      }),
  };
}

/**
 * @param {string} wave
 * @param {string} device
 */
function keptKey(wave, device) {
  return `plimsoll.outbox.${wave}.${device}`;
}

/**
 * @param {string} text
 * @returns {any}
 */
function parsed(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

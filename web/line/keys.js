// Keyboard of the line: first the key of a lane, then the key of what happened.
// Pure: no page. An armed lane takes the next letter as an action, so letters may serve twice.

/** Keys of the rows from the top: the lane keys shown on the page. */
export const ROW_KEYS = [..."1234567890qwertyiopadfghjklzcvbn"];

/** @type {Record<string, string>} */
export const ACTION_KEYS = {
  m: "miss",
  s: "stop",
  e: "early_start",
  t: "short_turn",
  x: "excused",
  r: "reached",
  o: "more",
  u: "undo",
};

/**
 * @param {number | null} armed row that waits for an action
 * @param {string} key
 * @param {number} rows
 * @returns {{armed: number | null, act?: {row: number | null, action: string}}}
 */
export function pressed(armed, key, rows) {
  const k = key.length === 1 ? key.toLowerCase() : key;
  if (k === "Escape") return { armed: null };
  const action = ACTION_KEYS[k];
  if (armed != null && action) return { armed: null, act: { row: armed, action } };
  if (armed == null && k === "u") return { armed: null, act: { row: null, action: "undo" } };
  const row = ROW_KEYS.indexOf(k);
  if (row >= 0 && row < rows) return { armed: row };
  return { armed };
}

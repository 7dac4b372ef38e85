// What is not as it should be, in few words, under the strip: network, clock, sound, screen, charge.
// Pure: from the facts to the words, the gravest first.

/**
 * @typedef {{online: boolean, waiting: number, clock_pm_ms: number | null, anchored: boolean,
 *   playing: boolean, broken: boolean, awake: "lock" | "picture" | "none" | "off",
 *   hidden_s: number, charge: number | null, disputes: number, interrupted: boolean,
 *   closed: boolean, bye: string}} Facts
 */

/** A position less sure than this is said to be rough, ms: a metre at 14 km/h takes 257 ms. */
const ROUGH_MS = 250;

/**
 * Returns the signs, the gravest first.
 * @param {Facts} f
 * @returns {{words: string, grave: boolean}[]}
 */
export function signsOf(f) {
  /** @type {{words: string, grave: boolean}[]} */
  const signs = [];
  const say = (/** @type {boolean} */ grave, /** @type {string} */ words) =>
    signs.push({ words, grave });
  if (f.bye) say(true, f.bye);
  if (f.closed) say(true, "wave closed");
  if (f.broken) say(true, "sound broke off here");
  if (f.interrupted) say(true, "interrupted");
  if (!f.online) say(true, f.waiting > 0 ? `offline · ${f.waiting} kept here` : "offline");
  else if (f.waiting > 0) say(false, `${f.waiting} on the way`);
  if (f.disputes > 0) say(true, `${f.disputes} to settle`);
  if (f.awake === "none") say(true, "screen may go dark");
  if (f.hidden_s >= 1) say(false, `page was hidden ${Math.round(f.hidden_s)} s`);
  if (f.charge != null && f.charge <= 0.2) say(true, `charge ${Math.round(f.charge * 100)} %`);
  if (f.playing) say(false, "plays here");
  if (f.anchored && f.clock_pm_ms == null) say(true, "clock not known");
  else if (f.anchored && f.clock_pm_ms != null) {
    const pm = Math.max(1, Math.round(f.clock_pm_ms));
    say(
      f.clock_pm_ms > ROUGH_MS,
      f.clock_pm_ms > ROUGH_MS ? `marker rough ±${pm} ms` : `±${pm} ms`,
    );
  }
  return signs;
}

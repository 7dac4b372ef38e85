// When each piece of the track has to sound on an audio clock, and from which of its samples.
// Pure: no audio context; the player and the tests follow the same plan.
// The pieces abut without gap or overlap (docs/formats/live.md), so starts lie on the sample grid.

/** @import {Piece, Sound} from "./types.js" */

/**
 * @typedef {{n: number, when_s: number, offset_s: number, length_s: number}} Start
 */

/**
 * Puts an instant of an audio clock on its sample grid.
 * @param {number} at_s
 * @param {number} rate samples a second
 */
export function onGrid(at_s, rate) {
  return Math.round(at_s * rate) / rate;
}

/**
 * Returns the starts from `from_s` on: both on the audio clock; cue time 0 is at `zero_s` of it.
 * A piece under way at `from_s` starts there, in its middle.
 * @param {Sound} sound
 * @param {number} zero_s
 * @param {number} from_s
 * @returns {Start[]}
 */
export function startsFrom(sound, zero_s, from_s) {
  const rate = sound.sample_rate;
  const begin = onGrid(zero_s - sound.zero_s, rate);
  const first = onGrid(from_s, rate);
  /** @type {Start[]} */
  const starts = [];
  for (const piece of sound.pieces) {
    const at = onGrid(begin + piece.at_s, rate);
    const skip = Math.max(0, onGrid(first - at, rate));
    const length_s = onGrid(piece.length_s - skip, rate);
    if (length_s <= 0) continue;
    starts.push({ n: piece.n, when_s: onGrid(at + skip, rate), offset_s: skip, length_s });
  }
  return starts;
}

/**
 * Returns whether the audio clock has fallen behind the wall clock: it was held up in between.
 * @param {{audio_s: number, wall_ms: number}} before
 * @param {{audio_s: number, wall_ms: number}} now
 * @param {number} allowed_ms
 */
export function heldUp(before, now, allowed_ms) {
  return lag(before, now) > allowed_ms;
}

/**
 * Returns by how much the audio clock has fallen behind the wall clock, ms.
 * @param {{audio_s: number, wall_ms: number}} before
 * @param {{audio_s: number, wall_ms: number}} now
 */
export function lag(before, now) {
  return now.wall_ms - before.wall_ms - (now.audio_s - before.audio_s) * 1000;
}

/**
 * Returns the cue time from which to play when going on with a bout, s: some seconds before its
 * start, never before the finish of the bout before.
 * @param {{start_ms: number}} bout
 * @param {{finish_ms: number} | null} before
 * @param {number} lead_s
 */
export function leadIn(bout, before, lead_s) {
  const start = bout.start_ms / 1000;
  return before ? Math.max(before.finish_ms / 1000 + 0.5, start - lead_s) : start - lead_s;
}

// Estimates the server's clock from pings, and cue time from the anchor.
// Pure: the caller reads the clocks. The shortest round trip decides (docs/formats/live.md).

/** How fast two clocks may drift apart: 100 parts per million. Common practice, no source. */
const DRIFT = 1e-4;
/** Samples kept: enough for some minutes of pings. */
const KEEP = 30;

/**
 * One ping: how far the server's clock is ahead, and how surely, ms.
 * @typedef {{offset_ms: number, half_ms: number, at_ms: number}} Sample
 */

/**
 * Turns a ping into a sample; nothing when the times cannot be.
 * @param {number} t0 sent, on the local clock
 * @param {number} t1 answered, on the local clock
 * @param {number} server_ms the server's clock in the answer
 * @returns {Sample | null}
 */
export function sampleOf(t0, t1, server_ms) {
  const trip = t1 - t0;
  if (!(trip >= 0) || !Number.isFinite(server_ms)) return null;
  return { offset_ms: server_ms + trip / 2 - t1, half_ms: trip / 2, at_ms: t1 };
}

/**
 * Adds a sample; the oldest go.
 * @param {Sample[]} samples
 * @param {Sample | null} sample
 * @returns {Sample[]}
 */
export function withSample(samples, sample) {
  return sample ? [...samples, sample].slice(-KEEP) : samples;
}

/**
 * Returns the best estimate now: an old short ping loses to a new one as the clocks drift.
 * @param {Sample[]} samples
 * @param {number} now_ms local clock
 * @returns {{offset_ms: number, pm_ms: number} | null}
 */
export function estimate(samples, now_ms) {
  let best = null;
  for (const s of samples) {
    const pm_ms = s.half_ms + Math.abs(now_ms - s.at_ms) * DRIFT;
    if (!best || pm_ms < best.pm_ms) best = { offset_ms: s.offset_ms, pm_ms };
  }
  return best;
}

/**
 * Returns cue time with its half width, ms; nothing while the cue clock or the server's is unknown.
 * @param {{zero_ms: number, pm_ms: number} | null | undefined} anchor
 * @param {{offset_ms: number, pm_ms: number} | null} clock
 * @param {number} now_ms local clock
 * @param {number} speed how many times faster than on the pitch: 1, but for a rehearsal
 * @returns {{cue_ms: number, pm_ms: number} | null}
 */
export function cueTime(anchor, clock, now_ms, speed = 1) {
  if (!anchor || !clock) return null;
  const since_ms = now_ms + clock.offset_ms - anchor.zero_ms;
  return { cue_ms: since_ms * speed, pm_ms: (anchor.pm_ms + clock.pm_ms) * speed };
}

// Plays the cue track: every piece scheduled ahead on the audio clock, none by a timer.
// Must not know lanes or events; it tells when cue time 0 sounds, and when the sound broke off.
// What plain http lacks is left out: no worklet, no wake lock taken for granted.

import { heldUp, lag, leadIn, onGrid, startsFrom } from "./plan.js";

/** @import {Bout, Sound} from "./types.js" */

/** The audio clock may fall behind the wall clock by so much before it counts as a break, ms. */
const HELD_UP_MS = 250;
/** Time between pressing start and the first sample of the track, s. */
const READY_S = 0.6;
/** Sound kept scheduled ahead, s: a hidden page may run its timers but once a minute. */
const AHEAD_S = 300;
/** Sound decoded before the first sample is scheduled, s. */
const FIRST_S = 60;
/** Seconds of track before the bout with which the cues go on. */
const LEAD_S = 5;
/** Delay taken for a device that does not tell its own, and how unsure it is, ms. */
const DELAY_MS = 40;
const DELAY_PM_MS = 40;

/**
 * @typedef {{zero_local_ms: number, pm_ms: number}} Tie cue time 0 on the local clock
 * @typedef {{loaded: number, pieces: number, state: "empty" | "loading" | "ready" | "playing" | "broken",
 *   plain: boolean}} Condition
 */

/**
 * Makes the player of a page.
 * @param {{now: () => number, changed: (c: Condition) => void, broke: (why: string) => void}} ends
 */
export function makePlayer({ now, changed, broke }) {
  /** @type {AudioContext | null} */
  let context = null;
  /** @type {Sound | null} */
  let sound = null;
  /** @type {Map<number, ArrayBuffer>} every piece as it came; decoded, a whole track would take too much */
  const bytes = new Map();
  /** @type {Map<number, AudioBuffer>} the pieces that sound soon */
  const buffers = new Map();
  /** @type {import("./plan.js").Start[]} what is not scheduled yet */
  let ahead = [];
  let filling = false;
  /** @type {AudioBufferSourceNode[]} */
  let nodes = [];
  /** @type {HTMLAudioElement | null} plays the whole track where pieces cannot be decoded */
  let element = null;
  /** @type {GainNode | null} */
  let gain = null;
  let zero_s = 0;
  /** @type {{audio_s: number, wall_ms: number} | null} */
  let mark = null;
  /** @type {Condition} */
  let condition = { loaded: 0, pieces: 0, state: "empty", plain: false };

  /** @param {Partial<Condition>} part */
  function tell(part) {
    condition = { ...condition, ...part };
    changed(condition);
  }

  /**
   * Fetches and decodes every piece, so that the network may go.
   * @param {Sound} described
   */
  async function load(described) {
    if (condition.state === "playing" || condition.state === "loading") return;
    sound = described;
    tell({ state: "loading", pieces: described.pieces.length, loaded: 0, plain: false });
    try {
      context ??= new AudioContext({ sampleRate: 48_000, latencyHint: "playback" });
      context.onstatechange = () => {
        if (condition.state === "playing" && context?.state !== "running") {
          brokeOff("this device held up its sound");
        }
      };
      let seconds = 0;
      for (const piece of described.pieces) {
        if (!bytes.has(piece.n)) {
          const answer = await fetch(piece.url, { credentials: "same-origin" });
          if (!answer.ok) throw new Error(`piece ${piece.n}: status ${answer.status}`);
          bytes.set(piece.n, await answer.arrayBuffer());
        }
        // Every piece is decoded once, so that a bad one is known before the start.
        await decoded(context, piece.n);
        seconds += piece.length_s;
        if (seconds > AHEAD_S) buffers.delete(piece.n);
        tell({ loaded: bytes.size });
      }
      tell({ state: "ready" });
    } catch {
      await loadPlain(described);
    }
  }

  /**
   * @param {AudioContext} on
   * @param {number} n
   */
  async function decoded(on, n) {
    const have = buffers.get(n);
    if (have) return have;
    const raw = bytes.get(n);
    if (!raw) return null;
    const buffer = await on.decodeAudioData(raw.slice(0));
    buffers.set(n, buffer);
    return buffer;
  }

  /** Schedules what sounds within the next minutes. */
  async function fill() {
    if (!context || !gain || filling) return;
    filling = true;
    const into = gain;
    while (ahead[0] && ahead[0].when_s < context.currentTime + AHEAD_S) {
      const start = ahead[0];
      const buffer = await decoded(context, start.n);
      if (gain !== into) break;
      ahead.shift();
      if (!buffer) continue;
      const late = Math.max(
        0,
        onGrid(context.currentTime + 0.02 - start.when_s, buffer.sampleRate),
      );
      if (late >= start.length_s) continue;
      const node = context.createBufferSource();
      node.buffer = buffer;
      node.connect(into);
      node.start(start.when_s + late, start.offset_s + late);
      node.onended = () => {
        nodes = nodes.filter((one) => one !== node);
        buffers.delete(start.n);
      };
      nodes.push(node);
    }
    filling = false;
  }

  /** @param {Sound} described */
  async function loadPlain(described) {
    const answer = await fetch(described.track_url, { credentials: "same-origin" }).catch(
      () => null,
    );
    if (!answer?.ok) {
      tell({ state: "empty", loaded: 0 });
      return;
    }
    element = new Audio(URL.createObjectURL(await answer.blob()));
    element.preload = "auto";
    element.onpause = () => {
      if (condition.state === "playing" && !element?.ended)
        brokeOff("this device paused its sound");
    };
    tell({ state: "ready", loaded: 1, pieces: 1, plain: true });
  }

  /**
   * Starts at a cue time; `at_local_ms` says when that cue time has to sound, or as soon as can be.
   * @param {number} cue_s
   * @param {number | null} at_local_ms
   * @returns {Promise<Tie | null>}
   */
  async function play(cue_s, at_local_ms) {
    if (!sound || condition.state === "empty" || condition.state === "loading") return null;
    stop();
    if (condition.plain) return playPlain(sound, cue_s, at_local_ms);
    if (!context) return null;
    await context.resume();
    const rate = sound.sample_rate;
    // What sounds first is decoded before its instant is chosen.
    const since = at_local_ms == null ? cue_s : cue_s + (now() - at_local_ms) / 1000;
    for (const start of startsFrom(sound, 0, since)) {
      if (start.when_s < since + FIRST_S) await decoded(context, start.n);
    }
    const { audio_s, wall_ms, pm_ms } = await reading(context, now);
    const soonest = context.currentTime + READY_S;
    const wanted = at_local_ms == null ? soonest : audio_s + (at_local_ms - wall_ms) / 1000;
    const from = Math.max(soonest, wanted);
    zero_s = onGrid(wanted - cue_s, rate);
    gain = context.createGain();
    gain.connect(context.destination);
    gain.gain.setValueAtTime(0, 0);
    gain.gain.setValueAtTime(0, from);
    gain.gain.linearRampToValueAtTime(1, from + 0.01);
    ahead = startsFrom(sound, zero_s, from);
    filling = false;
    void fill();
    mark = { audio_s: context.currentTime, wall_ms: now() };
    tell({ state: "playing" });
    return { zero_local_ms: wall_ms + (zero_s - audio_s) * 1000, pm_ms };
  }

  /**
   * @param {Sound} described
   * @param {number} cue_s
   * @param {number | null} at_local_ms
   * @returns {Promise<Tie | null>}
   */
  async function playPlain(described, cue_s, at_local_ms) {
    if (!element) return null;
    const gone_s = at_local_ms == null ? 0 : (now() - at_local_ms) / 1000;
    element.currentTime = Math.max(0, described.zero_s + cue_s + gone_s);
    await element.play();
    await new Promise((done) => setTimeout(done, 150));
    const zero_local_ms = now() + (described.zero_s - element.currentTime) * 1000;
    tell({ state: "playing" });
    return { zero_local_ms, pm_ms: 120 };
  }

  /** Stops the sound at once. */
  function stop() {
    ahead = [];
    for (const node of nodes) {
      node.onended = null;
      node.stop();
      node.disconnect();
    }
    nodes = [];
    gain?.disconnect();
    gain = null;
    mark = null;
    const playing = condition.state === "playing";
    if (playing) tell({ state: "ready" });
    element?.pause();
  }

  /** @param {string} why */
  function brokeOff(why) {
    if (condition.state !== "playing") return;
    stop();
    tell({ state: "broken" });
    broke(why);
  }

  /** Schedules on, and compares the audio clock with the wall clock; called now and then, no matter
   * how exactly. */
  function watch() {
    void fill();
    if (!context || !mark || condition.state !== "playing" || condition.plain) return;
    const here = { audio_s: context.currentTime, wall_ms: now() };
    if (heldUp(mark, here, HELD_UP_MS)) {
      brokeOff(`the sound of this device stood still for ${Math.round(lag(mark, here))} ms`);
    } else if (here.wall_ms - mark.wall_ms > 30_000) {
      mark = here;
    }
  }

  /** Returns where cue time 0 lies by the audio clock as it runs now; nothing when it does not. */
  async function tie() {
    if (!context || !gain || condition.state !== "playing") return null;
    const { audio_s, wall_ms, pm_ms } = await reading(context, now);
    return { zero_local_ms: wall_ms + (zero_s - audio_s) * 1000, pm_ms };
  }

  return {
    load,
    stop,
    tie,
    watch,
    condition: () => condition,
    /** Unlocks the sound within a gesture of the person. */
    wake: () => void context?.resume(),
    /** Starts the wave: the track from its beginning. */
    start: () => play(sound ? -sound.zero_s : 0, null),
    /**
     * Goes on with a bout, some seconds before its start.
     * @param {Bout} bout
     * @param {Bout | null} before
     */
    goOn: (bout, before) => play(leadIn(bout, before, LEAD_S), null),
    /**
     * Takes over: from the middle of the track, so that cue time 0 stays where it was.
     * @param {number} zero_local_ms
     */
    takeOver: (zero_local_ms) => play(0, zero_local_ms),
  };
}

/**
 * Reads the audio clock and the wall clock together, as of what is heard now. A clock that has just
 * been woken tells old times for a moment: it is asked again.
 * @param {AudioContext} context
 * @param {() => number} now
 */
async function reading(context, now) {
  for (let n = 0; n < 8; n += 1) {
    const stamp = context.getOutputTimestamp?.();
    const [audio_s, wall_ms] = [stamp?.contextTime, stamp?.performanceTime];
    if (
      audio_s &&
      wall_ms &&
      Math.abs(wall_ms - now()) < 500 &&
      context.currentTime - audio_s < 1
    ) {
      return { audio_s, wall_ms, pm_ms: 10 };
    }
    await new Promise((done) => setTimeout(done, 50));
  }
  const told = (context.outputLatency || context.baseLatency || 0) * 1000;
  const wall_ms = now() + (told || DELAY_MS);
  return { audio_s: context.currentTime, wall_ms, pm_ms: told ? 20 : DELAY_PM_MS };
}

/**
 * Plays pieces into memory by the same plan: for checking that they abut.
 * @param {Sound} sound
 * @param {Map<number, AudioBuffer>} buffers
 * @param {number} zero_s
 * @param {number} from_s
 * @param {number} length_s
 */
export function renderOffline(sound, buffers, zero_s, from_s, length_s) {
  const rate = sound.sample_rate;
  const offline = new OfflineAudioContext(1, Math.ceil(length_s * rate), rate);
  for (const start of startsFrom(sound, zero_s, from_s)) {
    const node = offline.createBufferSource();
    node.buffer = buffers.get(start.n) ?? null;
    node.connect(offline.destination);
    node.start(start.when_s, start.offset_s);
  }
  return offline.startRendering();
}

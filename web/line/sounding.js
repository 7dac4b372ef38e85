// Ties the player to the wave: when to load, start, break off, go on, take over; and the anchor.
// The loudspeaker's clock is the clock of the test (docs/formats/events.md, `anchored`).

import { makeKeeper } from "./awake.js";
import { ask } from "./channel.js";
import { makePlayer } from "./player.js";

/** @import {State, What} from "./types.js" */
/** @import {Index} from "./schedule.js" */

/** The sound may move off the anchor by so much before it is tied anew, ms. */
const RETIE_MS = 30;

/**
 * @typedef {{wave: string, device: () => string, now: () => number,
 *   clock: () => {offset_ms: number, pm_ms: number} | null, state: () => State | null,
 *   index: () => Index | null, cue: () => {cue_ms: number, pm_ms: number} | null,
 *   record: (what: What, cue: {cue_ms: number, pm_ms: number} | null) => void,
 *   say: (words: string) => void, changed: () => void}} Ends
 */

/**
 * @param {Ends} ends
 */
export function makeSounding(ends) {
  /** @type {Set<string> | null} interruptions that were over before, or have been dealt with */
  let seen = null;
  /** @type {import("./awake.js").Way | "off"} */
  let awake = "off";
  const keeper = makeKeeper((way) => {
    awake = way;
    ends.changed();
  });
  const player = makePlayer({
    now: ends.now,
    changed: ends.changed,
    broke: (why) => {
      ends.record({ kind: "interrupted", why }, ends.cue());
      ends.say("The sound broke off");
    },
  });

  /** @type {Promise<void> | null} */
  let loading = null;
  const load = () => {
    loading ??= ask(`/api/waves/${encodeURIComponent(ends.wave)}/sound`).then(async (sound) => {
      if (sound) await player.load(sound);
      if (player.condition().state === "empty") loading = null;
    });
    return loading;
  };

  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let signalling;
  /** @type {import("./player.js").Tie | null} as it was last made known */
  let tied = null;

  /**
   * Makes the tie known, and has the start signal written down when it sounds.
   * @param {import("./player.js").Tie | null} tie
   */
  function anchor(tie) {
    const clock = ends.clock();
    if (!tie || !clock) return null;
    const zero_ms = Math.round(tie.zero_local_ms + clock.offset_ms);
    const pm_ms = Math.ceil(tie.pm_ms + clock.pm_ms);
    tied = tie;
    ends.record({ kind: "anchored", zero_ms, pm_ms }, null);
    clearTimeout(signalling);
    signalling = setTimeout(signal, Math.max(0, tie.zero_local_ms - ends.now()));
    return tie;
  }

  async function start() {
    const state = ends.state();
    if (!state || state.started || player.condition().state === "playing") return;
    if (!ends.clock()) {
      ends.say("The server's clock is not known yet: wait a moment");
      return;
    }
    keeper.start();
    if (!anchor(await player.start())) ends.say("The sound is not ready");
  }

  /** The start signal is an event at cue time 0; when exactly it is written down does not matter. */
  function signal() {
    const state = ends.state();
    if (!state || state.started || player.condition().state !== "playing") return;
    const lanes = state.lanes
      .filter((l) => l.status === "waiting" && (l.plan.from_bout ?? 1) === 1)
      .map((l) => l.plan.lane);
    ends.record({ kind: "started", lanes }, { cue_ms: 0, pm_ms: state.anchor?.pm_ms ?? 0 });
    ends.say("Started");
  }

  async function here() {
    const state = ends.state();
    const clock = ends.clock();
    if (!state?.anchor || !clock) return;
    keeper.start();
    player.wake();
    await load();
    anchor(await player.takeOver(state.anchor.zero_ms - clock.offset_ms));
    ends.say("This device plays the cues");
  }

  /** @param {number} bout */
  async function goOn(bout) {
    const index = ends.index();
    const at = index?.timeline.bouts[bout - 1];
    if (!at) return;
    keeper.start();
    anchor(await player.goOn(at, index?.timeline.bouts[bout - 2] ?? null));
    ends.say(`Going on with ${at.label}`);
  }

  /** The loudspeaker's clock runs at its own speed: when it has moved off, it is tied anew. */
  async function retie() {
    if (player.condition().state !== "playing" || !tied) return;
    const tie = await player.tie();
    if (tie && Math.abs(tie.zero_local_ms - tied.zero_local_ms) > RETIE_MS) anchor(tie);
  }

  setInterval(() => player.watch(), 1000);
  setInterval(() => void retie(), 30_000);

  return {
    load,
    start,
    here,
    wake: player.wake,
    awake: () => awake,
    condition: player.condition,
    /** Follows the state: breaks off when anyone interrupts, goes on when the lead has chosen. */
    follow() {
      const state = ends.state();
      if (!state) return;
      if (!seen) {
        seen = new Set(state.interruptions.filter((i) => i.how).map((i) => i.event));
      }
      for (const one of state.interruptions) {
        if (seen.has(one.event)) continue;
        if (!one.how) {
          if (player.condition().state === "playing") player.stop();
          continue;
        }
        seen.add(one.event);
        if (one.how.choice !== "at_bout") player.stop();
        else if (state.anchor?.device === ends.device()) void goOn(one.how.bout ?? 1);
      }
      if (state.closed) {
        player.stop();
        keeper.stop();
      }
    },
  };
}

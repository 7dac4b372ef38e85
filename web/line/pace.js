// The head of the screen: bout, stage, speed, metres, next cue, and the cue shown for eyes and hands.
// In: a moment, or the word that stands in for it. Draws only.

import { cueWord, inWords, paceWords } from "./words.js";

/** @import {Judged, Moment} from "./schedule.js" */

/** How long a cue is shown, ms; how long before it the hand is warned. */
const SHOWN_MS = 600;
const WARN_MS = 1000;

/**
 * @param {HTMLElement} el
 */
export function Pace(el) {
  el.innerHTML = `
    <p class="bout"></p>
    <p class="facts-now"></p>
    <p class="next"><span class="what"></span> <span class="when"></span></p>`;
  const [bout, facts, what, when] = [".bout", ".facts-now", ".what", ".when"].map(
    (name) => /** @type {HTMLElement} */ (el.querySelector(name)),
  );

  /**
   * @param {HTMLElement | undefined} node
   * @param {string} text
   */
  const put = (node, text) => {
    if (node && node.textContent !== text) node.textContent = text;
  };

  return {
    /**
     * @param {Moment | null} moment
     * @param {string} instead shown where there is no moment
     * @param {string} name of the test
     */
    update(moment, instead, name) {
      put(bout, moment?.bout ? moment.bout.label : "–");
      put(facts, moment ? paceWords(moment) : name);
      if (!moment) {
        put(what, instead);
        put(when, "");
      } else if (moment.next) {
        put(what, moment.phase === "rest" ? "rest, go in" : `${cueWord(moment.next.kind)} in`);
        put(when, inWords(moment.in_ms));
      } else {
        put(what, "end of the ladder");
        put(when, "");
      }
    },
  };
}

/**
 * Shows cues by shape and word on the whole head, and to the hand, for who cannot hear them.
 * @param {HTMLElement} el
 */
export function ShownCue(el) {
  /** @type {Judged | null} */
  let next = null;
  let warned = false;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let timer;
  return {
    /**
     * @param {Moment | null} moment
     * @param {boolean} on
     */
    update(moment, on) {
      const coming = moment?.next ?? null;
      if (on && next && next !== coming && moment && moment.phase !== "before") show(next);
      if (on && coming && moment?.in_ms != null && moment.in_ms < WARN_MS && !warned) {
        warned = true;
        navigator.vibrate?.(60);
      }
      if (next !== coming) warned = false;
      next = coming;
    },
  };

  /** @param {Judged} cue */
  function show(cue) {
    el.dataset["cue"] = cueWord(cue.kind);
    navigator.vibrate?.(cue.kind === "start" ? [250, 80, 250] : 250);
    clearTimeout(timer);
    timer = setTimeout(() => delete el.dataset["cue"], SHOWN_MS);
  }
}

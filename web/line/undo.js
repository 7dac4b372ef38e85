// The last three own actions, each to be taken back with one tap; always in reach.
// Out: event "takeBack" (detail: Action). An action keeps its place until another needs it.

import { actionWord } from "./words.js";

/** @import {Action} from "./queue.js" */

const SLOTS = 3;

/**
 * Puts the newest actions in their places: one that has a place keeps it.
 * @param {(string | null)[]} places keys by place
 * @param {string[]} newest keys, newest first
 * @returns {(string | null)[]}
 */
export function placed(places, newest) {
  const want = newest.slice(0, SLOTS);
  const next = Array.from({ length: SLOTS }, (_, n) => {
    const key = places[n] ?? null;
    return key && want.includes(key) ? key : null;
  });
  for (const key of [...want].reverse()) {
    if (next.includes(key)) continue;
    next[next.indexOf(null)] = key;
  }
  return next;
}

/**
 * @param {HTMLElement} el
 */
export function Undo(el) {
  /** @type {(string | null)[]} */
  let places = [null, null, null];
  /** @type {Action[]} */
  let actions = [];
  const buttons = places.map(() => {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = "–";
    button.setAttribute("aria-label", "Nothing to undo");
    return button;
  });
  el.replaceChildren(...buttons);
  el.addEventListener("click", (event) => {
    const at = buttons.findIndex((b) => b.contains(/** @type {Node} */ (event.target)));
    const action = actions.find((a) => a.ids[0] === places[at]);
    if (action) el.dispatchEvent(new CustomEvent("takeBack", { detail: action, bubbles: true }));
  });
  return {
    /**
     * @param {Action[]} recent newest first
     * @param {(lane: number) => string} who
     */
    update(recent, who) {
      actions = recent;
      places = placed(
        places,
        recent.map((a) => a.ids[0] ?? ""),
      );
      buttons.forEach((button, n) => {
        const action = actions.find((a) => a.ids[0] === places[n]);
        const text = action
          ? `${actionWord(action.kind)}${action.lane == null ? "" : ` · ${who(action.lane)}`}`
          : "";
        const label = action ? `Undo ${text}` : "Nothing to undo";
        button.dataset["last"] = String(action != null && action === actions[0]);
        button.setAttribute("aria-disabled", String(!action));
        button.setAttribute("aria-label", label);
        const shown = action ? `undo ${text}` : "–";
        if (button.textContent !== shown) button.textContent = shown;
      });
    },
  };
}

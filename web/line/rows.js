// The lanes as rows in the assessor's order: one tap for a miss, one for a stop, the rest in place.
// Data in through update(); out: event "act" (detail: {lane, action, ...}). Decides nothing.
// A row never changes its height, so that no button moves under a finger.

import { ROW_KEYS } from "./keys.js";
import { laneWords, missesNow, REASONS } from "./words.js";

/** @import {Lane} from "./types.js" */
/** @import {Index} from "./schedule.js" */

/** Open choices close after so long, ms; what was tapped stands. */
const OPEN_MS = 9000;

/**
 * @typedef {{action: string, word: string, reason?: string, by?: number}} Choice
 * @typedef {"" | "reasons" | "reasons2" | "more" | "more2"} Open
 */

/** @type {Record<string, Choice[]>} */
const CHOICES = {
  reasons: [
    ...["exhaustion", "misses", "injury", "medical"].map(reason),
    { action: "open:reasons2", word: "other…" },
  ],
  reasons2: [
    ...["technical", "discipline", "withdrew"].map(reason),
    { action: "undo", word: "still running" },
    { action: "open:", word: "done" },
  ],
  more: [
    { action: "early_start", word: "early start" },
    { action: "short_turn", word: "short turn" },
    { action: "excused", word: "excuse miss" },
    { action: "reached", word: "was there" },
    { action: "open:more2", word: "other…" },
  ],
  more2: [
    { action: "course_error", word: "wrong line" },
    { action: "miss_line", word: "in zone, not at line" },
    { action: "not_started", word: "did not start" },
    { action: "incident", word: "incident" },
    { action: "open:", word: "done" },
  ],
  stopped: [
    { action: "correction", word: "one bout less", by: -1 },
    { action: "correction", word: "one bout more", by: 1 },
    { action: "incident", word: "incident" },
    { action: "undo", word: "undo last" },
    { action: "open:", word: "done" },
  ],
  absent: [
    { action: "present", word: "is here" },
    { action: "join", word: "joins now" },
    { action: "incident", word: "incident" },
    { action: "open:", word: "done" },
  ],
};

/**
 * @param {string} of
 * @returns {Choice}
 */
function reason(of) {
  return { action: "reason", word: REASONS[of] ?? of, reason: of };
}

/**
 * @param {HTMLElement} el
 */
export function Rows(el) {
  /** @type {Map<number, ReturnType<typeof row>>} */
  const rows = new Map();
  /** @type {Lane[]} */
  let lanes = [];

  el.addEventListener("click", (event) => {
    const button = /** @type {Element} */ (event.target).closest("button");
    const lane = Number(button?.closest("li")?.dataset["lane"]);
    const action = button?.dataset["do"];
    if (!button || !lane || !action) return;
    if (button.getAttribute("aria-disabled") === "true") return;
    const { reason: why, by } = button.dataset;
    act(lane, action, { reason: why, by: by ? Number(by) : undefined });
  });

  /**
   * @param {number} lane
   * @param {string} action
   * @param {{reason?: string | undefined, by?: number | undefined}} extra
   */
  function act(lane, action, extra = {}) {
    const at = rows.get(lane);
    if (!at) return;
    const state = lanes.find((l) => l.plan.lane === lane);
    if (action.startsWith("open:")) at.open(/** @type {Open} */ (action.slice(5)));
    else if (action === "more") at.open(at.isOpen() ? "" : "more");
    else if (action === "why") at.open("reasons");
    else {
      const detail = { lane, action, ...extra };
      el.dispatchEvent(new CustomEvent("act", { detail, bubbles: true }));
      if (action === "stop") at.open("reasons");
      else at.open("");
    }
    if (state) at.update(state);
  }

  return {
    act,
    /**
     * @param {Lane[]} ordered in the order in which they are seen
     * @param {Index | null} index
     * @param {number | null} cue_ms
     * @param {{armed: number | null, keys: boolean, started: boolean, soon: Set<number>}} how
     */
    update(ordered, index, cue_ms, how) {
      lanes = ordered;
      const want = ordered.map((lane) => {
        const key = lane.plan.lane;
        const at = rows.get(key) ?? row(key);
        rows.set(key, at);
        return at;
      });
      if (want.some((w, n) => el.children[n] !== w.el) || el.children.length !== want.length) {
        el.replaceChildren(...want.map((w) => w.el));
      }
      ordered.forEach((lane, n) => {
        want[n]?.update(lane, {
          index,
          cue_ms,
          key: how.keys ? (ROW_KEYS[n] ?? "") : "",
          armed: how.armed === n,
          started: how.started,
          soon: how.soon.has(lane.plan.lane),
        });
      });
    },
  };
}

/**
 * @param {number} lane
 */
function row(lane) {
  const el = document.createElement("li");
  el.className = "lane";
  el.dataset["lane"] = String(lane);
  el.innerHTML = `
    <button type="button" class="who" data-do="miss">
      <span class="sr">Lane ${lane}, bib </span><span class="bib"></span>
      <span class="text"><span class="name"></span><span class="sr">, </span><span class="mark"></span></span>
      <span class="soon" hidden><span class="sr">, </span>◇ soon</span>
      <span class="verb"><span class="sr">, call a </span>miss</span>
    </button>
    <button type="button" class="stop"></button>
    <button type="button" class="more" data-do="more">more</button>
    <span class="choices" role="group" hidden></span>
    <kbd class="key" aria-hidden="true"></kbd>`;
  const get = (/** @type {string} */ name) => /** @type {HTMLElement} */ (el.querySelector(name));
  const [who, bib, name, mark, soon, verb, stop, more, choices, key] = [
    ".who",
    ".bib",
    ".name",
    ".mark",
    ".soon",
    ".verb",
    ".stop",
    ".more",
    ".choices",
    ".key",
  ].map(get);
  /** @type {Open} */
  let opened = "";
  let drawn = "";
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let timer;
  /** @type {{index: Index | null, cue_ms: number | null, key: string, armed: boolean, started: boolean, soon: boolean}} */
  let last = { index: null, cue_ms: null, key: "", armed: false, started: false, soon: false };

  /** @param {Open} what */
  function open(what) {
    const inside = el.contains(document.activeElement);
    opened = what;
    clearTimeout(timer);
    if (what) timer = setTimeout(close, OPEN_MS);
    queueMicrotask(() => {
      if (!inside) return;
      const first = /** @type {HTMLElement | null} */ (choices?.querySelector("button"));
      (what ? first : more)?.focus();
    });
  }
  function close() {
    if (
      choices?.contains(document.activeElement) &&
      document.activeElement?.matches(":focus-visible")
    ) {
      timer = setTimeout(close, OPEN_MS);
      return;
    }
    opened = "";
    if (shown) update(shown);
  }

  /** @type {Lane | null} */
  let shown = null;

  /**
   * @param {Lane} state
   * @param {typeof last} how
   */
  function update(state, how = last) {
    last = how;
    shown = state;
    const { fill, words } = laneWords(state, how.index, how.cue_ms);
    const running = state.status === "running";
    const number = state.plan.bib ?? String(lane);
    const what = JSON.stringify([
      fill,
      words,
      state,
      opened,
      how.key,
      how.armed,
      how.started,
      how.soon,
    ]);
    if (what === drawn) return;
    drawn = what;
    el.dataset["status"] = state.status;
    el.dataset["armed"] = String(how.armed);
    el.dataset["over"] = String(running && state.warning.over);
    el.dataset["waiting"] = String(state.waiting === true);
    put(bib, number);
    put(name, state.plan.name);
    put(mark, words);
    if (mark) mark.dataset["fill"] = String(fill);
    put(key, how.key);
    if (running) who?.removeAttribute("aria-disabled");
    else who?.setAttribute("aria-disabled", "true");
    if (verb) verb.hidden = !running;
    if (soon) soon.hidden = !(running && how.soon);
    stopButton(state, how.started);
    more?.setAttribute("aria-label", `More for lane ${lane}, ${state.plan.name}`);
    more?.setAttribute("aria-expanded", String(opened !== ""));
    drawChoices(state, missesNow(state, how.cue_ms));
  }

  /**
   * @param {Lane} state
   * @param {boolean} started
   */
  function stopButton(state, started) {
    if (!stop) return;
    const [action, word] =
      state.status === "running"
        ? ["stop", "Stop"]
        : state.status === "stopped"
          ? ["why", REASONS[state.stop?.reason ?? ""] ?? "why"]
          : state.status === "waiting" && !started
            ? ["not_started", "absent"]
            : state.status === "waiting"
              ? ["stop", "Stop"]
              : state.status === "not_started"
                ? ["present", "is here"]
                : ["more", "–"];
    stop.dataset["do"] = action;
    put(stop, word);
    const what = action === "why" ? ": why lane" : ", lane";
    stop.setAttribute("aria-label", `${word}${what} ${lane}, ${state.plan.name}`);
    stop.classList.toggle("small", word.length > 7);
  }

  /**
   * @param {Lane} state
   * @param {number} count
   */
  function drawChoices(state, count) {
    if (!choices || !who || !stop || !more) return;
    const normal = opened === "";
    who.hidden = stop.hidden = more.hidden = !normal;
    choices.hidden = normal;
    if (normal) return;
    const set =
      opened !== "more"
        ? opened
        : state.status === "stopped"
          ? "stopped"
          : state.status === "not_started"
            ? "absent"
            : "more";
    choices.setAttribute("aria-label", `Lane ${lane}, ${state.plan.name}`);
    const label = document.createElement("span");
    label.className = "of";
    label.textContent = `${state.plan.bib ?? lane} ${state.plan.name}`;
    const focused = /** @type {HTMLElement | null} */ (document.activeElement)?.dataset?.["word"];
    const buttons = (CHOICES[set] ?? []).map((c) => {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = button.dataset["word"] = c.word;
      button.dataset["do"] = c.action;
      if (c.reason) button.dataset["reason"] = c.reason;
      if (c.by) button.dataset["by"] = String(c.by);
      if (c.reason) {
        button.setAttribute("aria-pressed", String(state.stop?.reason === c.reason));
      }
      if (c.action === "excused" && count === 0) button.setAttribute("aria-disabled", "true");
      return button;
    });
    const inside = choices.contains(document.activeElement);
    choices.replaceChildren(label, ...buttons);
    if (inside) buttons.find((b) => b.dataset["word"] === focused)?.focus();
  }

  return { el, open, update, isOpen: () => opened !== "" };
}

/**
 * @param {HTMLElement | undefined} node
 * @param {string} text
 */
function put(node, text) {
  if (node && node.textContent !== text) node.textContent = text;
}

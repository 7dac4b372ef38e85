// What the lead has besides: start, interrupt, how to go on, disagreements, close.
// Data in through update(); out: event "lead" (detail: {do, ...}). Shown to the lead alone.

import { holdable } from "./hold.js";
import { labelOf, REASONS } from "./words.js";

/** @import {Call, Conflict, State} from "./types.js" */
/** @import {Index} from "./schedule.js" */

/**
 * @typedef {{state: State, index: Index | null, wave: string, sound: string, ready: boolean,
 *   playing: boolean, nextBout: number | null, who: (lane: number) => string}} Situation
 */

/**
 * @param {HTMLElement} el
 */
export function Lead(el) {
  let drawn = "";

  /**
   * @param {string} what
   * @param {Record<string, unknown>} [more]
   */
  const send = (what, more = {}) =>
    el.dispatchEvent(new CustomEvent("lead", { detail: { do: what, ...more }, bubbles: true }));

  return {
    /** @param {Situation} now */
    update(now) {
      const { state } = now;
      const open = state.interruptions.find((i) => i.how == null) ?? null;
      const disputes = state.conflicts.filter((c) => !c.ruled);
      const what = JSON.stringify([
        state.started,
        state.closed,
        open,
        disputes,
        now.sound,
        now.ready,
        now.playing,
        open && now.nextBout,
      ]);
      el.dataset["calm"] = String(state.started && !open && disputes.length === 0);
      if (what === drawn) return;
      drawn = what;
      /** @type {Node[]} */
      const parts = [];
      if (open) parts.push(choices(now, open, send));
      for (const dispute of disputes) parts.push(disagreement(now, dispute, send));
      if (!state.started && !state.closed && !now.playing) parts.push(start(now, send));
      else if (!open && !state.closed) parts.push(interrupt(send));
      if (state.started) parts.push(close(now));
      el.replaceChildren(...parts);
    },
  };
}

/**
 * @param {Situation} now
 * @param {(what: string, more?: Record<string, unknown>) => void} send
 */
function start(now, send) {
  const box = block("Start");
  const button = action("Start: hold for a second", "button");
  button.disabled = !now.ready;
  holdable(button, {
    begun: () => send("wake"),
    act: () => send("start"),
    asked: () => {
      button.textContent = "Press again to start";
    },
  });
  box.append(text(now.sound), button);
  return box;
}

/**
 * @param {(what: string, more?: Record<string, unknown>) => void} send
 */
function interrupt(send) {
  const box = block("");
  const button = action("Interrupt: hold for a second", "button-quiet");
  holdable(button, {
    act: () => send("interrupt"),
    asked: () => {
      button.textContent = "Press again to interrupt";
    },
  });
  box.append(button);
  return box;
}

/**
 * @param {Situation} now
 * @param {import("./types.js").Interruption} open
 * @param {(what: string, more?: Record<string, unknown>) => void} send
 */
function choices(now, open, send) {
  const box = block("The cues broke off");
  const bout = now.nextBout;
  const done = open.finished ?? 0;
  const label = labelOf(now.index, done);
  const running = now.state.lanes.filter((l) => l.status === "running").length;
  box.append(text(`${open.why}. ${running} still running; the last bout done is ${label}.`));
  if (bout != null) {
    const go = action(`Go on with ${labelOf(now.index, bout)}`, "button");
    go.onclick = () =>
      send("resume", { interruption: open.event, how: { choice: "at_bout", bout } });
    box.append(
      go,
      text(
        "The cues start again shortly before this bout. The rest was longer: it is kept with every result.",
      ),
    );
  }
  const keep = action("Keep what they have", "button-quiet");
  keep.onclick = () => send("resume", { interruption: open.event, how: { choice: "lower_bound" } });
  box.append(
    keep,
    text(`Those still running end here with "at least ${label}": not a score, a lower bound.`),
  );
  const none = action("Void for those still running", "button-quiet");
  none.onclick = () => send("resume", { interruption: open.event, how: { choice: "void" } });
  box.append(
    none,
    text(
      "Nothing of theirs counts; they run again on another day. Those who had stopped keep their results.",
    ),
  );
  return box;
}

/**
 * @param {Situation} now
 * @param {Conflict} dispute
 * @param {(what: string, more?: Record<string, unknown>) => void} send
 */
function disagreement(now, dispute, send) {
  const box = block(`Two calls differ: ${now.who(dispute.lane)}`);
  box.classList.add("disagreement");
  for (const side of sidesOf(dispute, now.index)) {
    const button = action(side.words, "button-quiet");
    button.onclick = () =>
      send("rule", { ruling: { lane: dispute.lane, about: dispute.about, stands: side.stands } });
    box.append(button);
  }
  box.append(text("Both calls are kept, whichever stands."));
  return box;
}

/**
 * Returns the two sides of a disagreement, in words.
 * @param {Conflict} dispute
 * @param {Index | null} index
 * @returns {{words: string, stands: {side: string, id?: string}}[]}
 */
export function sidesOf(dispute, index) {
  const says = dispute.calls.filter((c) => c.says_so);
  const not = dispute.calls.filter((c) => !c.says_so);
  const names = (/** @type {Call[]} */ calls) => calls.map((c) => c.by ?? "an assessor").join(", ");
  const event = (/** @type {Call | undefined} */ c) => ({ side: "event", id: c?.event ?? "" });
  if (dispute.kind === "miss") {
    const [, at = ""] = dispute.about.split(":");
    const bout = labelOf(index, Number(at.split(".")[0]) || null);
    return [
      { words: `Miss in ${bout}: says ${names(says)}`, stands: event(says[0]) },
      { words: `Was there: says ${names(not)}`, stands: { side: "none" } },
    ];
  }
  if (dispute.kind === "stop") {
    return says.slice(0, 2).map((c) => ({
      words: `${labelOf(index, c.completed)}, ${REASONS[c.reason ?? ""] ?? c.reason}: says ${names([c])}`,
      stands: event(c),
    }));
  }
  return [
    { words: `It stands: says ${names(says)}`, stands: { side: "none" } },
    { words: `It is taken back: says ${names(not)}`, stands: event(not[0]) },
  ];
}

/** @param {Situation} now */
function close(now) {
  const box = block("");
  const link = document.createElement("a");
  link.className = "button-quiet";
  link.href = `/close/${encodeURIComponent(now.wave)}`;
  link.textContent = now.state.closed ? "Closed: see the results" : "Read back and close";
  box.append(link);
  return box;
}

/** @param {string} heading */
function block(heading) {
  const box = document.createElement("div");
  box.className = "block";
  if (heading) {
    const head = document.createElement("h2");
    head.textContent = heading;
    box.append(head);
  }
  return box;
}

/**
 * @param {string} words
 * @param {string} look
 */
function action(words, look) {
  const button = document.createElement("button");
  button.type = "button";
  button.className = look;
  button.textContent = words;
  return button;
}

/** @param {string} words */
function text(words) {
  const p = document.createElement("p");
  p.textContent = words;
  return p;
}

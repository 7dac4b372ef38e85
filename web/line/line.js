// The line screen: puts the parts together, hands data down and takes actions up.
// Decides nothing about results; the server's fold does. Contract: docs/formats/live.md.

import { isDusk } from "../shared/light.js";
import { deedOf } from "./acts.js";
import { ask, openChannel } from "./channel.js";
import { cueTime, estimate, sampleOf, withSample } from "./clock.js";
import { openDesk } from "./desk.js";
import { pressed } from "./keys.js";
import { Lead } from "./lead.js";
import { laidOver } from "./overlay.js";
import { Pace, ShownCue } from "./pace.js";
import { Rows } from "./rows.js";
import { finishedBy, indexOf, momentAt } from "./schedule.js";
import { signsOf } from "./signs.js";
import { makeSoon, shownTo } from "./soon.js";
import { makeSounding } from "./sounding.js";
import { Strip } from "./strip.js";
import { keepSwitches, keptSwitches, Tools } from "./tools.js";
import { Undo } from "./undo.js";
import { actionWord, laneWords } from "./words.js";

/** @import {Lane, State, View} from "./types.js" */

const wave = decodeURIComponent(location.pathname.split("/").filter(Boolean)[1] ?? "");
const now = () => performance.now();
const find = (/** @type {string} */ name) => /** @type {any} */ (document.querySelector(name));

const pace = Pace(find(".now"));
const head = find(".pace");
const shown = ShownCue(head);
const strip = Strip(find(".strip"));
const rows = Rows(find(".lanes"));
const undo = Undo(find(".undo"));
const lead = Lead(find(".lead"));
const tools = Tools(find(".tools"));
let switches = keptSwitches();

/** @type {View | null} */
let view = null;
/** @type {State | null} the view with own events laid over it */
let state = null;
/** @type {import("./schedule.js").Index | null} */
let index = null;
/** @type {import("./clock.js").Sample[]} */
let samples = [];
let online = false;
let way = "";
let bye = "";
/** @type {number | null} row that waits for an action key */
let armed = null;
let hiddenAt = 0;
let skew = 0;
let hidden_s = 0;
/** @type {number | null} */
let charge = null;
let stale = true;

const changed = () => {
  stale = true;
};
const clock = () => estimate(samples, now());

const desk = await openDesk(wave, { changed, flush: () => channel?.flush() });

/** Returns cue time; it stands still while the cues are broken off. */
function cue() {
  const broken = state?.interruptions.find((i) => i.how == null || i.how.choice !== "at_bout");
  if (broken) return broken.cue_ms == null ? null : { cue_ms: broken.cue_ms, pm_ms: 0 };
  return cueTime(state?.anchor, clock(), now(), view?.speed);
}

const sounding = makeSounding({
  wave,
  device: () => desk.device,
  now,
  clock,
  state: () => state,
  index: () => index,
  cue,
  record: (what, at) => void desk.record(what, at),
  say,
  changed,
});

/** @type {ReturnType<typeof openChannel> | undefined} */
const channel = openChannel({
  wave,
  now,
  batch: desk.batch,
  answer: desk.answer,
  view: take,
  pong: (t0, t1, server_ms) => {
    samples = withSample(samples, sampleOf(t0, t1, server_ms));
    changed();
  },
  online: (yes, how) => {
    if (yes !== online) say(yes ? "Connected" : "Offline: calls are kept on this device");
    [online, way] = [yes, how];
    changed();
  },
  refused: (status) => {
    if (status === 401 || status === 403) bye = "not admitted: open the code of this wave again";
    else if (status === 404) bye = "no such wave: open the code of this wave again";
    changed();
  },
  bye: (why) => {
    bye = why;
    changed();
  },
});

const soon = makeSoon({ wave, ask: (url) => ask(url), changed });
const soonOn = () => switches.soon ?? shownTo(view?.me);

/** @returns {Set<number>} lanes whose next bout may be the last, while the wave rests */
function marked() {
  const at = soonOn() && index && state?.started && !state.closed ? cue() : null;
  const rest = at && index && momentAt(index, at.cue_ms).phase === "rest";
  return soon.marked(rest && index && at ? finishedBy(index, at.cue_ms) : null);
}

/** @param {View} next */
function take(next) {
  if (view && next.version < view.version) return;
  const first = view == null;
  view = next;
  bye = "";
  desk.view(next);
  changed();
  if (first && next.me.role === "lead") void sounding.load();
}

/** Fetches the timeline once; it never changes while a wave is on. */
async function timeline() {
  const found = await ask(`/api/waves/${encodeURIComponent(wave)}/timeline`);
  if (!found) {
    setTimeout(timeline, 2000);
    return;
  }
  index = indexOf(found);
  changed();
}

/** @returns {Lane[]} the lanes of this assessor, in the order in which they are seen */
function ordered() {
  if (!state || !view) return [];
  const mine = view.me.lanes ?? [];
  const all = state.lanes;
  const list =
    mine.length > 0
      ? mine.flatMap((n) => all.filter((l) => l.plan.lane === n))
      : [...all].sort((a, b) => a.plan.lane - b.plan.lane);
  return switches.mirror ? list.reverse() : list;
}

/** @param {number} lane */
function who(lane) {
  const plan = state?.lanes.find((l) => l.plan.lane === lane)?.plan;
  return plan ? `${plan.bib ?? lane} ${plan.name.split(" ")[0]}` : `lane ${lane}`;
}

/** @param {string} words */
function say(words) {
  const said = find("#said");
  const p = document.createElement("p");
  p.textContent = words;
  said.replaceChildren(p);
}

/**
 * Carries out an action on a lane.
 * @param {{lane: number, action: string, reason?: string, by?: number}} wish
 */
function act(wish) {
  // From the newest state: two taps may come between two frames.
  refresh();
  const lane = state?.lanes.find((l) => l.plan.lane === wish.lane);
  if (!lane) return;
  const at = cue();
  if (wish.action === "undo") {
    const last = desk.box().recent.find((a) => a.lane === wish.lane);
    if (last) takeBack(last);
    else say("Nothing of yours to take back on this lane");
    return;
  }
  const cue_ms = at?.cue_ms ?? null;
  const deed = deedOf(wish.action, lane, {
    index,
    cue_ms,
    device: desk.device,
    reason: wish.reason,
    by: wish.by,
  });
  if (deed.no) {
    say(`${who(wish.lane)}: ${deed.no}`);
    return;
  }
  for (const id of deed.undo ?? []) desk.record({ kind: "undo", event: id }, at);
  for (const what of deed.events ?? []) {
    const join = deed.join === true && what.kind === "stop";
    desk.record(what, at, { undoable: what.kind !== "joined", join });
  }
  navigator.vibrate?.(30);
  draw();
  const after = state?.lanes.find((l) => l.plan.lane === wish.lane);
  if (after) say(`${who(wish.lane)}: ${laneWords(after, index, cue_ms).words}`);
}

/** @param {import("./queue.js").Action} action */
function takeBack(action) {
  for (const id of action.ids) desk.record({ kind: "undo", event: id }, cue());
  desk.forget(action);
  const whom = action.lane == null ? "" : `, ${who(action.lane)}`;
  say(`Taken back: ${actionWord(action.kind)}${whom}`);
  draw();
}

/** @param {any} wish */
function leads(wish) {
  if (wish.do === "wake") sounding.wake();
  else if (wish.do === "start") void sounding.start();
  else if (wish.do === "interrupt") {
    desk.record({ kind: "interrupted", why: "Interrupted by the lead" }, cue(), { undoable: true });
    say("Interrupted");
  } else if (wish.do === "resume") {
    desk.record({ kind: "resumed", interruption: wish.interruption, how: wish.how }, cue());
  } else if (wish.do === "rule") desk.record({ kind: "ruled", ruling: wish.ruling }, cue());
  draw();
}

/** Lays own events over the last view. */
function refresh() {
  if (!view || !stale) return;
  state = laidOver(view.state, desk.overlaid(), index);
}

/** Shows the state as it is; complete every time. */
function draw() {
  refresh();
  stale = false;
  drawSigns();
  if (!view || !state) return;
  const cue_ms = cue()?.cue_ms ?? null;
  document.title = `${view.name} · the line`;
  find("#title").textContent = `${view.name}, wave ${view.number}: the line`;
  const how = { armed, keys: switches.keys, started: state.started, soon: marked() };
  rows.update(ordered(), index, cue_ms, how);
  undo.update(desk.box().recent, who);
  head.dataset.mirror = String(switches.mirror);
  if (index) strip.course(index.timeline.course, switches.mirror);
  drawLead(cue_ms);
  drawDevice();
  sounding.follow();
}

/** @param {number | null} cue_ms */
function drawLead(cue_ms) {
  const el = find(".lead");
  el.hidden = view?.me.role !== "lead";
  if (el.hidden || !state) return;
  const { loaded, pieces, state: sound } = sounding.condition();
  const words =
    sound === "ready" || sound === "playing"
      ? "The cues are on this device: the network may go."
      : sound === "loading"
        ? `Fetching the cues: ${loaded} of ${pieces} pieces.`
        : "The cues are not on this device yet.";
  const next = index && cue_ms != null ? finishedBy(index, cue_ms) + 1 : null;
  const going = index && next != null && index.timeline.bouts[next - 1] ? next : null;
  lead.update({
    state,
    index,
    wave,
    sound: words,
    ready: sound === "ready" && clock() != null,
    playing: sound === "playing",
    nextBout: going,
    who,
  });
}

function drawSigns() {
  const c = sounding.condition();
  const pm = clock()?.pm_ms ?? null;
  const anchor = state?.anchor ?? null;
  const signs = signsOf({
    online,
    waiting: desk.waiting(),
    clock_pm_ms: pm == null ? null : (pm + (anchor?.pm_ms ?? 0)) * (view?.speed ?? 1),
    anchored: anchor != null,
    playing: c.state === "playing",
    broken: c.state === "broken",
    awake: c.state === "playing" ? sounding.awake() : "off",
    hidden_s,
    charge,
    disputes: view?.me.role === "lead" ? (state?.conflicts.filter((x) => !x.ruled).length ?? 0) : 0,
    interrupted: state?.interruptions.some((i) => i.how == null) === true,
    closed: state?.closed === true,
    bye,
  });
  const el = find(".signs");
  const text = JSON.stringify(signs);
  if (el.dataset.shown === text) return;
  el.dataset.shown = text;
  el.replaceChildren(
    ...signs.map((s) => {
      const span = document.createElement("span");
      span.textContent = s.words;
      span.className = s.grave ? "grave" : "";
      return span;
    }),
  );
}

function drawDevice() {
  if (!state || !view) return;
  const playing = sounding.condition().state === "playing";
  const paced = (view.speed ?? 1) === 1;
  const mayPlay = paced && state.anchor && state.started && !state.closed && !playing;
  const own = state.anchor?.device === desk.device;
  const keys =
    "Keys: the key of a lane, then m miss, s stop, e early, t short turn, x excuse, r was there, " +
    "o more, u undo.";
  const facts = [
    `${view.me.name || "Guest"}, ${view.me.role}.`,
    `Device ${desk.device}.`,
    `Connection: ${online ? way : "none"}.`,
    paced ? "" : `A rehearsal, ${view.speed} times as fast, without sound.`,
    switches.keys ? keys : "",
    soonOn()
      ? "◇ soon, in the rests: an even chance or more of stopping in the next bout, from earlier results and " +
        "misses. Judge the line as if you had not seen it."
      : "",
  ];
  tools.update(
    { ...switches, soon: soonOn() },
    {
      dusk: isDusk(),
      here: mayPlay ? (own ? "Play on here" : "Play the cues here") : null,
      facts: facts.join(" "),
      after: state.lanes.some((l) => l.stop) ? `/after/${encodeURIComponent(wave)}` : null,
      refused: desk.box().refused.map((r) => `Refused: ${actionWord(r.event.what.kind)}. ${r.why}`),
    },
  );
}

/** The moving parts, every frame; the rest when something changed. */
function frame() {
  if (stale) draw();
  const at = cue();
  const moment = index && at ? momentAt(index, at.cue_ms) : null;
  const broken = state?.interruptions.some((i) => i.how == null);
  const instead =
    state == null
      ? "connecting"
      : state.closed
        ? "closed"
        : state.started
          ? "running, no cue clock"
          : "not started";
  pace.update(broken ? null : moment, broken ? "interrupted" : instead, index?.timeline.name ?? "");
  strip.update(moment);
  shown.update(broken ? null : moment, switches.cues);
  requestAnimationFrame(frame);
}

document.addEventListener("act", (e) => act(/** @type {CustomEvent} */ (e).detail));
document.addEventListener("takeBack", (e) => takeBack(/** @type {CustomEvent} */ (e).detail));
document.addEventListener("lead", (e) => leads(/** @type {CustomEvent} */ (e).detail));
document.addEventListener("soundHere", () => void sounding.here());
document.addEventListener("set", (e) => {
  const { name, on } = /** @type {CustomEvent} */ (e).detail;
  switches = { ...switches, [name]: on };
  keepSwitches(switches);
  draw();
});
document.addEventListener("click", changed);
document.addEventListener("keydown", (e) => {
  if (!switches.keys || e.ctrlKey || e.altKey || e.metaKey) return;
  const list = ordered();
  const next = pressed(armed, e.key, list.length);
  if (next.armed === armed && !next.act) return;
  if (armed !== next.armed || next.act) e.preventDefault();
  armed = next.armed;
  if (next.act?.row != null) {
    const lane = list[next.act.row];
    if (lane) rows.act(lane.plan.lane, next.act.action);
  } else if (next.act) {
    const last = desk.box().recent[0];
    if (last) takeBack(last);
  }
  const at = armed == null ? null : list[armed];
  if (at) say(`${who(at.plan.lane)}: now what happened`);
  draw();
});
document.addEventListener("visibilitychange", () => {
  if (document.hidden) {
    hiddenAt = Date.now();
    skew = hiddenAt - now();
  } else {
    hidden_s = hiddenAt ? (Date.now() - hiddenAt) / 1000 : 0;
    // The page's clock may have stood still while the device slept: then old pings say nothing.
    if (Math.abs(Date.now() - now() - skew) > 100) samples = [];
    channel.ping();
    setTimeout(() => {
      hidden_s = 0;
      changed();
    }, 20_000);
  }
  changed();
});
/** @type {any} */ (navigator).getBattery?.().then((/** @type {any} */ battery) => {
  const read = () => {
    charge = battery.charging ? null : battery.level;
    changed();
  };
  battery.onlevelchange = battery.onchargingchange = read;
  read();
});
// Counts that a cue clears, and cue-bound words, without anyone's tap.
setInterval(changed, 500);
setInterval(() => {
  if (document.hidden) draw();
}, 1000);

void timeline();
requestAnimationFrame(frame);

// The way to the server: a WebSocket, and long polling with POST where that does not come through.
// Must not decide what is sent or what is shown; it carries. Contract: docs/formats/live.md.

/** @import {View, WaveEvent} from "./types.js" */

/** Without an answer for so long a batch is sent again, ms; the server takes doubles. */
const ANSWER_MS = 8000;
/** Pings: some at once, then now and then, ms. */
const PING_FIRST_MS = 400;
const PING_MS = 10_000;
const FIRST_PINGS = 6;
/** Longest wait before another try, ms. */
const LONGEST_MS = 10_000;
/** Sockets that fail before they open until polling takes over. */
const SOCKET_TRIES = 2;

/**
 * Returns how long to wait before try number `n` (from 0), ms: doubled each time, spread by chance
 * so that the phones of a squad do not all come back at once.
 * @param {number} n
 * @param {number} chance 0 to 1
 */
export function backOff(n, chance) {
  return Math.min(LONGEST_MS, 500 * 2 ** n) * (0.5 + chance / 2);
}

/**
 * Puts a change into the view before it; nothing when it belongs to another.
 * @param {View} view
 * @param {any} change
 * @returns {View | null}
 */
export function changedView(view, change) {
  if (change.since !== view.version) return null;
  const into = (
    /** @type {any[]} */ all,
    /** @type {any[]} */ some,
    /** @type {(x: any) => number} */ lane,
  ) => {
    const by = new Map(some.map((one) => [lane(one), one]));
    return all.map((one) => by.get(lane(one)) ?? one);
  };
  return {
    ...view,
    version: change.version,
    server_ms: change.server_ms,
    speed: change.speed,
    state: {
      ...view.state,
      ...change.state,
      lanes: into(view.state.lanes, change.lanes, (l) => l.plan.lane),
    },
    results: into(view.results, change.results, (r) => r.lane),
    read_back: change.read_back,
  };
}

/**
 * @typedef {{wave: string, now: () => number, batch: () => WaveEvent[], view: (v: View) => void,
 *   answer: (a: any) => void, pong: (t0: number, t1: number, server_ms: number) => void,
 *   online: (yes: boolean, how: string) => void, refused: (status: number) => void, bye: (why: string) => void}} Ends
 */

/**
 * Opens the way and keeps it open.
 * @param {Ends} ends
 * @returns {{flush: () => void, ping: () => void, close: () => void}}
 */
export function openChannel(ends) {
  const base = `/api/waves/${encodeURIComponent(ends.wave)}`;
  const wide = location.protocol === "https:" ? "wss:" : "ws:";
  /** @type {WebSocket | null} */
  let socket = null;
  let closed = false;
  let failed = 0;
  let tries = 0;
  let polling = false;
  let version = 0;
  /** @type {View | null} */
  let last = null;
  let pinged = 0;
  /** @type {number | null} since when a batch has been under way */
  let sent = null;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let pinger;

  const open = () => socket?.readyState === WebSocket.OPEN;

  function connect() {
    if (closed) return;
    let opened = false;
    const s = new WebSocket(`${wide}//${location.host}${base}/live`);
    socket = s;
    s.onopen = () => {
      opened = true;
      failed = tries = pinged = 0;
      sent = null;
      ends.online(true, "live");
      ping();
      flush();
    };
    s.onmessage = ({ data }) => read(data);
    s.onclose = () => {
      if (socket === s) socket = null;
      sent = null;
      if (!opened) failed += 1;
      if (!polling) ends.online(false, "");
      if (failed >= SOCKET_TRIES && !polling) void poll();
      if (!closed) setTimeout(connect, polling ? 3 * LONGEST_MS : backOff(tries++, Math.random()));
    };
  }

  /** @param {string} data */
  function read(data) {
    const message = JSON.parse(data);
    if (message.type === "view") seen(message.view);
    else if (message.type === "change") {
      const view = last && changedView(last, message);
      // A gap cannot be filled: begin anew.
      if (view) seen(view);
      else socket?.close();
    } else if (message.type === "pong") ends.pong(message.t0, ends.now(), message.server_ms);
    else if (message.type === "bye") ends.bye(message.why);
    else if (message.type === "ack") {
      sent = null;
      ends.answer(message);
      flush();
    }
  }

  /** @param {View} view */
  function seen(view) {
    version = Math.max(version, view.version);
    last = view;
    ends.view(view);
  }

  function ping() {
    clearTimeout(pinger);
    if (closed) return;
    if (open()) socket?.send(JSON.stringify({ type: "ping", t0: ends.now() }));
    else if (polling) void clockByPost();
    pinged += 1;
    pinger = setTimeout(ping, pinged < FIRST_PINGS ? PING_FIRST_MS : PING_MS);
  }

  async function clockByPost() {
    const t0 = ends.now();
    const answer = await ask("/api/clock");
    if (answer) ends.pong(t0, ends.now(), answer.server_ms);
  }

  function flush() {
    const events = ends.batch();
    if (events.length === 0 || (sent != null && ends.now() - sent < ANSWER_MS)) return;
    sent = ends.now();
    if (open()) socket?.send(JSON.stringify({ type: "events", events }));
    else void post(events);
  }

  /** @param {WaveEvent[]} events */
  async function post(events) {
    const answer = await ask(`${base}/events`, {
      method: "POST",
      headers: { "content-type": "application/json", "x-plimsoll": "1" },
      body: JSON.stringify({ events }),
    });
    sent = null;
    if (!answer) return;
    ends.answer(answer);
    flush();
  }

  async function poll() {
    polling = true;
    let misses = 0;
    ping();
    while (!closed && !open()) {
      const view = await ask(
        version > 0 ? `${base}/wait?after=${version}` : base,
        undefined,
        ends.refused,
      );
      if (open()) break;
      ends.online(view != null, "slow");
      if (view) {
        misses = 0;
        seen(view);
        flush();
      } else {
        await new Promise((done) => setTimeout(done, backOff(misses++, Math.random())));
      }
    }
    polling = false;
  }

  // A tap while the socket is down, or an answer that never came: try again now and then.
  const again = setInterval(() => {
    if (open() || polling) flush();
  }, 2000);

  addEventListener("online", () => {
    tries = 0;
    if (!socket && !closed) connect();
  });
  connect();
  return {
    flush,
    ping: () => {
      pinged = 0;
      ping();
    },
    close: () => {
      closed = true;
      clearInterval(again);
      clearTimeout(pinger);
      socket?.close();
    },
  };
}

/**
 * Asks the server for JSON; nothing when it does not answer, or answers with an error.
 * @param {string} url
 * @param {RequestInit} [init]
 * @param {(status: number) => void} [refused] hears the status of an error
 * @returns {Promise<any>}
 */
export async function ask(url, init, refused) {
  try {
    const response = await fetch(url, { credentials: "same-origin", cache: "no-store", ...init });
    if (response.ok) return await response.json();
    refused?.(response.status);
    return null;
  } catch {
    return null;
  }
}

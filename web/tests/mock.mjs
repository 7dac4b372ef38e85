// A small stand-in for the server, after docs/formats/live.md, to try the page without it.
// Must not be taken for the fold: it uses the page's own preview of it.

import { createHash } from "node:crypto";
import { readFile } from "node:fs/promises";
import { createServer } from "node:http";
import { extname, join, normalize } from "node:path";
import { fileURLToPath } from "node:url";
import { laidOver } from "../line/overlay.js";
import { indexOf } from "../line/schedule.js";
import { emptyState, shuttles } from "./fixtures.mjs";

const ROOT = fileURLToPath(new URL("..", import.meta.url));
const TYPES = {
  ".js": "text/javascript",
  ".css": "text/css",
  ".html": "text/html; charset=utf-8",
  ".svg": "image/svg+xml",
};
const RATE = 48_000;
const PIECE_S = 30;

/** Starts the stand-in; the cookie `plimsoll` is the role. */
export async function startMock({
  port = 0,
  lanes = 8,
  settings = {},
  timeline = shuttles(),
} = {}) {
  const index = indexOf(timeline);
  const mock = {
    events: new Map(),
    version: 1,
    sockets: new Set(),
    waits: new Set(),
    base: emptyState(settings, lanes),
    down: false,
    drop: 0,
    posts: 0,
    deaf: false,
    watch: [],
    watched: [],
  };
  const numbers = new Map();
  const zero_s = 6;
  const duration_s = zero_s + timeline.end_ms / 1000 + 2;

  const state = () => {
    const sorted = [...mock.events.values()].sort(
      (a, b) => a.order - b.order || (a.id < b.id ? -1 : 1),
    );
    const s = laidOver(mock.base, sorted, index);
    s.order = sorted.reduce((n, e) => Math.max(n, e.order), 1);
    for (const lane of s.lanes) delete lane.waiting;
    if (mock.extra) mock.extra(s);
    return s;
  };
  const view = (role) => ({
    wave: "w1",
    day: "d1",
    number: 2,
    name: "Harrow Vale squad",
    test: "trial",
    version: mock.version,
    server_ms: Date.now(),
    state: state(),
    results: [],
    read_back: null,
    me: { device: "desk", role, name: role === "lead" ? "Imre Sand" : "Tove Arden", lanes: [] },
  });
  const take = (events, role) => {
    const acknowledged = [];
    const refused = [];
    for (const event of events) {
      const n = `${event.device}/${event.seq}`;
      if (mock.events.has(event.id)) acknowledged.push(event.id);
      else if (numbers.has(n))
        refused.push({ id: event.id, why: "its number was used by another event" });
      else {
        numbers.set(n, event.id);
        mock.events.set(event.id, { ...event, role });
        mock.version += 1;
        acknowledged.push(event.id);
      }
    }
    mock.tell();
    return { acknowledged, refused, version: mock.version };
  };
  mock.tell = () => {
    for (const s of mock.sockets) s.say({ type: "view", view: view(s.role) });
    for (const done of [...mock.waits]) done();
  };

  const server = createServer(async (request, response) => {
    const role = /plimsoll=(\w+)/.exec(request.headers.cookie ?? "")?.[1] ?? "assessor";
    const url = new URL(request.url, "http://x");
    const json = (body, status = 200) => {
      response.writeHead(status, { "content-type": "application/json" });
      response.end(JSON.stringify(body));
    };
    if (mock.down && url.pathname.startsWith("/api/")) return void request.socket.destroy();
    if (url.pathname === "/api/clock") return json({ server_ms: Date.now() });
    const api = /^\/api\/waves\/w1(?:\/(\w+))?$/.exec(url.pathname);
    if (api) {
      if (!api[1]) return json(view(role));
      if (api[1] === "timeline") return json(timeline);
      if (api[1] === "watch") {
        mock.watched.push({ role, bout: Number(url.searchParams.get("bout")) });
        return json({ wave: "w1", version: mock.version, lanes: mock.watch, basis: "invented" });
      }
      if (api[1] === "sound") return json(sound(zero_s, duration_s));
      if (api[1] === "wait") {
        if (mock.version <= Number(url.searchParams.get("after"))) {
          await new Promise((done) => {
            const end = () => {
              mock.waits.delete(end);
              clearTimeout(timer);
              done();
            };
            const timer = setTimeout(end, 25_000);
            mock.waits.add(end);
          });
        }
        return json(view(role));
      }
      if (api[1] === "events" && request.method === "POST") {
        if (request.headers["x-plimsoll"] !== "1") return json({ error: {} }, 403);
        mock.posts += 1;
        let text = "";
        for await (const part of request) text += part;
        return json({ ...take(JSON.parse(text).events, role), server_ms: Date.now() });
      }
    }
    const piece = /^\/piece\/(\d+)$/.exec(url.pathname);
    if (piece) {
      response.writeHead(200, { "content-type": "audio/wav" });
      return response.end(wav(Number(piece[1]), zero_s, duration_s, index));
    }
    const path = url.pathname.startsWith("/line/")
      ? "line/index.html"
      : url.pathname.replace(/^\/assets\//, "");
    const file = join(ROOT, normalize(path));
    try {
      const body = await readFile(file);
      response.writeHead(200, {
        "content-type": TYPES[extname(file)] ?? "application/octet-stream",
        "content-security-policy": "default-src 'self'; media-src 'self' blob:; connect-src 'self'",
      });
      response.end(body);
    } catch {
      response.writeHead(404).end();
    }
  });

  server.on("upgrade", (request, socket) => {
    if (mock.down || mock.deaf) return void socket.destroy();
    const key = request.headers["sec-websocket-key"];
    const accept = createHash("sha1")
      .update(`${key}258EAFA5-E914-47DA-95CA-C5AB0DC85B11`)
      .digest("base64");
    socket.write(
      `HTTP/1.1 101 Switching Protocols\r\nUpgrade: websocket\r\nConnection: Upgrade\r\nSec-WebSocket-Accept: ${accept}\r\n\r\n`,
    );
    const role = /plimsoll=(\w+)/.exec(request.headers.cookie ?? "")?.[1] ?? "assessor";
    const one = { role, socket, say: (m) => socket.write(frame(JSON.stringify(m))) };
    mock.sockets.add(one);
    const gone = () => mock.sockets.delete(one);
    socket.on("close", gone);
    socket.on("error", gone);
    one.say({ type: "view", view: view(role) });
    let kept = Buffer.alloc(0);
    socket.on("data", (data) => {
      kept = Buffer.concat([kept, data]);
      for (let read = unframe(kept); read; read = unframe(kept)) {
        kept = read.rest;
        if (read.op === 8) return void socket.end();
        if (read.op !== 1) continue;
        const m = JSON.parse(read.text);
        if (m.type === "ping") one.say({ type: "pong", t0: m.t0, server_ms: Date.now() });
        if (m.type === "events") {
          const answer = take(m.events, role);
          // Some answers are lost, so that the page has to send again.
          if (mock.drop > 0) {
            mock.drop -= 1;
            socket.destroy();
          } else one.say({ type: "ack", ...answer });
        }
      }
    });
  });
  await new Promise((done) => server.listen(port, "127.0.0.1", done));
  mock.port = server.address().port;
  mock.cut = () => {
    for (const s of mock.sockets) s.socket.destroy();
  };
  mock.stop = () => {
    mock.cut();
    server.closeAllConnections();
    server.close();
  };
  mock.state = state;
  mock.take = take;
  mock.timeline = timeline;
  return mock;
}

function sound(zero_s, duration_s) {
  const pieces = [];
  for (let at_s = 0, n = 0; at_s < duration_s; at_s += PIECE_S, n += 1) {
    pieces.push({ n, at_s, length_s: Math.min(PIECE_S, duration_s - at_s), url: `/piece/${n}` });
  }
  return { sample_rate: RATE, zero_s, duration_s, track_url: "/piece/0", pieces };
}

/** A piece as WAV: a click of 50 ms at each cue. */
function wav(n, zero_s, duration_s, index) {
  const from = n * PIECE_S * RATE;
  const count = Math.round(Math.min(PIECE_S, duration_s - n * PIECE_S) * RATE);
  const body = Buffer.alloc(44 + 2 * count);
  body.write("RIFF", 0);
  body.writeUInt32LE(36 + 2 * count, 4);
  body.write("WAVEfmt ", 8);
  body.writeUInt32LE(16, 16);
  body.writeUInt16LE(1, 20);
  body.writeUInt16LE(1, 22);
  body.writeUInt32LE(RATE, 24);
  body.writeUInt32LE(2 * RATE, 28);
  body.writeUInt16LE(2, 32);
  body.writeUInt16LE(16, 34);
  body.write("data", 36);
  body.writeUInt32LE(2 * count, 40);
  for (const cue of index.coming) {
    const at = Math.round((zero_s + cue.at_ms / 1000) * RATE) - from;
    for (let k = 0; k < 2400; k += 1) {
      const i = at + k;
      if (i >= 0 && i < count)
        body.writeInt16LE(
          Math.round(12000 * Math.sin((2 * Math.PI * 1000 * k) / RATE)),
          44 + 2 * i,
        );
    }
  }
  return body;
}

function frame(text) {
  const body = Buffer.from(text);
  const head =
    body.length < 126
      ? Buffer.from([0x81, body.length])
      : body.length < 65536
        ? Buffer.from([0x81, 126, body.length >> 8, body.length & 255])
        : Buffer.concat([
            Buffer.from([0x81, 127, 0, 0, 0, 0]),
            Buffer.from(
              new Uint8Array([
                body.length >>> 24,
                (body.length >>> 16) & 255,
                (body.length >>> 8) & 255,
                body.length & 255,
              ]),
            ),
          ]);
  return Buffer.concat([head, body]);
}

function unframe(data) {
  if (data.length < 6) return null;
  let length = data[1] & 127;
  let at = 2;
  if (length === 126) {
    length = data.readUInt16BE(2);
    at = 4;
  }
  if (length === 127) {
    length = Number(data.readBigUInt64BE(2));
    at = 10;
  }
  if (data.length < at + 4 + length) return null;
  const mask = data.subarray(at, at + 4);
  const body = Buffer.from(data.subarray(at + 4, at + 4 + length).map((b, i) => b ^ mask[i % 4]));
  return { op: data[0] & 15, text: body.toString(), rest: data.subarray(at + 4 + length) };
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const mock = await startMock({ port: Number(process.env.PORT ?? 8090) });
  process.stdout.write(`http://127.0.0.1:${mock.port}/line/w1\n`);
}

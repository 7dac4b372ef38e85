// Invented ladders, lanes and states for tests and for trying the page. No real test, no real person.

/**
 * Makes a timeline of bouts over two legs with a rest, in the shape of docs/formats/live.md.
 * @param {{leg_m?: number, recovery_m?: number, rest_s?: number, stages?: [string, number, number][]}} [how]
 */
export function shuttles({
  leg_m = 20,
  recovery_m = 5,
  rest_s = 10,
  stages = [
    ["1", 10, 1],
    ["2", 12, 2],
    ["3", 13, 4],
    ["4", 14, 8],
    ["5", 14.5, 8],
  ],
} = {}) {
  const bouts = [];
  let at_s = 0;
  for (const [stage, speed_kmh, count] of stages) {
    for (let n = 1; n <= count; n += 1) {
      const leg_s = leg_m / (speed_kmh / 3.6);
      const bout = bouts.length + 1;
      const turn_ms = (at_s + leg_s) * 1000;
      const finish_ms = (at_s + 2 * leg_s) * 1000;
      bouts.push({
        bout,
        label: `${stage}.${n}`,
        stage,
        speed_kmh,
        start_ms: at_s * 1000,
        finish_ms,
        distance_m: bout * 2 * leg_m,
        cues: [
          { cue: 1, kind: "turn", at_ms: turn_ms, place_m: leg_m },
          { cue: 2, kind: "finish", at_ms: finish_ms, place_m: 0 },
        ],
      });
      at_s += 2 * leg_s + rest_s;
    }
  }
  const end_ms = bouts.at(-1).finish_ms;
  const course = { leg_m, recovery_m, legs: 2, loop: false };
  return {
    test: "trial",
    name: "Trial shuttles, 2 × 20 m",
    fingerprint: "0",
    course,
    countdown_s: 5,
    end_ms,
    bouts,
  };
}

/** Makes a continuous shuttle timeline: one leg a bout, no rest. */
export function continuous({ leg_m = 20, speeds = [8, 8.5, 9], legs = 7 } = {}) {
  const bouts = [];
  let at_ms = 0;
  speeds.forEach((speed_kmh, stage) => {
    for (let n = 1; n <= legs; n += 1) {
      const bout = bouts.length + 1;
      const start_ms = at_ms;
      at_ms += (leg_m / (speed_kmh / 3.6)) * 1000;
      const cue = { cue: 1, kind: "turn", at_ms, place_m: bout % 2 === 1 ? leg_m : 0 };
      bouts.push({
        bout,
        label: `${stage + 1}.${n}`,
        stage: String(stage + 1),
        speed_kmh,
        start_ms,
        finish_ms: at_ms,
        distance_m: bout * leg_m,
        cues: [cue],
      });
    }
  });
  bouts.at(-1).cues[0].kind = "finish";
  return {
    test: "trial-c",
    name: "Trial, continuous",
    fingerprint: "0",
    course: { leg_m, recovery_m: 0, legs: 1, loop: false },
    countdown_s: 5,
    end_ms: at_ms,
    bouts,
  };
}

const NAMES = [
  "Ardo Venn",
  "Bree Okonta",
  "Casimir Lund",
  "Dilys Marrow",
  "Eskil Tham",
  "Faye Quill-Hathersage",
  "Goran Pell",
  "Hesper Ny",
];

/** @param {number} n */
export function lanes(n = 8) {
  return Array.from({ length: n }, (_, i) => ({
    lane: i + 1,
    person: `p${i + 1}`,
    name: NAMES[i % NAMES.length],
    bib: String([7, 12, 3, 21, 9, 14, 30, 5][i % 8] + 40 * Math.floor(i / 8)),
    from_bout: 1,
  }));
}

/** @param {any} [settings] */
export function emptyState(settings = {}, n = 8) {
  const rules = {
    miss_limit: 2,
    counting: "cumulative",
    zone_mm: 0,
    line_limit: 0,
    last_incomplete_counts: false,
    scored_stage: "completed",
    ...settings,
  };
  const plans = lanes(n);
  return {
    opening: { test: "trial", fingerprint: "0", settings: rules, lanes: plans, assessors: [] },
    anchor: null,
    started: false,
    lanes: plans.map((plan) => ({
      plan,
      status: "waiting",
      misses: [],
      warning: { count: 0, limit: rules.miss_limit, clears_at_ms: null, over: false, at_line: 0 },
      early_starts: 0,
      short_turns: 0,
      course_errors: [],
      stop: null,
      readings: [],
      trail: [],
    })),
    conflicts: [],
    interruptions: [],
    notes: [],
    closed: false,
    reopened: 0,
    refused: [],
    events: 1,
    order: 1,
  };
}

/** A generator of numbers in [0, 1) that always gives the same. @param {number} seed */
export function chance(seed) {
  let s = seed >>> 0 || 1;
  return () => {
    s = (Math.imul(s, 1664525) + 1013904223) >>> 0;
    return s / 4294967296;
  };
}

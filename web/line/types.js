// The shapes that travel between the server and the line screen, as JSDoc types. No code.
// Facts: docs/formats/events.md and docs/formats/live.md.

/**
 * @typedef {{cue: number, kind: string, at_ms: number, place_m?: number | null}} Cue
 * @typedef {{bout: number, label: string, stage: string, speed_kmh: number, start_ms: number,
 *   finish_ms: number, distance_m: number, cues: Cue[]}} Bout
 * @typedef {{leg_m: number, recovery_m?: number | null, legs?: number | null, loop?: boolean}} Course
 * @typedef {{test: string, name: string, fingerprint: string, course: Course, countdown_s: number,
 *   end_ms: number, bouts: Bout[]}} Timeline
 *
 * @typedef {{n: number, at_s: number, length_s: number, url: string}} Piece
 * @typedef {{sample_rate: number, zero_s: number, duration_s: number, track_url: string,
 *   pieces: Piece[]}} Sound
 *
 * @typedef {{kind: string, [field: string]: any}} What
 * @typedef {{v: 1, id: string, device: string, seq: number, order: number, at_ms: number,
 *   cue_ms?: number, cue_pm_ms?: number, role: string, by?: string, what: What}} WaveEvent
 *
 * @typedef {{event: string, device: string, by: string | null, says_so: boolean,
 *   completed: number | null, reason: string | null, cue_ms: number | null}} Call
 * @typedef {{key: string, bout: number | null, cue: number | null, place: string,
 *   standing: string, calls: Call[], excuse: string | null}} Miss
 * @typedef {{count: number, limit: number, clears_at_ms: number | null, over: boolean,
 *   at_line: number}} Warning
 * @typedef {{bouts: number, in_progress: number | null, close_call: boolean,
 *   corrected: boolean}} Completed
 * @typedef {{reason: string, completed: Completed | null, cue_ms: number | null,
 *   at_ms: number | null, calls: Call[]}} Stop
 * @typedef {{lane: number, person: string, name: string, bib?: string | null,
 *   ends_at?: number | null, from_bout?: number}} LanePlan
 * @typedef {{plan: LanePlan, status: string, misses: Miss[], warning: Warning,
 *   early_starts: number, short_turns: number, course_errors: [number, number][],
 *   stop: Stop | null, readings: any[], trail: [string, string, string][],
 *   waiting?: boolean}} Lane
 * @typedef {{lane: number, kind: string, about: string, calls: Call[], ruled: boolean}} Conflict
 * @typedef {{event: string, cue_ms: number | null, finished: number | null, why: string,
 *   how: {choice: string, bout?: number} | null}} Interruption
 * @typedef {{device: string, zero_ms: number, pm_ms: number}} Anchor
 * @typedef {{opening: {settings: any, lanes: LanePlan[], assessors: any[]} | null,
 *   anchor: Anchor | null, started: boolean, lanes: Lane[], conflicts: Conflict[],
 *   interruptions: Interruption[], notes: any[], closed: boolean, reopened: number,
 *   refused: string[], events: number, order: number}} State
 * @typedef {{wave: string, day: string, number: number, name: string, test: string,
 *   version: number, server_ms: number, speed?: number, state: State, results: any[], read_back: any,
 *   me: {device: string, role: string, name: string, lanes: number[]}, devices?: any[]}} View
 */

export {};

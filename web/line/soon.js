// Whose next bout may be the last: lanes with an even chance or more of stopping, asked once a rest.
// For the lead and the medic, or after a switch: who judges must not be told whom to expect to stop.
// Contract: docs/formats/live.md, "Whom to watch".

/** From this chance of stopping in the next bout on a lane is marked. Chosen, no source. */
export const EVEN = 0.5;

/**
 * Returns the lanes to mark, out of an answer of the watch list.
 * @param {any} answer
 * @returns {Set<number>}
 */
export function lanesOf(answer) {
  /** @type {{lane: number, probability: number | null}[]} */
  const lanes = Array.isArray(answer?.lanes) ? answer.lanes : [];
  return new Set(lanes.filter((l) => (l.probability ?? 0) >= EVEN).map((l) => l.lane));
}

/**
 * Returns whether the marks are shown where nobody has used the switch: to the lead and the medic,
 * unless they judge lanes themselves.
 * @param {{role: string, lanes: number[]} | undefined} me
 */
export function shownTo(me) {
  return (me?.role === "lead" || me?.role === "medic") && (me.lanes ?? []).length === 0;
}

/**
 * @param {{wave: string, ask: (url: string) => Promise<any>, changed: () => void}} parts
 */
export function makeSoon({ wave, ask, changed }) {
  /** @type {number | null} the bout after which was asked */
  let asked = null;
  /** @type {Set<number>} */
  let lanes = new Set();

  return {
    /**
     * Returns the lanes marked now: none but in a rest.
     * @param {number | null} after bouts finished when in a rest; nothing otherwise, or when it is off
     * @returns {Set<number>}
     */
    marked(after) {
      if (after == null) {
        asked = null;
        lanes = new Set();
        return lanes;
      }
      if (asked !== after) {
        asked = after;
        lanes = new Set();
        void ask(`/api/waves/${encodeURIComponent(wave)}/watch?bout=${after}`).then((answer) => {
          if (asked !== after) return;
          lanes = lanesOf(answer);
          changed();
        });
      }
      return lanes;
    },
  };
}

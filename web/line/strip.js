// The course as a strip, to scale, seen from where the assessor stands, with the pace marker.
// In: a moment of the schedule. Draws only; knows no lanes and no events.

/** @import {Course} from "./types.js" */
/** @import {Moment} from "./schedule.js" */

const SVG = "http://www.w3.org/2000/svg";
const HEIGHT = 58;
const GROUND = 34;
/** Room beyond the outermost line, px. */
const EDGE = 16;

/**
 * Returns where a place lies on the strip, px from its left edge.
 * @param {Course} course
 * @param {number} place_m
 * @param {number} width
 * @param {boolean} mirror
 */
export function xOf(course, place_m, width, mirror) {
  const back = course.loop ? 0 : (course.recovery_m ?? 0);
  const scale = (width - 2 * EDGE) / (back + course.leg_m);
  const x = EDGE + (place_m + back) * scale;
  return mirror ? width - x : x;
}

/**
 * @param {SVGElement} svg
 */
export function Strip(svg) {
  let drawn = "";
  let width = 0;
  /** @type {Element | null} */
  let marker = null;
  /** @type {Course | null} */
  let course = null;
  let mirror = false;
  new ResizeObserver(() => draw()).observe(svg);

  function draw() {
    width = svg.clientWidth || 360;
    if (!course) return;
    const what = JSON.stringify([course, width, mirror]);
    if (what === drawn) return;
    drawn = what;
    svg.setAttribute("viewBox", `0 0 ${width} ${HEIGHT}`);
    const at = (/** @type {number} */ m) => xOf(/** @type {Course} */ (course), m, width, mirror);
    const back = course.loop ? 0 : (course.recovery_m ?? 0);
    const parts = [
      one("path", { class: "ground", d: `M${at(-back)} ${GROUND}H${at(course.leg_m)}` }),
      one("path", { class: "chalk", d: `M${at(0)} 8V${GROUND + 8}` }),
      one("path", { class: "chalk", d: `M${at(course.leg_m)} 8V${GROUND + 8}` }),
      word("start", at(0)),
      word(course.loop ? `${course.leg_m} m round` : `${course.leg_m} m`, at(course.leg_m)),
    ];
    if (back > 0) {
      const x = at(-back);
      parts.push(
        one("path", {
          class: "cone",
          d: `M${x - 6} ${GROUND}L${x} ${GROUND - 14}L${x + 6} ${GROUND}Z`,
        }),
      );
      parts.push(word("cone", x));
    }
    marker = one("path", { class: "marker", d: "M-9 -13L9 0L-9 13L-4 0Z" });
    svg.replaceChildren(...parts, marker);
  }

  /**
   * @param {string} text
   * @param {number} x
   */
  function word(text, x) {
    const anchor = x < 40 ? "start" : x > width - 40 ? "end" : "middle";
    const shift = anchor === "start" ? -EDGE + 4 : anchor === "end" ? EDGE - 4 : 0;
    const node = one("text", { x: x + shift, y: HEIGHT - 3, "text-anchor": anchor });
    node.textContent = text;
    return node;
  }

  return {
    /**
     * @param {Course} of
     * @param {boolean} flipped
     */
    course(of, flipped) {
      course = of;
      mirror = flipped;
      draw();
    },
    /** @param {Moment | null} moment */
    update(moment) {
      if (!marker || !course) return;
      const place = moment?.place_m ?? 0;
      const x = xOf(course, place, width, mirror);
      const way = (moment?.way ?? 1) * (mirror ? -1 : 1);
      marker.setAttribute("transform", `translate(${x.toFixed(1)} ${GROUND - 10}) scale(${way} 1)`);
      marker.setAttribute("data-phase", moment?.phase ?? "before");
    },
  };
}

/**
 * @param {string} name
 * @param {Record<string, string | number>} attributes
 */
function one(name, attributes) {
  const node = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, String(value));
  return node;
}

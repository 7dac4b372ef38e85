// The switches of this device and what is known of it: mirror, light, shown cues, keys, sound here.
// Out: event "set" (detail: {name, on}) and event "soundHere". Kept per device.

const SWITCHES = [
  ["mirror", "mirror"],
  ["cues", "show cues"],
  ["keys", "keys"],
  ["soon", "◇ may stop"],
];
const KEY = "plimsoll.line.switches";

/**
 * @typedef {{mirror: boolean, cues: boolean, keys: boolean, soon: boolean | null}} Switches
 */

/** @returns {Switches} */
export function keptSwitches() {
  const keys = matchMedia("(hover: hover)").matches;
  const plain = { mirror: false, cues: false, keys, soon: null };
  try {
    return { ...plain, ...JSON.parse(localStorage.getItem(KEY) ?? "{}"), soon: null };
  } catch {
    return plain;
  }
}

/**
 * Keeps the switches for the next time; who may stop is asked for anew each time.
 * @param {Switches} switches
 */
export function keepSwitches(switches) {
  try {
    localStorage.setItem(KEY, JSON.stringify({ ...switches, soon: null }));
  } catch {
    // Forbidden: they hold for this page.
  }
}

/**
 * @param {HTMLElement} el
 */
export function Tools(el) {
  const buttons = SWITCHES.map(([name, word]) => {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "switch";
    button.dataset["name"] = name ?? "";
    button.textContent = word ?? "";
    return button;
  });
  const light = document.createElement("button");
  light.type = "button";
  light.className = "switch";
  light.dataset["lightSwitch"] = "";
  light.textContent = "dusk";
  const here = document.createElement("button");
  here.type = "button";
  here.className = "button-quiet";
  here.textContent = "Play the cues here";
  const facts = document.createElement("p");
  facts.className = "device";
  const refused = document.createElement("div");
  const after = document.createElement("a");
  after.className = "button-quiet";
  after.textContent = "After the stop: heart rate, exertion, notes";
  after.target = "_blank";
  after.hidden = true;
  el.replaceChildren(...buttons, light, here, after, facts, refused);
  el.addEventListener("click", (event) => {
    const button = /** @type {Element} */ (event.target).closest("button");
    const name = button?.dataset["name"];
    if (button === here) el.dispatchEvent(new CustomEvent("soundHere", { bubbles: true }));
    else if (name) {
      const on = button?.getAttribute("aria-pressed") !== "true";
      el.dispatchEvent(new CustomEvent("set", { detail: { name, on }, bubbles: true }));
    }
  });
  return {
    /**
     * @param {Switches} switches
     * @param {{dusk: boolean, here: string | null, facts: string, refused: string[],
     *   after: string | null}} now
     */
    update(switches, now) {
      for (const button of buttons) {
        const on = switches[/** @type {keyof Switches} */ (button.dataset["name"])];
        button.setAttribute("aria-pressed", String(on));
      }
      light.setAttribute("aria-pressed", String(now.dusk));
      here.hidden = now.here == null;
      if (now.here && here.textContent !== now.here) here.textContent = now.here;
      after.hidden = now.after == null;
      if (now.after && after.getAttribute("href") !== now.after) after.href = now.after;
      if (facts.textContent !== now.facts) facts.textContent = now.facts;
      refused.hidden = now.refused.length === 0;
      const said = now.refused.join("\n");
      if (refused.dataset["said"] !== said) {
        refused.dataset["said"] = said;
        refused.className = "caution";
        refused.replaceChildren(
          ...now.refused.map((line) => {
            const p = document.createElement("p");
            p.textContent = line;
            return p;
          }),
        );
      }
    },
  };
}

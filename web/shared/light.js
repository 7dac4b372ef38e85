// The light of the pages: day, dusk, or as the device has it; kept per device.
// Any page may carry a button with `data-light-switch`; it is wired when this module loads.

const KEY = "plimsoll.light";

/** Returns whether the dusk sheet is on. */
export function isDusk() {
  const set = document.documentElement.dataset["light"];
  return set ? set === "dusk" : matchMedia("(prefers-color-scheme: dark)").matches;
}

/**
 * Switches the dusk sheet.
 * @param {boolean} dusk
 */
export function setDusk(dusk) {
  document.documentElement.dataset["light"] = dusk ? "dusk" : "day";
  try {
    localStorage.setItem(KEY, dusk ? "dusk" : "day");
  } catch {
    // Forbidden: it holds for this page.
  }
  show();
}

function show() {
  for (const one of document.querySelectorAll("[data-light-switch]")) {
    one.setAttribute("aria-pressed", String(isDusk()));
  }
}

/** @returns {string | null} */
function kept() {
  try {
    return localStorage.getItem(KEY);
  } catch {
    return null;
  }
}

const before = kept();
if (before === "dusk" || before === "day") document.documentElement.dataset["light"] = before;
show();
document.addEventListener("click", (event) => {
  const target = event.target;
  if (target instanceof Element && target.closest("[data-light-switch]")) setDusk(!isDusk());
});

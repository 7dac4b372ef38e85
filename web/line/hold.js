// A button that acts when held for a second: with a finger, a mouse, or Enter or the space bar.
// Where holding cannot be (switches, screen readers), two presses within five seconds do the same.

const HOLD_MS = 1000;
const AGAIN_MS = 5000;

/**
 * Makes a button one that has to be held.
 * @param {HTMLButtonElement} button
 * @param {{act: () => void, begun?: () => void, asked?: () => void}} ends
 */
export function holdable(button, { act, begun, asked }) {
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let timer;
  let armed = 0;
  let done = false;

  function begin() {
    if (timer !== undefined || button.disabled) return;
    done = false;
    begun?.();
    button.classList.add("held");
    timer = setTimeout(() => {
      done = true;
      end();
      act();
    }, HOLD_MS);
  }
  function end() {
    clearTimeout(timer);
    timer = undefined;
    button.classList.remove("held");
  }

  button.addEventListener("pointerdown", (e) => e.button === 0 && begin());
  for (const name of ["pointerup", "pointercancel", "pointerleave", "blur", "keyup"]) {
    button.addEventListener(name, end);
  }
  button.addEventListener("keydown", (e) => {
    if (e.key !== "Enter" && e.key !== " ") return;
    e.preventDefault();
    if (!e.repeat) begin();
  });
  button.addEventListener("contextmenu", (e) => e.preventDefault());
  button.addEventListener("click", (e) => {
    if (e.detail !== 0 || done) return;
    begun?.();
    if (e.timeStamp - armed < AGAIN_MS && armed > 0) {
      armed = 0;
      act();
    } else {
      armed = e.timeStamp;
      asked?.();
    }
  });
}

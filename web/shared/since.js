// Counts on in every `<time data-since-s>`: seconds since something happened, as of when the page was made.

const made = performance.now();

/** @param {number} s */
function face(s) {
  return `${Math.floor(s / 60)}:${String(Math.floor(s % 60)).padStart(2, "0")}`;
}

function show() {
  for (const one of document.querySelectorAll("time[data-since-s]")) {
    const since = Number(/** @type {HTMLElement} */ (one).dataset["sinceS"]);
    one.textContent = face(since + (performance.now() - made) / 1000);
  }
}

setInterval(show, 1000);

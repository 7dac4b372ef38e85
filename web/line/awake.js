// Keeps the screen on during a wave: a wake lock where there is one, else a silent moving picture.
// Must not claim success: says which way is in force, so that the page can warn.

/**
 * @typedef {"lock" | "picture" | "none"} Way
 */

/**
 * Makes the keeper; `changed` hears how the screen is kept on.
 * @param {(way: Way) => void} changed
 */
export function makeKeeper(changed) {
  let wanted = false;
  /** @type {WakeLockSentinel | null} */
  let lock = null;
  /** @type {HTMLVideoElement | null} */
  let video = null;
  /** @type {ReturnType<typeof setInterval> | undefined} */
  let painter;

  async function hold() {
    if (!wanted || document.hidden) return;
    if ("wakeLock" in navigator) {
      try {
        lock = await navigator.wakeLock.request("screen");
        lock.onrelease = () => {
          lock = null;
          if (wanted) changed("none");
        };
        changed("lock");
        return;
      } catch {
        // Refused, for one with little charge left: the picture is tried.
      }
    }
    await moving();
  }

  async function moving() {
    if (!video) {
      const canvas = document.createElement("canvas");
      canvas.width = canvas.height = 16;
      const pen = canvas.getContext("2d");
      let shade = 0;
      painter = setInterval(() => {
        shade = (shade + 1) % 256;
        if (pen) pen.fillStyle = `rgb(${shade} ${shade} ${shade})`;
        pen?.fillRect(0, 0, 16, 16);
      }, 1000);
      video = document.createElement("video");
      video.muted = video.playsInline = video.loop = true;
      video.className = "awake";
      video.setAttribute("aria-hidden", "true");
      video.tabIndex = -1;
      if (!canvas.captureStream) {
        changed("none");
        return;
      }
      video.srcObject = canvas.captureStream(1);
      document.body.append(video);
    }
    try {
      await video.play();
      changed("picture");
    } catch {
      changed("none");
    }
  }

  document.addEventListener("visibilitychange", () => void hold());
  return {
    start() {
      wanted = true;
      void hold();
    },
    stop() {
      wanted = false;
      clearInterval(painter);
      painter = undefined;
      void lock?.release();
      video?.remove();
      video = null;
    },
  };
}

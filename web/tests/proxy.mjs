// A network that can fail: passes bytes between a phone and the server, or cuts every connection.

import { connect, createServer } from "node:net";

/**
 * Starts a network in front of a port of this machine.
 * @param {number} port
 */
export async function startNetwork(port) {
  /** @type {Set<import("node:net").Socket>} */
  const open = new Set();
  let down = false;
  const server = createServer((near) => {
    if (down) {
      near.destroy();
      return;
    }
    const far = connect(port, "127.0.0.1");
    for (const [one, other] of [
      [near, far],
      [far, near],
    ]) {
      open.add(/** @type {any} */ (one));
      one?.pipe(/** @type {any} */ (other));
      one?.on("error", () => other?.destroy());
      one?.on("close", () => {
        open.delete(/** @type {any} */ (one));
        other?.destroy();
      });
    }
  });
  await new Promise((done) => server.listen(0, "127.0.0.1", () => done(null)));
  return {
    port: /** @type {any} */ (server.address()).port,
    fail() {
      down = true;
      for (const socket of open) socket.destroy();
    },
    mend() {
      down = false;
    },
    close() {
      server.close();
      for (const socket of open) socket.destroy();
    },
  };
}

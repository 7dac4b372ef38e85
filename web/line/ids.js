// Names for devices and events from random bytes; `randomUUID` is missing on plain http.
// Pure: the caller passes the bytes and the time. Layout of the UUID: RFC 9562, section 5.7.

/**
 * Returns a UUID, version 7.
 * @param {number} at_ms since 1970
 * @param {Uint8Array} random at least 10 bytes
 */
export function uuid7(at_ms, random) {
  const bytes = new Uint8Array(16);
  let time = Math.max(0, Math.floor(at_ms));
  for (let n = 5; n >= 0; n -= 1) {
    bytes[n] = time % 256;
    time = Math.floor(time / 256);
  }
  bytes.set(random.subarray(0, 10), 6);
  bytes[6] = ((bytes[6] ?? 0) & 0x0f) | 0x70;
  bytes[8] = ((bytes[8] ?? 0) & 0x3f) | 0x80;
  const hex = [...bytes].map((b) => b.toString(16).padStart(2, "0")).join("");
  return [
    hex.slice(0, 8),
    hex.slice(8, 12),
    hex.slice(12, 16),
    hex.slice(16, 20),
    hex.slice(20),
  ].join("-");
}

/** Letters and digits that are not mistaken for one another when read aloud. */
const PLAIN = "abcdefghjkmnpqrstuvwxyz23456789-";

/**
 * Returns the name of a device: 16 characters.
 * @param {Uint8Array} random at least 16 bytes
 */
export function deviceName(random) {
  return [...random.subarray(0, 16)].map((b) => PLAIN[b % 31]).join("");
}

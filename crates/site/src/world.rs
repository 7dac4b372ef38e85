//! What the server takes from outside: time, ids and randomness.

use uuid::Uuid;

/// The outside world, as far as the server needs it.
pub trait Clock: Send + Sync {
    /// Returns the time, milliseconds since 1970-01-01 UTC.
    fn now_ms(&self) -> i64;
    /// Returns an id that was never returned before; version 7.
    fn new_id(&self) -> Uuid;
    /// Returns 32 bytes that nobody can guess.
    fn secret(&self) -> [u8; 32];
}

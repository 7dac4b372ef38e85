//! What the archive takes from outside: the time, fresh ids and the name of who acts.
//! Must not be implemented in this crate; the program supplies it.

use uuid::Uuid;

/// The outside world, as far as the archive needs it.
pub trait World: Send {
    /// Returns the time, milliseconds since 1970-01-01 UTC.
    fn now_ms(&self) -> i64;
    /// Returns an id that was never returned before; version 7, so that ids sort by time.
    fn new_id(&self) -> Uuid;
    /// Returns who acts, as the journal should name them; must not be empty.
    fn who(&self) -> String;
}

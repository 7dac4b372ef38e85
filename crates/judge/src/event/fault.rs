//! What can be wrong with an event that arrives from outside.

use thiserror::Error;

/// Why an event was refused. Nothing of it is kept.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum EventFault {
    /// It is larger than any event.
    #[error(
        "the event has {found} bytes and an event has at most {allowed}; split a long note, or send \
         the plan in smaller waves"
    )]
    TooLarge {
        /// Bytes found.
        found: usize,
        /// Bytes allowed.
        allowed: usize,
    },
    /// It is not an event.
    #[error(
        "this is not an event: {why}; see docs/formats/events.md for the kinds and their fields"
    )]
    Unreadable {
        /// What the reader complained of.
        why: String,
    },
    /// A newer build wrote it.
    #[error(
        "the event has version {found} and this build reads up to {known}; use the newer build"
    )]
    Newer {
        /// Version found.
        found: u64,
        /// Newest version known.
        known: u16,
    },
    /// A value is out of range.
    #[error("event field `{field}`: found {found}, allowed is {allowed}")]
    Value {
        /// The field.
        field: &'static str,
        /// What was found.
        found: String,
        /// What is allowed.
        allowed: &'static str,
    },
}

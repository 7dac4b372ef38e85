//! What a run was worth: stop reasons, outcomes and lower bounds.
//! Pure: no clock, no I/O, no text for people beyond the words of a reason.

mod outcome;
mod reason;

pub use outcome::{Amount, Censoring, Outcome};
pub use reason::{StopReason, UnknownReason};

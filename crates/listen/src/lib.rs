//! A recording back into a timeline: which test was played, how true, and where it broke.
//! Pure: no clock, no environment, no printing. Evidence only: it never changes an outcome.

pub mod align;
pub mod foreign;
mod heard;
pub mod onsets;
pub mod read;

pub use heard::{Gap, GapKind, Heard, HeardCue, Kind};

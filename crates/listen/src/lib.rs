//! A recording back into a timeline: which test was played, how true, and where it broke.
//! Pure: no clock, no environment, no printing. Evidence only: it never changes an outcome.

pub mod align;
mod error;
pub mod foreign;
mod heard;
mod intake;
mod listen;
mod meaning;
pub mod onsets;
mod other;
mod own;
pub mod read;
pub mod tap;
mod worth;

pub use error::ListenError;
pub use heard::{Gap, GapKind, Heard, HeardCue, Kind, SpeedPiece};
pub use intake::WORKING_RATE;
pub use listen::{Listener, listen};
pub use worth::bouts as worth_bouts;

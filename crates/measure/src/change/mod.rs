//! Whether an observed change is more than the test's own noise.
//! Chances are flat-prior statements about one person; `shrink` brings in a prior.
//! Sources: Hopkins 2000, Weir 2005, Swinton 2018; formulas checked against scipy 1.17.1 numbers.

mod chance;
mod detect;
mod log_scale;
mod shrink;
mod true_score;

pub use chance::{Chance, Comparison};
pub use detect::{Steps, repeats_needed, smallest_worthwhile, whole_steps};
pub use log_scale::{LogChange, log_change};
pub use shrink::{Shrunk, shrink};
pub use true_score::{TrueScore, true_score};

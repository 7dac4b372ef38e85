//! Whether a result is better than the one before, in words, with every reason to doubt it.
//! Never corrects a score for conditions: it says what differed and what studies found.
//! Rules: docs/methods/change.md.

mod assess;
mod curve;
mod flags;
mod numbers;
mod observation;
mod quick;
mod verdict;
mod worthwhile;

pub use assess::{ChangeContext, ChangeReport, Pairwise, assess_change};
pub use curve::true_change_curve;
pub use flags::{Evidence, Flag, FlagCode};
pub use numbers::{Chances, Detectable, Numbers};
pub use observation::Observation;
pub use quick::{QuickChange, QuickRequest, quick_change};
pub use verdict::Verdict;
pub use worthwhile::WorthwhileChoice;

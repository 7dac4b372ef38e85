//! Which typical error fits a test and a person, and why.
//! "No adequate error estimate" is an answer. Own data take over at ten pairs.
//! Sources: `references/reliability`; rule: docs/methods/typical-error.md.

mod choose;
mod score;

pub use choose::{
    ErrorAnswer, ErrorChoice, ErrorOrigin, ErrorRequest, MIN_OWN_PAIRS, OwnPairs, choose_error,
    higher_is_better,
};

//! Where a value stands against named populations, or that there is none to compare with.
//! Never a category word; rows from memory are hidden unless asked for, and always tagged.
//! Rules: docs/methods/references.md.

mod answer;
mod by_age;
mod grade;
mod query;
mod squad;
mod standing;

pub use answer::{ReferenceAnswer, ReferenceMatch, find_references};
pub use by_age::{AgeReference, AgeReferences, references_by_age};
pub use grade::MatchGrade;
pub use query::ReferenceQuery;
pub use squad::{SquadStanding, stand_in_squad};
pub use standing::ReferenceStanding;

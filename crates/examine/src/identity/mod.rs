//! Suggests that two entries may be one person, from name, date of birth and squad, with reasons.
//! Never merges. Weights in `score` are common practice without a source, stated one by one.

mod names;
mod pairs;
mod score;

pub(crate) use pairs::{Other, suggest};

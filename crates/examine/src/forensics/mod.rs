//! Which ladder explains these rows: label, distance, counts, time and speed weighed together.
//! Every ladder starts equal; nothing is assumed about how fit the runners are.
//! Error rates are stated in `emission`; the switch of test in mid-file is in `switch`.

mod emission;
mod evidence;
mod family;
mod implied;
mod observed;
mod switch;
mod verdict;

pub use verdict::LadderVerdict;

pub(crate) use emission::likely_bouts;
pub(crate) use evidence::Evidence;
pub(crate) use family::is_sibling;
pub(crate) use implied::{Implied, imply};
pub(crate) use observed::Observed;
#[cfg(test)]
pub(crate) use observed::TimeSeen;
pub(crate) use switch::Switch;
pub(crate) use verdict::{Conclusion, conclude};

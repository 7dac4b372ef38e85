//! What can be wrong with numbers handed in, in words.
//! Holds no formula: each function says which of these it returns.

use thiserror::Error;

/// A reason why no number can be given.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum MeasureError {
    /// A number is not a number, or is infinite.
    #[error(
        "{what} is {found}, which is not a finite number; correct the value or leave the row out"
    )]
    NotFinite {
        /// Which number.
        what: &'static str,
        /// What was found.
        found: f64,
    },
    /// A number lies outside the values it may take.
    #[error("{what} is {found}; allowed is {allowed}; correct the value")]
    OutOfRange {
        /// Which number.
        what: &'static str,
        /// What was found.
        found: f64,
        /// What it may be, in words.
        allowed: &'static str,
    },
    /// There are not enough values.
    #[error("{what}: found {found}, at least {needed} needed; add more before asking again")]
    TooFew {
        /// What was counted.
        what: &'static str,
        /// How many there are.
        found: usize,
        /// How many are needed.
        needed: usize,
    },
    /// Two lists that belong together differ in length.
    #[error(
        "{what}: the lists have {first} and {second} values, they must have the same number; \
         leave out whoever has only one of the two"
    )]
    UnequalLengths {
        /// What the lists hold.
        what: &'static str,
        /// Length of the first list.
        first: usize,
        /// Length of the second list.
        second: usize,
    },
    /// All values are the same, so that nothing can be measured against them.
    #[error("{what} do not differ at all, so no error or spread can be worked out; {hint}")]
    NoSpread {
        /// Which values.
        what: &'static str,
        /// What to look at next.
        hint: &'static str,
    },
    /// A list that must rise does not.
    #[error(
        "{what}: value {position} of the list ({found}) is not above the one before it \
         ({before}); sort the list and remove doubles"
    )]
    NotRising {
        /// Which list.
        what: &'static str,
        /// Position in the list, from 1.
        position: usize,
        /// The value there.
        found: f64,
        /// The value before it.
        before: f64,
    },
    /// The same person and trial, or another pair of marks that may occur once, occurs twice.
    #[error("{what} {first} and {second} occur together twice; keep one of the two rows")]
    Twice {
        /// What the two marks are.
        what: &'static str,
        /// First mark.
        first: u64,
        /// Second mark.
        second: u64,
    },
    /// There is more than can be worked through.
    #[error("{what}: found {found}, at most {allowed} can be worked through; split the data")]
    TooMany {
        /// What was counted.
        what: &'static str,
        /// How many there are.
        found: usize,
        /// How many are allowed.
        allowed: usize,
    },
    /// The formula has no value for these numbers.
    #[error("{what} has no value here: {why}")]
    Undefined {
        /// What was asked for.
        what: &'static str,
        /// Why there is none, and what would work.
        why: String,
    },
    /// The numbers are so large or small that the result cannot be held.
    #[error("{what} cannot be worked out: the numbers are too large or too small; check the unit")]
    Overflow {
        /// What was asked for.
        what: &'static str,
    },
    /// Data or terms handed to a model do not fit together.
    #[error("{place}: found {found}; allowed is {allowed}; {next}")]
    ModelInput {
        /// Which column, term or row.
        place: String,
        /// What was found.
        found: String,
        /// What it may be.
        allowed: String,
        /// What to do next.
        next: String,
    },
    /// An age lies outside the ages a reference was made from.
    #[error(
        "the age is {found}, the reference covers {first} to {last} and is not extended; use a \
         reference that covers this age"
    )]
    OutsideAges {
        /// The age asked for.
        found: f64,
        /// First age of the reference.
        first: f64,
        /// Last age of the reference.
        last: f64,
    },
    /// A centile of a fitted reference is too uncertain to be given.
    #[error(
        "the centile at z = {z} and age {age} has a standard error of {found:.3} z units, allowed \
         is {limit}; add people near this age or take simpler curves"
    )]
    TooUncertain {
        /// The z of the centile.
        z: f64,
        /// The age.
        age: f64,
        /// Its standard error in z units.
        found: f64,
        /// The largest allowed one.
        limit: f64,
    },
    /// A fit did not reach its end, so that nothing may be read from it.
    #[error(
        "{what} did not converge after {iterations} steps; take lower degrees, a fixed \
         smoothness or more people, and look at the record of the fit"
    )]
    NotConverged {
        /// Which fit.
        what: &'static str,
        /// Steps made.
        iterations: u32,
    },
}

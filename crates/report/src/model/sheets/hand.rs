//! What is handed around: the arrival check, the slips for the medic, the code to join.
//! Must not hold an answer: these sheets are printed empty and filled in by hand.

use serde::{Deserialize, Serialize};

/// A person on the arrival check.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ArrivalPerson {
    /// Number on the bib; empty leaves room to write it.
    pub bib: String,
    /// Name as called on the pitch.
    pub name: String,
}

/// The arrival check: a list for the group without health columns, and a slip a person for the
/// medic with the health questions.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ArrivalCheck {
    /// People in the order in which they are printed.
    pub people: Vec<ArrivalPerson>,
    /// Empty rows, and empty slips, for people who turn up; 0 to 60, more are cut.
    pub spare: u8,
    /// Whether the group's list is printed.
    pub group: bool,
    /// Whether the slips are printed.
    pub slips: bool,
}

/// A page by which a phone joins a wave.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct JoinCode {
    /// Heading, e.g. "Assess wave 2".
    pub title: String,
    /// Name of the wave; empty when the code is for the whole day.
    pub wave: String,
    /// Address that the code opens: 1 to 300 printable ASCII letters.
    pub url: String,
    /// Short code to type; empty when there is none.
    pub code: String,
    /// A line for those without a camera, e.g. the name of the network; may be empty.
    pub note: String,
}

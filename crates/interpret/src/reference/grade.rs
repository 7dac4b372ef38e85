//! How well a reference fits, with the reasons.
//! Sex and age must fit for a reference to be eligible at all; the rest lowers the grade.
//! The rule is ours: common practice, no source.

use std::fmt;

use serde::Serialize;

use super::query::ReferenceQuery;
use crate::data::ReferenceRow;
use crate::{Confidence, SexGroup};

/// Below this many people only a mean and SD are shown. Interpretation notes, section 3.
pub(crate) const FEW_PEOPLE: u32 = 30;

/// Grade of a match, best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum MatchGrade {
    /// Nothing speaks against it.
    Close,
    /// One thing speaks against it.
    Fair,
    /// Two or more things speak against it.
    Loose,
}

impl fmt::Display for MatchGrade {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Close => "close match",
            Self::Fair => "fair match",
            Self::Loose => "loose match",
        })
    }
}

/// Returns the grade of an eligible row and the reasons for it.
pub(crate) fn grade(row: &ReferenceRow, query: &ReferenceQuery) -> (MatchGrade, Vec<String>) {
    let mut reasons = vec![format!("{}, ages {}", row.sex.words(), row.age.printed)];
    let mut against = 0;
    let mut doubt = |reason: String| {
        reasons.push(reason);
        against += 1;
    };
    let group = format!("{} {}", row.sport, row.standard);
    let group = group.trim();
    match &query.standard {
        Some(wanted) if same_standard(group, wanted) => {}
        Some(wanted) => doubt(format!("another standard: {group}, asked for {wanted}")),
        None => doubt(format!("standard not compared: this is {group}")),
    }
    match row.n {
        Some(n) if n >= FEW_PEOPLE => {}
        Some(n) => doubt(format!("only {n} people")),
        None => doubt("number of people not known".to_owned()),
    }
    if row.sex == SexGroup::Both {
        doubt("both sexes together".to_owned());
    }
    if row.age.basis.contains("SD") || row.age.basis.contains("mean only") {
        doubt(format!("age band worked out ({})", row.age.basis));
    }
    if row.confidence == Confidence::FromMemory {
        doubt("from memory, not seen".to_owned());
    }
    if query.is_estimate {
        doubt("an estimate set against measured values: indicative only".to_owned());
    }
    let grade = match against {
        0 => MatchGrade::Close,
        1 => MatchGrade::Fair,
        _ => MatchGrade::Loose,
    };
    (grade, reasons)
}

/// Every word asked for stands in the group's description.
fn same_standard(group: &str, wanted: &str) -> bool {
    let group = group.to_lowercase();
    let mut words = wanted.split_whitespace().peekable();
    words.peek().is_some() && words.all(|word| group.contains(&word.to_lowercase()))
}

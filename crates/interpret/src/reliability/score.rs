//! How well a reliability row fits a person: at most 10 points.
//! A row outside the person's age or sex, or two levels away, is not a candidate at all.
//! The weights are ours: common practice, no source.

use crate::data::{ErrorUse, ReliabilityRow};
use crate::{Confidence, Level, Person, SexGroup};

/// Weight of sex, age, level and confidence: two points each; n and a single value: one each.
const FULL: f64 = 2.0;

/// Returns the points of a row, or why it is no candidate.
pub(crate) fn score(
    row: &ReliabilityRow,
    person: &Person,
    level: Option<Level>,
    in_unit_wanted: bool,
) -> Option<f64> {
    let (sex, age) = (person.sex?, person.age_years?);
    if !row.sex.holds(sex) || (row.age_min.is_none() && row.age_max.is_none()) {
        return None;
    }
    if row.age_min.is_some_and(|min| age < min) || row.age_max.is_some_and(|max| age >= max) {
        return None;
    }
    let sex_points = if row.sex == SexGroup::Both {
        FULL / 2.0
    } else {
        FULL
    };
    let age_points = match (row.age_min, row.age_max) {
        (Some(min), Some(max)) if max > min => {
            let half = (max - min) / 2.0;
            // A narrow band around the person says more than a wide one.
            FULL * (1.0 - 0.5 * ((age - min - half).abs() / half)) * (8.0 / (8.0 + max - min))
        }
        _ => FULL * 0.5,
    };
    let level_points = match (row.level, level) {
        (Some(a), Some(b)) => match a.apart(b) {
            0 => FULL,
            1 => FULL / 2.0,
            _ => return None,
        },
        _ => FULL / 2.0,
    };
    let tag_points = match row.confidence {
        Confidence::SourceRead | Confidence::SourceReadAbstract => FULL,
        Confidence::SecondaryRead | Confidence::Derived => FULL * 0.8,
        Confidence::CommonPractice | Confidence::FromMemory => FULL * 0.3,
    };
    let n_points = f64::from(row.n.unwrap_or(0).min(30)) / 30.0;
    let single = row.range.is_some_and(|(low, high)| low == high);
    let in_unit = row.use_as == ErrorUse::Error;
    let value_points = match (single, in_unit == in_unit_wanted) {
        (true, true) => 1.0,
        (true, false) | (false, true) => 0.5,
        (false, false) => 0.0,
    };
    Some(sex_points + age_points + level_points + tag_points + n_points + value_points)
}

//! The published default error of a test as something own data can be weighed against.
//! How much groups differ is our choice where the data do not say: common practice, no source.

use plimsoll_interpret::data::DefaultError;
use plimsoll_interpret::{Catalogue as Facts, Confidence};
use plimsoll_measure::error::TypicalError;
use plimsoll_measure::study::Published;

/// Degrees of freedom of a published default: taken as known but for its spread between groups.
const DF: f64 = 1e6;
/// The range of a default is taken as holding nine of ten groups: 2 x 1.645 SD of ln(error).
const RANGE_SD: f64 = 3.29;
/// Least spread between groups, SD of ln(error): about 15 %.
const LEAST_SPREAD: f64 = 0.15;
/// Spread of a default without a range: about 25 %.
const UNKNOWN_SPREAD: f64 = 0.25;

/// A published default on the scale of the study.
#[derive(Debug, Clone, PartialEq)]
pub struct PublishedError {
    /// The error, on the scale of the study.
    pub error: Published,
    /// As the data have it: 6 % for adults, trained.
    pub words: String,
    /// Where it comes from.
    pub source: String,
    /// How it was seen.
    pub confidence: Confidence,
}

/// Returns the default of a test for people of an age, in logs or in the unit of the values.
/// `mean` turns a percentage into the unit and back.
pub fn published_error(
    facts: &Facts,
    test: &str,
    age: Option<f64>,
    logs: bool,
    mean: f64,
) -> Option<PublishedError> {
    let quantity = facts.scale(test)?.unit.quantity();
    let of_age = |row: &&DefaultError| {
        age.is_none_or(|age| {
            row.age_min.is_none_or(|min| age >= min) && row.age_max.is_none_or(|max| age < max)
        })
    };
    let about = |row: &&DefaultError| row.test == test && row.quantity == quantity;
    let row = facts.defaults.iter().filter(about).find(of_age)?;
    let middle = f64::midpoint(row.low, row.high);
    let percent = row.unit == "%";
    let value = match (percent, logs) {
        (true, true) => (middle / 100.0).ln_1p(),
        (true, false) => middle / 100.0 * mean,
        (false, false) => middle,
        (false, true) => (middle / mean).ln_1p(),
    };
    if !(value.is_finite() && value > 0.0) {
        return None;
    }
    let spread = if row.high > row.low {
        ((row.high / row.low).ln() / RANGE_SD).max(LEAST_SPREAD)
    } else {
        UNKNOWN_SPREAD
    };
    Some(PublishedError {
        error: Published {
            error: TypicalError { value, df: DF },
            spread,
        },
        words: format!("{middle} {} for {}", row.unit, row.label),
        source: row.source.clone(),
        confidence: row.confidence,
    })
}

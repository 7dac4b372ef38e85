//! Chooses the typical error: set by hand, own pairs, the closest study, a default, or none.
//! Says in words which one and why.

use plimsoll_measure::error::{log_error, typical_error};
use serde::Serialize;

use super::score::score;
use crate::data::{Better, DefaultError, ErrorUse, ReliabilityRow, Scale, TestScale};
use crate::{Catalogue, Confidence, InterpretError, Level, Person, Size, words};

/// Own test-retest pairs count from this number on. Interpretation notes, section 4.
pub const MIN_OWN_PAIRS: usize = 10;

/// A squad's own test-retest values, a pair a person, in the unit of the test.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct OwnPairs {
    /// First trials.
    pub first: Vec<f64>,
    /// Second trials, in the same order.
    pub second: Vec<f64>,
}

/// What an error is wanted for.
#[derive(Debug, Clone, Copy)]
pub struct ErrorRequest<'a> {
    /// Id of the test definition.
    pub test: &'a str,
    /// What is measured; none: the score of the test.
    pub quantity: Option<&'a str>,
    /// The person.
    pub person: &'a Person,
    /// How trained the person is, if known.
    pub level: Option<Level>,
    /// An error set by hand.
    pub by_hand: Option<Size>,
    /// Own test-retest pairs.
    pub own: Option<&'a OwnPairs>,
    /// Whether rows from memory may be used.
    pub from_memory: bool,
}

/// Where a chosen error comes from.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "from", rename_all = "snake_case")]
pub enum ErrorOrigin {
    /// Set by hand.
    ByHand,
    /// The squad's own pairs.
    OwnPairs {
        /// Number of pairs.
        pairs: usize,
    },
    /// A study.
    Study {
        /// Id of the study.
        id: String,
        /// Points of the match, of 10.
        points: f64,
    },
    /// The default of the test.
    Default,
}

/// A chosen typical error.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ErrorChoice {
    /// The error: percent means a coefficient of variation.
    pub size: Size,
    /// Degrees of freedom; none: taken as known.
    pub df: Option<f64>,
    /// Where it comes from.
    pub origin: ErrorOrigin,
    /// How it was seen; none for own or set values.
    pub confidence: Option<Confidence>,
    /// Citation, empty for own or set values.
    pub source: String,
    /// Which one and why, in words.
    pub basis: String,
}

/// An error, or that there is none.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "answer", rename_all = "snake_case")]
pub enum ErrorAnswer {
    /// This one.
    Chosen(ErrorChoice),
    /// None fits.
    NoAdequateError {
        /// What was looked for and what to do, in words.
        words: String,
    },
}

/// Returns the typical error for a request.
///
/// # Errors
///
/// An age that is not a number, a value set by hand that is not above 0, or own pairs that give
/// no error.
pub fn choose_error(
    catalogue: &Catalogue,
    request: &ErrorRequest<'_>,
) -> Result<ErrorAnswer, InterpretError> {
    if let Some(found) = request.person.age_years.filter(|age| !age.is_finite()) {
        let allowed = "a number of years, or not given";
        return Err(InterpretError::Value {
            what: "age",
            found,
            allowed,
        });
    }
    let scale = catalogue.scale(request.test);
    if let Some(size) = request.by_hand {
        return by_hand(size, scale).map(ErrorAnswer::Chosen);
    }
    let mut few = String::new();
    if let Some(own) = request.own {
        if own.first.len() >= MIN_OWN_PAIRS {
            return own_pairs(own, scale).map(ErrorAnswer::Chosen);
        }
        few = format!(
            "; own test-retest data have {} pairs, they count from {MIN_OWN_PAIRS} on",
            own.first.len()
        );
    }
    let quantity = request
        .quantity
        .or_else(|| scale.map(|s| s.unit.quantity()))
        .unwrap_or("");
    let chosen = closest_study(catalogue, request, quantity, scale)
        .or_else(|| default_error(catalogue, request, quantity));
    Ok(match chosen {
        Some(mut choice) => {
            choice.basis.push_str(&few);
            ErrorAnswer::Chosen(choice)
        }
        None => ErrorAnswer::NoAdequateError {
            words: format!(
                "no adequate error estimate: no study or default fits {} for {}{few}; set one \
                 or collect {MIN_OWN_PAIRS} test-retest pairs",
                request.test,
                described(request)
            ),
        },
    })
}

fn by_hand(size: Size, scale: Option<&TestScale>) -> Result<ErrorChoice, InterpretError> {
    let (Size::InUnit(value) | Size::Percent(value)) = size;
    if !value.is_finite() || value <= 0.0 {
        let allowed = "a number above 0";
        return Err(InterpretError::Value {
            what: "typical error",
            found: value,
            allowed,
        });
    }
    let unit = scale.map_or("", |s| s.unit.as_str());
    Ok(ErrorChoice {
        size,
        df: None,
        origin: ErrorOrigin::ByHand,
        confidence: None,
        source: String::new(),
        basis: format!("typical error {} set by hand", words::size(size, unit)),
    })
}

fn own_pairs(own: &OwnPairs, scale: Option<&TestScale>) -> Result<ErrorChoice, InterpretError> {
    let in_percent = scale.is_none_or(|s| s.scale == Scale::Log);
    let (size, df) = if in_percent {
        let found = log_error(&own.first, &own.second)?;
        (Size::Percent(found.cv_percent()), found.error.df)
    } else {
        let found = typical_error(&own.first, &own.second)?;
        (Size::InUnit(found.value), found.df)
    };
    let unit = scale.map_or("", |s| s.unit.as_str());
    Ok(ErrorChoice {
        size,
        df: Some(df),
        origin: ErrorOrigin::OwnPairs {
            pairs: own.first.len(),
        },
        confidence: None,
        source: String::new(),
        basis: format!(
            "typical error {} from {} own test-retest pairs",
            words::size(size, unit),
            own.first.len()
        ),
    })
}

fn closest_study(
    catalogue: &Catalogue,
    request: &ErrorRequest<'_>,
    quantity: &str,
    scale: Option<&TestScale>,
) -> Option<ErrorChoice> {
    let in_unit_wanted = scale.is_some_and(|s| s.scale == Scale::Raw);
    let mut best: Option<(f64, &str, &ReliabilityRow)> = None;
    for study in &catalogue.studies {
        for row in &study.rows {
            let usable = match row.use_as {
                ErrorUse::CvPercent => true,
                ErrorUse::Error => {
                    scale.is_some_and(|s| s.unit.as_str() == row.unit) || in_quantity(request)
                }
                _ => false,
            };
            let fits = usable
                && row.quantity == quantity
                && row.tests.iter().any(|test| test == request.test)
                && (request.from_memory || row.confidence != Confidence::FromMemory);
            let points = score(row, request.person, request.level, in_unit_wanted);
            if let (true, Some(points)) = (fits, points)
                && best.is_none_or(|(most, _, other)| {
                    points > most || (points == most && larger(row, other))
                })
            {
                best = Some((points, &study.provenance.id, row));
            }
        }
    }
    let (points, id, row) = best?;
    let (low, high) = row.range?;
    let size = match row.use_as {
        ErrorUse::Error => Size::InUnit(high),
        _ => Size::Percent(high),
    };
    let range = if low == high {
        String::new()
    } else {
        format!(
            " (upper end of the reported {} to {}, so that noise is not understated)",
            words::number(low, 2),
            words::number(high, 2)
        )
    };
    let level = row.level.map_or("level not stated", Level::words);
    Some(ErrorChoice {
        size,
        df: None,
        origin: ErrorOrigin::Study {
            id: id.to_owned(),
            points,
        },
        confidence: Some(row.confidence),
        source: row.source.clone(),
        basis: format!(
            "typical error {}{range} from the closest study: {}, {}, {}, {}, n {}; match {} of 10 \
             for {}; {} ({})",
            words::size(size, &row.unit),
            row.population,
            row.sex.words(),
            words::ages(row.age_min, row.age_max),
            level,
            row.n.map_or("not stated".to_owned(), |n| n.to_string()),
            words::number(points, 1),
            described(request),
            row.source,
            row.confidence
        ),
    })
}

/// Between equally close rows the larger error counts, so that noise is not understated.
fn larger(row: &ReliabilityRow, other: &ReliabilityRow) -> bool {
    row.use_as == other.use_as && row.range.map(|r| r.1) > other.range.map(|r| r.1)
}

/// Whether the caller named a quantity other than the score.
fn in_quantity(request: &ErrorRequest<'_>) -> bool {
    request.quantity.is_some()
}

fn default_error(
    catalogue: &Catalogue,
    request: &ErrorRequest<'_>,
    quantity: &str,
) -> Option<ErrorChoice> {
    let age = request.person.age_years;
    let fits = |row: &&DefaultError| {
        row.test == request.test
            && row.quantity == quantity
            && age.is_none_or(|age| {
                row.age_min.is_none_or(|min| age >= min) && row.age_max.is_none_or(|max| age < max)
            })
    };
    let row = catalogue.defaults.iter().find(fits)?;
    let middle = f64::midpoint(row.low, row.high);
    let size = if row.unit == "%" {
        Size::Percent(middle)
    } else {
        Size::InUnit(middle)
    };
    let why = match (request.person.sex, age) {
        (Some(_), Some(_)) => "no study fits",
        _ => "the person is not described (sex and age are needed to choose a study)",
    };
    let spread = if row.low == row.high {
        String::new()
    } else {
        format!(
            ", middle of {} to {}",
            words::number(row.low, 2),
            words::number(row.high, 2)
        )
    };
    Some(ErrorChoice {
        size,
        df: None,
        origin: ErrorOrigin::Default,
        confidence: Some(row.confidence),
        source: row.source.clone(),
        basis: format!(
            "default typical error {}{spread} for {} ({}), because {why}; {} ({})",
            words::size(size, &row.unit),
            row.label,
            request.test,
            row.source,
            row.confidence
        ),
    })
}

fn described(request: &ErrorRequest<'_>) -> String {
    let sex = match request.person.sex {
        Some(crate::Sex::Male) => "a male",
        Some(crate::Sex::Female) => "a female",
        None => "a person of sex not stated",
    };
    let age = request
        .person
        .age_years
        .map_or("age not stated".to_owned(), |age| {
            format!("{} y", words::number(age, 1))
        });
    let level = request.level.map_or("level not stated", Level::words);
    format!("{sex}, {age}, {level}")
}

/// Returns whether more is better for a test; true when the test has no scale.
pub fn higher_is_better(scale: Option<&TestScale>) -> bool {
    scale.is_none_or(|s| s.better == Better::Higher)
}

//! What the fit expects for new rows: for this very level, for a typical one, and for a new reading.
//! A level that was not fitted counts as typical, which is said row by row.

use plimsoll_measure::mixed::Level;
use plimsoll_measure::{Interval, MeasureError, dist};

use super::answer::{MixedAnswer, contrast};
use super::coding::needs;
use super::error::MixedError;
use super::rows::{Dropped, read};
use super::share::variance_at;
use super::table::MixedTable;

/// Most rows to predict for; each has an interval of its own.
const MOST: usize = 1000;

/// What is expected in one row, on the scale of the outcome itself.
#[derive(Debug, Clone)]
pub struct PredictedRow {
    /// The row a spreadsheet shows.
    pub row: u32,
    /// Levels of the row, a group each.
    pub levels: Vec<String>,
    /// Expected for these very levels; on logs the middle value.
    pub expected: f64,
    /// Expected for typical levels.
    pub typical: f64,
    /// Interval of `typical`, or why there is none.
    pub interval: Result<Interval, MeasureError>,
    /// Where one reading of levels that were never seen would lie; none when errors are known by row.
    pub new_reading: Option<Interval>,
    /// Groups whose level here was not fitted.
    pub unknown: Vec<String>,
}

/// What is expected in new rows.
#[derive(Debug, Clone)]
pub struct Predictions {
    /// The rows.
    pub rows: Vec<PredictedRow>,
    /// Rows that lack a value and were left out.
    pub dropped: Vec<Dropped>,
}

/// Predicts for the rows of another table with the same columns; its outcome is not read.
///
/// # Errors
///
/// [`MixedError`] when a column is missing or holds something else.
pub fn predictions(answer: &MixedAnswer, table: &MixedTable) -> Result<Predictions, MixedError> {
    let (coding, fit) = (&answer.coding, &answer.fit);
    let (mut terms, mut factors) = (Vec::new(), std::collections::BTreeSet::new());
    for term in &coding.terms {
        terms.push(term.iter().map(|f| f.column().to_owned()).collect());
        factors.extend(
            term.iter()
                .filter(|f| f.is_category())
                .map(|f| f.column().to_owned()),
        );
    }
    let asks: Vec<_> = coding.groups.iter().map(|g| g.ask.clone()).collect();
    let rows = read(table, &needs(&terms, &factors, &asks))?;
    if rows.rows.is_empty() || rows.rows.len() > MOST {
        return Err(MixedError::model(
            format!("`{}`", table.name),
            format!("{} rows with all values", rows.rows.len()),
            format!("1 to {MOST} rows to predict for"),
            "fill the columns of the model in, or split the file",
        ));
    }
    let design = coding.design(&table.name, &rows)?;
    let expected = fit.predict(&design, Level::Groups)?.values;
    let (log, level) = (answer.ask.log, answer.ask.level);
    let own = |value: f64| if log { value.exp() } else { value };
    let both = |i: Interval| Interval {
        lower: own(i.lower),
        upper: own(i.upper),
        level: i.level,
    };
    let z = dist::two_sided(level, None)?;
    let labels: Vec<Vec<String>> = coding.groups.iter().map(|g| g.labels_in(&rows)).collect();
    let out = expected.iter().enumerate().map(|(at, &value)| {
        let multiples: Vec<f64> = design.fixed.iter().map(|c| c.values[at]).collect();
        let typical = contrast(fit, "row", &multiples, level);
        let scatter: f64 = fit
            .terms
            .iter()
            .zip(&design.random)
            .map(|(estimate, term)| variance_at(estimate, term, at))
            .sum();
        let half = |sigma: f64| z * (scatter + sigma * sigma + typical.se * typical.se).sqrt();
        let mut unknown = Vec::new();
        for (group, term) in coding.groups.iter().zip(&design.random) {
            if term.groups[at] >= group.levels() {
                unknown.push(group.ask.name());
            }
        }
        PredictedRow {
            row: rows.rows[at],
            levels: labels.iter().map(|l| l[at].clone()).collect(),
            expected: own(value),
            typical: own(typical.estimate),
            new_reading: fit.sigma.map(half).map(|half| {
                both(Interval {
                    lower: typical.estimate - half,
                    upper: typical.estimate + half,
                    level,
                })
            }),
            interval: typical.interval.map(both),
            unknown,
        }
    });
    Ok(Predictions {
        rows: out.collect(),
        dropped: rows.dropped.clone(),
    })
}

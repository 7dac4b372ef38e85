//! Refuses data from which a mixed model cannot be estimated.
//! Words only: nothing is repaired or left out.

use super::{Column, Data, RandomTerm, Weights};
use crate::MeasureError;

/// A fault in the model handed in.
pub(super) fn fault(
    place: impl Into<String>,
    found: impl Into<String>,
    allowed: impl Into<String>,
    next: impl Into<String>,
) -> MeasureError {
    MeasureError::ModelInput {
        place: place.into(),
        found: found.into(),
        allowed: allowed.into(),
        next: next.into(),
    }
}

fn length(place: &str, found: usize, rows: usize) -> Result<(), MeasureError> {
    if found == rows {
        return Ok(());
    }
    Err(fault(
        place,
        format!("{found} values"),
        format!("{rows}, as many as the response has"),
        "give one value for each row",
    ))
}

pub(super) fn column(place: &str, column: &Column, rows: usize) -> Result<(), MeasureError> {
    let place = format!("{place} `{}`", column.name);
    length(&place, column.values.len(), rows)?;
    numbers(&place, &column.values, |_| true, "finite numbers")
}

fn numbers(
    place: &str,
    values: &[f64],
    holds: impl Fn(f64) -> bool,
    allowed: &str,
) -> Result<(), MeasureError> {
    match values.iter().position(|&v| !v.is_finite() || !holds(v)) {
        None => Ok(()),
        Some(row) => Err(fault(
            format!("{place}, row {}", row + 1),
            values[row].to_string(),
            allowed,
            "correct the value or leave the row out",
        )),
    }
}

/// Checks lengths and values of everything handed in.
pub(super) fn data(data: &Data) -> Result<(), MeasureError> {
    let (rows, fixed) = (data.response.len(), data.design.fixed.len());
    if data.design.random.is_empty() {
        return Err(fault(
            "random terms",
            "none",
            "one or more",
            "use ordinary regression when nothing is grouped",
        ));
    }
    if rows <= fixed + 1 {
        return Err(MeasureError::TooFew {
            what: "rows of a mixed model with these fixed columns",
            found: rows,
            needed: fixed + 2,
        });
    }
    numbers("response", &data.response, |_| true, "finite numbers")?;
    for item in &data.design.fixed {
        column("fixed column", item, rows)?;
    }
    let known = weights(&data.weights, rows)?;
    for item in &data.design.random {
        term(item, rows, known)?;
    }
    Ok(())
}

fn weights(weights: &Weights, rows: usize) -> Result<bool, MeasureError> {
    let (values, place, known) = match weights {
        Weights::Equal => return Ok(false),
        Weights::Prior(values) => (values, "prior weights", false),
        Weights::KnownVariance(values) => (values, "known error variances", true),
    };
    length(place, values.len(), rows)?;
    numbers(
        place,
        values,
        |v| v > 0.0 && (1.0 / v).is_finite(),
        "numbers above 0",
    )?;
    Ok(known)
}

fn term(term: &RandomTerm, rows: usize, known: bool) -> Result<(), MeasureError> {
    let place = format!("random term `{}`", term.name);
    length(&place, term.groups.len(), rows)?;
    if term.columns.is_empty() {
        return Err(fault(
            place,
            "no columns",
            "one or more",
            "give it an intercept column",
        ));
    }
    for item in &term.columns {
        let place = format!("{place}, column");
        column(&place, item, rows)?;
        if item.values.iter().all(|&v| v == 0.0) {
            return Err(fault(
                format!("{place} `{}`", item.name),
                "only zeros",
                "some other value",
                "leave the column out",
            ));
        }
    }
    let mut levels = term.groups.clone();
    levels.sort_unstable();
    levels.dedup();
    level_count(&place, levels.len(), term.columns.len(), rows, known)
}

fn level_count(
    place: &str,
    levels: usize,
    columns: usize,
    rows: usize,
    known: bool,
) -> Result<(), MeasureError> {
    if levels < 2 {
        return Err(fault(
            place,
            "one level",
            "two or more; five or more give a usable SD",
            "take the term out of the model or add groups",
        ));
    }
    let effects = levels * columns;
    if !known && effects >= rows {
        return Err(fault(
            place,
            format!("{effects} random effects ({levels} levels x {columns}) for {rows} rows"),
            format!("fewer effects than rows ({rows})"),
            "take a random column out, add repeats, or give known error variances",
        ));
    }
    Ok(())
}

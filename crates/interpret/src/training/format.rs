//! Which interval format is meant, and how hard it is run.
//! Must not invent a percentage: it comes from the table or from the user.

use serde::Serialize;

use super::{Intensity, TrainingRefusal};
use crate::data::{BasisKind, IntervalFormat};
use crate::{Catalogue, InterpretError};

/// Seconds of work and rest.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Periods {
    /// Work, s.
    pub work_s: f64,
    /// Rest, s.
    pub rest_s: f64,
}

/// A format as asked for.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Format {
    /// As written.
    pub written: String,
    /// Work and rest.
    pub periods: Periods,
    /// The row of the table it belongs to, if any.
    pub row: Option<IntervalFormat>,
}

/// Returns the format for `15:15`, `180:90` or a name of the table such as `long`.
///
/// # Errors
///
/// [`TrainingRefusal::UnknownFormat`] for a name that is not there, [`TrainingRefusal::Value`] for
/// times outside 1 to 3600 s of work and 0 to 3600 s of rest.
pub fn format_of(facts: &Catalogue, written: &str) -> Result<Format, TrainingRefusal> {
    let written = written.trim();
    if let Some((work, rest)) = times(written) {
        let work_s = second("work (s)", work, 1.0)?;
        let rest_s = second("rest (s)", rest, 0.0)?;
        let holds = |row: &&IntervalFormat| {
            (row.work_s.0..=row.work_s.1).contains(&work_s)
                && (row.rest_s.0..=row.rest_s.1).contains(&rest_s)
                && (row.mas_percent.is_some() || row.final_percent.is_some())
        };
        let named = facts.interval(written).filter(holds);
        let row = named.or_else(|| facts.intervals.iter().rev().find(holds));
        return Ok(Format {
            written: written.to_owned(),
            periods: Periods { work_s, rest_s },
            row: row.cloned(),
        });
    }
    let row = facts
        .interval(written)
        .ok_or_else(|| TrainingRefusal::UnknownFormat {
            found: written.chars().take(40).collect(),
            known: known(facts),
        })?;
    Ok(Format {
        written: written.to_owned(),
        periods: Periods {
            work_s: f64::midpoint(row.work_s.0, row.work_s.1),
            rest_s: f64::midpoint(row.rest_s.0, row.rest_s.1),
        },
        row: Some(row.clone()),
    })
}

/// Returns the range of percentages that the table has for a kind of speed.
pub fn range_of(format: &Format, kind: BasisKind) -> Option<(f64, f64)> {
    let row = format.row.as_ref()?;
    match kind {
        BasisKind::Final => row.final_percent,
        BasisKind::Mas => row.mas_percent,
        BasisKind::Shuttle => Some((100.0, 100.0)),
        BasisKind::Rests => None,
    }
}

/// Returns how hard: what the user says, else the middle of the table's range.
///
/// # Errors
///
/// [`TrainingRefusal`] when neither says it.
pub fn intensity_of(
    format: &Format,
    kind: BasisKind,
    by_hand: Option<Intensity>,
) -> Result<Intensity, TrainingRefusal> {
    if let Some(by_hand) = by_hand {
        return Ok(by_hand);
    }
    if let Some((low, high)) = range_of(format, kind) {
        return Ok(Intensity::Percent(f64::midpoint(low, high)));
    }
    let format_name = format.written.clone();
    let maximal = |row: &IntervalFormat| row.mas_percent.is_none() && row.final_percent.is_none();
    if format.row.as_ref().is_some_and(maximal) {
        return Err(TrainingRefusal::Maximal {
            format: format_name,
        });
    }
    Err(TrainingRefusal::NoIntensity {
        format: format_name,
    })
}

fn times(written: &str) -> Option<(f64, f64)> {
    let (work, rest) = written.split_once(':')?;
    Some((work.trim().parse().ok()?, rest.trim().parse().ok()?))
}

fn second(what: &'static str, found: f64, least: f64) -> Result<f64, TrainingRefusal> {
    if found.is_finite() && (least..=3600.0).contains(&found) {
        return Ok(found);
    }
    Err(TrainingRefusal::Value(InterpretError::Value {
        what,
        found,
        allowed: "1 to 3600 s of work and 0 to 3600 s of rest",
    }))
}

fn known(facts: &Catalogue) -> String {
    let mut names: Vec<&str> = Vec::new();
    for row in &facts.intervals {
        if !names.contains(&row.format.as_str()) {
            names.push(&row.format);
        }
    }
    names.join(", ")
}

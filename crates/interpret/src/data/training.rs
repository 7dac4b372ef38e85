//! Interval formats and what each test's final speed stands for, as tables.
//! Must not hold a percentage of its own: they are in references/training.

use serde::Serialize;

use super::table::{Row, Table};
use crate::{Confidence, InterpretError};

const INTERVALS: [&str; 13] = [
    "format",
    "title",
    "work_low_s",
    "work_high_s",
    "rest_low_s",
    "rest_high_s",
    "mas_low",
    "mas_high",
    "final_low",
    "final_high",
    "volume",
    "source",
    "confidence",
];
const BASES: [&str; 5] = ["test", "basis", "lane_m", "note", "confidence"];

/// One interval format.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct IntervalFormat {
    /// Its name, such as `15:15` or `long`.
    pub format: String,
    /// What it is, in a few words.
    pub title: String,
    /// Shortest and longest run, s.
    pub work_s: (f64, f64),
    /// Shortest and longest rest, s.
    pub rest_s: (f64, f64),
    /// Percent of maximal aerobic speed; none for maximal runs or when not known.
    pub mas_percent: Option<(f64, f64)>,
    /// Percent of the final speed of a 30 s / 15 s test; none as above.
    pub final_percent: Option<(f64, f64)>,
    /// Sets and repetitions, in words.
    pub volume: String,
    /// Citation.
    pub source: String,
    /// How it was seen.
    pub confidence: Confidence,
}

/// What the final speed of a test stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum BasisKind {
    /// Final speed of a 30 s / 15 s shuttle test, turns of its own lane included.
    Final,
    /// Maximal aerobic speed in a straight line.
    Mas,
    /// Speed of continuous shuttles over its own lane.
    Shuttle,
    /// A speed reached after rests.
    Rests,
}

/// The basis of a test.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TrainingBasis {
    /// Id of the test definition.
    pub test: String,
    /// What its final speed stands for.
    pub kind: BasisKind,
    /// Length of the test's own lane, m; none for straight running.
    pub lane_m: Option<f64>,
    /// What the speed is, in words.
    pub note: String,
    /// How it was seen.
    pub confidence: Confidence,
}

/// Reads the table of interval formats.
pub(crate) fn intervals(file: &str, text: &str) -> Result<Vec<IntervalFormat>, InterpretError> {
    let table = Table::parse(file, text, &INTERVALS, &[])?;
    table
        .rows()
        .map(|row| {
            let work_s = span(&row, "work_low_s", "work_high_s", 1.0)?;
            let rest_s = span(&row, "rest_low_s", "rest_high_s", 0.0)?;
            Ok(IntervalFormat {
                format: row.needed("format")?,
                title: row.needed("title")?,
                work_s,
                rest_s,
                mas_percent: percent(&row, "mas_low", "mas_high")?,
                final_percent: percent(&row, "final_low", "final_high")?,
                volume: row.needed("volume")?,
                source: row.needed("source")?,
                confidence: row.confidence()?,
            })
        })
        .collect()
}

fn span(row: &Row<'_>, low: &str, high: &str, least: f64) -> Result<(f64, f64), InterpretError> {
    let (a, b) = (row.needed_number(low)?, row.needed_number(high)?);
    if a < least || a > b || b > 3600.0 {
        return Err(row.fault(low, "seconds up to 3600, the lower not above the higher"));
    }
    Ok((a, b))
}

fn percent(row: &Row<'_>, low: &str, high: &str) -> Result<Option<(f64, f64)>, InterpretError> {
    match (row.positive(low)?, row.positive(high)?) {
        (None, None) => Ok(None),
        (Some(a), Some(b)) if a <= b && b <= 200.0 => Ok(Some((a, b))),
        _ => Err(row.fault(
            low,
            "two percentages up to 200 that rise, or two empty cells",
        )),
    }
}

/// Reads the table of bases.
pub(crate) fn bases(file: &str, text: &str) -> Result<Vec<TrainingBasis>, InterpretError> {
    let table = Table::parse(file, text, &BASES, &[])?;
    table
        .rows()
        .map(|row| {
            let kind = match row.text("basis") {
                "final" => BasisKind::Final,
                "mas" => BasisKind::Mas,
                "shuttle" => BasisKind::Shuttle,
                "rests" => BasisKind::Rests,
                _ => return Err(row.fault("basis", "final, mas, shuttle or rests")),
            };
            let lane_m = row.positive("lane_m")?;
            if lane_m.is_none() && matches!(kind, BasisKind::Final | BasisKind::Shuttle) {
                return Err(row.fault("lane_m", "the length of the test's own lane, m"));
            }
            Ok(TrainingBasis {
                test: row.needed("test")?,
                kind,
                lane_m,
                note: row.needed("note")?,
                confidence: row.confidence()?,
            })
        })
        .collect()
}

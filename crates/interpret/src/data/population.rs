//! Reference populations: means, centiles, L M S rows, ranges and cut-points.
//! Never puts a category word on a row; SD is worked out from SEM where only that is printed.
//! Sources: `references/populations`.

use plimsoll_measure::norms;
use serde::Serialize;

use super::header::Provenance;
use super::table::{Row, Table};
use crate::{Confidence, InterpretError, SexGroup};

const NEEDED: [&str; 8] = [
    "test",
    "metric",
    "unit",
    "sex",
    "age_min",
    "age_max",
    "kind",
    "confidence",
];
const OPTIONAL: [&str; 17] = [
    "sport",
    "standard",
    "age",
    "age_basis",
    "n",
    "centile",
    "mean",
    "sd",
    "sem",
    "value",
    "low",
    "high",
    "l",
    "m",
    "s",
    "note",
    "source",
];
/// A printed SD is rounded; it must agree with SEM x root n within one unit or 1 %.
const SD_SLACK: f64 = 0.01;

/// An age band: from `min` to under `max`, years.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AgeBand {
    /// Lowest age; none: no lower end stated.
    pub min: Option<f64>,
    /// First age above the band; none: no upper end stated.
    pub max: Option<f64>,
    /// The age as the source prints it.
    pub printed: String,
    /// How the band was read from what is printed.
    pub basis: String,
}

impl AgeBand {
    /// Returns whether an age lies in the band.
    pub fn holds(&self, age: f64) -> bool {
        self.min.is_none_or(|min| age >= min) && self.max.is_none_or(|max| age < max)
    }

    /// Returns whether any end is stated.
    pub fn is_stated(&self) -> bool {
        self.min.is_some() || self.max.is_some()
    }
}

/// What a row says about its group.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Statistic {
    /// A mean, with SD where known.
    Mean {
        /// The mean.
        mean: f64,
        /// Standard deviation between people.
        sd: Option<f64>,
        /// Standard error of the mean, where printed.
        sem: Option<f64>,
        /// Whether the SD is SEM x root n.
        sd_from_sem: bool,
    },
    /// One centile of a table.
    Centile {
        /// Which centile, between 0 and 100.
        centile: f64,
        /// Its value.
        value: f64,
    },
    /// L, M and S at the age `age_min`.
    Lms {
        /// Skewness.
        l: f64,
        /// Median.
        m: f64,
        /// Coefficient of variation, a fraction.
        s: f64,
    },
    /// A coarse range.
    Range {
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
    },
    /// A cut-point against an outside criterion; not a centile.
    CutPoint {
        /// The value.
        value: f64,
    },
    /// A remark with or without a number; never a standing.
    Note {
        /// The number, if any.
        value: Option<f64>,
    },
}

/// One row of a reference population.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReferenceRow {
    /// Id of the test definition.
    pub test: String,
    /// What is measured, such as `distance_m`.
    pub metric: String,
    /// Unit of the values.
    pub unit: String,
    /// Sport, empty when none.
    pub sport: String,
    /// Playing standard as the source says it.
    pub standard: String,
    /// Whom it holds.
    pub sex: SexGroup,
    /// Ages it holds.
    pub age: AgeBand,
    /// Number of people, if known.
    pub n: Option<u32>,
    /// What the row says.
    pub statistic: Statistic,
    /// A remark, empty when none.
    pub note: String,
    /// Where in the source, as printed in the data.
    pub source: String,
    /// How it was seen.
    pub confidence: Confidence,
}

/// A reference population: one source, one file.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Population {
    /// Where it comes from.
    pub provenance: Provenance,
    /// Its rows.
    pub rows: Vec<ReferenceRow>,
}

/// Reads the table of a population.
pub(crate) fn rows(file: &str, text: &str) -> Result<Vec<ReferenceRow>, InterpretError> {
    Table::parse(file, text, &NEEDED, &OPTIONAL)?
        .rows()
        .map(|row| read(&row))
        .collect()
}

fn read(row: &Row<'_>) -> Result<ReferenceRow, InterpretError> {
    let (min, max) = row.ages()?;
    let n = row.count("n")?;
    Ok(ReferenceRow {
        test: row.needed("test")?,
        metric: row.needed("metric")?,
        unit: row.needed("unit")?,
        sport: row.text("sport").to_owned(),
        standard: row.text("standard").to_owned(),
        sex: row.sex()?,
        age: AgeBand {
            min,
            max,
            printed: row.text("age").to_owned(),
            basis: row.text("age_basis").to_owned(),
        },
        n,
        statistic: statistic(row, n)?,
        note: row.text("note").to_owned(),
        source: row.text("source").to_owned(),
        confidence: row.confidence()?,
    })
}

fn statistic(row: &Row<'_>, n: Option<u32>) -> Result<Statistic, InterpretError> {
    match row.text("kind") {
        "mean" => mean(row, n),
        "centile" => {
            let centile = row.needed_number("centile")?;
            if centile <= 0.0 || centile >= 100.0 {
                return Err(row.fault("centile", "a number between 0 and 100"));
            }
            Ok(Statistic::Centile {
                centile,
                value: row.needed_number("value")?,
            })
        }
        "lms" => {
            row.needed_number("age_min")?;
            let (m, s) = (row.needed_number("m")?, row.needed_number("s")?);
            if m <= 0.0 {
                return Err(row.fault("m", "a number above 0"));
            }
            if s <= 0.0 {
                return Err(row.fault("s", "a number above 0"));
            }
            Ok(Statistic::Lms {
                l: row.needed_number("l")?,
                m,
                s,
            })
        }
        "range" => {
            let (low, high) = (row.needed_number("low")?, row.needed_number("high")?);
            if low > high {
                return Err(row.fault("high", "a number not below `low`"));
            }
            Ok(Statistic::Range { low, high })
        }
        "cut_point" => Ok(Statistic::CutPoint {
            value: row.needed_number("value")?,
        }),
        "note" => Ok(Statistic::Note {
            value: row.number("value")?,
        }),
        _ => Err(row.fault("kind", "mean, centile, lms, range, cut_point or note")),
    }
}

fn mean(row: &Row<'_>, n: Option<u32>) -> Result<Statistic, InterpretError> {
    let mean = row.needed_number("mean")?;
    let (printed, sem) = (row.positive("sd")?, row.positive("sem")?);
    let (Some(error), Some(n)) = (sem, n) else {
        return Ok(Statistic::Mean {
            mean,
            sd: printed,
            sem,
            sd_from_sem: false,
        });
    };
    let worked_out = norms::sd_from_sem(error, n)?;
    if let Some(sd) = printed
        && (sd - worked_out).abs() > (SD_SLACK * worked_out).max(1.0)
    {
        return Err(row.fault("sd", &format!("SEM x root n = {worked_out:.1}, or nothing")));
    }
    Ok(Statistic::Mean {
        mean,
        sd: Some(worked_out),
        sem,
        sd_from_sem: true,
    })
}

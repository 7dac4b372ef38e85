//! Reliability studies, default errors, and the scale each test is judged on.
//! Rows without a number that can be used as an error are kept for reading.
//! Sources: `references/reliability`.

use serde::Serialize;

use super::header::Provenance;
use super::table::{Row, Table};
use crate::{Confidence, InterpretError, Level, SexGroup, Unit};

const STUDY: [&str; 16] = [
    "test",
    "quantity",
    "population",
    "sex",
    "age_min",
    "age_max",
    "level",
    "n",
    "metric",
    "value",
    "unit",
    "use",
    "low",
    "high",
    "source",
    "confidence",
];
const DEFAULTS: [&str; 12] = [
    "test",
    "quantity",
    "label",
    "age_min",
    "age_max",
    "scale",
    "low",
    "high",
    "unit",
    "reported",
    "source",
    "confidence",
];
const SCALES: [&str; 9] = [
    "test",
    "unit",
    "scale",
    "better",
    "step",
    "worthwhile_sd",
    "worthwhile_percent",
    "basis",
    "confidence",
];

/// What a reliability row can be used for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ErrorUse {
    /// A typical error as a coefficient of variation, percent.
    CvPercent,
    /// A typical error in the unit of the row.
    Error,
    /// An intraclass correlation.
    Icc,
    /// A learning effect.
    Learning,
    /// A smallest worthwhile change.
    Worthwhile,
    /// For reading only.
    Info,
}

/// One row of a reliability study.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReliabilityRow {
    /// Ids of the test definitions it speaks of; empty when there is no definition.
    pub tests: Vec<String>,
    /// What is measured, such as `distance_m`.
    pub quantity: String,
    /// The people, in the words of the data.
    pub population: String,
    /// Whom it holds.
    pub sex: SexGroup,
    /// Lowest age, years.
    pub age_min: Option<f64>,
    /// First age above, years.
    pub age_max: Option<f64>,
    /// How trained they are, if known.
    pub level: Option<Level>,
    /// Number of people, if known.
    pub n: Option<u32>,
    /// The statistic as printed.
    pub metric: String,
    /// The value as printed.
    pub value: String,
    /// The unit as printed.
    pub unit: String,
    /// What it can be used for.
    pub use_as: ErrorUse,
    /// Lower and upper end of the value as numbers; the same for a single value.
    pub range: Option<(f64, f64)>,
    /// Where it was found.
    pub source: String,
    /// How it was seen.
    pub confidence: Confidence,
}

/// A reliability study: one source, one file.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReliabilityStudy {
    /// Where it comes from.
    pub provenance: Provenance,
    /// Its rows.
    pub rows: Vec<ReliabilityRow>,
}

/// The scale on which an error is constant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Scale {
    /// In percent of the value.
    Log,
    /// In the unit of the value.
    Raw,
}

/// Which way is better.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Better {
    /// More is better.
    Higher,
    /// Less is better, as with a time.
    Lower,
}

/// A default typical error of a test.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DefaultError {
    /// Id of the test definition.
    pub test: String,
    /// What is measured.
    pub quantity: String,
    /// For whom.
    pub label: String,
    /// Lowest age, years.
    pub age_min: Option<f64>,
    /// First age above, years.
    pub age_max: Option<f64>,
    /// Percent or unit.
    pub scale: Scale,
    /// Lower end of the default.
    pub low: f64,
    /// Upper end of the default.
    pub high: f64,
    /// `%` or the unit.
    pub unit: String,
    /// The range the studies report.
    pub reported: String,
    /// Where it comes from.
    pub source: String,
    /// How it was seen.
    pub confidence: Confidence,
}

/// How results of a test are compared.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TestScale {
    /// Id of the test definition.
    pub test: String,
    /// Unit of its score.
    pub unit: Unit,
    /// Scale of its error.
    pub scale: Scale,
    /// Which way is better.
    pub better: Better,
    /// The whole step in which the score moves, if it does.
    pub step: Option<f64>,
    /// A typical SD between people, for the default worthwhile change.
    pub worthwhile_sd: Option<f64>,
    /// A default worthwhile change in percent.
    pub worthwhile_percent: Option<f64>,
    /// Where the default worthwhile change comes from.
    pub basis: String,
    /// How it was seen.
    pub confidence: Confidence,
}

fn one_of<T>(
    row: &Row<'_>,
    column: &str,
    allowed: &str,
    words: &[(&str, T)],
) -> Result<T, InterpretError>
where
    T: Copy,
{
    let found = row.text(column);
    words
        .iter()
        .find(|(word, _)| *word == found)
        .map(|&(_, value)| value)
        .ok_or_else(|| row.fault(column, allowed))
}

const SCALE_WORDS: [(&str, Scale); 2] = [("log", Scale::Log), ("raw", Scale::Raw)];
const USES: [(&str, ErrorUse); 6] = [
    ("cv_percent", ErrorUse::CvPercent),
    ("error", ErrorUse::Error),
    ("icc", ErrorUse::Icc),
    ("learning", ErrorUse::Learning),
    ("worthwhile", ErrorUse::Worthwhile),
    ("info", ErrorUse::Info),
];

/// Reads the table of a reliability study.
pub(crate) fn study(file: &str, text: &str) -> Result<Vec<ReliabilityRow>, InterpretError> {
    Table::parse(file, text, &STUDY, &[])?
        .rows()
        .map(|row| study_row(&row))
        .collect()
}

fn study_row(row: &Row<'_>) -> Result<ReliabilityRow, InterpretError> {
    let (age_min, age_max) = row.ages()?;
    let use_as = one_of(
        row,
        "use",
        "cv_percent, error, icc, learning, worthwhile or info",
        &USES,
    )?;
    let (low, high) = (row.number("low")?, row.number("high")?);
    let usable = matches!(use_as, ErrorUse::CvPercent | ErrorUse::Error);
    let range = match (low, high) {
        (Some(low), Some(high)) if low > high || (usable && low <= 0.0) => {
            return Err(row.fault("low", "a number above 0 and not above `high`"));
        }
        (Some(low), Some(high)) => Some((low, high)),
        (None, None) if !usable => None,
        _ => return Err(row.fault("low", "numbers in both `low` and `high`")),
    };
    let level = match row.text("level") {
        "" => None,
        text => Some(Level::parse(text).ok_or_else(|| {
            row.fault(
                "level",
                "untrained, recreational, trained, elite or nothing",
            )
        })?),
    };
    Ok(ReliabilityRow {
        tests: row
            .text("test")
            .split(';')
            .filter(|t| !t.is_empty())
            .map(str::to_owned)
            .collect(),
        quantity: row.text("quantity").to_owned(),
        population: row.text("population").to_owned(),
        sex: row.sex()?,
        age_min,
        age_max,
        level,
        n: row.count("n")?,
        metric: row.needed("metric")?,
        value: row.needed("value")?,
        unit: row.text("unit").to_owned(),
        use_as,
        range,
        source: row.needed("source")?,
        confidence: row.confidence()?,
    })
}

/// Reads the table of default errors.
pub(crate) fn defaults(file: &str, text: &str) -> Result<Vec<DefaultError>, InterpretError> {
    let table = Table::parse(file, text, &DEFAULTS, &[])?;
    table
        .rows()
        .map(|row| {
            let (age_min, age_max) = row.ages()?;
            let (low, high) = (row.needed_number("low")?, row.needed_number("high")?);
            if low <= 0.0 || low > high {
                return Err(row.fault("low", "a number above 0 and not above `high`"));
            }
            Ok(DefaultError {
                test: row.needed("test")?,
                quantity: row.needed("quantity")?,
                label: row.needed("label")?,
                age_min,
                age_max,
                scale: one_of(&row, "scale", "log or raw", &SCALE_WORDS)?,
                low,
                high,
                unit: row.needed("unit")?,
                reported: row.text("reported").to_owned(),
                source: row.needed("source")?,
                confidence: row.confidence()?,
            })
        })
        .collect()
}

/// Reads the table of scales.
pub(crate) fn scales(file: &str, text: &str) -> Result<Vec<TestScale>, InterpretError> {
    let table = Table::parse(file, text, &SCALES, &[])?;
    table
        .rows()
        .map(|row| {
            let unit = Unit::parse(row.text("unit"))
                .ok_or_else(|| row.fault("unit", "m, km/h, m/s, shuttles, s, bpm or ml/kg/min"))?;
            let better = [("higher", Better::Higher), ("lower", Better::Lower)];
            Ok(TestScale {
                test: row.needed("test")?,
                unit,
                scale: one_of(&row, "scale", "log or raw", &SCALE_WORDS)?,
                better: one_of(&row, "better", "higher or lower", &better)?,
                step: row.positive("step")?,
                worthwhile_sd: row.positive("worthwhile_sd")?,
                worthwhile_percent: row.positive("worthwhile_percent")?,
                basis: row.needed("basis")?,
                confidence: row.confidence()?,
            })
        })
        .collect()
}

//! What conditions do to a result, as studies report it.
//! Evidence for a flag; never used to correct a score.
//! Sources: `references/conditions`.

use serde::Serialize;

use super::table::Table;
use crate::{Confidence, InterpretError};

const COLUMNS: [&str; 11] = [
    "factor",
    "flag",
    "condition",
    "test",
    "population",
    "n",
    "effect",
    "unit",
    "interval",
    "source",
    "confidence",
];

/// One reported effect.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Effect {
    /// The factor, such as "surface".
    pub factor: String,
    /// The flag it is evidence for, such as `surface`.
    pub flag: String,
    /// What was compared.
    pub condition: String,
    /// In which test, in words.
    pub test: String,
    /// In whom.
    pub population: String,
    /// Number of people, if known.
    pub n: Option<u32>,
    /// The effect as printed.
    pub effect: String,
    /// Its unit.
    pub unit: String,
    /// Interval or p value as printed, empty when none.
    pub interval: String,
    /// Where it was found.
    pub source: String,
    /// How it was seen.
    pub confidence: Confidence,
}

/// Reads the table of effects.
pub(crate) fn effects(file: &str, text: &str) -> Result<Vec<Effect>, InterpretError> {
    let table = Table::parse(file, text, &COLUMNS, &[])?;
    table
        .rows()
        .map(|row| {
            Ok(Effect {
                factor: row.needed("factor")?,
                flag: row.needed("flag")?,
                condition: row.text("condition").to_owned(),
                test: row.text("test").to_owned(),
                population: row.text("population").to_owned(),
                n: row.count("n")?,
                effect: row.needed("effect")?,
                unit: row.text("unit").to_owned(),
                interval: row.text("interval").to_owned(),
                source: row.needed("source")?,
                confidence: row.confidence()?,
            })
        })
        .collect()
}

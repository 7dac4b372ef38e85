//! Finds the references that fit, each with grade, reasons and standing.
//! "No adequate reference" says what was looked for and what came nearest.

use std::collections::BTreeMap;

use serde::Serialize;

use super::grade::{MatchGrade, grade};
use super::query::ReferenceQuery;
use super::standing::{ReferenceStanding, stand};
use crate::data::{Population, ReferenceRow, Statistic};
use crate::{Catalogue, Confidence, InterpretError, words};

/// Most near misses that are named.
const MAX_NEAREST: usize = 5;

/// A reference that fits.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReferenceMatch {
    /// Id of the population.
    pub id: String,
    /// What it is.
    pub title: String,
    /// Group within it: sport, standard, sex and age, in words.
    pub group: String,
    /// How well it fits.
    pub grade: MatchGrade,
    /// Why this grade.
    pub reasons: Vec<String>,
    /// Number of people, if known.
    pub n: Option<u32>,
    /// Year of publication, if known.
    pub year: Option<i32>,
    /// Licence or copyright as far as known.
    pub licence: String,
    /// Unit of its values.
    pub unit: String,
    /// Where the value stands.
    pub standing: ReferenceStanding,
    /// Whether the SD is SEM x root n.
    pub sd_from_sem: bool,
    /// Rows of this group that are not shown because they are from memory.
    pub hidden_rows: usize,
    /// Citation.
    pub source: String,
    /// The weakest tag among the rows used.
    pub confidence: Confidence,
    /// Remarks of the population and the rows.
    pub notes: Vec<String>,
}

/// References, or that there is none.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "answer", rename_all = "snake_case")]
pub enum ReferenceAnswer {
    /// Those that fit, best grade first, then the most people.
    Found {
        /// The matches.
        matches: Vec<ReferenceMatch>,
    },
    /// None fits.
    NoAdequateReference {
        /// What was looked for.
        looked_for: String,
        /// Why nothing fits and what to do.
        why: String,
        /// What came nearest.
        nearest: Vec<String>,
    },
}

/// Returns the references that fit a query.
///
/// # Errors
///
/// A value or age that is not a number, or a table whose values do not rise.
pub fn find_references(
    catalogue: &Catalogue,
    query: &ReferenceQuery,
) -> Result<ReferenceAnswer, InterpretError> {
    for (what, found) in [("value", query.value), ("age", query.age_years)] {
        if let Some(found) = found.filter(|found| !found.is_finite()) {
            return Err(InterpretError::Value {
                what,
                found,
                allowed: "a finite number",
            });
        }
    }
    let (Some(sex), Some(age)) = (query.sex, query.age_years) else {
        return Ok(none(
            query,
            "references are split by sex and age: give both",
            nearest(catalogue, query),
        ));
    };
    let mut matches = Vec::new();
    let mut hidden = 0;
    for population in &catalogue.populations {
        let about = |row: &&ReferenceRow| {
            row.test == query.test && row.metric == query.metric && row.sex.holds(sex)
        };
        let mut groups: BTreeMap<String, Vec<&ReferenceRow>> = BTreeMap::new();
        for row in population.rows.iter().filter(about) {
            groups.entry(group_key(row)).or_default().push(row);
        }
        for rows in groups.into_values() {
            let eligible = match rows[0].statistic {
                // Each row of an L M S curve holds one age; the curve holds those between.
                Statistic::Lms { .. } => true,
                _ => rows[0].age.is_stated() && rows[0].age.holds(age),
            };
            if !eligible {
                continue;
            }
            let shown: Vec<&ReferenceRow> = rows
                .iter()
                .copied()
                .filter(|row| query.from_memory || row.confidence != Confidence::FromMemory)
                .collect();
            let left_out = rows.len() - shown.len();
            hidden += left_out;
            if let Some(found) = stand(&shown, query.value, age)? {
                matches.push(describe(population, &shown, query, found, left_out));
            }
        }
    }
    if matches.is_empty() {
        let why = if hidden > 0 {
            format!("{hidden} rows that fit are from memory and hidden; ask for them to see them")
        } else {
            "no population of this sex and age is known for it; add one as a file".to_owned()
        };
        return Ok(none(query, &why, nearest(catalogue, query)));
    }
    matches.sort_by(|a, b| (a.grade, b.n, &a.id, &a.group).cmp(&(b.grade, a.n, &b.id, &b.group)));
    Ok(ReferenceAnswer::Found { matches })
}

/// Rows that belong together: one table of centiles, one curve, or one mean.
fn group_key(row: &ReferenceRow) -> String {
    let kind = match row.statistic {
        Statistic::Mean { .. } => "mean",
        Statistic::Centile { .. } => "centile",
        Statistic::Lms { .. } => {
            return format!("lms|{}|{}|{}", row.sport, row.standard, row.sex.words());
        }
        Statistic::Range { .. } => "range",
        Statistic::CutPoint { .. } => "cut",
        Statistic::Note { .. } => "note",
    };
    format!(
        "{kind}|{}|{}|{}|{:?}|{:?}",
        row.sport,
        row.standard,
        row.sex.words(),
        row.age.min,
        row.age.max
    )
}

fn group_words(row: &ReferenceRow) -> String {
    let parts = [row.sport.as_str(), row.standard.as_str(), row.sex.words()];
    let parts: Vec<&str> = parts.into_iter().filter(|part| !part.is_empty()).collect();
    format!(
        "{}, {}",
        parts.join(", "),
        words::ages(row.age.min, row.age.max)
    )
}

fn describe(
    population: &Population,
    rows: &[&ReferenceRow],
    query: &ReferenceQuery,
    standing: ReferenceStanding,
    hidden_rows: usize,
) -> ReferenceMatch {
    let first = rows[0];
    let weakest = rows
        .iter()
        .map(|row| row.confidence)
        .max()
        .unwrap_or(first.confidence);
    let (grade, reasons) = grade(first, query);
    let mut notes: Vec<String> = population.provenance.note.iter().cloned().collect();
    for row in rows.iter().filter(|row| !row.note.is_empty()) {
        if !notes.contains(&row.note) {
            notes.push(row.note.clone());
        }
    }
    ReferenceMatch {
        id: population.provenance.id.clone(),
        title: population.provenance.title.clone(),
        group: group_words(first),
        grade,
        reasons,
        n: first.n,
        year: population.provenance.year,
        licence: population.provenance.licence.clone(),
        unit: first.unit.clone(),
        standing,
        sd_from_sem: matches!(
            first.statistic,
            Statistic::Mean {
                sd_from_sem: true,
                ..
            }
        ),
        hidden_rows,
        source: population.provenance.source.clone(),
        confidence: weakest,
        notes,
    }
}

fn none(query: &ReferenceQuery, why: &str, nearest: Vec<String>) -> ReferenceAnswer {
    ReferenceAnswer::NoAdequateReference {
        looked_for: query.described(),
        why: why.to_owned(),
        nearest,
    }
}

/// Groups of the same test and metric, for whom they are, without their values.
fn nearest(catalogue: &Catalogue, query: &ReferenceQuery) -> Vec<String> {
    let mut found = Vec::new();
    for population in &catalogue.populations {
        for row in &population.rows {
            let same = row.test == query.test
                && row.metric == query.metric
                && !matches!(row.statistic, Statistic::Note { .. })
                && (query.from_memory || row.confidence != Confidence::FromMemory);
            let words = format!("{}: {}", population.provenance.title, group_words(row));
            if same && !found.contains(&words) && found.len() < MAX_NEAREST {
                found.push(words);
            }
        }
    }
    found
}

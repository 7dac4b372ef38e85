//! References that say how a value moves with age: L, M and S, centiles or means at two ages or more.
//! Nothing is extended beyond the ages of a table. Rows of a band stand at the middle of the band.

use std::collections::BTreeMap;

use plimsoll_measure::norms::{AgeCurve, Lms};

use super::grade::{FEW_PEOPLE, MatchGrade, grade};
use super::query::ReferenceQuery;
use crate::data::{Population, ReferenceRow, Statistic};
use crate::{Catalogue, Confidence, InterpretError};

/// Largest distance of a printed centile from L, M and S, z units. Chosen, no source.
const MISFIT: f64 = 0.15;

/// A reference by age.
#[derive(Debug, Clone, PartialEq)]
pub struct AgeReference {
    /// Id of the population.
    pub id: String,
    /// What it is.
    pub title: String,
    /// Group within it, in words.
    pub group: String,
    /// How well it fits.
    pub grade: MatchGrade,
    /// Fewest people behind a row, if known.
    pub n: Option<u32>,
    /// Unit of its values.
    pub unit: String,
    /// How L, M and S were had, in words.
    pub how: String,
    /// Citation.
    pub source: String,
    /// The weakest tag among the rows used.
    pub confidence: Confidence,
    /// L, M and S by age, linear between rows.
    pub curve: AgeCurve,
}

/// What there is by age.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct AgeReferences {
    /// Those that can be used, best grade first, then the most people.
    pub found: Vec<AgeReference>,
    /// References of the test and sex that cannot, each with the reason.
    pub unfit: Vec<String>,
}

/// Returns the references by age of a test, metric and sex; near misses only for the age of the query.
///
/// # Errors
///
/// A table whose values do not rise, or that holds what is not a number.
pub fn references_by_age(
    catalogue: &Catalogue,
    query: &ReferenceQuery,
) -> Result<AgeReferences, InterpretError> {
    let mut out = AgeReferences::default();
    let Some(sex) = query.sex else {
        return Ok(out);
    };
    for population in &catalogue.populations {
        let mut groups: BTreeMap<(u8, String), Vec<&ReferenceRow>> = BTreeMap::new();
        for row in population.rows.iter().filter(|row| {
            row.test == query.test
                && row.metric == query.metric
                && row.sex.holds(sex)
                && (query.from_memory || row.confidence != Confidence::FromMemory)
        }) {
            let kind = match row.statistic {
                Statistic::Lms { .. } => 0,
                Statistic::Centile { .. } => 1,
                Statistic::Mean { .. } => 2,
                Statistic::Range { .. } | Statistic::CutPoint { .. } | Statistic::Note { .. } => {
                    continue;
                }
            };
            groups.entry((kind, words(row))).or_default().push(row);
        }
        for ((kind, group), rows) in groups {
            match curve(kind, &rows)? {
                Ok((curve, how)) => {
                    out.found
                        .push(describe(population, group, &rows, query, curve, how));
                }
                // A reference for other ages is no near miss.
                Err(why)
                    if query
                        .age_years
                        .is_none_or(|age| rows.iter().any(|row| row.age.holds(age))) =>
                {
                    out.unfit
                        .push(format!("{} ({group}): {why}", population.provenance.title));
                }
                Err(_) => {}
            }
        }
    }
    out.found
        .sort_by(|a, b| (a.grade, b.n, &a.id, &a.group).cmp(&(b.grade, a.n, &b.id, &b.group)));
    Ok(out)
}

fn words(row: &ReferenceRow) -> String {
    let parts = [row.sport.as_str(), row.standard.as_str(), row.sex.words()];
    let parts: Vec<&str> = parts.into_iter().filter(|part| !part.is_empty()).collect();
    parts.join(", ")
}

fn describe(
    population: &Population,
    group: String,
    rows: &[&ReferenceRow],
    query: &ReferenceQuery,
    curve: AgeCurve,
    how: String,
) -> AgeReference {
    let first = rows[0];
    let weakest = rows.iter().map(|row| row.confidence).max();
    AgeReference {
        id: population.provenance.id.clone(),
        title: population.provenance.title.clone(),
        group,
        grade: grade(first, query).0,
        n: rows.iter().filter_map(|row| row.n).min(),
        unit: first.unit.clone(),
        how,
        source: population.provenance.source.clone(),
        confidence: weakest.unwrap_or(first.confidence),
        curve,
    }
}

type Made = Result<(AgeCurve, String), String>;

/// The curve of a group of one kind, or why there is none.
fn curve(kind: u8, rows: &[&ReferenceRow]) -> Result<Made, InterpretError> {
    let (at, how) = match kind {
        0 => (of_lms(rows)?, "its L, M and S".to_owned()),
        1 => match of_centiles(rows)? {
            Ok(made) => made,
            Err(why) => return Ok(Err(why)),
        },
        _ => match of_means(rows)? {
            Ok(at) => (
                at,
                "its means and SDs, taken as normal at the middle of each age band".to_owned(),
            ),
            Err(why) => return Ok(Err(why)),
        },
    };
    let mut at = at;
    at.sort_by(|a, b| a.0.total_cmp(&b.0));
    if at.len() < 2 {
        return Ok(Err("it has one age only, or does not say which".to_owned()));
    }
    if at.windows(2).any(|pair| pair[0].0 >= pair[1].0) {
        return Ok(Err("it has two rows for one age".to_owned()));
    }
    Ok(Ok((AgeCurve::new(&at)?, how)))
}

fn of_lms(rows: &[&ReferenceRow]) -> Result<Vec<(f64, Lms)>, InterpretError> {
    let mut out = Vec::new();
    for row in rows {
        if let (Statistic::Lms { l, m, s }, Some(age)) = (&row.statistic, row.age.min) {
            out.push((age, Lms::new(*l, *m, *s)?));
        }
    }
    Ok(out)
}

/// The middle of a band of ages with both ends.
fn middle(row: &ReferenceRow) -> Option<f64> {
    Some(f64::midpoint(row.age.min?, row.age.max?))
}

type WithHow = Result<(Vec<(f64, Lms)>, String), String>;

fn of_centiles(rows: &[&ReferenceRow]) -> Result<WithHow, InterpretError> {
    let mut bands: BTreeMap<i64, (f64, Vec<(f64, f64)>)> = BTreeMap::new();
    for row in rows {
        if let (Statistic::Centile { centile, value }, Some(age)) = (&row.statistic, middle(row)) {
            let key = (age * 1e6) as i64;
            bands
                .entry(key)
                .or_insert_with(|| (age, Vec::new()))
                .1
                .push((*centile, *value));
        }
    }
    let (mut out, mut worst) = (Vec::new(), 0.0_f64);
    for (age, mut table) in bands.into_values() {
        table.sort_by(|a, b| a.0.total_cmp(&b.0));
        let made = match Lms::of_centiles(&table) {
            Ok(made) => made,
            Err(why) => return Ok(Err(why.to_string())),
        };
        worst = worst.max(made.misfit);
        out.push((age, made.lms));
    }
    if worst > MISFIT {
        return Ok(Err(format!(
            "its centiles lie up to {worst:.2} z from the shape of L, M and S; at most {MISFIT} is taken \
             (chosen, no source)"
        )));
    }
    Ok(Ok((
        out,
        format!(
            "L, M and S derived from its centiles (nearest fit, at most {worst:.2} z away), at the middle of \
             each age band"
        ),
    )))
}

fn of_means(rows: &[&ReferenceRow]) -> Result<Result<Vec<(f64, Lms)>, String>, InterpretError> {
    let mut out = Vec::new();
    for row in rows {
        let Statistic::Mean { mean, sd, .. } = row.statistic else {
            continue;
        };
        let why = match (sd, row.n) {
            (None, _) => "means without an SD".to_owned(),
            (_, None) => "means of an unknown number of people".to_owned(),
            (_, Some(n)) if n < FEW_PEOPLE => {
                format!("means of {n} people, under {FEW_PEOPLE}")
            }
            (Some(sd), Some(_)) => {
                if let Some(age) = middle(row).filter(|_| mean > 0.0) {
                    out.push((age, Lms::new(1.0, mean, sd / mean)?));
                }
                continue;
            }
        };
        return Ok(Err(why));
    }
    Ok(Ok(out))
}

//! Accepted rows as plain records for the archive: people, and results with their canonical amount.
//! Only what the row says: label, distance and time as written stay beside what they were read as.

use jiff::civil::Date;
use plimsoll_judge::{Amount, StopReason};
use plimsoll_ladder::Shape;
use serde::Serialize;

use crate::case::Case;
use crate::cell::{DistanceReading, LabelReading, Sex};
use crate::faults::Settled;
use crate::header::{Field, HeartRole};
use crate::readings::Attempt;
use crate::verdict::RowVerdict;

/// A person from an accepted row.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PersonRow {
    /// Row a spreadsheet shows.
    pub row: u32,
    /// Name as written, given name first where the file has two columns.
    pub name: String,
    /// Date of birth.
    pub birth_date: Option<Date>,
    /// Sex category.
    pub sex: Option<Sex>,
    /// Squad as written.
    pub squad: Option<String>,
    /// Id that another system gave.
    pub external_id: Option<String>,
    /// Other names.
    pub aliases: Vec<String>,
    /// Id in the archive, when the roster knows the person without doubt.
    pub known: Option<String>,
}

/// A result from an accepted row.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ResultRow {
    /// Row a spreadsheet shows.
    pub row: u32,
    /// Name as written.
    pub name: Option<String>,
    /// Bib as written.
    pub bib: Option<String>,
    /// Id that another system gave.
    pub external_id: Option<String>,
    /// Date of birth, where the file has it.
    pub birth_date: Option<Date>,
    /// Id in the archive, when the roster knows the person without doubt.
    pub known: Option<String>,
    /// Day of the test.
    pub date: Option<Date>,
    /// Id of the test whose ladder the amount is on.
    pub test: Option<String>,
    /// The canonical amount.
    pub amount: Option<Amount>,
    /// Why the run ended.
    pub reason: StopReason,
    /// Marked in the file as "at least".
    pub at_least: bool,
    /// Attempt number.
    pub attempt: Option<u32>,
    /// Label as written.
    pub label: Option<String>,
    /// Distance as written.
    pub distance: Option<String>,
    /// Time as written.
    pub time: Option<String>,
    /// Assessor as written.
    pub assessor: Option<String>,
    /// Wave as written.
    pub wave: Option<String>,
    /// Notes as written.
    pub notes: Option<String>,
    /// Conditions and sensor values as written, by field name (`sleep`, `heart_rate_end`, …).
    pub covariates: Vec<(String, String)>,
    /// Whether a rule corrected it.
    pub corrected: bool,
}

/// Returns a person for each row that is not held and names one, once for each person.
pub(crate) fn people<'e>(
    case: &'e Case<'_>,
    settled: &'e Settled,
    decided: &'e [(u32, RowVerdict)],
) -> impl Iterator<Item = PersonRow> + 'e {
    let mut seen = vec![false; case.people.list.len()];
    (0..case.rows()).filter_map(move |row| {
        if decided.get(row).is_none_or(|d| d.1 == RowVerdict::Held) {
            return None;
        }
        let index = case.people.at(row)?;
        let person = case.people.list.get(index).filter(|p| p.named)?;
        if std::mem::replace(seen.get_mut(index)?, true) {
            return None;
        }
        let aliases = text(case, Field::Aliases, row).map_or_else(Vec::new, |text| {
            let parts = text
                .split([';', '/', '|'])
                .map(str::trim)
                .filter(|p| !p.is_empty());
            parts.map(str::to_owned).collect()
        });
        Some(PersonRow {
            row: case.number(row),
            name: person.name.clone(),
            birth_date: settled.births.get(&row).copied().or(person.birth),
            sex: person.sex,
            squad: text(case, Field::Squad, row),
            external_id: person.external.clone(),
            aliases,
            known: known(case, row),
        })
    })
}

/// Returns a result for each accepted or corrected row that has one.
pub(crate) fn results<'e>(
    case: &'e Case<'_>,
    settled: &'e Settled,
    decided: &'e [(u32, RowVerdict)],
) -> impl Iterator<Item = ResultRow> + 'e {
    decided
        .iter()
        .enumerate()
        .filter_map(move |(row, (_, verdict))| {
            let kept = matches!(verdict, RowVerdict::Accepted | RowVerdict::Corrected);
            (kept && case.has_result(row))
                .then(|| result(case, settled, row, *verdict == RowVerdict::Corrected))
        })
}

/// Returns what one row says, whatever was decided about it.
pub(crate) fn result_of(case: &Case<'_>, settled: &Settled, row: usize) -> Option<ResultRow> {
    case.has_result(row)
        .then(|| result(case, settled, row, false))
}

fn result(case: &Case<'_>, settled: &Settled, row: usize, corrected: bool) -> ResultRow {
    let person = case.people.person(row);
    let named = person.filter(|p| p.named);
    let (test, amount) = amount(case, settled, row);
    let attempt = case
        .read
        .attempt
        .as_ref()
        .and_then(|a| a.at(&case.sheet, row));
    let mut covariates: Vec<(String, String)> = Vec::new();
    for (i, column) in case.mapping.columns().iter().enumerate() {
        let Some(field) = column.field.filter(|f| f.is_covariate()) else {
            continue;
        };
        let value = case
            .sheet
            .columns()
            .get(i)
            .map(|c| c.cell(row))
            .filter(|c| !c.is_empty());
        if let Some(value) = value {
            covariates.push((covariate_name(field, column.heart), value.to_string()));
        }
    }
    ResultRow {
        row: case.number(row),
        name: named.map(|p| p.name.clone()),
        bib: text(case, Field::Bib, row),
        external_id: person.and_then(|p| p.external.clone()),
        birth_date: settled
            .births
            .get(&row)
            .copied()
            .or_else(|| person.and_then(|p| p.birth)),
        known: known(case, row),
        date: settled.days.get(&row).copied().or_else(|| case.day(row)),
        test,
        amount,
        reason: text(case, Field::Reason, row)
            .and_then(|t| t.parse().ok())
            .unwrap_or(StopReason::NotRecorded),
        at_least: at_least(case, row),
        attempt: match attempt {
            Some(Attempt::Number(n)) => Some(*n),
            _ => None,
        },
        label: match case.label(row) {
            LabelReading::Absent => None,
            LabelReading::Label(label) if !case.mapping.has(Field::Label) => {
                Some(label.text.clone())
            }
            _ => text(case, Field::Label, row),
        },
        distance: text(case, Field::Distance, row),
        time: text(case, Field::Time, row),
        assessor: text(case, Field::Assessor, row),
        wave: text(case, Field::Wave, row),
        notes: text(case, Field::Notes, row),
        covariates,
        corrected,
    }
}

/// The canonical amount on the ladder of the row, or the distance or time of a test without one.
///
/// Without a declared test only when one ladder alone explains the rows.
fn amount(case: &Case<'_>, settled: &Settled, row: usize) -> (Option<String>, Option<Amount>) {
    if let Some(place) = settled.places.get(row).copied().flatten() {
        if case.test(row).is_none() && !settled.ladder_is_sure {
            return (None, None);
        }
        let id = case.table(place.table).map(|t| t.id.clone());
        return (id, Some(Amount::Bouts(place.bouts)));
    }
    let Some(test) = case.test(row).and_then(|t| case.ladders.tests.get(t)) else {
        return (None, None);
    };
    let seen = case.observed(row);
    let amount = match test.shape {
        Shape::DistanceInTime => seen.distance_m.and_then(|m| {
            let mm = (m * 1e3).round();
            (mm < f64::from(u32::MAX)).then_some(Amount::DistanceMm(mm as u32))
        }),
        Shape::TimeForDistance | Shape::Sprints | Shape::Trials => seen.time.and_then(|t| {
            let ms = (t.seconds * 1e3).round();
            (ms < f64::from(u32::MAX)).then_some(Amount::TimeMs(ms as u32))
        }),
        Shape::Bouts | Shape::TimedRuns | Shape::Continuous => None,
    };
    (Some(test.id.clone()), amount)
}

fn at_least(case: &Case<'_>, row: usize) -> bool {
    let by_label = matches!(case.label(row), LabelReading::Label(l) if l.at_least);
    let by_distance = case
        .read
        .values
        .distance
        .as_ref()
        .and_then(|d| d.at(&case.sheet, row))
        .is_some_and(|d| matches!(d, DistanceReading::Value { at_least: true, .. }));
    by_label || by_distance
}

fn known(case: &Case<'_>, row: usize) -> Option<String> {
    let index = case.people.person(row)?.known?;
    case.options.context.roster.get(index).map(|k| k.id.clone())
}

fn text(case: &Case<'_>, field: Field, row: usize) -> Option<String> {
    let cell = case.cell(field, row);
    (!cell.is_empty()).then(|| cell.to_string())
}

fn covariate_name(field: Field, heart: Option<HeartRole>) -> String {
    let base = field.as_str();
    match heart {
        Some(HeartRole::Rest) => format!("{base}_rest"),
        Some(HeartRole::End) => format!("{base}_end"),
        Some(HeartRole::After(s)) => format!("{base}_after_{s}_s"),
        Some(HeartRole::Series(n)) => format!("{base}_{n}"),
        Some(HeartRole::Unsaid) | None => base.to_owned(),
    }
}

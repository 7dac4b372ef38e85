//! Fault 22: a centile read off the table of another sex, age, ladder or year.
//! Detection: what the reference column says against the row; a better result with a lower centile
//! in the same table. The table itself is not in the file, so a wrong figure in it cannot be seen.

use std::collections::BTreeMap;

use super::code::Code;
use super::f12_dates::{under_age, years};
use super::finding::Draft;
use super::state::State;
use crate::cell::{Sex, parse_number, word_sex};
use crate::header::{Field, fold};

/// A table for an age may be read half a year early or late; more is another table.
const AGE_SLACK: f64 = 1.0;
/// Centiles are rounded; so much reversal is not told.
const ROUNDING: f64 = 2.0;

/// Folded name of a reference, sex and age in whole years.
type TableKey = (String, Option<u8>, i64);

pub(super) fn run(state: &mut State<'_>) {
    let case = state.case;
    if !case.mapping.has(Field::Centile) {
        return;
    }
    let rows: Vec<(usize, f64)> = (0..case.rows())
        .filter_map(|r| {
            let text = case.cell(Field::Centile, r).to_string();
            let (value, _) = parse_number(text.trim_start_matches(['p', 'P']), false)?;
            Some((r, value))
        })
        .collect();
    if rows.is_empty() {
        return;
    }
    let missing: Vec<usize> = rows
        .iter()
        .map(|r| r.0)
        .filter(|r| case.cell(Field::Reference, *r).is_empty())
        .collect();
    without_table(state, missing);
    let mut told = vec![false; case.rows()];
    for (row, value) in &rows {
        let mismatch = if (0.0..=100.0).contains(value) {
            mismatch(state, *row)
        } else {
            Some(("not a centile".to_owned(), "0 to 100".to_owned()))
        };
        if let Some((what, allowed)) = mismatch {
            tell(state, *row, what, allowed);
            if let Some(flag) = told.get_mut(*row) {
                *flag = true;
            }
        }
    }
    order(state, &rows, &told);
}

fn without_table(state: &mut State<'_>, rows: Vec<usize>) {
    let case = state.case;
    let Some(first) = rows.first().copied() else {
        return;
    };
    state.report(Draft {
        code: Code::CentileWithoutTable,
        column: case.mapping.header_of(Field::Centile),
        what: format!(
            "{} centiles without the table they were looked up in",
            rows.len()
        ),
        rows,
        found: case.written(Field::Centile, first),
        allowed: "a reference column: source, year, sex, age".to_owned(),
        suggestion: "leave centiles out; they are computed from the result with their reference"
            .to_owned(),
        probability: None,
    });
}

/// What in the name of the table contradicts the row.
fn mismatch(state: &State<'_>, row: usize) -> Option<(String, String)> {
    let case = state.case;
    let reference = case.cell(Field::Reference, row).to_string();
    let folded = fold(&reference);
    let sex = case.people.person(row).and_then(|p| p.sex);
    let named: Vec<Sex> = folded
        .split(' ')
        // `m` and `f` inside a table's name are too short to mean a sex.
        .filter(|w| w.len() > 2)
        .filter_map(word_sex)
        .filter(|s| *s != Sex::Other)
        .collect();
    if let (Some(own), Some(table)) = (sex.filter(|s| *s != Sex::Other), named.first())
        && named.iter().all(|s| s == table)
        && *table != own
    {
        return Some((
            "the table is for the other sex".to_owned(),
            format!("a table for {}", words(own)),
        ));
    }
    if let (Some(age), Some((low, high))) = (age(state, row), ages(&folded))
        && !(low - AGE_SLACK..=high + AGE_SLACK).contains(&age)
    {
        return Some((
            format!("the table is for another age than {age:.1} years"),
            "a table for the person's age on the test day".to_owned(),
        ));
    }
    let test = case.test(row).or_else(|| {
        let group = state.groups.iter().find(|g| g.test == case.test(row))?;
        let table = group.conclusion.table?;
        case.ladders
            .tests
            .iter()
            .position(|t| t.table == Some(table))
    })?;
    let own = case.ladders.tests.get(test)?;
    let other = case
        .ladders
        .tests
        .iter()
        .filter(|t| t.id != own.id)
        .find(|t| {
            folded
                .split(' ')
                .collect::<String>()
                .contains(&t.id.replace('_', ""))
        });
    let is_own = folded
        .split(' ')
        .collect::<String>()
        .contains(&own.id.replace('_', ""));
    match other {
        Some(other) if !is_own => Some((
            format!("the table is for `{}`", other.id),
            format!("a table for `{}`", own.id),
        )),
        _ => None,
    }
}

/// A better result with a lower centile in the same table, sex and age.
fn order(state: &mut State<'_>, rows: &[(usize, f64)], told: &[bool]) {
    let case = state.case;
    let mut tables: BTreeMap<TableKey, Vec<(usize, f64, f64)>> = BTreeMap::new();
    for (row, centile) in rows {
        if told.get(*row).copied().unwrap_or(false) {
            continue;
        }
        let reference = fold(&case.cell(Field::Reference, *row).to_string());
        let Some(metres) = state.distance_m(*row) else {
            continue;
        };
        let sex = case
            .people
            .person(*row)
            .and_then(|p| p.sex)
            .map(|s| s as u8);
        let Some(age) = age(state, *row) else {
            continue;
        };
        if !reference.is_empty() {
            let key = (reference, sex, age.floor() as i64);
            tables
                .entry(key)
                .or_default()
                .push((*row, metres, *centile));
        }
    }
    for mut list in tables.into_values() {
        list.sort_by(|a, b| a.1.total_cmp(&b.1));
        let mut highest: Option<(usize, f64, f64)> = None;
        for (row, metres, centile) in list {
            match highest {
                Some((other, m, c)) if metres > m && centile < c - ROUNDING => {
                    let what = format!(
                        "a better result than row {} and a lower centile in the same table",
                        case.number(other)
                    );
                    tell(
                        state,
                        row,
                        what,
                        format!(
                            "at least {c}, which {m:.0} m has in row {}",
                            case.number(other)
                        ),
                    );
                }
                Some((_, _, c)) if centile <= c => {}
                _ => highest = Some((row, metres, centile)),
            }
        }
    }
}

fn tell(state: &mut State<'_>, row: usize, what: String, allowed: String) {
    let case = state.case;
    let reference = case.cell(Field::Reference, row).to_string();
    state.report(Draft {
        code: Code::CentileTableMismatch,
        rows: vec![row],
        column: case.mapping.header_of(Field::Centile),
        what,
        found: format!(
            "{} from `{}`",
            case.written(Field::Centile, row),
            crate::case::shorten(&reference)
        ),
        allowed,
        suggestion:
            "leave the centile out; it is computed from the result with an eligible reference"
                .to_owned(),
        probability: None,
    });
}

const fn words(sex: Sex) -> &'static str {
    match sex {
        Sex::Female => "girls or women",
        Sex::Male => "boys or men",
        Sex::Other => "the person's sex",
    }
}

/// The person's age on the test day, from the birth date or the age column.
fn age(state: &State<'_>, row: usize) -> Option<f64> {
    let case = state.case;
    let birth = case.people.person(row).and_then(|p| p.birth);
    match (birth, state.day(row)) {
        (Some(birth), Some(day)) => Some(years(birth, day)),
        _ => parse_number(&case.cell(Field::Age, row).to_string(), false).map(|(v, _)| v),
    }
}

/// The ages a table's name gives: `U14`, `age 12`, `12-13 y`, `12 years`.
fn ages(folded: &str) -> Option<(f64, f64)> {
    if let Some(under) = under_age(folded) {
        return Some((under - 2.0, under));
    }
    let words: Vec<&str> = folded.split(' ').collect();
    let number = |w: Option<&&str>| {
        w.and_then(|w| w.trim_end_matches('y').parse::<u8>().ok())
            .filter(|n| (4..=90).contains(n))
            .map(f64::from)
    };
    for (i, word) in words.iter().enumerate() {
        let marks_before = matches!(*word, "age" | "aged" | "ages");
        let marks_after = matches!(*word, "y" | "yr" | "yrs" | "year" | "years" | "yo");
        if marks_before && let Some(low) = number(words.get(i + 1)) {
            return Some((low, number(words.get(i + 2)).unwrap_or(low)));
        }
        if marks_after
            && i > 0
            && let Some(high) = number(words.get(i - 1))
        {
            let low = i
                .checked_sub(2)
                .and_then(|j| number(words.get(j)))
                .unwrap_or(high);
            return Some((low.min(high), high));
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ages_in_the_name_of_a_table() {
        assert_eq!(ages("girls age 12 example 2019"), Some((12.0, 12.0)));
        assert_eq!(ages("boys 12 13 y"), Some((12.0, 13.0)));
        assert_eq!(ages("u14 boys"), Some((12.0, 14.0)));
        assert_eq!(ages("example 2019"), None);
    }
}

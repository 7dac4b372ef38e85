//! Fault 12: day and month the other way round, two-digit years, dates that cannot be.
//! Detection: an order possible in one way only; a stray day whose swap is the common day; ages.

use std::collections::HashMap;

use jiff::civil::Date;

use super::code::Code;
use super::finding::Draft;
use super::ladder_phase::TELL_EACH;
use super::state::State;
use crate::cell::{DateOrder, DateReading};
use crate::header::Field;
use crate::readings::{DateColumn, OrderBasis};
use crate::rules::Rule;

/// Youngest and oldest runner on a test day. Common practice, no source.
const AGES: (f64, f64) = (3.0, 100.0);
/// A squad named after an age holds nobody older than the name plus a season, and nobody more than
/// four years younger. Common practice, no source.
const SQUAD_OLDER: f64 = 1.0;
const SQUAD_YOUNGER: f64 = 4.0;
/// Rows that make a day common, and the share that makes one stray.
const COMMON: usize = 4;
const STRAY: usize = 10;
/// Different date cells that must all have a small day: by chance (12/30) to the fifth, 1 %.
const COERCED: usize = 5;

pub(super) fn run(state: &mut State<'_>) {
    let case = state.case;
    for (field, column) in [
        (Field::Date, &case.read.date),
        (Field::BirthDate, &case.read.birth),
    ] {
        let Some(column) = column else { continue };
        let mut done = vec![false; case.rows()];
        mixed_orders(state, field, column, &mut done);
        coerced_half(state, field, column, &mut done);
        two_digits(state, field, column, &mut done);
        if field == Field::Date {
            stray_days(state, column, &mut done);
            future(state, column, &mut done);
        } else {
            births(state, column, &mut done);
        }
        if column.basis == OrderBasis::Assumed {
            let header = case.mapping.header_of(field);
            state.note(
                None,
                format!("column `{header}`: nothing shows whether day or month comes first; read as day/month/year"),
            );
        }
    }
    two_births(state);
    ages(state);
}

/// Dates possible only in the order that the column does not have.
fn mixed_orders(state: &mut State<'_>, field: Field, column: &DateColumn, done: &mut [bool]) {
    let case = state.case;
    let rows: Vec<usize> = (0..case.rows())
        .filter(|r| {
            let only = column.read.at(&case.sheet, *r).and_then(|d| d.only_order());
            only.is_some_and(|o| o != column.order)
        })
        .collect();
    let why = match column.basis {
        OrderBasis::Caller => "you said",
        OrderBasis::Header => "the heading says",
        _ => "most of the column is",
    };
    tell_swapped(state, field, column, &rows, done, |_, _| {
        format!("a date in {} order, as {why}", column.order.in_words())
    });
}

/// Text dates that only day-first can read beside date cells that all have a small day: the
/// spreadsheet read the others month-first.
fn coerced_half(state: &mut State<'_>, field: Field, column: &DateColumn, done: &mut [bool]) {
    let case = state.case;
    let mut text: HashMap<DateOrder, usize> = HashMap::new();
    let mut cells: Vec<usize> = Vec::new();
    let mut large_day = false;
    let mut different: Vec<Date> = Vec::new();
    for row in 0..case.rows() {
        match column.read.at(&case.sheet, row) {
            Some(DateReading::Coerced(date)) => {
                large_day |= date.day() > 12;
                cells.push(row);
                if different.len() < COERCED && !different.contains(date) {
                    different.push(*date);
                }
            }
            Some(reading) => {
                if let Some(order) = reading.only_order() {
                    *text.entry(order).or_default() += 1;
                }
            }
            None => {}
        }
    }
    let shown: Vec<(&DateOrder, &usize)> = text.iter().collect();
    let [(_, n)] = shown.as_slice() else { return };
    if **n < 2 || different.len() < COERCED || large_day {
        return;
    }
    let rows: Vec<usize> = cells
        .into_iter()
        .filter(|r| {
            column.swapped(&case.sheet, *r).is_some() && !done.get(*r).copied().unwrap_or(true)
        })
        .collect();
    tell_swapped(state, field, column, &rows, done, |_, _| {
        "dates typed in one order; the spreadsheet left the impossible ones as text and swapped the rest".to_owned()
    });
}

/// Two-digit years: told once a column.
fn two_digits(state: &mut State<'_>, field: Field, column: &DateColumn, done: &mut [bool]) {
    let case = state.case;
    let rows: Vec<usize> = (0..case.rows())
        .filter(|r| !done.get(*r).copied().unwrap_or(true))
        .filter(|r| {
            matches!(
                column.read.at(&case.sheet, *r),
                Some(DateReading::Numeric {
                    short_year: true,
                    ..
                })
            )
        })
        .collect();
    let Some(first) = rows.first().copied() else {
        return;
    };
    if state.allows(Rule::TwoDigitYears) {
        for row in rows {
            if let Some(date) = column.date(&case.sheet, row) {
                let (header, before) = (case.mapping.header_of(field), case.written(field, row));
                state.correct(row, header, before, date.to_string(), Rule::TwoDigitYears);
            }
        }
        return;
    }
    let reading = column
        .date(&case.sheet, first)
        .map_or_else(String::new, |d| d.to_string());
    let n = rows.len();
    for row in &rows {
        mark(done, *row);
    }
    state.report(Draft {
        code: Code::TwoDigitYear,
        rows,
        column: case.mapping.header_of(field),
        what: format!("{n} dates have a year of two digits"),
        found: case.written(field, first),
        allowed: "a year of four digits".to_owned(),
        suggestion: format!(
            "write {reading} if that is meant, or allow the rule `{}`",
            Rule::TwoDigitYears.as_str()
        ),
        probability: None,
    });
}

/// A day that few rows have, and whose swap is a day that many rows have.
fn stray_days(state: &mut State<'_>, column: &DateColumn, done: &mut [bool]) {
    let case = state.case;
    let mut counts: HashMap<Date, usize> = HashMap::new();
    for row in 0..case.rows() {
        if let Some(day) = column.date(&case.sheet, row) {
            *counts.entry(day).or_default() += 1;
        }
    }
    let rows: Vec<usize> = (0..case.rows())
        .filter(|r| !done.get(*r).copied().unwrap_or(true))
        .filter(|r| {
            let (Some(day), Some(swapped)) = (
                column.date(&case.sheet, *r),
                column.swapped(&case.sheet, *r),
            ) else {
                return false;
            };
            let here = counts.get(&day).copied().unwrap_or(0);
            let there = counts.get(&swapped).copied().unwrap_or(0);
            day != swapped && there >= COMMON && here * STRAY <= there
        })
        .collect();
    tell_swapped(state, Field::Date, column, &rows, done, |_, _| {
        "a test day that other rows have too".to_owned()
    });
}

/// Test days after today.
fn future(state: &mut State<'_>, column: &DateColumn, done: &mut [bool]) {
    let case = state.case;
    let Some(today) = case.options.context.today else {
        return;
    };
    let mut swapped: Vec<usize> = Vec::new();
    for row in 0..case.rows() {
        if done.get(row).copied().unwrap_or(true) {
            continue;
        }
        let Some(day) = column.date(&case.sheet, row).filter(|d| *d > today) else {
            continue;
        };
        match column.swapped(&case.sheet, row).filter(|d| *d <= today) {
            Some(_) => swapped.push(row),
            None => {
                let what = format!("{day} is in the future");
                let allowed = format!("a day up to today, {today}");
                implausible(state, Field::Date, row, done, what, allowed);
            }
        }
    }
    tell_swapped(state, Field::Date, column, &swapped, done, |_, _| {
        format!("a day up to today, {today}")
    });
}

/// Birth dates against test day, squad and age column.
fn births(state: &mut State<'_>, column: &DateColumn, done: &mut [bool]) {
    let case = state.case;
    let last_day = (0..case.rows()).filter_map(|r| case.day(r)).max();
    for row in 0..case.rows() {
        if done.get(row).copied().unwrap_or(true) {
            continue;
        }
        let Some(birth) = column.date(&case.sheet, row) else {
            continue;
        };
        let Some(day) = case.day(row).or(case.options.context.today).or(last_day) else {
            continue;
        };
        if birth == day {
            let what = "the date of birth is the test day".to_owned();
            implausible(
                state,
                Field::BirthDate,
                row,
                done,
                what,
                "the date of birth".to_owned(),
            );
            continue;
        }
        let age = years(birth, day);
        if !(AGES.0..AGES.1).contains(&age) {
            let what = if age < 0.0 {
                format!("born after {day}")
            } else {
                format!("{age:.0} years old on {day}")
            };
            let allowed = format!("an age of {} to {} years", AGES.0, AGES.1);
            implausible(state, Field::BirthDate, row, done, what, allowed);
            continue;
        }
        let squad = case.cell(Field::Squad, row).to_string();
        if let Some(under) = under_age(&squad) {
            let fits = |a: f64| (under - SQUAD_YOUNGER..under + SQUAD_OLDER).contains(&a);
            if !fits(age) {
                let allowed = format!(
                    "an age of {} to {} years in `{squad}`",
                    under - SQUAD_YOUNGER,
                    under + SQUAD_OLDER
                );
                if column
                    .swapped(&case.sheet, row)
                    .is_some_and(|s| fits(years(s, day)))
                {
                    tell_swapped(state, Field::BirthDate, column, &[row], done, |_, _| {
                        allowed.clone()
                    });
                } else {
                    let what = format!("{age:.1} years old on {day}, outside the squad");
                    implausible(state, Field::BirthDate, row, done, what, allowed);
                }
                continue;
            }
        }
        if let Some(stated) = stated_age(state, row)
            && (age - stated < -1.1 || age - stated > 1.1)
        {
            let what = format!("{age:.1} years old on {day}, but the age column says {stated}");
            let allowed = "a date of birth that agrees with the age".to_owned();
            implausible(state, Field::BirthDate, row, done, what, allowed);
        }
    }
}

/// An age column against squads named after an age, where the file has no birth dates.
fn ages(state: &mut State<'_>) {
    let case = state.case;
    if case.read.birth.is_some() || !case.mapping.has(Field::Age) {
        return;
    }
    for row in 0..case.rows() {
        let squad = case.cell(Field::Squad, row).to_string();
        let (Some(age), Some(under)) = (stated_age(state, row), under_age(&squad)) else {
            continue;
        };
        // A whole age is up to a year more than it says.
        if (under - SQUAD_YOUNGER..=under + SQUAD_OLDER).contains(&age) {
            continue;
        }
        state.report(Draft {
            code: Code::DateImplausible,
            rows: vec![row],
            column: case.mapping.header_of(Field::Age),
            what: format!("{age} years old, outside the squad"),
            found: case.written(Field::Age, row),
            allowed: format!(
                "an age of {} to {} years in `{squad}`",
                under - SQUAD_YOUNGER,
                under + SQUAD_OLDER
            ),
            suggestion: "look it up and correct the age or the squad".to_owned(),
            probability: None,
        });
    }
}

/// One name with two birth dates that are each other's swap, in a file of results.
fn two_births(state: &mut State<'_>) {
    let case = state.case;
    let Some(column) = &case.read.birth else {
        return;
    };
    if !case.read.values.any() {
        return;
    }
    let mut by_name: HashMap<&str, Vec<usize>> = HashMap::new();
    for (i, person) in case.people.list.iter().enumerate() {
        if person.birth.is_some() && person.named && person.rows > 0 {
            by_name.entry(person.folded.as_str()).or_default().push(i);
        }
    }
    let mut swapped: Vec<usize> = Vec::new();
    for list in by_name.values() {
        for (n, a) in list.iter().enumerate() {
            for b in list.iter().skip(n + 1) {
                let (Some(x), Some(y)) = (case.people.list.get(*a), case.people.list.get(*b))
                else {
                    continue;
                };
                let (Some(p), Some(q)) = (x.birth, y.birth) else {
                    continue;
                };
                if crate::readings::swap(p) == Some(q) {
                    swapped.push(if y.rows <= x.rows { *b } else { *a });
                }
            }
        }
    }
    swapped.sort_unstable();
    let mut done = vec![false; case.rows()];
    for person in swapped {
        let rows: Vec<usize> = (0..case.rows())
            .filter(|r| case.people.at(*r) == Some(person))
            .collect();
        tell_swapped(state, Field::BirthDate, column, &rows, &mut done, |_, _| {
            "the date of birth that other rows of this name have".to_owned()
        });
    }
}

fn tell_swapped(
    state: &mut State<'_>,
    field: Field,
    column: &DateColumn,
    rows: &[usize],
    done: &mut [bool],
    allowed: impl Fn(&State<'_>, usize) -> String,
) {
    let case = state.case;
    let mut left: Vec<usize> = Vec::new();
    for row in rows.iter().copied() {
        mark(done, row);
        let swapped = column.swapped(&case.sheet, row);
        if let (true, Some(date)) = (state.allows(Rule::SwapDayAndMonth), swapped) {
            let store = if field == Field::Date {
                &mut state.days
            } else {
                &mut state.births
            };
            store.insert(row, date);
            let (header, before) = (case.mapping.header_of(field), case.written(field, row));
            state.correct(row, header, before, date.to_string(), Rule::SwapDayAndMonth);
        } else {
            left.push(row);
        }
    }
    let groups: Vec<Vec<usize>> = if left.len() > TELL_EACH {
        vec![left]
    } else {
        left.into_iter().map(|r| vec![r]).collect()
    };
    for rows in groups {
        let Some(first) = rows.first().copied() else {
            continue;
        };
        let suggestion = column.swapped(&case.sheet, first).map_or_else(
            || "write the date as year-month-day".to_owned(),
            |d| format!("{d}, with day and month the other way round"),
        );
        let allowed = allowed(state, first);
        state.report(Draft {
            code: Code::DateSwapped,
            rows,
            column: case.mapping.header_of(field),
            what: "day and month look the other way round".to_owned(),
            found: case.written(field, first),
            allowed,
            suggestion,
            probability: None,
        });
    }
}

fn implausible(
    state: &mut State<'_>,
    field: Field,
    row: usize,
    done: &mut [bool],
    what: String,
    allowed: String,
) {
    mark(done, row);
    let case = state.case;
    state.report(Draft {
        code: Code::DateImplausible,
        rows: vec![row],
        column: case.mapping.header_of(field),
        what,
        found: case.written(field, row),
        allowed,
        suggestion: "look it up and correct it".to_owned(),
        probability: None,
    });
}

fn mark(done: &mut [bool], row: usize) {
    if let Some(flag) = done.get_mut(row) {
        *flag = true;
    }
}

/// Returns the years from one date to another, negative when the other is earlier.
pub(crate) fn years(from: Date, to: Date) -> f64 {
    to.duration_since(from).as_hours() as f64 / 24.0 / 365.25
}

/// Returns the age limit in a squad's name: 14 in `U14`, `u-14 girls`, `under 14`.
pub(super) fn under_age(squad: &str) -> Option<f64> {
    let folded = crate::header::fold(squad);
    let words: Vec<&str> = folded.split(' ').collect();
    for (i, word) in words.iter().enumerate() {
        let digits = match *word {
            "u" | "under" => words.get(i + 1).copied().unwrap_or(""),
            w => w.strip_prefix('u').unwrap_or(""),
        };
        let digits: String = digits.chars().take_while(char::is_ascii_digit).collect();
        if let Ok(n @ 5..=23) = digits.parse::<u8>() {
            return Some(f64::from(n));
        }
    }
    None
}

fn stated_age(state: &State<'_>, row: usize) -> Option<f64> {
    let text = state.case.cell(Field::Age, row).to_string();
    crate::cell::parse_number(&text, false).map(|(v, _)| v)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn squads_named_after_an_age() {
        assert_eq!(under_age("U14"), Some(14.0));
        assert_eq!(under_age("u-16 girls"), Some(16.0));
        assert_eq!(under_age("Under 12B"), Some(12.0));
        assert_eq!(under_age("Union FC"), None);
        assert_eq!(under_age("7B"), None);
    }
}

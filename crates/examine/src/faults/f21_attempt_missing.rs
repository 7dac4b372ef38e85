//! Fault 21: first attempts and best-of mixed, because attempts are not numbered.
//! Detection: several results of a person on one day and test without different attempt numbers;
//! or a column that numbers some attempts and calls others best.

use std::collections::HashMap;

use jiff::civil::Date;

use super::code::Code;
use super::finding::Draft;
use super::state::State;
use crate::header::Field;
use crate::readings::Attempt;

/// Person, day and test.
type Occasion = (usize, Option<Date>, Option<usize>);

pub(super) fn run(state: &mut State<'_>) {
    if !state.case.read.values.any() {
        return;
    }
    repeats(state);
    best_and_numbers(state);
}

fn attempt(state: &State<'_>, row: usize) -> Attempt {
    let case = state.case;
    case.read
        .attempt
        .as_ref()
        .and_then(|a| a.at(&case.sheet, row))
        .copied()
        .unwrap_or(Attempt::Absent)
}

fn repeats(state: &mut State<'_>) {
    let case = state.case;
    let mut seen: HashMap<Occasion, Vec<usize>> = HashMap::new();
    for row in 0..case.rows() {
        if let Some(person) = case.people.at(row)
            && !state.is_absent(row)
        {
            seen.entry((person, state.day(row), case.test(row)))
                .or_default()
                .push(row);
        }
    }
    let mut groups: Vec<(Occasion, Vec<usize>)> = seen
        .into_iter()
        .filter(|(_, rows)| rows.len() > 1)
        .collect();
    groups.sort_by_key(|(_, rows)| rows.first().copied());
    for ((person, day, _), rows) in groups {
        let numbers: Vec<u32> = rows
            .iter()
            .filter_map(|r| match attempt(state, *r) {
                Attempt::Number(n) => Some(n),
                _ => None,
            })
            .collect();
        let mut different = numbers.clone();
        different.sort_unstable();
        different.dedup();
        if different.len() == rows.len() {
            continue;
        }
        let Some(person) = case.people.list.get(person) else {
            continue;
        };
        let day = day.map_or_else(|| "without a date".to_owned(), |d| format!("on {d}"));
        let column = if case.mapping.has(Field::Attempt) {
            case.mapping.header_of(Field::Attempt)
        } else {
            Field::Attempt.as_str().to_owned()
        };
        let n = rows.len();
        let numbered = numbers.len();
        state.report(Draft {
            code: Code::AttemptMissing,
            rows,
            column,
            what: format!(
                "{n} results of `{}` {day} without different attempt numbers",
                person.name
            ),
            found: format!("{numbered} of {n} numbered, {} different", different.len()),
            allowed: "an attempt number for each".to_owned(),
            suggestion:
                "number the attempts; if these are two people, add a date of birth or an id"
                    .to_owned(),
            probability: None,
        });
    }
}

fn best_and_numbers(state: &mut State<'_>) {
    let case = state.case;
    let rows = |want: fn(Attempt) -> bool| -> Vec<usize> {
        (0..case.rows())
            .filter(|r| want(attempt(state, *r)) && !state.is_claimed(*r))
            .collect()
    };
    let best = rows(|a| a == Attempt::Best);
    let numbered = rows(|a| matches!(a, Attempt::Number(_)));
    if best.is_empty() || numbered.is_empty() {
        return;
    }
    let (few, words) = if best.len() <= numbered.len() {
        (best.clone(), "best-of results among numbered attempts")
    } else {
        (numbered.clone(), "single attempts among best-of results")
    };
    let Some(first) = few.first().copied() else {
        return;
    };
    state.report(Draft {
        code: Code::AttemptMissing,
        rows: few,
        column: case.mapping.header_of(Field::Attempt),
        what: words.to_owned(),
        found: case.written(Field::Attempt, first),
        allowed: "one policy for the column: every attempt numbered".to_owned(),
        suggestion: "replace each best-of by its attempts; a best of two is higher than a first attempt by chance alone".to_owned(),
        probability: None,
    });
}

//! Fault 11: one person in two entries, or under a changed name. A suggestion with reasons, never a merge.
//! Detection: likeness of name, date of birth and squad, within the file and against the roster.

use super::code::Code;
use super::finding::Draft;
use super::state::State;
use crate::header::Field;
use crate::identity::{Other, suggest};

pub(super) fn run(state: &mut State<'_>) {
    repeated_rows(state);
    let case = state.case;
    let has_results = case.read.values.any();
    for (later, other, suggestion) in suggest(&case.people.list, &case.options.context.roster) {
        let Some(person) = case.people.list.get(later) else {
            continue;
        };
        // The earlier entry is named in the text and not held for the likeness of a later one.
        let who = match other {
            Other::InFile(i) => {
                let Some(first) = case.people.list.get(i) else {
                    continue;
                };
                // A swapped date of birth in a file of results is told by the date fault.
                let swapped = matches!(
                    (first.birth, person.birth),
                    (Some(a), Some(b)) if first.folded == person.folded && crate::readings::swap(a) == Some(b)
                );
                if has_results && swapped {
                    continue;
                }
                format!("`{}` in row {}", first.name, case.number(first.first_row))
            }
            Other::InRoster(i) => {
                let Some(known) = case.options.context.roster.get(i) else {
                    continue;
                };
                let name = known.names.first().cloned().unwrap_or_default();
                format!("`{name}` ({}), whom the archive knows", known.id)
            }
        };
        state.report(Draft {
            code: Code::DuplicatePerson,
            rows: vec![person.first_row],
            column: name_header(state),
            what: format!("may be the same person as {who}"),
            found: format!("`{}`", person.name),
            allowed: "one entry for each person".to_owned(),
            suggestion: format!(
                "compare the two: {}; if they are one person, use one name and keep the other as an alias",
                suggestion.reasons.join(", ")
            ),
            probability: Some(suggestion.probability),
        });
    }
}

/// The same person twice in a list of people.
fn repeated_rows(state: &mut State<'_>) {
    let case = state.case;
    if case.read.values.any() || case.mapping.has(Field::Enrolled) {
        return;
    }
    let mut first_of = vec![None; case.people.list.len()];
    for row in 0..case.rows() {
        let Some(person) = case.people.at(row) else {
            continue;
        };
        let Some(slot) = first_of.get_mut(person) else {
            continue;
        };
        let Some(first) = *slot else {
            *slot = Some(row);
            continue;
        };
        let Some(entry) = case.people.list.get(person).filter(|p| p.named) else {
            continue;
        };
        let same = if entry.external.is_some() {
            "the same id"
        } else if entry.birth.is_some() {
            "the same name and date of birth"
        } else {
            "the same name"
        };
        state.report(Draft {
            code: Code::DuplicatePerson,
            rows: vec![row],
            column: name_header(state),
            what: format!("{same} as row {}", case.number(first)),
            found: format!("`{}`", entry.name),
            allowed: "one row for each person".to_owned(),
            suggestion: "delete one of the rows, or add what tells the two people apart".to_owned(),
            probability: None,
        });
    }
}

fn name_header(state: &State<'_>) -> String {
    let mapping = &state.case.mapping;
    [
        Field::Name,
        Field::FamilyName,
        Field::GivenName,
        Field::ExternalId,
    ]
    .into_iter()
    .find(|f| mapping.has(*f))
    .map_or_else(|| "name".to_owned(), |f| mapping.header_of(f))
}

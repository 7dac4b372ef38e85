//! Whose row it is: the roster's certain match, else exactly one person of that name.

use plimsoll_archive::{Archive, ArchiveError, Person, PersonId};
use plimsoll_examine::ResultRow;

use super::held::HeldLine;

/// Returns the person of a row, or why there is none.
pub(super) fn person(
    archive: &Archive,
    row: &ResultRow,
) -> Result<Result<PersonId, HeldLine>, ArchiveError> {
    for key in [&row.known, &row.external_id, &row.name]
        .into_iter()
        .flatten()
    {
        match archive.find_people(key)?.as_slice() {
            [one] => return Ok(Ok(one.id)),
            [] => {}
            several => return Ok(Err(ambiguous(row, key, several))),
        }
    }
    Ok(Err(unknown(row, nearest(archive, row)?.as_deref())))
}

/// A name this like another is worth pointing out. Common practice, no source.
const ALIKE: f64 = 0.88;

/// Returns the called name most like the one in the row, if any is like it.
fn nearest(archive: &Archive, row: &ResultRow) -> Result<Option<String>, ArchiveError> {
    let Some(name) = &row.name else {
        return Ok(None);
    };
    let name = name.to_lowercase();
    let mut best: Option<(f64, String)> = None;
    for person in archive.people()? {
        let own = [&person.facts.called_name]
            .into_iter()
            .chain(&person.aliases);
        let likeness = own
            .map(|n| strsim::jaro_winkler(&name, &n.to_lowercase()))
            .fold(0.0, f64::max);
        if likeness >= ALIKE && best.as_ref().is_none_or(|(b, _)| likeness > *b) {
            best = Some((likeness, person.facts.called_name));
        }
    }
    Ok(best.map(|(_, name)| name))
}

fn ambiguous(row: &ResultRow, key: &str, several: &[Person]) -> HeldLine {
    let ids: Vec<String> = several.iter().map(|p| p.id.to_string()).collect();
    HeldLine {
        row: row.row,
        column: "name".to_owned(),
        code: "person-ambiguous".to_owned(),
        found: format!("`{key}`"),
        why: format!(
            "Row {}: {} people are called `{key}`.",
            row.row,
            several.len()
        ),
        suggestion: format!("write one of their ids in the sheet: {}", ids.join(", ")),
    }
}

fn unknown(row: &ResultRow, nearest: Option<&str>) -> HeldLine {
    let name = row.name.as_deref().or(row.bib.as_deref()).unwrap_or("");
    let suggestion = match nearest {
        Some(near) => format!(
            "if it is {near}: `plimsoll people alias \"{near}\" \"{name}\"`, then import with \
             --held-only; if a new person, import with --add-people"
        ),
        None => format!(
            "if it is another spelling: `plimsoll people alias PERSON \"{name}\"`, then import \
             with --held-only; if a new person, import with --add-people"
        ),
    };
    HeldLine {
        row: row.row,
        column: "name".to_owned(),
        code: "person-unknown".to_owned(),
        found: format!("`{name}`"),
        why: format!("Row {}: nobody in the archive is called `{name}`.", row.row),
        suggestion,
    }
}

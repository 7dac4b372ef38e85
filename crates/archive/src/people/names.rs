//! Finding a person by what people write: an id, a list's id or a name.
//! Must not guess: near names are the duplicate finder's business, not this file's.

use unicode_normalization::UnicodeNormalization as _;
use unicode_normalization::char::is_combining_mark;

use super::roster::{everyone, person};
use crate::db::Tx;
use crate::error::ArchiveError;
use crate::id::PersonId;
use crate::model::Person;

/// Returns a name without differences of capitals, spaces and Unicode spelling.
pub(super) fn folded(name: &str) -> String {
    let words: Vec<String> = name
        .nfkc()
        .collect::<String>()
        .split_whitespace()
        .map(str::to_lowercase)
        .collect();
    words.join(" ")
}

/// Returns a folded name without accents.
fn plain(name: &str) -> String {
    folded(name)
        .nfd()
        .filter(|letter| !is_combining_mark(*letter))
        .collect()
}

/// Returns the people a text may mean, from the first reading that fits anyone.
pub(super) fn find(tx: &Tx<'_>, text: &str) -> Result<Vec<Person>, ArchiveError> {
    let text = text.trim();
    if let Ok(id) = text.parse::<PersonId>()
        && let Some(found) = person(tx, id)?
    {
        return Ok(vec![found]);
    }
    let people = everyone(tx)?;
    let fitting = |fits: &dyn Fn(&Person) -> bool| -> Vec<Person> {
        people
            .iter()
            .filter(|person| fits(person))
            .cloned()
            .collect()
    };
    let mut found = fitting(&|person| person.facts.external_id.as_deref() == Some(text));
    for fold in [folded, plain] {
        if !found.is_empty() {
            break;
        }
        let wanted = fold(text);
        found = fitting(&|person| {
            let legal = person.facts.legal_name.iter();
            let mut names = [&person.facts.called_name]
                .into_iter()
                .chain(legal)
                .chain(&person.aliases);
            names.any(|name| fold(name) == wanted)
        });
    }
    Ok(found)
}

/// Returns the one person a text means.
pub(super) fn the_one(tx: &Tx<'_>, text: &str) -> Result<Person, ArchiveError> {
    let mut found = find(tx, text)?;
    match found.len() {
        1 => Ok(found.remove(0)),
        0 => Err(ArchiveError::NotFound {
            what: "person",
            found: text.trim().to_owned(),
            hint: "list the people to see their names and ids, or import them first",
        }),
        _ => Err(ArchiveError::Ambiguous {
            found: text.trim().to_owned(),
            people: found.iter().map(in_words).collect(),
        }),
    }
}

fn in_words(person: &Person) -> String {
    let born = person.facts.birth_date;
    let born = born.map_or(String::new(), |date| format!(", born {date}"));
    format!("{}{born}, id {}", person.facts.called_name, person.id)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn capitals_spaces_and_unicode_spelling_do_not_matter_and_accents_only_when_plain() {
        assert_eq!(folded("  Zoë   ORLANE "), "zoë orlane");
        assert_eq!(folded("Zoe\u{308} Orlane"), "zoë orlane");
        assert_ne!(folded("Zoe Orlane"), folded("Zoë Orlane"));
        assert_eq!(plain("Zoë Orlane"), "zoe orlane");
    }
}

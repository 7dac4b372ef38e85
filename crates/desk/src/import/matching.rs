//! Whose row it is: the roster's certain match, else exactly one person of that name or id.

use std::collections::BTreeMap;

use plimsoll_archive::{Archive, ArchiveError, PersonId};
use plimsoll_examine::ResultRow;

use super::held::HeldLine;

/// A name this like another is worth pointing out. Common practice, no source.
const ALIKE: f64 = 0.88;

/// Everybody of the archive by id, by the ids of lists, and by name, read once.
pub(super) struct Directory {
    ids: BTreeMap<String, PersonId>,
    keys: BTreeMap<String, Vec<PersonId>>,
    names: Vec<(String, String)>,
}

impl Directory {
    /// Reads the archive's people.
    pub(super) fn of(archive: &Archive) -> Result<Self, ArchiveError> {
        let mut directory = Self {
            ids: BTreeMap::new(),
            keys: BTreeMap::new(),
            names: Vec::new(),
        };
        for person in archive.people()? {
            directory.ids.insert(person.id.to_string(), person.id);
            let facts = &person.facts;
            let called = [&facts.called_name].into_iter().chain(&facts.legal_name);
            for name in called.chain(&person.aliases) {
                directory.names.push((key(name), facts.called_name.clone()));
            }
            let own = [&facts.called_name].into_iter().chain(&facts.legal_name);
            for text in own.chain(&person.aliases).chain(&facts.external_id) {
                let list = directory.keys.entry(key(text)).or_default();
                if !list.contains(&person.id) {
                    list.push(person.id);
                }
            }
        }
        Ok(directory)
    }

    /// Returns the person of a row, or why there is none.
    pub(super) fn person(&self, row: &ResultRow) -> Result<PersonId, Box<HeldLine>> {
        if let Some(id) = row.known.as_ref().and_then(|known| self.ids.get(known)) {
            return Ok(*id);
        }
        for text in [&row.external_id, &row.name].into_iter().flatten() {
            if let Some(id) = self.ids.get(text.trim()) {
                return Ok(*id);
            }
            match self.keys.get(&key(text)).map(Vec::as_slice) {
                Some([one]) => return Ok(*one),
                Some(several) if !several.is_empty() => {
                    return Err(Box::new(ambiguous(row, text, several)));
                }
                _ => {}
            }
        }
        Err(Box::new(self.unknown(row)))
    }

    /// Returns the called name most like a name, if any is like it.
    fn nearest(&self, name: &str) -> Option<&str> {
        let name = key(name);
        let scored = self
            .names
            .iter()
            .map(|(k, called)| (strsim::jaro_winkler(&name, k), called));
        let best = scored.max_by(|a, b| a.0.total_cmp(&b.0))?;
        (best.0 >= ALIKE).then_some(best.1.as_str())
    }

    fn unknown(&self, row: &ResultRow) -> HeldLine {
        let name = row.name.as_deref().or(row.bib.as_deref()).unwrap_or("");
        let suggestion = match self.nearest(name) {
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
}

/// Returns the form in which names are compared: capitals and outer space aside.
fn key(text: &str) -> String {
    text.trim().to_lowercase()
}

fn ambiguous(row: &ResultRow, text: &str, several: &[PersonId]) -> HeldLine {
    let ids: Vec<String> = several.iter().map(ToString::to_string).collect();
    HeldLine {
        row: row.row,
        column: "name".to_owned(),
        code: "person-ambiguous".to_owned(),
        found: format!("`{text}`"),
        why: format!(
            "Row {}: {} people are called `{text}`.",
            row.row,
            several.len()
        ),
        suggestion: format!("write one of their ids in the sheet: {}", ids.join(", ")),
    }
}

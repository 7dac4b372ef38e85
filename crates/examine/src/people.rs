//! Who each row is about: one entry for each different person as written, never merged by likeness.
//! Two rows are one person here only when id, or name and date of birth, are the same.

use std::collections::HashMap;

use jiff::civil::Date;

use crate::cell::Sex;
use crate::header::{Field, Mapping, fold};
use crate::options::Context;
use crate::readings::Readings;
use crate::table::{Column, Sheet};

/// No person.
pub(crate) const NOBODY: u32 = u32::MAX;

/// A person as written in the file.
#[derive(Debug, Clone)]
pub(crate) struct Person {
    /// Name as first written; a bib when there is no name.
    pub name: String,
    /// Folded name, given name first where the file says which is which.
    pub folded: String,
    /// Date of birth.
    pub birth: Option<Date>,
    /// Id that another system gave.
    pub external: Option<String>,
    /// First squad written.
    pub squad: Option<String>,
    /// Sex first written.
    pub sex: Option<Sex>,
    /// Whether the name names a person beyond the day, unlike a bib.
    pub named: bool,
    /// First data row.
    pub first_row: usize,
    /// Rows.
    pub rows: u32,
    /// The same person in the roster.
    pub known: Option<usize>,
}

/// The people of a file.
#[derive(Debug, Default)]
pub(crate) struct People {
    /// Everybody, in order of first row.
    pub list: Vec<Person>,
    of_row: Vec<u32>,
}

impl People {
    /// Reads who each row is about.
    pub fn of(sheet: &Sheet, mapping: &Mapping, read: &Readings, context: &Context) -> Self {
        let column = |field: Field| mapping.index_of(field).and_then(|i| sheet.columns().get(i));
        let names = Names {
            whole: column(Field::Name),
            given: column(Field::GivenName),
            family: column(Field::FamilyName),
        };
        let (id, bib, squad) = (
            column(Field::ExternalId),
            column(Field::Bib),
            column(Field::Squad),
        );
        let mut people = Self {
            list: Vec::new(),
            of_row: vec![NOBODY; sheet.rows()],
        };
        let mut index: HashMap<(String, Option<Date>, Option<String>), u32> = HashMap::new();
        for row in 0..sheet.rows() {
            let text = |c: Option<&Column>| {
                c.map(|c| c.cell(row))
                    .filter(|c| !c.is_empty())
                    .map(ToString::to_string)
            };
            let external = text(id);
            let name = names.at(row);
            let birth = read.birth.as_ref().and_then(|b| b.date(sheet, row));
            let (shown, folded, named) = match (&name, &external, text(bib)) {
                (Some(name), ..) => (name.clone(), fold_name(name), true),
                (None, Some(id), _) => (id.clone(), String::new(), true),
                (None, None, Some(bib)) => {
                    (format!("bib {bib}"), format!("bib {}", fold(&bib)), false)
                }
                (None, None, None) => continue,
            };
            let key = (folded.clone(), birth, external.clone());
            let person = *index.entry(key).or_insert_with(|| {
                people.list.push(Person {
                    name: shown,
                    folded,
                    birth,
                    external,
                    squad: None,
                    sex: None,
                    named,
                    first_row: row,
                    rows: 0,
                    known: None,
                });
                (people.list.len() - 1) as u32
            });
            if let Some(entry) = people.list.get_mut(person as usize) {
                entry.rows += 1;
                entry.squad = entry.squad.take().or_else(|| text(squad));
                entry.sex = entry.sex.or_else(|| {
                    read.sex
                        .as_ref()
                        .and_then(|s| s.at(sheet, row))
                        .copied()
                        .flatten()
                });
            }
            if let Some(place) = people.of_row.get_mut(row) {
                *place = person;
            }
        }
        people.fill_gaps();
        people.link(context);
        people
    }

    /// Rows of a name without a birth date or id belong to the only full entry of that name.
    fn fill_gaps(&mut self) {
        let mut full: HashMap<&str, Vec<u32>> = HashMap::new();
        for (i, p) in self.list.iter().enumerate() {
            if p.birth.is_some() || p.external.is_some() {
                full.entry(p.folded.as_str()).or_default().push(i as u32);
            }
        }
        let mut moved: HashMap<u32, u32> = HashMap::new();
        for (i, p) in self.list.iter().enumerate() {
            if p.birth.is_none()
                && p.external.is_none()
                && p.named
                && let Some([only]) = full.get(p.folded.as_str()).map(Vec::as_slice)
            {
                moved.insert(i as u32, *only);
            }
        }
        for place in &mut self.of_row {
            if let Some(to) = moved.get(place) {
                *place = *to;
            }
        }
        for (from, to) in &moved {
            let rows = self.list.get(*from as usize).map_or(0, |p| p.rows);
            if let Some(person) = self.list.get_mut(*to as usize) {
                person.rows += rows;
            }
            if let Some(person) = self.list.get_mut(*from as usize) {
                person.rows = 0;
            }
        }
    }

    /// Finds the people whom the roster knows by id, or by name when birth dates do not differ.
    fn link(&mut self, context: &Context) {
        let mut by_id: HashMap<&str, usize> = HashMap::new();
        let mut by_name: HashMap<String, Vec<usize>> = HashMap::new();
        for (i, known) in context.roster.iter().enumerate() {
            for id in known.external_ids.iter().chain([&known.id]) {
                by_id.insert(id.as_str(), i);
            }
            for name in &known.names {
                // Two names of one person may fold to the same; the person still counts once.
                let same = by_name.entry(fold_name(name)).or_default();
                if same.last() != Some(&i) {
                    same.push(i);
                }
            }
        }
        for person in &mut self.list {
            person.known = person
                .external
                .as_deref()
                .and_then(|id| by_id.get(id))
                .copied()
                .or_else(|| {
                    let fits: Vec<usize> = by_name
                        .get(&person.folded)?
                        .iter()
                        .copied()
                        .filter(|i| {
                            let birth = context.roster.get(*i).and_then(|k| k.birth_date);
                            birth.is_none() || person.birth.is_none() || birth == person.birth
                        })
                        .collect();
                    match fits.as_slice() {
                        [only] => Some(*only),
                        _ => None,
                    }
                });
        }
    }

    /// Returns the index of the person of a row.
    pub fn at(&self, row: usize) -> Option<usize> {
        self.of_row
            .get(row)
            .copied()
            .filter(|p| *p != NOBODY)
            .map(|p| p as usize)
    }

    /// Returns the person of a row.
    pub fn person(&self, row: usize) -> Option<&Person> {
        self.list.get(self.at(row)?)
    }
}

/// The name columns.
struct Names<'a> {
    whole: Option<&'a Column>,
    given: Option<&'a Column>,
    family: Option<&'a Column>,
}

impl Names<'_> {
    fn at(&self, row: usize) -> Option<String> {
        let text = |c: Option<&Column>| {
            c.map(|c| c.cell(row))
                .filter(|c| !c.is_empty())
                .map(ToString::to_string)
        };
        if let Some(whole) = text(self.whole) {
            // A file may have `Name` for the family name beside `First name`.
            return Some(match text(self.given) {
                Some(given) if self.family.is_none() && !whole.contains(' ') => {
                    format!("{given} {whole}")
                }
                _ => whole,
            });
        }
        match (text(self.given), text(self.family)) {
            (Some(given), Some(family)) => Some(format!("{given} {family}")),
            (given, family) => given.or(family),
        }
    }
}

/// Folds a name; `Family, Given` is put the other way round.
pub(crate) fn fold_name(name: &str) -> String {
    match name.split_once(',') {
        Some((family, given)) if !given.trim().is_empty() => fold(&format!("{given} {family}")),
        _ => fold(name),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn family_name_first_folds_to_the_same() {
        assert_eq!(fold_name("Example, Zoë"), "zoe example");
        assert_eq!(fold_name("Zoë Example"), "zoe example");
    }
}

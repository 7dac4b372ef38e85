//! People out of a roster file.

use std::path::Path;

use jiff::civil::Date;
use plimsoll_archive::{ImportFile, Membership, NewPerson, PersonFacts, PersonId, Sex, Writer};
use plimsoll_examine::{Options, PersonRow, Sex as ExaminedSex};
use plimsoll_ladder::Catalogue;

use super::held::{Written, findings, lines};
use super::{Common, ImportError, examine, known};

/// What an import of people came to.
#[derive(Debug, Clone)]
pub struct PeopleImport {
    /// What every import gives back.
    pub common: Common,
    /// People new to the archive.
    pub new: usize,
    /// People the archive knew already.
    pub known: usize,
}

/// Imports the people of a file: rows without a fault that holds them.
///
/// # Errors
///
/// [`ImportError`]; nothing is written then.
pub fn import_people(
    archive: &mut Writer,
    catalogue: &Catalogue,
    path: &Path,
    today: Date,
    force: bool,
    adjust: impl FnOnce(&mut Options<'_>),
) -> Result<PeopleImport, ImportError> {
    let mut options = Options::new(catalogue);
    options.context = known(archive, None, today, None)?;
    adjust(&mut options);
    let examination = examine(path, &options)?;
    let report = examination.report.clone();
    let sheet_name = report.file.sheet.clone();
    let written = Written::of(examination.sheet(), sheet_name.clone());
    let held = lines(&report, &examination.rows);
    let people: Vec<NewPerson> = examination
        .people()
        .map(|row| new_person(&row, &written))
        .collect();
    let known_already = people.iter().filter(|p| p.existing.is_some()).count();
    let mut change = None;
    if !people.is_empty() || !held.is_empty() {
        let file = ImportFile {
            file_name: report.file.name.clone(),
            sha256: report.file.sha256.clone(),
            rows_seen: u32::try_from(report.rows).unwrap_or(u32::MAX),
            options: None,
            force,
            held: held.iter().map(|h| written.row(h.row)).collect(),
            findings: findings(&report, sheet_name.as_deref(), &[]),
        };
        change = Some(archive.import_people(&file, &people)?.change);
    }
    Ok(PeopleImport {
        new: people.len() - known_already,
        known: known_already,
        common: Common {
            accepted: people.len(),
            held,
            change,
            report,
        },
    })
}

/// Returns the archive's form of a person out of a row.
pub(super) fn new_person(row: &PersonRow, written: &Written<'_>) -> NewPerson {
    let existing: Option<PersonId> = row.known.as_deref().and_then(|id| id.parse().ok());
    NewPerson {
        existing,
        facts: PersonFacts {
            called_name: row.name.clone(),
            birth_date: row.birth_date,
            sex: row.sex.and_then(|s| match s {
                ExaminedSex::Female => Some(Sex::Female),
                ExaminedSex::Male => Some(Sex::Male),
                _ => None,
            }),
            external_id: row.external_id.clone(),
            ..PersonFacts::default()
        },
        aliases: row.aliases.clone(),
        memberships: row
            .squad
            .iter()
            .map(|squad| Membership {
                squad: squad.clone(),
                from: None,
                to: None,
            })
            .collect(),
        source: written.row(row.row),
    }
}

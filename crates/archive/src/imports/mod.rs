//! Imports: one file, one transaction, one change of the journal.
//! Must keep what was held back, and every row as it was written.

mod record;

use std::collections::BTreeSet;

use record::Record;

use crate::days::{existing_day, new_day};
use crate::db::{Stmt, Tx};
use crate::error::ArchiveError;
use crate::id::{DayId, PersonId, ResultId};
use crate::model::{Import, ImportFile, ImportKind, ImportReport, NewPerson, NewResult, WhichDay};
use crate::open::Writer;
use crate::pen::in_row;
use crate::people::existing;
use crate::results::{self, Version};
use crate::rows;
use crate::schema::IMPORT;

impl Writer {
    /// Records a file of people.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::SameFile`], [`ArchiveError::Value`] with the file's row, and
    /// [`ArchiveError::NotFound`] when an existing person is not there.
    pub fn import_people(
        &mut self,
        file: &ImportFile,
        people: &[NewPerson],
    ) -> Result<ImportReport, ArchiveError> {
        self.draft(|draft| {
            let kind = ImportKind::People;
            let record = Record::begin(draft, file, kind, None, None, people.len())?;
            let mut ids = Vec::with_capacity(people.len());
            for person in people {
                let id = record.person(person);
                ids.push(id.map_err(|error| in_row(error, &person.source))?);
            }
            Ok(ImportReport {
                people: ids,
                ..record.report()
            })
        })
    }

    /// Records a file of results of one test day, with the day where that is new.
    ///
    /// # Errors
    ///
    /// As [`Writer::import_results_of_days`].
    pub fn import_results(
        &mut self,
        file: &ImportFile,
        day: &WhichDay,
        new: &[NewResult],
    ) -> Result<ImportReport, ArchiveError> {
        self.import_results_of_days(file, &[(day, new)])
    }

    /// Records a file of results of several test days, in one transaction.
    ///
    /// An import of one day is filed under its date and test; one of several under neither date
    /// nor, when they differ, test.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::SameFile`], [`ArchiveError::Value`] with the file's row,
    /// [`ArchiveError::NotFound`] when a person or the day is not there, and
    /// [`ArchiveError::NotInForce`] when a corrected result was corrected before.
    pub fn import_results_of_days(
        &mut self,
        file: &ImportFile,
        days: &[(&WhichDay, &[NewResult])],
    ) -> Result<ImportReport, ArchiveError> {
        self.draft(|draft| {
            let mut dates = BTreeSet::new();
            let mut ladders = BTreeSet::new();
            for (day, _) in days {
                let facts = match day {
                    WhichDay::New(facts) => (**facts).clone(),
                    WhichDay::Existing(id) => existing_day(draft.tx, *id)?.facts,
                };
                dates.insert(facts.date.to_string());
                ladders.insert(facts.ladder_id);
            }
            let only_date = dates
                .first()
                .filter(|_| dates.len() == 1)
                .map(String::as_str);
            let only_ladder = ladders.first().filter(|_| ladders.len() == 1);
            let ladder = only_ladder.and_then(|l| l.as_deref());
            let accepted = days.iter().map(|(_, new)| new.len()).sum();
            let kind = ImportKind::Results;
            let record = Record::begin(draft, file, kind, ladder, only_date, accepted)?;
            let mut report = record.report();
            let mut known: BTreeSet<PersonId> = BTreeSet::new();
            for (day, new) in days {
                let day = match day {
                    WhichDay::New(facts) => new_day(&record.pen, facts)?,
                    WhichDay::Existing(id) => *id,
                };
                report.day = Some(day);
                for result in *new {
                    report
                        .results
                        .push(insert_result(&record, draft.tx, day, result, &mut known)?);
                    report.people.push(result.person);
                }
            }
            if days.len() != 1 {
                report.day = None;
            }
            Ok(report)
        })
    }
}

/// Records one result of a file.
fn insert_result(
    record: &Record<'_>,
    tx: &Tx<'_>,
    day: DayId,
    result: &NewResult,
    known: &mut BTreeSet<PersonId>,
) -> Result<ResultId, ArchiveError> {
    if known.insert(result.person) {
        existing(tx, result.person)?;
    }
    if let Some(earlier) = result.supersedes {
        results::in_force(tx, earlier)?;
    }
    let source = record.source_row(&result.source)?;
    let version = Version {
        supersedes: result.supersedes,
        source: Some(source),
        ..Version::first(result.person, day, &result.facts)
    };
    results::insert(&record.pen, &version).map_err(|error| in_row(error, &result.source))
}

/// Returns a statement for the imports, undone ones too, each with time, name and state.
pub(crate) fn imports_stmt() -> Stmt {
    Stmt::new(format!(
        "SELECT {}, c.at_ms, c.who, c.undone FROM import i JOIN change c ON c.seq = i.change_seq",
        IMPORT.column_list("i.")
    ))
}

/// Returns the import in force of the same content, kind, test and date, if there is one.
pub(crate) fn twin(
    tx: &Tx<'_>,
    sha256: &str,
    kind: ImportKind,
    ladder: Option<&str>,
    date: Option<&str>,
) -> Result<Vec<Import>, ArchiveError> {
    let stmt = imports_stmt();
    let stmt = Stmt::new(format!("{} WHERE i.file_sha256 = $1", stmt.sql)).with(sha256);
    let mut found = rows::each(tx, &stmt, Import::from_row)?;
    found.retain(|import| {
        !import.undone
            && import.kind == kind
            && import.ladder.as_deref() == ladder
            && import.on_date.map(|date| date.to_string()).as_deref() == date
    });
    found.sort_by_key(|import| import.change);
    Ok(found)
}

fn refuse_twice(
    tx: &Tx<'_>,
    file: &ImportFile,
    kind: ImportKind,
    ladder: Option<&str>,
    date: Option<&str>,
) -> Result<(), ArchiveError> {
    let earlier = twin(tx, &file.sha256, kind, ladder, date)?;
    let Some(earlier) = earlier.into_iter().next() else {
        return Ok(());
    };
    let what = match (ladder, date) {
        (Some(ladder), Some(date)) => format!("as results of {ladder} on {date}"),
        (None, Some(date)) => format!("as results of {date}"),
        _ if kind == ImportKind::Results => "as results of several days".to_owned(),
        _ => "as people".to_owned(),
    };
    Err(ArchiveError::SameFile {
        file_name: file.file_name.clone(),
        earlier_name: earlier.file_name,
        what,
        change: earlier.change,
    })
}

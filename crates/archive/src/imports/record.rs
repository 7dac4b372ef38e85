//! An import being recorded, row by row.
//! Must record every row as it was written beside what was made of it.

use super::refuse_twice;
use crate::digest::sha256_hex;
use crate::error::ArchiveError;
use crate::id::{HeldId, ImportId, PersonId, SourceId};
use crate::model::{
    ChangeKind, Finding, ImportFile, ImportKind, ImportReport, Membership, NewPerson, PersonFacts,
    RecordedMembership, SourceRow,
};
use crate::pen::{Draft, Pen};
use crate::people::{
    add_aliases, add_membership, existing, first_version, next_version, own_version,
};
use crate::rows;
use crate::schema::{FINDING, HELD_ROW, IMPORT, MEMBERSHIP, SOURCE_ROW, Table};
use crate::words::Word;

/// An import being recorded.
pub(super) struct Record<'a> {
    /// The change.
    pub(super) pen: Pen<'a>,
    id: ImportId,
}

impl<'a> Record<'a> {
    /// Begins the change: the import's own row, what was held back and what was found.
    pub(super) fn begin(
        draft: &Draft<'a>,
        file: &ImportFile,
        kind: ImportKind,
        ladder: Option<&str>,
        date: Option<&str>,
        accepted: usize,
    ) -> Result<Self, ArchiveError> {
        let held = file.held.len();
        if u64::try_from(accepted + held).is_ok_and(|sum| sum > u64::from(file.rows_seen)) {
            return Err(ArchiveError::RowCounts {
                file_name: file.file_name.clone(),
                accepted,
                held,
                seen: file.rows_seen,
            });
        }
        if !file.force {
            refuse_twice(draft.tx, file, kind, ladder, date)?;
        }
        let (change, what) = match kind {
            ImportKind::People => (ChangeKind::PeopleImported, "people"),
            ImportKind::Results => (ChangeKind::ResultsImported, "results"),
        };
        let on = date.map_or(String::new(), |date| format!(" of {date}"));
        let summary = format!(
            "{what}{on} from `{}`: {accepted} accepted, {held} held",
            file.file_name
        );
        let pen = draft.begin(change, &summary)?;
        let id = ImportId(pen.id());
        pen.insert(
            &IMPORT,
            vec![
                id.into(),
                pen.seq.into(),
                kind.as_str().into(),
                file.file_name.as_str().into(),
                file.sha256.as_str().into(),
                ladder.into(),
                date.into(),
                file.rows_seen.into(),
                i64::try_from(accepted).unwrap_or(i64::MAX).into(),
                i64::try_from(held).unwrap_or(i64::MAX).into(),
                file.force.into(),
                file.options.as_ref().map(ToString::to_string).into(),
            ],
        )?;
        let record = Self { pen, id };
        for row in &file.held {
            record.insert_row(&HELD_ROW, HeldId(record.pen.id()).to_string(), row)?;
        }
        for finding in &file.findings {
            record.finding(finding)?;
        }
        Ok(record)
    }

    /// Returns the report of an import without rows.
    pub(super) fn report(&self) -> ImportReport {
        ImportReport {
            import: self.id,
            change: self.pen.seq,
            day: None,
            people: Vec::new(),
            results: Vec::new(),
        }
    }

    fn insert_row(
        &self,
        table: &'static Table,
        id: String,
        row: &SourceRow,
    ) -> Result<(), ArchiveError> {
        let as_written = row.as_written.to_string();
        let sha256 = sha256_hex(as_written.as_bytes());
        self.pen.insert(
            table,
            vec![
                id.into(),
                self.id.into(),
                row.sheet.clone().into(),
                row.row.into(),
                as_written.into(),
                sha256.into(),
            ],
        )
    }

    /// Records a taken row as it was written.
    pub(super) fn source_row(&self, row: &SourceRow) -> Result<SourceId, ArchiveError> {
        let id = SourceId(self.pen.id());
        self.insert_row(&SOURCE_ROW, id.to_string(), row)?;
        Ok(id)
    }

    fn finding(&self, finding: &Finding) -> Result<(), ArchiveError> {
        self.pen.insert(
            &FINDING,
            vec![
                self.pen.id().hyphenated().to_string().into(),
                self.id.into(),
                finding.sheet.clone().into(),
                finding.row.into(),
                finding.column.clone().into(),
                finding.code.as_str().into(),
                finding.found.clone().into(),
                finding.allowed.clone().into(),
                finding.suggestion.clone().into(),
            ],
        )
    }

    /// Records a person of the file. For an existing one a new version is recorded even when it
    /// says the same: it is the trace that this file listed them.
    pub(super) fn person(&self, new: &NewPerson) -> Result<PersonId, ArchiveError> {
        let pen = &self.pen;
        let source = Some(self.source_row(&new.source)?);
        let Some(existing_id) = new.existing else {
            let id = first_version(pen, &new.facts, source)?;
            add_aliases(pen, id, &new.facts.called_name, &new.aliases, source)?;
            for membership in &new.memberships {
                add_membership(pen, id, membership, source)?;
            }
            return Ok(id);
        };
        let id = existing(pen.tx, existing_id)?.id;
        let own = own_version(pen.tx, id)?;
        let facts: PersonFacts = new.facts.clone().or(&own.facts);
        next_version(pen, &own, &facts, source)?;
        let mut aliases = new.aliases.clone();
        aliases.push(own.facts.called_name.clone());
        add_aliases(pen, id, &facts.called_name, &aliases, source)?;
        let stmt = rows::in_force(&MEMBERSHIP, Some(("person_id", id.into())));
        let recorded = rows::each(pen.tx, &stmt, RecordedMembership::from_row)?;
        let known: Vec<Membership> = recorded.into_iter().map(|m| m.membership).collect();
        for membership in new.memberships.iter().filter(|m| !known.contains(m)) {
            add_membership(pen, id, membership, source)?;
        }
        Ok(id)
    }
}

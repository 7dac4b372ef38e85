//! Results: entering, correcting and withdrawing them.
//! Must not alter a version; a correction is another one, and both are kept.

mod ask;

use crate::days::existing_day;
use crate::db::{Tx, V};
use crate::error::ArchiveError;
use crate::id::{DayId, PersonId, ResultId, SourceId};
use crate::model::{ChangeKind, ResultFacts, ResultRecord};
use crate::open::Writer;
use crate::pen::{Draft, Pen};
use crate::people::existing;
use crate::rows;
use crate::schema::RESULT;

impl Writer {
    /// Enters a result by hand.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::NotFound`], and [`ArchiveError::Value`] when a fact cannot be stored.
    pub fn add_result(
        &mut self,
        person: PersonId,
        day: DayId,
        facts: &ResultFacts,
    ) -> Result<ResultId, ArchiveError> {
        self.draft(|draft| {
            let who = existing(draft.tx, person)?;
            let when = existing_day(draft.tx, day)?;
            let summary = format!("result of {} on {}", who.facts.called_name, when.facts.date);
            let pen = draft.begin(ChangeKind::ResultAdded, &summary)?;
            insert(&pen, &Version::first(who.id, day, facts))
        })
    }

    /// Corrects a result; `why` goes into the journal. The old version is kept.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::NotInForce`] when it was corrected before, and [`ArchiveError::Value`] when
    /// a fact cannot be stored.
    pub fn correct_result(
        &mut self,
        id: ResultId,
        facts: &ResultFacts,
        why: &str,
    ) -> Result<ResultId, ArchiveError> {
        self.draft(|draft| {
            let before = in_force(draft.tx, id)?;
            let pen = begin(
                draft,
                ChangeKind::ResultCorrected,
                &before,
                "corrected",
                why,
            )?;
            insert(&pen, &Version::after(&before, facts))
        })
    }

    /// Gives a result to another person, for instance after a swap of bibs. The old version is kept.
    ///
    /// # Errors
    ///
    /// As [`Writer::correct_result`], and [`ArchiveError::NotFound`] when there is no such person.
    pub fn reassign_result(
        &mut self,
        id: ResultId,
        person: PersonId,
        why: &str,
    ) -> Result<ResultId, ArchiveError> {
        self.draft(|draft| {
            let before = in_force(draft.tx, id)?;
            let person = existing(draft.tx, person)?;
            let pen = begin(
                draft,
                ChangeKind::ResultCorrected,
                &before,
                "reassigned",
                why,
            )?;
            let version = Version {
                person: person.id,
                ..Version::after(&before, &before.facts)
            };
            insert(&pen, &version)
        })
    }

    /// Says that there is no such result; `why` goes into the journal. It is kept, and counts no
    /// more.
    ///
    /// # Errors
    ///
    /// As [`Writer::correct_result`].
    pub fn withdraw_result(&mut self, id: ResultId, why: &str) -> Result<ResultId, ArchiveError> {
        self.draft(|draft| {
            let before = in_force(draft.tx, id)?;
            let pen = begin(
                draft,
                ChangeKind::ResultWithdrawn,
                &before,
                "withdrawn",
                why,
            )?;
            let version = Version {
                withdrawn: true,
                ..Version::after(&before, &before.facts)
            };
            insert(&pen, &version)
        })
    }
}

fn begin<'a>(
    draft: &Draft<'a>,
    kind: ChangeKind,
    before: &ResultRecord,
    done: &str,
    why: &str,
) -> Result<Pen<'a>, ArchiveError> {
    let who = existing(draft.tx, before.recorded_person)?;
    let when = existing_day(draft.tx, before.day)?;
    let summary = format!(
        "result of {} on {} {done}: {why}",
        who.facts.called_name, when.facts.date
    );
    draft.begin(kind, &summary)
}

/// A version of a result to record.
pub(crate) struct Version<'a> {
    /// Whose it is.
    pub(crate) person: PersonId,
    /// When.
    pub(crate) day: DayId,
    /// What was done.
    pub(crate) facts: &'a ResultFacts,
    /// Whether it says that there is no result.
    pub(crate) withdrawn: bool,
    /// The version it takes the place of.
    pub(crate) supersedes: Option<ResultId>,
    /// The row of the file it came from.
    pub(crate) source: Option<SourceId>,
}

impl<'a> Version<'a> {
    /// Returns a new result, entered by hand.
    pub(crate) fn first(person: PersonId, day: DayId, facts: &'a ResultFacts) -> Self {
        Self {
            person,
            day,
            facts,
            withdrawn: false,
            supersedes: None,
            source: None,
        }
    }

    /// Returns a version that takes the place of another.
    fn after(before: &ResultRecord, facts: &'a ResultFacts) -> Self {
        Self {
            supersedes: Some(before.id),
            ..Self::first(before.recorded_person, before.day, facts)
        }
    }
}

/// Records a version.
pub(crate) fn insert(pen: &Pen<'_>, version: &Version<'_>) -> Result<ResultId, ArchiveError> {
    let id = ResultId(pen.id());
    let mut values: Vec<V> = Vec::with_capacity(RESULT.columns.len());
    values.extend([id.into(), version.person.into(), version.day.into()]);
    values.extend(version.facts.to_values());
    values.extend([
        version.withdrawn.into(),
        version.supersedes.into(),
        pen.seq.into(),
        version.source.into(),
    ]);
    pen.insert(&RESULT, values)?;
    Ok(id)
}

/// Returns the version in force with this id.
pub(crate) fn in_force(tx: &Tx<'_>, id: ResultId) -> Result<ResultRecord, ArchiveError> {
    let stmt = rows::in_force(&RESULT, Some(("id", id.into())));
    if let Some(found) = rows::one(tx, &stmt, ResultRecord::from_row)? {
        return Ok(found);
    }
    if rows::one(
        tx,
        &rows::by_key(&RESULT, id.into()),
        ResultRecord::from_row,
    )?
    .is_none()
    {
        return Err(missing(id));
    }
    Err(ArchiveError::NotInForce {
        what: "result",
        id: id.to_string(),
        why: "a later version took its place, or its import is undone".to_owned(),
    })
}

fn missing(id: ResultId) -> ArchiveError {
    ArchiveError::NotFound {
        what: "result",
        found: id.to_string(),
        hint: "list the results to see their ids",
    }
}

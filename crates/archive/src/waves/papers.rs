//! Papers of a day and health notes: adding them, asking for the ones in force.
//! Must not alter one; the latest of a kind and subject counts, the others stay.

use serde_json::Value;

use crate::days::existing_day;
use crate::db::{Tx, V};
use crate::error::ArchiveError;
use crate::id::{DayId, HealthNoteId, PaperId, PersonId};
use crate::model::{Change, ChangeKind, DayPaper, HealthNote, PaperKind};
use crate::open::{Archive, Writer};
use crate::people::existing;
use crate::rows;
use crate::schema::{CHANGE, DAY_PAPER, HEALTH_NOTE};
use crate::words::Word;

impl Archive {
    /// Returns every paper of a day, oldest first, those that later ones replaced too.
    pub fn papers(&self, day: DayId) -> Result<Vec<DayPaper>, ArchiveError> {
        self.db.read(|tx| of_day(tx, day))
    }

    /// Returns the paper of a kind and subject that is in force.
    pub fn paper(
        &self,
        day: DayId,
        kind: PaperKind,
        subject: Option<&str>,
    ) -> Result<Option<DayPaper>, ArchiveError> {
        let all = self.papers(day)?;
        Ok(all
            .into_iter()
            .rfind(|p| p.kind == kind && p.subject.as_deref() == subject))
    }

    /// Returns the health notes of a day, oldest first. For the medic's pages only.
    pub fn health_notes(&self, day: DayId) -> Result<Vec<HealthNote>, ArchiveError> {
        self.db.read(|tx| {
            let stmt = rows::in_force(&HEALTH_NOTE, Some(("day_id", day.into())));
            let mut notes = rows::each(tx, &stmt, HealthNote::from_row)?;
            notes.sort_by_key(|note| (note.change, note.id));
            Ok(notes)
        })
    }
}

impl Writer {
    /// Adds a paper to a day: a JSON object with `format` 1.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::NotFound`] when the day is not there, and [`ArchiveError::Value`] when the
    /// document cannot be stored.
    pub fn add_paper(
        &mut self,
        day: DayId,
        kind: PaperKind,
        subject: Option<&str>,
        document: &Value,
    ) -> Result<PaperId, ArchiveError> {
        self.draft(|draft| {
            let date = existing_day(draft.tx, day)?.facts.date;
            let summary = format!("{} of test day {date}", kind.as_str().replace('_', " "));
            let pen = draft.begin(ChangeKind::PaperAdded, &summary)?;
            let id = PaperId(pen.id());
            let values: Vec<V> = vec![
                id.into(),
                day.into(),
                kind.as_str().into(),
                subject.into(),
                document.to_string().into(),
                pen.seq.into(),
            ];
            pen.insert(&DAY_PAPER, values)?;
            Ok(id)
        })
    }

    /// Adds what the medic wrote about a person: a JSON object with `format` 1. The journal names
    /// neither the person nor the reason.
    ///
    /// # Errors
    ///
    /// As [`Writer::add_paper`], and when the person is not there.
    pub fn add_health_note(
        &mut self,
        day: DayId,
        person: PersonId,
        document: &Value,
    ) -> Result<HealthNoteId, ArchiveError> {
        self.draft(|draft| {
            let date = existing_day(draft.tx, day)?.facts.date;
            let person = existing(draft.tx, person)?.id;
            let summary = format!("health note on test day {date}");
            let pen = draft.begin(ChangeKind::HealthNoteAdded, &summary)?;
            let id = HealthNoteId(pen.id());
            let values: Vec<V> = vec![
                id.into(),
                day.into(),
                person.into(),
                document.to_string().into(),
                pen.seq.into(),
            ];
            pen.insert(&HEALTH_NOTE, values)?;
            Ok(id)
        })
    }
}

fn of_day(tx: &Tx<'_>, day: DayId) -> Result<Vec<DayPaper>, ArchiveError> {
    let stmt = rows::in_force(&DAY_PAPER, Some(("day_id", day.into())));
    let mut papers = rows::each(tx, &stmt, DayPaper::from_row)?;
    for paper in &mut papers {
        let change = rows::by_key(&CHANGE, paper.change.into());
        if let Some(change) = rows::one(tx, &change, Change::from_row)? {
            paper.at_ms = change.at_ms;
            paper.who = change.who;
        }
    }
    papers.sort_by_key(|paper| (paper.change, paper.id));
    Ok(papers)
}

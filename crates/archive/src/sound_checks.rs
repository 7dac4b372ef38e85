//! Sound checks: asking for those of a test day, and attaching one.
//! Must never touch a result: a recording is evidence and changes no outcome.

use crate::days::existing_day;
use crate::db::{Tx, V};
use crate::error::ArchiveError;
use crate::id::{DayId, SoundCheckId};
use crate::model::{Change, ChangeKind, SoundCheck, SoundCheckFacts};
use crate::open::{Archive, Writer};
use crate::rows;
use crate::schema::{CHANGE, SOUND_CHECK};

impl Archive {
    /// Returns the sound checks of a test day that are in force, oldest first.
    pub fn sound_checks(&self, day: DayId) -> Result<Vec<SoundCheck>, ArchiveError> {
        self.db.read(|tx| of_day(tx, day))
    }
}

impl Writer {
    /// Keeps a sound check beside a test day. No result is changed.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::NotFound`] when the day is not there or undone, and
    /// [`ArchiveError::Value`] when a fact cannot be stored.
    pub fn add_sound_check(
        &mut self,
        day: DayId,
        facts: &SoundCheckFacts,
    ) -> Result<SoundCheckId, ArchiveError> {
        self.draft(|draft| {
            let date = existing_day(draft.tx, day)?.facts.date;
            let name = &facts.file_name;
            let summary = format!("sound check `{name}` added to test day {date}");
            let pen = draft.begin(ChangeKind::SoundCheckAdded, &summary)?;
            let id = SoundCheckId(pen.id());
            let mut values: Vec<V> = vec![id.into(), day.into()];
            values.extend(facts.to_values());
            values.push(pen.seq.into());
            pen.insert(&SOUND_CHECK, values)?;
            Ok(id)
        })
    }
}

fn of_day(tx: &Tx<'_>, day: DayId) -> Result<Vec<SoundCheck>, ArchiveError> {
    let stmt = rows::in_force(&SOUND_CHECK, Some(("day_id", day.into())));
    let mut checks = rows::each(tx, &stmt, SoundCheck::from_row)?;
    for check in &mut checks {
        let change = rows::by_key(&CHANGE, check.change.into());
        if let Some(change) = rows::one(tx, &change, Change::from_row)? {
            check.at_ms = change.at_ms;
            check.who = change.who;
        }
    }
    checks.sort_by_key(|check| (check.change, check.id));
    Ok(checks)
}

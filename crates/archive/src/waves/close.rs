//! Closing a wave: its last events and the results it gives, all together or not at all.

use std::collections::BTreeMap;

use super::{append, existing_wave};
use crate::db::{Stmt, Tx, V};
use crate::error::ArchiveError;
use crate::id::{PersonId, ResultId, WaveId};
use crate::model::{ChangeKind, NewEvent, ResultRecord, WaveOutcome};
use crate::open::Writer;
use crate::people::existing;
use crate::results::{Version, insert};
use crate::rows;
use crate::schema::{RESULT, WAVE_RESULT};

impl Writer {
    /// Stores the events that close a wave, and what it comes to for each person.
    ///
    /// Closing again after a reopening corrects the results the wave gave before, and withdraws
    /// those it gives no more; what did not change stays as it is.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::NotFound`] when the wave or a person is not there, and
    /// [`ArchiveError::Value`] when a value cannot be stored; then nothing is.
    pub fn close_wave(
        &mut self,
        id: WaveId,
        events: &[NewEvent],
        outcomes: &[WaveOutcome],
    ) -> Result<Vec<ResultId>, ArchiveError> {
        self.draft(|draft| {
            let wave = existing_wave(draft.tx, id)?;
            let before = given(draft.tx, id)?;
            let summary = format!("wave {} `{}` closed", wave.number, wave.name);
            let pen = draft.begin(ChangeKind::WaveClosed, &summary)?;
            let mut recorded = Vec::new();
            for outcome in outcomes {
                let person = existing(draft.tx, outcome.person)?.id;
                let old = before.get(&person);
                let result = match (&outcome.facts, old) {
                    (Some(facts), Some(old)) if old.facts == *facts => continue,
                    (None, None) => continue,
                    (Some(facts), Some(old)) => insert(
                        &pen,
                        &Version {
                            supersedes: Some(old.id),
                            ..Version::first(person, wave.day, facts)
                        },
                    )?,
                    (Some(facts), None) => insert(&pen, &Version::first(person, wave.day, facts))?,
                    (None, Some(old)) => insert(
                        &pen,
                        &Version {
                            supersedes: Some(old.id),
                            withdrawn: true,
                            ..Version::first(person, wave.day, &old.facts)
                        },
                    )?,
                };
                let link: Vec<V> = vec![
                    pen.id().hyphenated().to_string().into(),
                    id.into(),
                    result.into(),
                    pen.seq.into(),
                ];
                pen.insert(&WAVE_RESULT, link)?;
                recorded.push(result);
            }
            let batch: Vec<_> = events.iter().map(|event| (id, event.clone())).collect();
            append(draft, &batch)?;
            Ok(recorded)
        })
    }
}

/// Returns the results a wave has given that are in force, by person.
fn given(tx: &Tx<'_>, wave: WaveId) -> Result<BTreeMap<PersonId, ResultRecord>, ArchiveError> {
    let stmt = Stmt::new(format!(
        "SELECT result_id FROM {} w JOIN change c ON c.seq = w.change_seq \
         WHERE w.wave_id = $1 AND c.undone = 0",
        WAVE_RESULT.name
    ))
    .with(wave);
    let mut found = BTreeMap::new();
    for row in tx.query(&stmt)? {
        let Some(key) = row.into_iter().next() else {
            continue;
        };
        let stmt = rows::in_force(&RESULT, Some(("id", key)));
        let record = rows::one(tx, &stmt, ResultRecord::from_row)?;
        if let Some(record) = record.filter(|record| !record.withdrawn) {
            found.insert(record.recorded_person, record);
        }
    }
    Ok(found)
}

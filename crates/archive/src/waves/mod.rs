//! Waves: opening them, storing their events once, asking for them.
//! Must never alter or drop an event, and must store a batch as a whole or not at all.

mod close;
mod papers;

use std::collections::BTreeMap;

use crate::days::existing_day;
use crate::db::{Stmt, Tx, V};
use crate::error::ArchiveError;
use crate::id::{DayId, WaveId};
use crate::model::{ChangeKind, NewEvent, Stored, StoredEvent, Wave};
use crate::open::{Archive, Writer};
use crate::pen::Draft;
use crate::rows;
use crate::schema::{WAVE, WAVE_EVENT};

impl Archive {
    /// Returns the waves of a test day by number.
    pub fn waves(&self, day: DayId) -> Result<Vec<Wave>, ArchiveError> {
        self.db.read(|tx| {
            let stmt = rows::in_force(&WAVE, Some(("day_id", day.into())));
            let mut waves = rows::each(tx, &stmt, Wave::from_row)?;
            waves.sort_by_key(|wave| (wave.number, wave.id));
            Ok(waves)
        })
    }

    /// Returns a wave.
    pub fn wave(&self, id: WaveId) -> Result<Option<Wave>, ArchiveError> {
        self.db.read(|tx| {
            let stmt = rows::in_force(&WAVE, Some(("id", id.into())));
            rows::one(tx, &stmt, Wave::from_row)
        })
    }

    /// Returns the events of a wave that arrived after the `after`-th, in order of arrival.
    pub fn wave_events(&self, id: WaveId, after: i64) -> Result<Vec<StoredEvent>, ArchiveError> {
        self.db.read(|tx| {
            let stmt = Stmt::new(format!(
                "SELECT {} FROM {} WHERE wave_id = $1 AND nth > $2",
                WAVE_EVENT.column_list(""),
                WAVE_EVENT.name
            ));
            let mut events = rows::each(tx, &stmt.with(id).with(after), StoredEvent::from_row)?;
            events.sort_by_key(|event| event.nth);
            Ok(events)
        })
    }
}

impl Writer {
    /// Opens a wave on a test day.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::NotFound`] when the day is not there, and [`ArchiveError::Value`] when a fact
    /// cannot be stored.
    pub fn add_wave(
        &mut self,
        day: DayId,
        number: u32,
        name: &str,
    ) -> Result<WaveId, ArchiveError> {
        self.draft(|draft| {
            let date = existing_day(draft.tx, day)?.facts.date;
            let summary = format!("wave {number} of test day {date}");
            let pen = draft.begin(ChangeKind::WaveOpened, &summary)?;
            let id = WaveId(pen.id());
            pen.insert(
                &WAVE,
                vec![
                    id.into(),
                    day.into(),
                    number.into(),
                    name.into(),
                    pen.seq.into(),
                ],
            )?;
            Ok(id)
        })
    }

    /// Stores events, each with the wave it belongs to; durable when this returns.
    ///
    /// An event that is stored already changes nothing, and neither does one whose device has used
    /// its number for another event.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::NotFound`] when a wave is not there, and [`ArchiveError::Value`] when a value
    /// cannot be stored; then nothing of the batch is.
    pub fn append_events(
        &mut self,
        batch: &[(WaveId, NewEvent)],
    ) -> Result<Vec<Stored>, ArchiveError> {
        self.draft(|draft| append(draft, batch))
    }
}

/// Stores events in an open transaction.
fn append(draft: &Draft<'_>, batch: &[(WaveId, NewEvent)]) -> Result<Vec<Stored>, ArchiveError> {
    let now = draft.world.now_ms();
    let mut waves: BTreeMap<WaveId, (i64, i64)> = BTreeMap::new();
    let mut added: BTreeMap<i64, i64> = BTreeMap::new();
    let mut done = Vec::with_capacity(batch.len());
    for (wave, event) in batch {
        if !waves.contains_key(wave) {
            let found = existing_wave(draft.tx, *wave)?;
            waves.insert(*wave, (found.change, last_nth(draft.tx, *wave)?));
        }
        let Some((change, last)) = waves.get_mut(wave) else {
            continue;
        };
        if let Some(stored) = seen(draft.tx, *wave, event)? {
            done.push(stored);
            continue;
        }
        *last += 1;
        let values: Vec<V> = vec![
            event.id.hyphenated().to_string().into(),
            (*wave).into(),
            (*last).into(),
            event.device.as_str().into(),
            i64::try_from(event.seq).unwrap_or(i64::MAX).into(),
            now.into(),
            event.body.as_str().into(),
            (*change).into(),
        ];
        crate::pen::fitting(&WAVE_EVENT, &values)?;
        let mut stmt = rows::insert(&WAVE_EVENT);
        stmt.args = values;
        draft.tx.execute(&stmt)?;
        *added.entry(*change).or_default() += 1;
        done.push(Stored::New);
    }
    for (change, rows) in added {
        let stmt = Stmt::new("UPDATE change SET row_count = row_count + $1 WHERE seq = $2");
        draft.tx.execute(&stmt.with(rows).with(change))?;
    }
    Ok(done)
}

/// Returns what an event that is not new is.
fn seen(tx: &Tx<'_>, wave: WaveId, event: &NewEvent) -> Result<Option<Stored>, ArchiveError> {
    let stmt = Stmt::new(
        "SELECT id, wave_id FROM wave_event WHERE id = $1 \
         OR (wave_id = $2 AND device = $3 AND device_seq = $4)",
    )
    .with(event.id.hyphenated().to_string())
    .with(wave)
    .with(event.device.as_str())
    .with(i64::try_from(event.seq).unwrap_or(i64::MAX));
    let rows = tx.query(&stmt)?;
    let (id, wave) = (event.id.hyphenated().to_string(), wave.to_string());
    Ok(match rows.as_slice() {
        [] => None,
        [row] if matches!(row.as_slice(), [V::T(a), V::T(b)] if *a == id && *b == wave) => {
            Some(Stored::Already)
        }
        _ => Some(Stored::NumberTaken),
    })
}

fn last_nth(tx: &Tx<'_>, wave: WaveId) -> Result<i64, ArchiveError> {
    let stmt = Stmt::new("SELECT max(nth) FROM wave_event WHERE wave_id = $1").with(wave);
    let rows = tx.query(&stmt)?;
    Ok(match rows.first().map(Vec::as_slice) {
        Some([V::I(last)]) => *last,
        _ => 0,
    })
}

/// Returns a wave that must be there.
fn existing_wave(tx: &Tx<'_>, id: WaveId) -> Result<Wave, ArchiveError> {
    let stmt = rows::in_force(&WAVE, Some(("id", id.into())));
    rows::one(tx, &stmt, Wave::from_row)?.ok_or_else(|| ArchiveError::NotFound {
        what: "wave",
        found: id.to_string(),
        hint: "list the waves of the test day to see their ids",
    })
}

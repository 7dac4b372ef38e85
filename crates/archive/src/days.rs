//! Test days: asking for them, entering and correcting them.
//! Must not alter a version; a correction is another one.

use crate::db::{Tx, V};
use crate::error::ArchiveError;
use crate::id::DayId;
use crate::model::{ChangeKind, DayFacts, TestDay};
use crate::open::{Archive, Writer};
use crate::pen::Pen;
use crate::rows;
use crate::schema::{TEST_DAY, TEST_DAY_VERSION};

impl Archive {
    /// Returns all test days, oldest first.
    pub fn days(&self) -> Result<Vec<TestDay>, ArchiveError> {
        self.db.read(all)
    }

    /// Returns a test day.
    pub fn day(&self, id: DayId) -> Result<Option<TestDay>, ArchiveError> {
        self.db.read(|tx| day(tx, id))
    }
}

impl Writer {
    /// Enters a test day by hand.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::Value`] when a fact cannot be stored.
    pub fn add_day(&mut self, facts: &DayFacts) -> Result<DayId, ArchiveError> {
        self.draft(|draft| {
            let summary = format!("test day {} added", facts.date);
            let pen = draft.begin(ChangeKind::DayAdded, &summary)?;
            new_day(&pen, facts)
        })
    }

    /// Records what is known of a test day now; `why` goes into the journal.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::NotFound`], and [`ArchiveError::Value`] when a fact cannot be stored.
    pub fn correct_day(
        &mut self,
        id: DayId,
        facts: &DayFacts,
        why: &str,
    ) -> Result<(), ArchiveError> {
        self.draft(|draft| {
            let before = existing_day(draft.tx, id)?;
            let summary = format!("test day {} corrected: {why}", before.facts.date);
            let pen = draft.begin(ChangeKind::DayChanged, &summary)?;
            insert_version(&pen, id, facts, Some(&before.version))
        })
    }
}

/// Returns all test days, oldest first.
pub(crate) fn all(tx: &Tx<'_>) -> Result<Vec<TestDay>, ArchiveError> {
    let stmt = rows::in_force(&TEST_DAY_VERSION, None);
    let mut days = rows::each(tx, &stmt, TestDay::from_row)?;
    days.sort_by_key(|day| (day.facts.date, day.facts.start_time, day.id));
    Ok(days)
}

fn day(tx: &Tx<'_>, id: DayId) -> Result<Option<TestDay>, ArchiveError> {
    let stmt = rows::in_force(&TEST_DAY_VERSION, Some(("day_id", id.into())));
    rows::one(tx, &stmt, TestDay::from_row)
}

/// Returns a test day that must be there.
pub(crate) fn existing_day(tx: &Tx<'_>, id: DayId) -> Result<TestDay, ArchiveError> {
    day(tx, id)?.ok_or_else(|| ArchiveError::NotFound {
        what: "test day",
        found: id.to_string(),
        hint: "list the test days to see their ids; an undone import takes its day along",
    })
}

/// Records a new test day.
pub(crate) fn new_day(pen: &Pen<'_>, facts: &DayFacts) -> Result<DayId, ArchiveError> {
    let id = DayId(pen.id());
    pen.insert(&TEST_DAY, vec![id.into(), pen.seq.into()])?;
    insert_version(pen, id, facts, None)?;
    Ok(id)
}

fn insert_version(
    pen: &Pen<'_>,
    day: DayId,
    facts: &DayFacts,
    supersedes: Option<&str>,
) -> Result<(), ArchiveError> {
    let mut values: Vec<V> = vec![pen.id().hyphenated().to_string().into(), day.into()];
    values.extend(facts.to_values());
    values.extend([supersedes.into(), pen.seq.into()]);
    pen.insert(&TEST_DAY_VERSION, values)
}

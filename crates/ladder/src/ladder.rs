//! A ladder: the full list of bouts with speeds, legs, recoveries and exact instants.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::units::{Instant, Length, Speed};

/// What a signal inside a bout asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SignalKind {
    /// Be at the far line and turn.
    Turn,
    /// Be at this line or cone and run on.
    Line,
}

/// A signal between the start and the finish of a bout.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Signal {
    /// When it sounds.
    pub at: Instant,
    /// What it asks for.
    pub kind: SignalKind,
    /// Where the runner should be, from the start line.
    pub place: Length,
}

/// One bout: a run between two rests, or one leg of a continuous test.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Bout {
    /// Number from 1 over the whole ladder.
    pub number: u32,
    /// Label as written on a sheet. Text: `14.10` is not `14.1`.
    pub label: String,
    /// Index of its stage in [`Ladder::stages`].
    pub stage: usize,
    /// Speed at its finish.
    pub speed: Speed,
    /// Start signal.
    pub start: Instant,
    /// Signals between start and finish.
    pub signals: Vec<Signal>,
    /// Finish signal.
    pub finish: Instant,
    /// Distance from the first start to this finish, recoveries left out.
    pub distance: Length,
}

/// One stage of a ladder and the time it takes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct StageSpan {
    /// The stage's own label.
    pub label: String,
    /// Speed.
    pub speed: Speed,
    /// First instant at this speed.
    pub start: Instant,
    /// Last instant of running at this speed.
    pub end: Instant,
    /// Distance when it ends, nearest millimetre.
    pub distance: Length,
    /// Number of the last bout finished by then; 0 when none is.
    pub last_bout: u32,
}

/// The full list of bouts of one paced test. It has at least one bout.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ladder {
    bouts: Vec<Bout>,
    stages: Vec<StageSpan>,
    by_label: BTreeMap<String, u32>,
}

impl Ladder {
    /// Puts a ladder together. Bouts are in running order and numbered from 1.
    pub(crate) fn new(bouts: Vec<Bout>, stages: Vec<StageSpan>) -> Self {
        let by_label = bouts.iter().map(|b| (b.label.clone(), b.number)).collect();
        Self {
            bouts,
            stages,
            by_label,
        }
    }

    /// Returns every bout in running order.
    pub fn bouts(&self) -> &[Bout] {
        &self.bouts
    }

    /// Returns every stage in running order.
    pub fn stages(&self) -> &[StageSpan] {
        &self.stages
    }

    /// Returns the last bout, or nothing when the ladder is empty.
    pub fn last(&self) -> Option<&Bout> {
        self.bouts.last()
    }

    /// Returns the bout with this number, counted from 1.
    pub fn by_number(&self, number: u32) -> Option<&Bout> {
        self.bouts
            .get(usize::try_from(number.checked_sub(1)?).ok()?)
    }

    /// Returns the bout with exactly this label; surrounding space is ignored, nothing else is.
    pub fn by_label(&self, label: &str) -> Option<&Bout> {
        self.by_label
            .get(label.trim())
            .and_then(|number| self.by_number(*number))
    }

    /// Returns the bout at whose finish exactly this distance has been run.
    pub fn by_distance(&self, distance: Length) -> Option<&Bout> {
        self.bouts
            .binary_search_by_key(&distance, |bout| bout.distance)
            .ok()
            .and_then(|i| self.bouts.get(i))
    }

    /// Returns the last bout finished within this distance, or nothing before the first finish.
    pub fn within_distance(&self, distance: Length) -> Option<&Bout> {
        let n = self.bouts.partition_point(|bout| bout.distance <= distance);
        n.checked_sub(1).and_then(|i| self.bouts.get(i))
    }

    /// Returns the last bout finished at or before this instant, or nothing before the first.
    pub fn by_time(&self, at: Instant) -> Option<&Bout> {
        let n = self.bouts.partition_point(|bout| bout.finish <= at);
        n.checked_sub(1).and_then(|i| self.bouts.get(i))
    }

    /// Returns the last bout run at exactly this speed.
    pub fn last_at_speed(&self, speed: Speed) -> Option<&Bout> {
        self.bouts.iter().rev().find(|bout| bout.speed == speed)
    }

    /// Returns the distance after a number of completed bouts: zero for none, nothing beyond
    /// the end.
    pub fn distance_after(&self, bouts: u32) -> Option<Length> {
        if bouts == 0 {
            return Some(Length::ZERO);
        }
        self.by_number(bouts).map(|bout| bout.distance)
    }
}

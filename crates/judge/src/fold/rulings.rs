//! The lead's rulings in force; the latest about a disagreement stands.

use std::collections::BTreeMap;

use uuid::Uuid;

use crate::event::{Event, Lane, Side, What};

/// Rulings by lane and key.
#[derive(Default)]
pub(super) struct Rulings(BTreeMap<(Lane, String), Side>);

impl Rulings {
    /// Collects the rulings among events in order.
    pub(super) fn of(events: &[&Event]) -> Self {
        let pairs = events.iter().filter_map(|event| match &event.what {
            What::Ruled { ruling } => {
                Some(((ruling.lane, ruling.about.clone()), ruling.stands.clone()))
            }
            _ => None,
        });
        Self(pairs.collect())
    }

    /// Returns what stands, if the lead has ruled.
    pub(super) fn get(&self, lane: Lane, about: &str) -> Option<&Side> {
        self.0.get(&(lane, about.to_owned()))
    }

    /// Returns the rulings on undos: whether the undo takes effect.
    pub(super) fn undos(&self) -> BTreeMap<Uuid, bool> {
        self.0
            .iter()
            .filter_map(|((_, about), side)| {
                let id = about.strip_prefix("undo:")?.parse().ok()?;
                Some((id, matches!(side, Side::Event { .. })))
            })
            .collect()
    }
}

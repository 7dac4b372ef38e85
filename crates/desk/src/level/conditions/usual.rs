//! What a group's usual day is like: a level is meant for that day, so only what differs from it counts.
//! Must not be moved by how many people ran on a day.

use std::collections::BTreeMap;

use jiff::civil::Date;
use plimsoll_archive::DayFacts;

use super::sizes;

/// The usual day of a group.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Usual {
    /// Share of speed that heat or cold takes; the middle of all days.
    pub heat: f64,
    /// Share of speed that wind takes; the middle of all days.
    pub wind: f64,
    /// The surface of most days, the later one when two are as frequent.
    pub surface: Option<String>,
}

impl Usual {
    /// Returns the usual day of all days of a group, each given once.
    pub fn of<'a>(days: impl Iterator<Item = &'a DayFacts>) -> Self {
        let days: Vec<&DayFacts> = days.collect();
        Self {
            heat: middle(days.iter().map(|day| sizes::heat(day)).collect()),
            wind: middle(days.iter().map(|day| sizes::wind(day)).collect()),
            surface: most_frequent(&days),
        }
    }
}

/// Returns the surface of a day in one spelling.
pub fn floor(day: &DayFacts) -> Option<String> {
    let name = day.surface.as_ref()?.trim().to_lowercase();
    (!name.is_empty()).then_some(name)
}

fn most_frequent(days: &[&DayFacts]) -> Option<String> {
    let mut found: BTreeMap<String, (usize, Date)> = BTreeMap::new();
    for day in days {
        if let Some(name) = floor(day) {
            let place = found.entry(name).or_insert((0, day.date));
            *place = (place.0 + 1, place.1.max(day.date));
        }
    }
    let most = found.into_iter().max_by_key(|(_, place)| *place);
    most.map(|(name, _)| name)
}

/// Returns the middle of some shares, the lower one of two; 0 when there are none. What nobody wrote down counts as
/// nothing out of the ordinary (common practice, no source: people note the wind when there is some).
fn middle(shares: Vec<Option<f64>>) -> f64 {
    let mut shares: Vec<f64> = shares.into_iter().map(Option::unwrap_or_default).collect();
    shares.sort_by(f64::total_cmp);
    let half = shares.len().saturating_sub(1) / 2;
    shares.get(half).copied().unwrap_or(0.0)
}

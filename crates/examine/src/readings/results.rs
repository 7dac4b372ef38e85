//! The result columns: labels (also in two columns), distances, counts, times and speeds in one unit.
//! Units come from headers and cells; a bare number in a time column gets its unit from the column.

use std::collections::HashMap;

use super::column::Read;
use crate::cell::{
    self, CountReading, DistanceReading, Label, LabelReading, SpeedReading, TimeForm, TimeReading,
};
use crate::header::{Field, Mapping, Unit};
use crate::table::Sheet;

/// What a bare number in the time column counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum TimeUnit {
    /// Seconds.
    Seconds,
    /// Minutes with a decimal fraction.
    Minutes,
}

/// The result columns.
pub(crate) struct Values {
    /// Labels.
    pub label: Option<Read<LabelReading>>,
    /// Distances.
    pub distance: Option<Read<DistanceReading>>,
    /// Metres in one unit of the distance column; 1 unless the header says otherwise.
    pub distance_unit_m: f64,
    /// Whether the header of the distance column says it counts shuttles or laps.
    pub distance_is_count: bool,
    /// Bouts over the whole test.
    pub bouts: Option<Read<CountReading>>,
    /// Shuttles or laps over the whole test.
    pub shuttles: Option<Read<CountReading>>,
    /// Times.
    pub time: Option<Read<TimeReading>>,
    /// Unit of a bare number in the time column.
    pub time_unit: TimeUnit,
    /// Speeds.
    pub speed: Option<Read<SpeedReading>>,
    /// Kilometres an hour in one unit of the speed column.
    pub speed_unit_kmh: f64,
}

impl Values {
    /// Reads the result columns.
    pub fn of(sheet: &Sheet, mapping: &Mapping) -> Self {
        let time = Read::of(sheet, mapping, Field::Time, cell::time);
        let distance_unit = mapping.unit_of(Field::Distance);
        Self {
            label: labels(sheet, mapping),
            distance: Read::of(sheet, mapping, Field::Distance, cell::distance),
            distance_unit_m: metres_in(distance_unit).unwrap_or(1.0),
            distance_is_count: distance_unit == Some(Unit::Count),
            bouts: Read::of(sheet, mapping, Field::Bouts, cell::count),
            shuttles: Read::of(sheet, mapping, Field::Shuttles, cell::count),
            time_unit: time_unit(sheet, mapping, time.as_ref()),
            time,
            speed: Read::of(sheet, mapping, Field::Speed, cell::speed),
            speed_unit_kmh: kmh_in(mapping.unit_of(Field::Speed)).unwrap_or(1.0),
        }
    }

    /// Returns whether any result column is mapped.
    pub const fn any(&self) -> bool {
        self.label.is_some()
            || self.distance.is_some()
            || self.bouts.is_some()
            || self.shuttles.is_some()
            || self.time.is_some()
            || self.speed.is_some()
    }
}

/// Returns the metres in a unit of length.
pub(crate) const fn metres_in(unit: Option<Unit>) -> Option<f64> {
    match unit {
        Some(Unit::Metres) => Some(1.0),
        Some(Unit::Kilometres) => Some(1_000.0),
        Some(Unit::Miles) => Some(1_609.344),
        Some(Unit::Yards) => Some(0.9144),
        _ => None,
    }
}

/// Returns the kilometres an hour in a unit of speed.
pub(crate) const fn kmh_in(unit: Option<Unit>) -> Option<f64> {
    match unit {
        Some(Unit::KmPerHour) => Some(1.0),
        Some(Unit::MetresPerSecond) => Some(3.6),
        Some(Unit::MilesPerHour) => Some(1.609_344),
        _ => None,
    }
}

fn labels(sheet: &Sheet, mapping: &Mapping) -> Option<Read<LabelReading>> {
    if mapping.has(Field::Label) {
        return Read::of(sheet, mapping, Field::Label, cell::label);
    }
    let stage = Read::of(sheet, mapping, Field::Stage, cell::count)?;
    let bout = Read::of(sheet, mapping, Field::BoutInStage, cell::count)?;
    let mut kinds: Vec<LabelReading> = vec![LabelReading::Absent];
    let mut seen: HashMap<(u32, u32), u32> = HashMap::new();
    let mut rows = Vec::with_capacity(sheet.rows());
    for row in 0..sheet.rows() {
        let key = (stage.kind(sheet, row), bout.kind(sheet, row));
        let kind = *seen.entry(key).or_insert_with(|| {
            let reading = match (stage.at(sheet, row), bout.at(sheet, row)) {
                (Some(CountReading::Value(s)), Some(CountReading::Value(b))) => {
                    match (u16::try_from(*s), u16::try_from(*b)) {
                        (Ok(s), Ok(b)) => LabelReading::Label(Label::of(s, b)),
                        _ => LabelReading::Unreadable,
                    }
                }
                (Some(CountReading::Absent) | None, Some(CountReading::Absent) | None) => {
                    LabelReading::Absent
                }
                _ => LabelReading::Unreadable,
            };
            kinds.push(reading);
            (kinds.len() - 1) as u32
        });
        rows.push(kind);
    }
    Some(Read::own(kinds, rows))
}

/// Bare numbers are what the header says; without one they are minutes when half are below 60.
fn time_unit(sheet: &Sheet, mapping: &Mapping, time: Option<&Read<TimeReading>>) -> TimeUnit {
    match mapping.unit_of(Field::Time) {
        Some(Unit::Seconds) => return TimeUnit::Seconds,
        Some(Unit::Minutes | Unit::MinutesSeconds) => return TimeUnit::Minutes,
        _ => {}
    }
    let Some(time) = time else {
        return TimeUnit::Seconds;
    };
    let mut bare: Vec<f64> = (0..sheet.rows())
        .filter_map(|row| match time.at(sheet, row) {
            Some(TimeReading::Value {
                value,
                form: TimeForm::Bare,
                ..
            }) => Some(*value),
            _ => None,
        })
        .collect();
    bare.sort_by(f64::total_cmp);
    match bare.get(bare.len() / 2) {
        Some(median) if *median < 60.0 => TimeUnit::Minutes,
        _ => TimeUnit::Seconds,
    }
}

//! What one row says about its place on a ladder, in metres, seconds and km/h.
//! Columns that are empty, absent or unreadable say nothing. Zero says nothing either.

use crate::cell::{
    CountReading, DistanceReading, Label, LabelReading, SpeedReading, TimeForm, TimeReading,
};
use crate::header::Unit;
use crate::readings::{TimeUnit, Values};
use crate::rungs::Table;
use crate::table::Sheet;

/// A time, with the other way of reading it where there is one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct TimeSeen {
    /// Seconds.
    pub seconds: f64,
    /// Half of the last place written, seconds.
    pub half_step: f64,
    /// Seconds when a bare number is read the other way: `3.35` as 3 min 35 s.
    pub other: Option<f64>,
}

/// What one row says.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Observed<'a> {
    /// Label.
    pub label: Option<&'a Label>,
    /// Distance, metres.
    pub distance_m: Option<f64>,
    /// Bouts.
    pub bouts: Option<u32>,
    /// Shuttles or laps.
    pub shuttles: Option<u32>,
    /// Time.
    pub time: Option<TimeSeen>,
    /// Speed, km/h.
    pub speed_kmh: Option<f64>,
}

impl<'a> Observed<'a> {
    /// Reads a row.
    pub fn of(values: &'a Values, sheet: &Sheet, row: usize) -> Self {
        let mut seen = Self::default();
        if let Some(LabelReading::Label(label)) =
            values.label.as_ref().and_then(|l| l.at(sheet, row))
        {
            seen.label = Some(label);
        }
        if let Some(DistanceReading::Value { value, unit, .. }) =
            values.distance.as_ref().and_then(|d| d.at(sheet, row))
            && *value > 0.0
        {
            let is_count =
                *unit == Some(Unit::Count) || (unit.is_none() && values.distance_is_count);
            if is_count {
                seen.shuttles = (value.fract() == 0.0).then_some(*value as u32);
            } else {
                let factor = crate::readings::metres_in(*unit).unwrap_or(values.distance_unit_m);
                seen.distance_m = Some(value * factor);
            }
        }
        let count = |read: &Option<crate::readings::Read<CountReading>>| match read
            .as_ref()
            .and_then(|c| c.at(sheet, row))
        {
            Some(CountReading::Value(n)) if *n > 0 => Some(*n),
            _ => None,
        };
        seen.bouts = count(&values.bouts);
        if values.shuttles.is_some() {
            seen.shuttles = count(&values.shuttles);
        }
        if let Some(TimeReading::Value {
            value,
            form,
            half_step,
        }) = values.time.as_ref().and_then(|t| t.at(sheet, row))
            && *value > 0.0
        {
            seen.time = Some(time_seen(*value, *form, *half_step, values.time_unit));
        }
        if let Some(SpeedReading::Value(value, unit)) =
            values.speed.as_ref().and_then(|s| s.at(sheet, row))
            && *value > 0.0
        {
            let factor = crate::readings::kmh_in(*unit).unwrap_or(values.speed_unit_kmh);
            seen.speed_kmh = Some(value * factor);
        }
        seen
    }

    /// Returns how many columns say something.
    pub fn columns(&self) -> usize {
        [
            self.label.is_some(),
            self.distance_m.is_some(),
            self.bouts.is_some(),
            self.shuttles.is_some(),
            self.time.is_some(),
            self.speed_kmh.is_some(),
        ]
        .into_iter()
        .filter(|c| *c)
        .count()
    }

    /// Returns the bouts of a ladder that the count columns can mean: bouts, or legs.
    pub fn count_places(&self, table: &Table) -> Vec<usize> {
        let mut places = Vec::new();
        let mut add = |place: Option<usize>| {
            if let Some(place) = place
                && !places.contains(&place)
            {
                places.push(place);
            }
        };
        for n in [self.bouts, self.shuttles].into_iter().flatten() {
            add((n as usize).checked_sub(1).filter(|i| *i < table.len()));
        }
        if let (Some(n), Some(leg)) = (self.shuttles, table.leg_m) {
            add(table.by_distance(f64::from(n) * leg));
        }
        places
    }

    /// Returns the bouts during or at whose end a time falls, first and last.
    pub fn time_places(seconds: f64, half_step: f64, table: &Table) -> Option<(usize, usize)> {
        let slack = TIME_SLACK_S + half_step;
        // The run ended after this finish and before the next one.
        let after = table
            .rungs
            .partition_point(|r| r.finish_s <= seconds + slack);
        let last = after.checked_sub(1)?;
        let first = table
            .rungs
            .partition_point(|r| r.finish_s < seconds - slack);
        let first = first.saturating_sub(1).min(last);
        let end = table.rungs.last()?.finish_s;
        (seconds <= end + END_SLACK_S).then_some((first, last))
    }

    /// Returns the bouts run at a speed, or just before a stage at that speed, first and last.
    pub fn speed_places(kmh: f64, table: &Table) -> Option<(usize, usize)> {
        let first = table
            .rungs
            .partition_point(|r| r.speed_kmh < kmh - SPEED_SLACK_KMH);
        let after = table
            .rungs
            .partition_point(|r| r.speed_kmh <= kmh + SPEED_SLACK_KMH);
        let last = after.checked_sub(1)?;
        (first <= last).then_some((first.saturating_sub(1), last))
    }
}

/// Stopwatch and clipboard times agree with the cue to about a second. Common practice, no source.
const TIME_SLACK_S: f64 = 1.5;
/// A runner may be stopped a little after the last cue of the ladder.
const END_SLACK_S: f64 = 15.0;
/// Speeds are written with one decimal.
const SPEED_SLACK_KMH: f64 = 0.051;

fn time_seen(value: f64, form: TimeForm, half_step: f64, unit: TimeUnit) -> TimeSeen {
    if form != TimeForm::Bare {
        return TimeSeen {
            seconds: value,
            half_step,
            other: None,
        };
    }
    let as_minutes = value * 60.0;
    // `3.35` meant as 3 min 35 s: the fraction has two places at most and is below sixty.
    let fraction = (value.fract() * 100.0).round();
    let clock = (half_step >= 0.004 && fraction < 60.0).then(|| value.trunc() * 60.0 + fraction);
    match unit {
        TimeUnit::Minutes => TimeSeen {
            seconds: as_minutes,
            half_step: half_step * 60.0,
            other: clock,
        },
        TimeUnit::Seconds => TimeSeen {
            seconds: value,
            half_step,
            other: Some(as_minutes),
        },
    }
}

//! Fault 19: the clocks of the devices that recorded the stops differ.
//! Detection: clock time minus running time is the start signal, one instant for all devices of a wave.
//! Needs a device, a clock time and a running time (or a bout) in each row, and three rows a device.

use std::collections::BTreeMap;

use super::code::Code;
use super::finding::Draft;
use super::ladder_phase::likely_bout;
use super::state::State;
use crate::cell::TimeReading;
use crate::header::Field;
use crate::stats::{median, robust_sd};
use crate::table::Cell;

const ENOUGH: usize = 3;
/// Smallest difference told, seconds: half a leg. Common practice, no source.
const SMALLEST: f64 = 5.0;
/// Standard errors of the difference; 6 false alarms in 100 000 device pairs.
const FAR: f64 = 4.0;

/// For each device its rows with the start signal they give, seconds since midnight.
type Devices = BTreeMap<u32, Vec<(usize, f64)>>;

pub(super) fn run(state: &mut State<'_>) {
    let case = state.case;
    if !case.mapping.has(Field::Device) || !case.mapping.has(Field::Timestamp) {
        return;
    }
    let mut waves: BTreeMap<(u32, u32), Devices> = BTreeMap::new();
    for row in 0..case.rows() {
        let device = case.kind(Field::Device, row);
        if device == 0 {
            continue;
        }
        if let (Some(clock), Some(run)) =
            (clock(case.cell(Field::Timestamp, row)), running(state, row))
        {
            let wave = (case.kind(Field::Date, row), case.kind(Field::Wave, row));
            waves
                .entry(wave)
                .or_default()
                .entry(device)
                .or_default()
                .push((row, clock - run));
        }
    }
    for devices in waves.into_values() {
        compare(state, &devices);
    }
}

fn compare(state: &mut State<'_>, devices: &Devices) {
    let case = state.case;
    let summary: Vec<(u32, f64, f64, usize)> = devices
        .iter()
        .filter(|(_, rows)| rows.len() >= ENOUGH)
        .filter_map(|(device, rows)| {
            let starts: Vec<f64> = rows.iter().map(|r| r.1).collect();
            let spread = robust_sd(&starts)?.max(0.5);
            Some((
                *device,
                median(&starts)?,
                1.2533 * spread / (rows.len() as f64).sqrt(),
                rows.len(),
            ))
        })
        .collect();
    // The device with most rows is the one to compare with.
    let Some(base) = summary.iter().max_by_key(|s| s.3).copied() else {
        return;
    };
    for (device, start, error, _) in &summary {
        let gap = start - base.1;
        if *device == base.0 || gap.abs() <= SMALLEST.max(FAR * error.hypot(base.2)) {
            continue;
        }
        let Some(rows) = devices.get(device) else {
            continue;
        };
        let list: Vec<usize> = rows.iter().map(|r| r.0).collect();
        let first = list.first().copied().unwrap_or(0);
        let other = devices
            .get(&base.0)
            .and_then(|r| r.first())
            .map_or_else(String::new, |r| case.written(Field::Device, r.0));
        let way = if gap > 0.0 { "ahead of" } else { "behind" };
        state.report(Draft {
            code: Code::ClocksDiffer,
            rows: list,
            column: case.mapping.header_of(Field::Timestamp),
            what: format!("the clock of {} is {way} that of {other}", case.written(Field::Device, first)),
            found: format!("{:.0} s", gap.abs()),
            allowed: format!("{SMALLEST} s"),
            suggestion: format!(
                "use running times, or take {gap:.0} s off this device's clock times; anchor devices on a cue"
            ),
            probability: None,
        });
    }
}

fn running(state: &State<'_>, row: usize) -> Option<f64> {
    let case = state.case;
    if let Some(TimeReading::Value { .. }) = case
        .read
        .values
        .time
        .as_ref()
        .and_then(|t| t.at(&case.sheet, row))
    {
        return case.observed(row).time.map(|t| t.seconds);
    }
    let (table, bout) = likely_bout(state, row)?;
    case.table(table)?.rung(bout).map(|r| r.finish_s)
}

/// Seconds since midnight.
fn clock(cell: &Cell) -> Option<f64> {
    match cell {
        Cell::Duration(seconds) => Some(seconds.get()),
        Cell::Date(_, Some(seconds)) => Some(seconds.get()),
        Cell::Text(text) => {
            let time = text.rsplit(['T', ' ']).find(|p| p.contains(':'))?;
            let parts: Vec<f64> = time
                .trim_end_matches('Z')
                .replace(',', ".")
                .split(':')
                .map(|p| p.parse::<f64>().ok())
                .collect::<Option<_>>()?;
            match parts.as_slice() {
                [h, m] => Some(h * 3_600.0 + m * 60.0),
                [h, m, s] => Some(h * 3_600.0 + m * 60.0 + s),
                _ => None,
            }
        }
        _ => None,
    }
}

//! Fault 6: units mixed: laps, shuttles and metres; `3:35` and `3.35`; km/h, m/s and mph.
//! Detection: with a label, by the factor that makes the row agree; alone, by clusters at the factor.

use super::code::Code;
use super::finding::Draft;
use super::ladder_phase::{Diagnosed, SHEET_ROWS, TELL_EACH, chance, header, written};
use super::state::{Group, Place, State};
use crate::cell::{DistanceReading, SpeedReading, TimeForm, TimeReading};
use crate::diagnose::RowFault;
use crate::header::{Field, Unit};
use crate::rules::Rule;
use crate::rungs::metres;
use crate::stats::median;

/// Values needed beside a stray one.
const ENOUGH: usize = 8;

/// Rows that agree with their label in another unit.
pub(super) fn rows(state: &mut State<'_>, list: Vec<Diagnosed>) {
    let mut left: Vec<Diagnosed> = Vec::new();
    for d in list {
        let RowFault::OtherUnit(field, unit, bout) = d.fault else {
            continue;
        };
        if state.allows(Rule::UnitFromLabel)
            && let Some(rung) = state.case.table(d.table).and_then(|t| t.rung(bout))
        {
            let after = match field {
                Field::Time => format!("{} s", rung.finish_s.round()),
                Field::Speed => format!("{} km/h", rung.speed_kmh),
                Field::Bouts | Field::Shuttles => format!("bout {}", bout + 1),
                _ => format!("{} m", metres(rung.distance_m)),
            };
            let (column, before) = (header(state, field), written(state, field, d.row));
            state.correct(
                d.row,
                column,
                format!("{before} ({unit})"),
                after,
                Rule::UnitFromLabel,
            );
            state.set_place(
                d.row,
                Place {
                    table: d.table,
                    bouts: bout as u32 + 1,
                },
            );
        } else {
            left.push(d);
        }
    }
    // The same unit in many rows is told once.
    while let Some(RowFault::OtherUnit(field, unit, _)) = left.first().map(|d| d.fault.clone()) {
        let (same, rest): (Vec<Diagnosed>, Vec<Diagnosed>) = left.into_iter().partition(
            |d| matches!(d.fault, RowFault::OtherUnit(f, u, _) if f == field && u == unit),
        );
        left = rest;
        if same.len() > TELL_EACH {
            tell(state, &same, field, unit);
        } else {
            for d in same {
                tell(state, &[d], field, unit);
            }
        }
    }
}

fn tell(state: &mut State<'_>, same: &[Diagnosed], field: Field, unit: &str) {
    let Some(first) = same.first() else { return };
    let RowFault::OtherUnit(_, _, bout) = first.fault else {
        return;
    };
    let Some(rung) = state
        .case
        .table(first.table)
        .and_then(|t| t.rung(bout))
        .cloned()
    else {
        return;
    };
    let expected = match field {
        Field::Distance => format!("{} m", metres(rung.distance_m)),
        Field::Time => format!("{} s", rung.finish_s.round()),
        Field::Speed => format!("{} km/h", rung.speed_kmh),
        _ => format!("bout {}", bout + 1),
    };
    let draft = Draft {
        code: Code::UnitMixed,
        rows: same.iter().map(|d| d.row).collect(),
        column: header(state, field),
        what: format!("in {unit}, unlike the column"),
        found: written(state, field, first.row),
        allowed: format!("{expected}, which the rest of the row says"),
        suggestion: format!("it agrees when read as {unit}: write {expected}"),
        probability: chance(state, first.row, first.table, bout),
    };
    state.report(draft);
}

/// Distances without labels: a stray value that is no step, and that becomes one like the others
/// when multiplied by a leg of 20 m or a lap of 40 m, or by 1 000.
pub(super) fn distances_alone(state: &mut State<'_>, group: &Group) {
    let case = state.case;
    let rows: Vec<(usize, f64)> = group
        .evidence
        .rows
        .iter()
        .map(|r| *r as usize)
        .filter(|r| !state.is_claimed(*r))
        .filter_map(|r| Some((r, case.observed(r).distance_m?)))
        .collect();
    let values: Vec<f64> = rows.iter().map(|(_, m)| *m).collect();
    let Some(centre) = median(&values).filter(|_| rows.len() > ENOUGH) else {
        return;
    };
    let typical: Vec<f64> = values
        .iter()
        .copied()
        .filter(|m| (centre / 4.0..centre * 4.0).contains(m))
        .collect();
    if typical.len() * 4 < values.len() * 3 {
        return;
    }
    let low = typical.iter().copied().fold(f64::INFINITY, f64::min) * 0.7;
    let high = typical.iter().copied().fold(0.0, f64::max) * 1.3;
    let strays: Vec<(usize, f64)> = rows
        .iter()
        .copied()
        .filter(|(_, m)| *m < centre / 8.0 && (m % 20.0 != 0.0 || m.fract() != 0.0))
        .collect();
    for (row, m) in strays {
        let fits: Vec<(f64, &str)> = [
            (20.0, "shuttles of 20 m"),
            (40.0, "laps of 40 m"),
            (1_000.0, "kilometres"),
        ]
        .into_iter()
        .filter(|(f, _)| (low..=high).contains(&(m * f)))
        .collect();
        if fits.is_empty() {
            continue;
        }
        let ways: Vec<String> = fits
            .iter()
            .map(|(f, unit)| format!("{} m if it counts {unit}", metres(m * f)))
            .collect();
        state.report(Draft {
            code: Code::UnitMixed,
            rows: vec![row],
            column: header(state, Field::Distance),
            what: "not in metres as the other distances are".to_owned(),
            found: written(state, Field::Distance, row),
            allowed: format!(
                "distances like the others, {} to {} m",
                metres(low / 0.7),
                metres(high / 1.3)
            ),
            suggestion: ways.join("; "),
            probability: None,
        });
    }
}

/// Time and speed columns by themselves.
pub(super) fn columns(state: &mut State<'_>) {
    counts_among_metres(state);
    times(state);
    speeds(state);
}

/// `52 laps` in a column of metres: which lap is not said.
fn counts_among_metres(state: &mut State<'_>) {
    let case = state.case;
    let Some(distance) = &case.read.values.distance else {
        return;
    };
    if case.read.values.distance_is_count {
        return;
    }
    let mut counts: Vec<(usize, f64)> = Vec::new();
    let mut lengths = 0_usize;
    for row in 0..case.rows() {
        match distance.at(&case.sheet, row) {
            Some(DistanceReading::Value {
                value,
                unit: Some(Unit::Count),
                ..
            }) => {
                counts.push((row, *value));
            }
            Some(DistanceReading::Value { .. }) => lengths += 1,
            _ => {}
        }
    }
    if counts.len() > lengths {
        return;
    }
    for (row, n) in counts {
        if state.is_claimed(row) {
            continue;
        }
        state.report(Draft {
            code: Code::UnitMixed,
            rows: vec![row],
            column: header(state, Field::Distance),
            what: "a count among distances".to_owned(),
            found: written(state, Field::Distance, row),
            allowed: "a distance in metres as in the other rows".to_owned(),
            suggestion: format!(
                "{} m if a lap is 20 m, {} m if it is 40 m",
                metres(n * 20.0),
                metres(n * 40.0)
            ),
            probability: None,
        });
    }
}

/// `3:35` and `3.35` in one column; or decimals that never reach .60, which are seconds.
fn times(state: &mut State<'_>) {
    let case = state.case;
    let Some(time) = &case.read.values.time else {
        return;
    };
    let open = |state: &State<'_>, row: usize| {
        // Where another column settles the time there is nothing to ask.
        !state.is_claimed(row) && state.place(row).is_none() && !state.is_absent(row)
    };
    let mut clock: Vec<usize> = Vec::new();
    let mut bare: Vec<(usize, f64)> = Vec::new();
    for row in 0..case.rows() {
        match time.at(&case.sheet, row) {
            Some(TimeReading::Value {
                form: TimeForm::Clock | TimeForm::Coerced,
                ..
            }) => clock.push(row),
            Some(TimeReading::Value {
                value,
                form: TimeForm::Bare,
                half_step,
            }) if *value > 0.0 && ((0.004..0.4).contains(half_step) || *value < 60.0) => {
                bare.push((row, *value));
            }
            _ => {}
        }
    }
    if clock.len() >= SHEET_ROWS && !bare.is_empty() && bare.len() < clock.len() {
        bare.retain(|(r, _)| open(state, *r));
        for (row, value) in bare {
            let clock_reading = format!(
                "{:.0}:{:02.0}",
                value.trunc(),
                (value.fract() * 100.0).round()
            );
            let decimal = format!(
                "{:.0}:{:02.0}",
                value.trunc(),
                (value.fract() * 60.0).round()
            );
            state.report(Draft {
                code: Code::UnitMixed,
                rows: vec![row],
                column: header(state, Field::Time),
                what: "a bare number among times written as minutes and seconds".to_owned(),
                found: written(state, Field::Time, row),
                allowed: "`m:ss` as in the other rows".to_owned(),
                suggestion: format!(
                    "`{clock_reading}` if the point stands between minutes and seconds, `{decimal}` if it is decimal minutes"
                ),
                probability: None,
            });
        }
        return;
    }
    // Decimal minutes reach .60 to .99 in four cases of ten.
    let decimals: Vec<&(usize, f64)> = bare.iter().filter(|(_, v)| v.fract() != 0.0).collect();
    let seconds_like = decimals
        .iter()
        .all(|(_, v)| (v.fract() * 100.0).round() < 60.0);
    let is_minutes = case.read.values.time_unit == crate::readings::TimeUnit::Minutes;
    if is_minutes && clock.is_empty() && seconds_like && decimals.len() >= 16 {
        // 0.6 to the power of 16 is 0.0003.
        let rows: Vec<usize> = decimals
            .iter()
            .map(|(r, _)| *r)
            .filter(|r| open(state, *r))
            .collect();
        let Some(first) = rows.first().copied() else {
            return;
        };
        let n = decimals.len();
        state.report(Draft {
            code: Code::UnitMixed,
            rows,
            column: header(state, Field::Time),
            what: format!("none of {n} fractions reaches .60, so they are seconds and not decimals of a minute"),
            found: written(state, Field::Time, first),
            allowed: "`m:ss`, or decimal minutes".to_owned(),
            suggestion: "write the times as `m:ss`".to_owned(),
            probability: Some(1.0 - 0.6_f64.powi(n.min(100) as i32)),
        });
    }
}

/// Speeds near the others only after a change of unit.
fn speeds(state: &mut State<'_>) {
    let case = state.case;
    let Some(speed) = &case.read.values.speed else {
        return;
    };
    let rows: Vec<(usize, f64)> = (0..case.rows())
        .filter(|r| !state.is_claimed(*r) && state.place(*r).is_none())
        .filter_map(|r| match speed.at(&case.sheet, r) {
            Some(SpeedReading::Value(v, None)) if *v > 0.0 => Some((r, *v)),
            _ => None,
        })
        .collect();
    let values: Vec<f64> = rows.iter().map(|(_, v)| *v).collect();
    let Some(centre) = median(&values).filter(|_| rows.len() > ENOUGH) else {
        return;
    };
    for (row, v) in rows {
        // Slower than walking beside a median of running: metres a second. Ladders start at 6 km/h.
        if v >= 6.0 || centre < 8.0 || !(0.6..=1.5).contains(&(v * 3.6 / centre)) {
            continue;
        }
        state.report(Draft {
            code: Code::UnitMixed,
            rows: vec![row],
            column: header(state, Field::Speed),
            what: "not in km/h as the other speeds are".to_owned(),
            found: written(state, Field::Speed, row),
            allowed: format!("a speed like the others, about {centre} km/h"),
            suggestion: format!("{:.1} km/h if it is in metres a second", v * 3.6),
            probability: None,
        });
    }
}

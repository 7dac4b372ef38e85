//! Fault 17: a whole wave moved against its own past: course, playback, conditions or training.
//! Detection: the mean residual of the wave over its standard error; against the day's other waves if any.
//! Threshold 4: 6 in 100 000 unchanged waves. Needs eight people with a past.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::code::Code;
use super::finding::Draft;
use super::ladder_phase::header;
use super::state::State;
use crate::header::Field;
use crate::history::History;

const ENOUGH: usize = 8;
const FAR: f64 = 4.0;
/// Whole groups move between test days by training and season; so much is allowed before one wave
/// alone is told. Standard deviation of logarithms. Common practice, no source.
const BETWEEN_DAYS: f64 = 0.02;

/// A wave: day, wave, test.
type Key = (Option<Date>, u32, Option<usize>);

/// Tells shifted waves and returns the shift of each row, zero where none was told.
pub(super) fn run(state: &mut State<'_>, history: &History) -> Vec<f64> {
    let case = state.case;
    let mut shifts = vec![0.0; case.rows()];
    let mut waves: BTreeMap<Key, Vec<(usize, f64)>> = BTreeMap::new();
    for row in 0..case.rows() {
        if state.is_claimed(row) {
            continue;
        }
        if let Some((change, error)) = history.change(row) {
            // One odd runner must not move the wave.
            let clipped = change.clamp(-6.0 * error, 6.0 * error);
            let key = (state.day(row), case.kind(Field::Wave, row), case.test(row));
            waves.entry(key).or_default().push((row, clipped));
        }
    }
    let error = history.typical_error * std::f64::consts::SQRT_2;
    let keys: Vec<Key> = waves.keys().copied().collect();
    for key in keys {
        let Some(wave) = waves.get(&key).filter(|w| w.len() >= ENOUGH) else {
            continue;
        };
        let n = wave.len() as f64;
        let mean = trimmed(wave);
        let mut others: Vec<f64> = Vec::new();
        for (other, rows) in &waves {
            if other.0 == key.0 && other.2 == key.2 && other.1 != key.1 {
                others.extend(rows.iter().map(|(_, c)| *c));
            }
        }
        let (gap, limit) = if others.len() >= ENOUGH {
            let rest = others.iter().sum::<f64>() / others.len() as f64;
            (
                mean - rest,
                FAR * error * (1.0 / n + 1.0 / others.len() as f64).sqrt(),
            )
        } else {
            (mean, FAR * (error / n.sqrt()).hypot(BETWEEN_DAYS))
        };
        // Of two waves that differ the one that moved more is told.
        let moved_less = others.len() >= ENOUGH
            && mean.abs() < (others.iter().sum::<f64>() / others.len() as f64).abs();
        if gap.abs() <= limit || moved_less {
            continue;
        }
        let rows: Vec<usize> = wave.iter().map(|(r, _)| *r).collect();
        for row in &rows {
            if let Some(shift) = shifts.get_mut(*row) {
                *shift = mean;
            }
        }
        tell(
            state,
            history,
            rows,
            gap,
            limit / FAR,
            others.len() >= ENOUGH,
        );
    }
    shifts
}

/// Mean of the middle 80 %.
fn trimmed(wave: &[(usize, f64)]) -> f64 {
    let mut values: Vec<f64> = wave.iter().map(|(_, c)| *c).collect();
    values.sort_by(f64::total_cmp);
    let cut = values.len() / 10;
    let middle = values.get(cut..values.len() - cut).unwrap_or_default();
    middle.iter().sum::<f64>() / middle.len().max(1) as f64
}

fn tell(
    state: &mut State<'_>,
    history: &History,
    rows: Vec<usize>,
    gap: f64,
    error: f64,
    against_waves: bool,
) {
    let case = state.case;
    let n = rows.len();
    let first = rows.first().copied().unwrap_or(0);
    let percent = (gap.exp() - 1.0) * 100.0;
    let field = [Field::Wave, Field::Distance, Field::Label, Field::Shuttles]
        .into_iter()
        .find(|f| case.mapping.has(*f))
        .unwrap_or(Field::Label);
    let wave = if case.mapping.has(Field::Wave) {
        format!("wave {}", case.written(Field::Wave, first))
    } else {
        "the group".to_owned()
    };
    let basis = if against_waves {
        "the day's other waves"
    } else {
        "its own past"
    };
    state.report(Draft {
        code: Code::WaveShifted,
        rows,
        column: header(state, field),
        what: format!("{wave} moved as a whole against {basis}"),
        found: format!("{percent:+.0} % on average over {n} people, {:.1} standard errors", gap.abs() / error),
        allowed: format!(
            "within {:.0} %; typical error {}",
            ((FAR * error).exp() - 1.0) * 100.0,
            history.basis
        ),
        suggestion: format!(
            "re-measure the course and the playback (1 % of either is about 5 % of distance), compare wind, heat and surface; \
             {}",
            if against_waves { "training does not explain a difference between waves of one day" } else { "training may explain it too" }
        ),
        probability: None,
    });
}

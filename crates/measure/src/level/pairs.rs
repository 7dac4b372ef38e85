//! The true change between two dates, from the joint distribution of both levels.
//! Chances are posterior ones: they hold the walk, all results and the group.
//! Formula: docs/methods/level.md, "Two dates".

use super::engine::Field;
use super::lattice::Lattice;
use super::model::Model;
use super::posterior::place;
use super::series::Series;
use crate::change::Chance;
use crate::{Interval, MeasureError, check};

/// Fewest points to the SD of a change.
const FEWEST_PER_SD: f64 = 2.5;
/// Most points of a grid made finer for a short time between two dates.
const MOST: f64 = 4000.0;
/// Starting levels less likely than this are left out.
const NEGLIGIBLE: f64 = 1e-14;

/// The distribution of the true change from one date to another.
#[derive(Debug, Clone, PartialEq)]
pub struct TrueChange {
    /// First date named, in weeks.
    pub from: f64,
    /// Second date named, in weeks.
    pub to: f64,
    /// Expected true change.
    pub mean: f64,
    /// Its standard deviation; 0 for the same date, or where levels do not drift.
    pub sd: f64,
    origin: f64,
    spacing: f64,
    mass: Vec<f64>,
}

impl TrueChange {
    /// Returns the chances for a smallest worthwhile change (0 or more).
    pub fn chance(&self, worthwhile: f64) -> Result<Chance, MeasureError> {
        let worthwhile = check::not_negative("smallest worthwhile change", worthwhile)?;
        if self.mass.is_empty() {
            return Ok(Chance {
                up: 0.0,
                trivial: 1.0,
                down: 0.0,
                any_up: 0.0,
            });
        }
        let lattice = self.lattice();
        let up = 1.0 - lattice.below(worthwhile);
        let down = lattice.below(-worthwhile);
        Ok(Chance {
            up,
            trivial: (1.0 - up - down).max(0.0),
            down,
            any_up: 1.0 - lattice.below(0.0),
        })
    }

    /// Returns P(change < x).
    pub(super) fn below(&self, x: f64) -> f64 {
        if self.mass.is_empty() {
            return f64::from(u8::from(x > 0.0));
        }
        self.lattice().below(x)
    }

    /// Returns the equal-tailed interval of the true change.
    pub fn interval(&self, level: f64) -> Result<Interval, MeasureError> {
        let tail = 0.5 * (1.0 - check::level(level)?);
        let (lower, upper) = if self.mass.is_empty() {
            (0.0, 0.0)
        } else {
            (
                self.lattice().quantile(tail),
                self.lattice().quantile(1.0 - tail),
            )
        };
        Ok(Interval {
            lower,
            upper,
            level,
        })
    }

    fn lattice(&self) -> Lattice<'_> {
        Lattice {
            origin: self.origin,
            spacing: self.spacing,
            mass: &self.mass,
        }
    }
}

/// Returns the change between two dates; makes the grid finer where the time between is short.
pub(super) fn change(
    model: &Model,
    series: &Series,
    field: &Field,
    from: f64,
    to: f64,
) -> Result<TrueChange, MeasureError> {
    for week in [from, to] {
        check::within(
            "date asked for, in weeks",
            week,
            week >= series.first_week(),
            "the date of the first result or any date after it",
        )?;
    }
    let (early, late) = (from.min(to), from.max(to));
    let step = (model.drift * (late - early)).sqrt();
    if step == 0.0 {
        return Ok(finished(from, to, None));
    }
    let extent = field.layout.spacing * field.layout.points as f64;
    let mut finest = (step / (FEWEST_PER_SD + 0.5)).max(extent / MOST);
    let mut fresh = Field::default();
    let mut round = 0;
    loop {
        let known = place(field, early).zip(place(field, late));
        let (used, nodes) = match known {
            Some(nodes) if round == 0 && field.layout.spacing <= finest => (field, nodes),
            _ => {
                fresh.all(model, series, &[early, late], finest)?;
                let both = place(&fresh, early).zip(place(&fresh, late));
                (
                    &fresh,
                    both.ok_or(MeasureError::Overflow { what: "the dates" })?,
                )
            }
        };
        let mass = difference(used, nodes.0, nodes.1)?;
        let spacing = used.layout.spacing;
        let origin = -(used.layout.points as f64 - 1.0) * spacing;
        let (_, sd) = Lattice {
            origin,
            spacing,
            mass: &mass,
        }
        .moments();
        round += 1;
        let finer = (sd / (FEWEST_PER_SD + 0.5)).min(0.5 * spacing);
        if sd >= FEWEST_PER_SD * spacing || round == 4 || finer < extent / MOST {
            return Ok(finished(from, to, Some((origin, spacing, mass))));
        }
        finest = finer;
    }
}

/// Turns the masses of late minus early into the change asked for.
fn finished(from: f64, to: f64, found: Option<(f64, f64, Vec<f64>)>) -> TrueChange {
    let (origin, spacing, mut mass) = found.unwrap_or((0.0, 0.0, Vec::new()));
    if from > to {
        mass.reverse();
    }
    let (mean, sd) = if mass.is_empty() {
        (0.0, 0.0)
    } else {
        let mass = &mass;
        Lattice {
            origin,
            spacing,
            mass,
        }
        .moments()
    };
    TrueChange {
        from,
        to,
        mean,
        sd,
        origin,
        spacing,
        mass,
    }
}

/// Returns the masses of late minus early, from -(points - 1) to points - 1 spacings.
fn difference(field: &Field, early: usize, late: usize) -> Result<Vec<f64>, MeasureError> {
    let points = field.layout.points;
    let filtered = field.row(&field.filtered, early);
    let smoothed = field.row(&field.smoothed, early);
    let most = smoothed.iter().copied().fold(0.0, f64::max);
    let backward = field.row(&field.backward, late);
    let mut mass = vec![0.0; 2 * points - 1];
    let (mut now, mut next) = (vec![0.0; points], vec![0.0; points]);
    for start in (0..points).filter(|&start| smoothed[start] > NEGLIGIBLE * most) {
        now[start] = filtered[start];
        let mut window = (start, start + 1);
        for node in early..late {
            window = spread(&now, window, field.step(node), &mut next);
            let seen = &field.row(&field.likelihood, node + 1)[window.0..window.1];
            now.fill(0.0);
            for ((out, value), l) in now[window.0..].iter_mut().zip(&next[window.0..]).zip(seen) {
                *out = value * l;
            }
        }
        for place in window.0..window.1 {
            mass[place + points - 1 - start] += now[place] * backward[place];
        }
        now.fill(0.0);
    }
    let sum: f64 = mass.iter().sum();
    let sum = check::positive("sum of the joint chances of two dates", sum)?;
    mass.iter_mut().for_each(|value| *value /= sum);
    Ok(mass)
}

/// One step of the walk for the points of a window; returns the window it has grown to.
fn spread(now: &[f64], window: (usize, usize), taps: &[f64], next: &mut [f64]) -> (usize, usize) {
    let reach = taps.len() - 1;
    let (low, high) = (
        window.0.saturating_sub(reach),
        (window.1 + reach).min(now.len()),
    );
    for (place, out) in next.iter_mut().enumerate().take(high).skip(low) {
        let (a, b) = (
            place.saturating_sub(reach).max(window.0),
            (place + reach + 1).min(window.1),
        );
        *out = (a..b)
            .map(|from| now[from] * taps[place.abs_diff(from)])
            .sum();
    }
    (low, high)
}

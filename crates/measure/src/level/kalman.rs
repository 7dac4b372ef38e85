//! Kalman filter and smoother for a level: exact for exact results with Gaussian errors.
//! A diffuse start is exact, not a large variance; bounded results are refused here.
//! Source: Durbin & Koopman 2012, chapter 2; Rauch, Tung & Striebel 1965.

use super::model::{Model, Start};
use super::nodes::{self, Node};
use super::reading::{Gaussian, Reading};
use super::series::Series;
use crate::{MeasureError, check};

/// A normal distribution of a level: mean and variance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct State {
    /// Mean.
    pub mean: f64,
    /// Variance, 0 or more.
    pub variance: f64,
}

/// Levels on each date with results, and the likelihood.
#[derive(Debug, Clone, PartialEq)]
pub struct Smoothed {
    /// Dates in weeks.
    pub weeks: Vec<f64>,
    /// Level from the results before a date; none on the first with a diffuse start.
    pub predicted: Vec<Option<State>>,
    /// Level from the results up to and including a date.
    pub filtered: Vec<State>,
    /// Level from all results.
    pub smoothed: Vec<State>,
    /// Natural logarithm of the marginal likelihood. With a diffuse start: under a flat prior of
    /// density 1, so that for the anchor test the first result adds nothing.
    pub log_likelihood: f64,
    drift: f64,
}

/// Buffers of one run; none in a state stands for "nothing known yet".
#[derive(Debug, Default)]
pub(super) struct Run {
    pub(super) predicted: Vec<Option<State>>,
    pub(super) filtered: Vec<Option<State>>,
    pub(super) smoothed: Vec<Option<State>>,
}

/// Returns the exact levels of a series of exact results on tests whose slope is exactly known.
pub fn kalman(model: &Model, series: &Series) -> Result<Smoothed, MeasureError> {
    let readings = series
        .observations()
        .iter()
        .map(|seen| Reading::of(model, seen)?.exact().ok_or_else(not_gaussian))
        .collect::<Result<Vec<Gaussian>, _>>()?;
    let mut places = Vec::new();
    nodes::fill(series, &[], &mut places)?;
    let mut run = Run::default();
    let log_likelihood = run.all(model, &places, |place| Some(readings[place]));
    let known = |states: &[Option<State>]| states.iter().copied().collect::<Option<Vec<State>>>();
    let (Some(filtered), Some(smoothed)) = (known(&run.filtered), known(&run.smoothed)) else {
        return Err(MeasureError::Overflow { what: "the level" });
    };
    let finite = |s: &State| s.mean.is_finite() && s.variance.is_finite();
    if !smoothed.iter().chain(&filtered).all(finite) {
        return Err(MeasureError::Overflow { what: "the level" });
    }
    Ok(Smoothed {
        weeks: places.iter().map(|node| node.week).collect(),
        predicted: run.predicted,
        filtered,
        smoothed,
        log_likelihood: check::result("the likelihood of the results", log_likelihood)?,
        drift: model.drift,
    })
}

fn not_gaussian() -> MeasureError {
    MeasureError::Undefined {
        what: "an exact Gaussian level",
        why: "a result is a range or a bound, or the slope of its test is uncertain; ask for the \
              posterior on a grid instead"
            .to_owned(),
    }
}

impl Smoothed {
    /// Returns the true change between two dates, by their positions in `weeks`, from the joint
    /// distribution.
    pub fn change(&self, from: usize, to: usize) -> Result<State, MeasureError> {
        let last = self.weeks.len() - 1;
        for place in [from, to] {
            check::within(
                "position of a date",
                place as f64,
                place <= last,
                "0 to the number of dates minus 1",
            )?;
        }
        let (early, late) = (from.min(to), from.max(to));
        let mut covariance = self.smoothed[late].variance;
        for place in early..late {
            covariance *= gain(
                self.filtered[place].variance,
                self.drift * (self.weeks[place + 1] - self.weeks[place]),
            );
        }
        let (a, b) = (self.smoothed[from], self.smoothed[to]);
        Ok(State {
            mean: b.mean - a.mean,
            variance: (a.variance + b.variance - 2.0 * covariance).max(0.0),
        })
    }
}

impl Run {
    /// Filters and smooths; returns the log likelihood. `reading` gives a result by position.
    pub(super) fn all(
        &mut self,
        model: &Model,
        nodes: &[Node],
        reading: impl Fn(usize) -> Option<Gaussian>,
    ) -> f64 {
        let log_likelihood = self.filter(model, nodes, reading);
        self.smooth(model.drift, nodes);
        log_likelihood
    }

    fn filter(
        &mut self,
        model: &Model,
        nodes: &[Node],
        reading: impl Fn(usize) -> Option<Gaussian>,
    ) -> f64 {
        self.predicted.clear();
        self.filtered.clear();
        let mut log_likelihood = 0.0;
        let mut state = match model.start {
            Start::Diffuse => None,
            Start::From(prior) => Some(State {
                mean: prior.mean,
                variance: prior.sd * prior.sd,
            }),
        };
        for (place, node) in nodes.iter().enumerate() {
            if let (Some(state), Some(before)) = (state.as_mut(), place.checked_sub(1)) {
                state.variance += model.drift * (node.week - nodes[before].week);
            }
            self.predicted.push(state);
            for seen in (node.first..node.end).filter_map(&reading) {
                let (next, gained) = update(state, &seen);
                log_likelihood += gained;
                state = Some(next);
            }
            self.filtered.push(state);
        }
        log_likelihood
    }

    fn smooth(&mut self, drift: f64, nodes: &[Node]) {
        self.smoothed.clear();
        self.smoothed.extend_from_slice(&self.filtered);
        for place in (0..nodes.len().saturating_sub(1)).rev() {
            let step = drift * (nodes[place + 1].week - nodes[place].week);
            let Some(after) = self.smoothed[place + 1] else {
                continue;
            };
            self.smoothed[place] = Some(match self.filtered[place] {
                // Nothing known until here: the walk read backwards.
                None => State {
                    mean: after.mean,
                    variance: after.variance + step,
                },
                Some(now) => {
                    let share = gain(now.variance, step);
                    let ahead = now.variance + step;
                    State {
                        mean: now.mean + share * (after.mean - now.mean),
                        variance: now.variance + share * share * (after.variance - ahead),
                    }
                }
            });
        }
    }
}

/// The smoother's gain; an exactly known level moves with the next one.
fn gain(variance: f64, step: f64) -> f64 {
    if step > 0.0 {
        variance / (variance + step)
    } else {
        1.0
    }
}

/// Brings in one result; returns the new state and what it adds to the log likelihood.
fn update(state: Option<State>, seen: &Gaussian) -> (State, f64) {
    let Some(state) = state else {
        let next = State {
            mean: seen.value / seen.slope,
            variance: seen.variance / (seen.slope * seen.slope),
        };
        return (next, -seen.slope.abs().ln());
    };
    let error = seen.value - seen.slope * state.mean;
    let spread = seen.slope * seen.slope * state.variance + seen.variance;
    let gain = state.variance * seen.slope / spread;
    let next = State {
        mean: state.mean + gain * error,
        variance: state.variance * seen.variance / spread,
    };
    let gained = -0.5 * ((2.0 * std::f64::consts::PI * spread).ln() + error * error / spread);
    (next, gained)
}

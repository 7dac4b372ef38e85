//! Variance components of people, trials and error by Henderson's method III.
//! Person and trial are each fitted last; without gaps this is the two-way analysis of variance.
//! Source: Henderson 1953 (from memory); equal to `error::mean_squares` on complete tables.

use super::additive::Additive;
use crate::{MeasureError, check};

/// Variances in the squared unit of the data; an estimate may fall below 0 by chance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Components {
    /// Number of people with a value.
    pub people: usize,
    /// Number of trials with a value.
    pub trials: usize,
    /// Number of values.
    pub values: usize,
    /// Whether everyone has every trial.
    pub complete: bool,
    /// Variance of people's levels with trials taken out.
    pub between: f64,
    /// Variance of the trial means (learning, drift).
    pub trial: f64,
    /// Variance of one measurement, trials taken out.
    pub error: f64,
    /// Variance of people's levels when trials are not told apart (one-way).
    pub between_one_way: f64,
    /// Variance within people when trials are not told apart (one-way).
    pub within: f64,
    /// Residual degrees of freedom.
    pub df_error: usize,
    /// Trials a person that count for `between`: (N - k) / (n - 1).
    pub trials_each: f64,
    /// People a trial that count for `trial`: (N - n) / (k - 1).
    pub people_each: f64,
    /// Trials a person that count in the one-way form.
    pub trials_each_one_way: f64,
}

impl Components {
    /// Mean square of people, fitted after the trials.
    pub(crate) fn people_square(&self) -> f64 {
        self.error + self.trials_each * self.between
    }

    /// Mean square of trials, fitted after the people.
    pub(crate) fn trials_square(&self) -> f64 {
        self.error + self.people_each * self.trial
    }
}

/// Works the components out from a table with `k` columns and its fit.
pub(crate) fn components(
    table: &[f64],
    k: usize,
    fit: &Additive,
) -> Result<Components, MeasureError> {
    if fit.parts > 1 {
        return Err(MeasureError::Undefined {
            what: "the split into people and trials",
            why: format!(
                "the trials fall into {} groups that share no person; analyse each group by \
                 itself",
                fit.parts
            ),
        });
    }
    let error = fit.mean_square()?;
    let (n, values) = (fit.people as f64, fit.values as f64);
    let used = fit.trials as f64;
    let (about_trials, between_ss, squares) = spreads(table, k);
    let people_ss = (about_trials - fit.residual).max(0.0);
    let trials_ss = (fit.within - fit.residual).max(0.0);
    let trials_each = (values - used) / (n - 1.0);
    let people_each = (values - n) / (used - 1.0);
    let one_way_each = (values - squares / values) / (n - 1.0);
    let within = fit.within / (values - n);
    let part = |what, value: f64| check::result(what, value);
    Ok(Components {
        people: fit.people,
        trials: fit.trials,
        values: fit.values,
        complete: fit.values == fit.people * fit.trials,
        between: part(
            "the variance between people",
            (people_ss / (n - 1.0) - error) / trials_each,
        )?,
        trial: part(
            "the variance between trials",
            (trials_ss / (used - 1.0) - error) / people_each,
        )?,
        error,
        between_one_way: part(
            "the variance between people",
            (between_ss / (n - 1.0) - within) / one_way_each,
        )?,
        within: part("the variance within people", within)?,
        df_error: fit.df(),
        trials_each,
        people_each,
        trials_each_one_way: one_way_each,
    })
}

/// Sum of squares about the trial means, between person means (weighted by trials), and the sum
/// of squared trials a person.
fn spreads(table: &[f64], k: usize) -> (f64, f64, f64) {
    // Everything is taken from the first value, so that a large common level costs no digits.
    let origin = table.iter().copied().find(|v| !v.is_nan()).unwrap_or(0.0);
    let (mut sums, mut counts) = (vec![0.0; k], vec![0.0; k]);
    for row in table.chunks_exact(k) {
        for (j, v) in row.iter().enumerate().filter(|(_, v)| !v.is_nan()) {
            sums[j] += v - origin;
            counts[j] += 1.0;
        }
    }
    let total: f64 = sums.iter().sum();
    let grand = total / counts.iter().sum::<f64>();
    let means: Vec<f64> = sums.iter().zip(&counts).map(|(s, c)| s / c).collect();
    let (mut about, mut between, mut squares) = (0.0, 0.0, 0.0);
    for row in table.chunks_exact(k) {
        let (mut m, mut sum) = (0.0, 0.0);
        for (v, mean) in row.iter().zip(&means).filter(|(v, _)| !v.is_nan()) {
            m += 1.0;
            sum += v - origin;
            about += (v - origin - mean).powi(2);
        }
        if m > 0.0 {
            between += m * (sum / m - grand).powi(2);
            squares += m * m;
        }
    }
    (about, between, squares)
}

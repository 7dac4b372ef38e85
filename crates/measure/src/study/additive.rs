//! Least squares of value = person + trial + error on a table with gaps.
//! People are taken out by their means, so only a trials x trials system is solved.
//! Formula: textbook normal equations; equals the two-way analysis of variance without gaps.

use crate::spd::Factor;
use crate::{MeasureError, check};

/// A fitted table; sums of squares in the squared unit of the data.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Additive {
    /// People with a value.
    pub people: usize,
    /// Trials with a value.
    pub trials: usize,
    /// Values in all.
    pub values: usize,
    /// Groups of trials that share no person; 1 when all can be compared.
    pub parts: usize,
    /// Residual sum of squares.
    pub residual: f64,
    /// Sum of squares about each person's mean.
    pub within: f64,
    /// Largest absolute value, against which rounding is judged.
    pub size: f64,
    /// Residuals, row by row, 0 where a trial is missing.
    pub residuals: Vec<f64>,
    /// Trials x trials system after taking people out.
    pub system: Vec<f64>,
    /// Which trials are held at 0, the first of each part.
    pub fixed: Vec<bool>,
}

impl Additive {
    /// Residual degrees of freedom; 0 when nothing is left.
    pub fn df(&self) -> usize {
        self.values + self.parts - self.people - self.trials
    }

    /// Residual mean square, or a fault when nothing is left to measure it.
    pub fn mean_square(&self) -> Result<f64, MeasureError> {
        if self.df() == 0 {
            return Err(MeasureError::TooFew {
                what: "repeat trials beyond one a person",
                found: 0,
                needed: 1,
            });
        }
        let square = check::result("the residual mean square", self.residual / self.df() as f64)?;
        if is_rounding(square.sqrt(), self.size) {
            return Err(MeasureError::NoSpread {
                what: "the differences between the trials",
                hint: "check that one trial was not copied from the other",
            });
        }
        Ok(square)
    }
}

/// Whether an SD is no more than the rounding of values of this size.
pub(crate) fn is_rounding(sd: f64, size: f64) -> bool {
    sd <= 1e-13 * size
}

/// Fits a table with `k` columns, NaN for gaps.
pub(crate) fn fit(table: &[f64], k: usize) -> Result<Additive, MeasureError> {
    let mut system = vec![0.0; k * k];
    let mut right = vec![0.0; k];
    let mut parts: Vec<usize> = (0..k).collect();
    let mut counts = vec![0_usize; k];
    let mut residuals = vec![0.0; table.len()];
    let (mut people, mut within, mut size) = (0, 0.0, 0.0_f64);
    for (row, centred) in table.chunks_exact(k).zip(residuals.chunks_exact_mut(k)) {
        let (m, sum) = row_sum(row);
        if m == 0 {
            continue;
        }
        people += 1;
        let mean = sum / m as f64;
        let first = row.iter().position(|v| !v.is_nan()).unwrap_or(0);
        for j in 0..k {
            if row[j].is_nan() {
                continue;
            }
            centred[j] = row[j] - mean;
            size = size.max(row[j].abs());
            within += centred[j] * centred[j];
            right[j] += centred[j];
            counts[j] += 1;
            join(&mut parts, first, j);
            system[j * k + j] += 1.0;
            for l in 0..k {
                if !row[l].is_nan() {
                    system[j * k + l] -= 1.0 / m as f64;
                }
            }
        }
    }
    let used = |j: usize| counts[j] > 0;
    let fixed: Vec<bool> = (0..k).map(|j| !used(j) || root(&parts, j) == j).collect();
    let solved = Held::new(&system, k, &fixed).ok_or(MeasureError::Overflow {
        what: "the means of the trials",
    })?;
    let effects = solved.solve(&right);
    let residual = leave_trials_out(table, &effects, &mut residuals);
    Ok(Additive {
        people,
        trials: (0..k).filter(|&j| used(j)).count(),
        values: counts.iter().sum(),
        parts: (0..k).filter(|&j| used(j) && fixed[j]).count(),
        residual: check::result("the residual sum of squares", residual)?,
        within: check::result("the sum of squares within people", within)?,
        size,
        residuals,
        system,
        fixed,
    })
}

/// Takes the trial effects out of the centred values; returns their sum of squares.
fn leave_trials_out(table: &[f64], effects: &[f64], residuals: &mut [f64]) -> f64 {
    let k = effects.len();
    let mut total = 0.0;
    for (row, left) in table.chunks_exact(k).zip(residuals.chunks_exact_mut(k)) {
        let (mut m, mut sum) = (0, 0.0);
        for (value, effect) in row.iter().zip(effects) {
            if !value.is_nan() {
                m += 1;
                sum += effect;
            }
        }
        let mean = sum / f64::from(m.max(1));
        for ((value, effect), left) in row.iter().zip(effects).zip(left) {
            if !value.is_nan() {
                *left -= effect - mean;
                total += *left * *left;
            }
        }
    }
    total
}

fn row_sum(row: &[f64]) -> (usize, f64) {
    row.iter()
        .filter(|v| !v.is_nan())
        .fold((0, 0.0), |(m, sum), v| (m + 1, sum + v))
}

fn root(parts: &[usize], mut j: usize) -> usize {
    while parts[j] != j {
        j = parts[j];
    }
    j
}

fn join(parts: &mut [usize], a: usize, b: usize) {
    let (a, b) = (root(parts, a), root(parts, b));
    parts[a.max(b)] = a.min(b);
}

/// A positive definite k x k system with some unknowns held at 0, factored.
pub(crate) struct Held {
    free: Vec<usize>,
    factor: Factor,
}

impl Held {
    /// Factors the part that is not `fixed`; none when it is singular.
    pub fn new(system: &[f64], k: usize, fixed: &[bool]) -> Option<Self> {
        let free: Vec<usize> = (0..k).filter(|&j| !fixed[j]).collect();
        let part: Vec<f64> = free
            .iter()
            .flat_map(|&i| free.iter().map(move |&j| system[i * k + j]))
            .collect();
        let factor = Factor::new(&part, free.len())?;
        Some(Self { free, factor })
    }

    /// Solves for a right side of all k places; held unknowns are 0.
    pub fn solve(&self, right: &[f64]) -> Vec<f64> {
        let part: Vec<f64> = self.free.iter().map(|&j| right[j]).collect();
        let mut whole = vec![0.0; right.len()];
        for (&j, value) in self.free.iter().zip(self.factor.solve(&part)) {
            whole[j] = value;
        }
        whole
    }

    /// The right side times its solution; none when that is not finite.
    pub fn square(&self, right: &[f64]) -> Option<f64> {
        let solved = self.solve(right);
        let square: f64 = solved.iter().zip(right).map(|(a, b)| a * b).sum();
        square.is_finite().then_some(square)
    }
}

//! One pass over the data: log-likelihood, score and information for all coefficients.
//! Sums within an age first: the basis is the same there, so a million rows stay cheap.
//! Scores and information: own derivation, see boxcox.

use super::basis::{Basis, BasisRow};
use super::boxcox::{self, PAIRS, Term};
use super::matrix::Matrix;
use super::model::MedianScale;
use super::sample::{Group, Sample};

/// Data and curves; values are divided by the geometric mean of the sample.
#[derive(Debug)]
pub(crate) struct Objective<'a> {
    sample: &'a Sample,
    median: MedianScale,
    /// Rows of the three bases at each age.
    rows: Vec<[BasisRow; 3]>,
    /// Where the coefficients of L, M and S begin, and their number.
    pub(crate) offsets: [usize; 4],
}

/// What one pass yields.
#[derive(Debug)]
pub(crate) struct Pass {
    pub(crate) log_likelihood: f64,
    pub(crate) score: Vec<f64>,
    /// Minus the second derivatives.
    pub(crate) observed: Matrix,
    /// The approximate expected information, used where the observed one is not usable.
    pub(crate) expected: Matrix,
}

/// L, ln M (on the inner scale), ln S, and d ln M / d(height of the M curve).
type Heights = (f64, f64, f64, f64);

impl<'a> Objective<'a> {
    pub(crate) fn new(sample: &'a Sample, bases: &[Basis; 3], median: MedianScale) -> Self {
        let rows = sample
            .groups
            .iter()
            .map(|group| bases.map(|basis| basis.row(group.age)))
            .collect();
        let [l, m, s] = bases.map(|basis| basis.len());
        Self {
            sample,
            median,
            rows,
            offsets: [0, l, l + m, l + m + s],
        }
    }

    /// Returns the number of coefficients.
    pub(crate) fn size(&self) -> usize {
        self.offsets[3]
    }

    /// Returns one curve's part of a list of coefficients.
    pub(crate) fn part<'b>(&self, curve: usize, all: &'b [f64]) -> &'b [f64] {
        &all[self.offsets[curve]..self.offsets[curve + 1]]
    }

    /// Nothing when M is not above 0.
    fn heights(&self, rows: &[BasisRow; 3], all: &[f64]) -> Option<Heights> {
        let [l, m, s] = [0, 1, 2].map(|c| rows[c].height(self.part(c, all)));
        match self.median {
            MedianScale::Log => Some((l, m, s, 1.0)),
            MedianScale::Value => (m > 0.0).then(|| (l, m.ln(), s, 1.0 / m)),
        }
    }

    /// Returns the log-likelihood, minus infinity where the model has no value.
    pub(crate) fn value(&self, all: &[f64]) -> f64 {
        let mut sum = 0.0;
        for (group, rows) in self.sample.groups.iter().zip(&self.rows) {
            let Some((l, ln_m, ln_s, _)) = self.heights(rows, all) else {
                return f64::NEG_INFINITY;
            };
            let (ln_m, s) = (ln_m + self.sample.centre, ln_s.exp());
            for &(ln_y, weight) in &self.sample.points[group.points.clone()] {
                sum += weight * boxcox::point_value(l, ln_m, ln_s, s, ln_y);
            }
            for &(low, high, count) in &self.sample.spans[group.spans.clone()] {
                let end = |ln: f64| ln.is_finite().then(|| boxcox::z(l, ln - ln_m, s));
                sum += count * boxcox::bin_value(end(low), end(high));
            }
        }
        if sum.is_finite() {
            sum + self.sample.offset
        } else {
            f64::NEG_INFINITY
        }
    }

    /// Returns everything a Newton step needs; nothing where the model has no value.
    pub(crate) fn pass(&self, all: &[f64]) -> Option<Pass> {
        let size = self.size();
        let mut pass = Pass {
            log_likelihood: self.sample.offset,
            score: vec![0.0; size],
            observed: Matrix::zeros(size),
            expected: Matrix::zeros(size),
        };
        for (group, rows) in self.sample.groups.iter().zip(&self.rows) {
            let heights = self.heights(rows, all)?;
            let mut term = self.sum(group, heights);
            let mut expected = boxcox::expected(heights.0, heights.2.exp());
            self.to_curve(&mut term, &mut expected, heights.3);
            pass.log_likelihood += term.value;
            self.spread(rows, group.weight, &term, &expected, &mut pass);
        }
        pass.observed.mirror();
        pass.expected.mirror();
        pass.log_likelihood.is_finite().then_some(pass)
    }

    fn sum(&self, group: &Group, (l, ln_m, ln_s, _): Heights) -> Term {
        let (ln_m, s) = (ln_m + self.sample.centre, ln_s.exp());
        let mut sum = Term::default();
        for &(ln_y, weight) in &self.sample.points[group.points.clone()] {
            sum.add(&boxcox::point(l, ln_m, ln_s, s, ln_y), weight);
        }
        for &(low, high, count) in &self.sample.spans[group.spans.clone()] {
            let end = |ln: f64| ln.is_finite().then(|| boxcox::jet(l, ln - ln_m, s));
            sum.add(&boxcox::bin(end(low).as_ref(), end(high).as_ref()), count);
        }
        sum
    }

    /// From derivatives by ln M to derivatives by the height of the M curve.
    fn to_curve(&self, term: &mut Term, expected: &mut [f64; 3], slope: f64) {
        if self.median == MedianScale::Log {
            return;
        }
        let gradient = term.gradient[1];
        term.gradient[1] *= slope;
        for (index, (a, b)) in PAIRS.into_iter().enumerate() {
            for _ in 0..usize::from(a == 1) + usize::from(b == 1) {
                term.hessian[index] *= slope;
            }
        }
        term.hessian[3] -= gradient * slope * slope;
        expected[1] *= slope * slope;
    }

    /// Adds one age to the sums over coefficients (lower triangle only).
    fn spread(
        &self,
        rows: &[BasisRow; 3],
        weight: f64,
        term: &Term,
        expected: &[f64; 3],
        pass: &mut Pass,
    ) {
        for (curve, row) in rows.iter().enumerate() {
            for (at, b) in row.entries() {
                pass.score[self.offsets[curve] + at] += b * term.gradient[curve];
            }
        }
        for (index, (a, b)) in PAIRS.into_iter().enumerate() {
            for (j, y) in rows[b].entries() {
                for (i, x) in rows[a].entries() {
                    let (row, column) = (self.offsets[b] + j, self.offsets[a] + i);
                    if row >= column {
                        pass.observed.add(row, column, -x * y * term.hessian[index]);
                        if a == b {
                            pass.expected.add(row, column, weight * x * y * expected[a]);
                        }
                    }
                }
            }
        }
    }
}

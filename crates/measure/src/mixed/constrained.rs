//! The smallest ML deviance with one SD, correlation, sigma or fixed effect held at a value.
//! A term is re-factored with the held columns first, so that holding one needs no penalty.

use super::Criterion;
use super::objective::{Point, Problem};
use super::outcome::State;
use super::profile::ProfileTarget;
use super::theta::{covariance, half_definite};

/// A vanished diagonal starts here, since at exactly 0 the search sees no slope.
const NUDGE: f64 = 0.05;

/// A deviance with one parameter held.
pub(super) struct Held<'a> {
    state: &'a State,
    target: ProfileTarget,
    /// Order of the columns of the held term, the held ones first.
    order: Vec<usize>,
    /// Free places of its factor in that order.
    free: Vec<(usize, usize)>,
    /// Parameters of the other terms.
    others: Vec<usize>,
    /// Contrast of a held fixed effect.
    contrast: Vec<f64>,
}

impl<'a> Held<'a> {
    /// Prepares to hold `target`, which has been checked.
    pub(super) fn new(state: &'a State, target: ProfileTarget) -> Self {
        let layout = &state.layout;
        let mut held = Self {
            state,
            target,
            order: Vec::new(),
            free: Vec::new(),
            others: (0..layout.len()).collect(),
            contrast: Vec::new(),
        };
        let (term, first) = match target {
            ProfileTarget::Sigma => return held,
            ProfileTarget::Fixed { column } => {
                let mut contrast = vec![0.0; state.start.len()];
                contrast[column] = 1.0;
                held.contrast = state.to_orthonormal(&contrast);
                return held;
            }
            ProfileTarget::Sd { term, column } => (term, vec![column]),
            ProfileTarget::Correlation {
                term,
                first,
                second,
            } => (term, vec![first, second]),
        };
        let (q, range) = (layout.terms[term].2, &layout.ranges[term]);
        let correlated = q == 1 || range.len() > q;
        held.others.retain(|k| !range.contains(k));
        held.order.clone_from(&first);
        held.order.extend((0..q).filter(|c| !first.contains(c)));
        for i in 0..q {
            let from = if correlated { 0 } else { i };
            held.free
                .extend((from..=i).map(|j| (i, j)).filter(|&at| match first.len() {
                    1 => at != (0, 0),
                    _ => at != (1, 0),
                }));
        }
        held
    }

    /// Returns free parameters near those of the fit.
    pub(super) fn start(&self) -> Vec<f64> {
        let (layout, theta) = (&self.state.layout, &self.state.theta);
        let diagonal = layout.diagonal();
        let mut out: Vec<f64> = self
            .others
            .iter()
            .map(|&k| {
                if diagonal[k] {
                    theta[k].max(NUDGE)
                } else {
                    theta[k]
                }
            })
            .collect();
        if let Some(term) = self.term() {
            let whole = covariance(&layout.block(&layout.lambdas(theta), term));
            let turned: Vec<Vec<f64>> = self
                .order
                .iter()
                .map(|&i| self.order.iter().map(|&j| whole[i][j]).collect())
                .collect();
            let lower = half_definite(&turned);
            out.extend(self.free.iter().map(|&(i, j)| match i == j {
                true if self.is_correlation() && i == 1 => turned[1][1].sqrt().max(NUDGE),
                true => lower[i][j].max(NUDGE),
                false => lower[i][j],
            }));
        }
        if self.frees_sigma() {
            out.push(self.state.sigma.ln());
        }
        out
    }

    fn term(&self) -> Option<usize> {
        match self.target {
            ProfileTarget::Sd { term, .. } | ProfileTarget::Correlation { term, .. } => Some(term),
            _ => None,
        }
    }

    fn is_correlation(&self) -> bool {
        matches!(self.target, ProfileTarget::Correlation { .. })
    }

    fn frees_sigma(&self) -> bool {
        matches!(self.target, ProfileTarget::Sd { .. }) && self.state.problem.known_sigma.is_none()
    }

    /// Returns the deviance at free parameters `x` with the target held at `value`.
    pub(super) fn deviance(&self, x: &[f64], value: f64) -> f64 {
        let (state, problem) = (self.state, &self.state.problem);
        let mut theta = vec![0.0; state.layout.len()];
        for (&k, v) in self.others.iter().zip(x) {
            theta[k] = *v;
        }
        let mut lambdas = state.layout.lambdas(&theta);
        let sigma = match self.target {
            ProfileTarget::Sigma => Some(value / (state.scale * state.mean_weight.sqrt())),
            _ if self.frees_sigma() => x.last().map(|v| v.exp()),
            _ => problem.known_sigma,
        };
        if let Some(term) = self.term() {
            let block = self.block(x, value, sigma.unwrap_or(state.sigma), term);
            state.layout.set_block(&mut lambdas, term, &block);
        }
        let Some(mut point) = problem.point(&lambdas) else {
            return f64::INFINITY;
        };
        if let ProfileTarget::Fixed { column } = self.target {
            let wanted = (value - state.start[column]) / state.scale;
            point.r2 += self.miss(&point, wanted);
        }
        let sigma = sigma.unwrap_or_else(|| best_sigma(problem, &point));
        problem.deviance_at(&point, sigma, Criterion::Ml)
    }

    /// What holding a fixed effect adds to the penalised residual sum of squares.
    fn miss(&self, point: &Point, wanted: f64) -> f64 {
        let (m, p) = (&self.contrast, self.contrast.len());
        let inverse = point.inverse();
        let size: f64 = (0..p * p).map(|i| m[i / p] * inverse[i] * m[i % p]).sum();
        let found: f64 = m.iter().zip(&point.gamma).map(|(m, g)| m * g).sum();
        (wanted - found).powi(2) / size
    }

    fn block(&self, x: &[f64], value: f64, sigma: f64, term: usize) -> Vec<Vec<f64>> {
        let q = self.order.len();
        let mut lower = vec![vec![0.0; q]; q];
        for (&(i, j), v) in self.free.iter().zip(&x[self.others.len()..]) {
            lower[i][j] = *v;
        }
        if self.is_correlation() {
            let size = lower[1][1];
            // The sign of a held correlation is that of both sizes together.
            let sign = (size * lower[0][0]).signum();
            lower[1][0] = value * size.abs() * sign * size.signum();
            lower[1][1] = size * (1.0 - value * value).max(0.0).sqrt();
        } else {
            let scale = self.state.scales(term)[self.order[0]];
            lower[0][0] = value * scale / (self.state.scale * sigma);
        }
        let mut block = vec![vec![0.0; q]; q];
        for (i, row) in lower.into_iter().enumerate() {
            block[self.order[i]] = row;
        }
        block
    }
}

fn best_sigma(problem: &Problem, point: &Point) -> f64 {
    (point.r2 / problem.freedom(Criterion::Ml)).sqrt()
}

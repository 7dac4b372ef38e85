//! The deviance (REML or ML) at given covariance factors, with or without a given sigma.
//! Works in scaled units: response residual and random columns have root mean square 1.

use std::f64::consts::PI;

use super::Criterion;
use super::blocks::Lambdas;
use super::dense::{backward, cholesky, forward};
use super::reduce::reduce;
use super::stats::Stats;

/// Everything needed to work out a deviance.
#[derive(Debug, Clone)]
pub(super) struct Problem {
    pub(super) stats: Stats,
    pub(super) criterion: Criterion,
    /// Sigma in scaled units when the error variances are known.
    pub(super) known_sigma: Option<f64>,
    /// Log of the scale of the response, squared.
    pub(super) log_scale: f64,
    /// Twice the log of the size of the fixed columns.
    pub(super) log_fixed: f64,
    /// Sum of the logs of the weights.
    pub(super) log_weights: f64,
}

/// The solution at given covariance factors.
#[derive(Debug, Clone)]
pub(super) struct Point {
    /// Log determinant of the random part.
    pub(super) log_det: f64,
    /// Log determinant of the fixed part.
    pub(super) log_det_fixed: f64,
    /// Penalised residual sum of squares.
    pub(super) r2: f64,
    /// Cholesky factor of the reduced fixed part, p x p.
    pub(super) l: Vec<f64>,
    /// Coefficients of the orthonormal fixed columns.
    pub(super) gamma: Vec<f64>,
}

impl Point {
    /// Returns the inverse of the reduced fixed part, p x p.
    pub(super) fn inverse(&self) -> Vec<f64> {
        super::dense::inverse(&self.l, self.gamma.len())
    }
}

impl Problem {
    /// Number of fixed columns.
    pub(super) fn p(&self) -> usize {
        self.stats.width - 1
    }

    /// Rows, less the fixed columns under REML.
    pub(super) fn freedom(&self, criterion: Criterion) -> f64 {
        match criterion {
            Criterion::Ml => self.stats.n as f64,
            Criterion::Reml => (self.stats.n - self.p()) as f64,
        }
    }

    /// Solves for the fixed effects; none when a block cannot be factored.
    pub(super) fn point(&self, lambdas: &Lambdas) -> Option<Point> {
        let reduced = reduce(&self.stats, lambdas)?;
        let (p, width) = (self.p(), self.stats.width);
        let mut l = vec![0.0; p * p];
        for i in 0..p {
            l[i * p..(i + 1) * p].copy_from_slice(&reduced.gram[i * width..i * width + p]);
        }
        let mut gamma: Vec<f64> = (0..p).map(|i| reduced.gram[i * width + p]).collect();
        let log_det_fixed = cholesky(&mut l, p)?;
        forward(&l, p, &mut gamma, 1);
        let explained: f64 = gamma.iter().map(|x| x * x).sum();
        let r2 = reduced.gram[width * width - 1] - explained;
        backward(&l, p, &mut gamma, 1);
        (r2.is_finite() && r2 > 0.0).then_some(Point {
            log_det: reduced.log_det,
            log_det_fixed,
            r2,
            l,
            gamma,
        })
    }

    /// Returns the best sigma at a point, scaled units.
    pub(super) fn sigma(&self, point: &Point) -> f64 {
        self.known_sigma
            .unwrap_or_else(|| (point.r2 / self.freedom(self.criterion)).sqrt())
    }

    /// Returns the deviance at a point for a sigma, under a criterion.
    pub(super) fn deviance_at(&self, point: &Point, sigma: f64, criterion: Criterion) -> f64 {
        let df = self.freedom(criterion);
        let fixed = match criterion {
            Criterion::Ml => 0.0,
            Criterion::Reml => point.log_det_fixed + self.log_fixed,
        };
        point.log_det
            + fixed
            + df * ((2.0 * PI * sigma * sigma).ln() + self.log_scale)
            + point.r2 / (sigma * sigma)
            - self.log_weights
    }

    /// Returns the deviance with the best sigma; infinite when it cannot be worked out.
    pub(super) fn deviance(&self, lambdas: &Lambdas) -> f64 {
        self.point(lambdas).map_or(f64::INFINITY, |point| {
            self.deviance_at(&point, self.sigma(&point), self.criterion)
        })
    }
}

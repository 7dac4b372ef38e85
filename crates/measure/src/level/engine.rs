//! Point-mass filter and smoother on a grid of levels: forward, backward, both together.
//! Its buffers are kept from one person to the next; a step allocates nothing.
//! Source of the method: Kitagawa 1987; docs/methods/level.md, "The grid".

use super::grid::{self, Layout};
use super::kalman::Run;
use super::kernel;
use super::lattice::Lattice;
use super::model::{Model, Start};
use super::nodes::{self, Node};
use super::reading::Reading;
use super::series::Series;
use super::tail::{Tails, density};
use crate::MeasureError;

/// SDs of a step that the kernel keeps on either side; beyond lies 2e-9.
const KERNEL_REACH: f64 = 6.0;
/// Fewer points than these to an SD call for a finer grid.
const FEWEST_PER_SD: f64 = 2.5;
/// Rounds of making the grid finer.
const ROUNDS: usize = 4;

/// A kernel with the step and reach it was made for.
#[derive(Debug, Default)]
struct Kernel {
    variance: f64,
    reach: usize,
    taps: Vec<f64>,
}

/// All that is known on the grid; rows of `points` numbers, one for each node.
#[derive(Debug, Default)]
pub(super) struct Field {
    pub(super) nodes: Vec<Node>,
    readings: Vec<Reading>,
    run: Run,
    pub(super) layout: Layout,
    kernels: Vec<Kernel>,
    used: usize,
    steps: Vec<usize>,
    pub(super) likelihood: Vec<f64>,
    pub(super) filtered: Vec<f64>,
    pub(super) backward: Vec<f64>,
    pub(super) smoothed: Vec<f64>,
    padded: Vec<f64>,
    product: Vec<f64>,
    pub(super) log_likelihood: f64,
}

impl Field {
    /// Works out everything for a series at its dates and the extra ones.
    pub(super) fn all(
        &mut self,
        model: &Model,
        series: &Series,
        extra: &[f64],
        finest: f64,
    ) -> Result<(), MeasureError> {
        let mut finest = finest;
        for round in 1.. {
            self.forward(model, series, extra, finest)?;
            self.backward();
            self.combine()?;
            let narrow = (0..self.nodes.len())
                .map(|node| self.level(node).moments().1)
                .fold(f64::INFINITY, f64::min);
            if round == ROUNDS || self.layout.spacing * FEWEST_PER_SD <= narrow {
                break;
            }
            finest = (0.5 * self.layout.spacing).min(narrow / (FEWEST_PER_SD + 0.5));
        }
        Ok(())
    }

    /// Returns the marginal log likelihood alone.
    pub(super) fn likelihood_of(
        &mut self,
        model: &Model,
        series: &Series,
    ) -> Result<f64, MeasureError> {
        self.forward(model, series, &[], f64::INFINITY)?;
        Ok(self.log_likelihood)
    }

    /// Returns the level at a node, from all results.
    pub(super) fn level(&self, node: usize) -> Lattice<'_> {
        Lattice {
            origin: self.layout.origin,
            spacing: self.layout.spacing,
            mass: self.row(&self.smoothed, node),
        }
    }

    pub(super) fn row<'a>(&self, rows: &'a [f64], node: usize) -> &'a [f64] {
        let points = self.layout.points;
        &rows[node * points..(node + 1) * points]
    }

    /// Returns the kernel from a node to the next.
    pub(super) fn step(&self, node: usize) -> &[f64] {
        &self.kernels[self.steps[node]].taps
    }

    fn forward(
        &mut self,
        model: &Model,
        series: &Series,
        extra: &[f64],
        finest: f64,
    ) -> Result<(), MeasureError> {
        nodes::fill(series, extra, &mut self.nodes)?;
        self.readings.clear();
        for seen in series.observations() {
            self.readings.push(Reading::of(model, seen)?);
        }
        let readings = &self.readings;
        self.run
            .all(model, &self.nodes, |place| readings[place].stand_in());
        self.layout = grid::layout(model, &self.nodes, readings, &self.run, finest)?;
        self.choose_kernels(model);
        self.weigh();
        self.filter(model)
    }

    /// Finds or makes the kernel of each step.
    fn choose_kernels(&mut self, model: &Model) {
        self.steps.clear();
        self.used = 0;
        for pair in 0..self.nodes.len().saturating_sub(1) {
            let step = model.drift * (self.nodes[pair + 1].week - self.nodes[pair].week);
            let sd = step.sqrt();
            let jump = match (self.run.smoothed[pair], self.run.smoothed[pair + 1]) {
                (Some(a), Some(b)) => (b.mean - a.mean).abs(),
                _ => f64::INFINITY,
            };
            let wide = (KERNEL_REACH * sd + (jump - sd).max(0.0)) / self.layout.spacing;
            let reach = wide.ceil().min((self.layout.points - 1) as f64) as usize;
            let variance = step / (self.layout.spacing * self.layout.spacing);
            let same = |k: &Kernel| k.variance == variance && k.reach == reach;
            let place = self.kernels[..self.used].iter().position(same);
            self.steps.push(place.unwrap_or_else(|| {
                if self.used == self.kernels.len() {
                    self.kernels.push(Kernel::default());
                }
                let kernel = &mut self.kernels[self.used];
                (kernel.variance, kernel.reach) = (variance, reach);
                kernel::build(variance, reach, &mut kernel.taps);
                self.used += 1;
                self.used - 1
            }));
        }
    }

    /// Fills in the likelihood of each node's results.
    fn weigh(&mut self) {
        let (tails, points) = (Tails::get(), self.layout.points);
        self.likelihood.clear();
        self.likelihood.resize(self.nodes.len() * points, 1.0);
        for (node, row) in self
            .nodes
            .iter()
            .zip(self.likelihood.chunks_exact_mut(points))
        {
            for reading in &self.readings[node.first..node.end] {
                reading.apply(tails, self.layout.origin, self.layout.spacing, row);
            }
        }
    }

    fn filter(&mut self, model: &Model) -> Result<(), MeasureError> {
        let Layout {
            origin,
            spacing,
            points,
        } = self.layout;
        self.filtered.clear();
        self.filtered.resize(self.nodes.len() * points, 0.0);
        self.log_likelihood = 0.0;
        for node in 0..self.nodes.len() {
            let (before, row) = self.filtered.split_at_mut(node * points);
            let row = &mut row[..points];
            if node > 0 {
                let last = &before[(node - 1) * points..];
                let taps = &self.kernels[self.steps[node - 1]].taps;
                kernel::convolve(last, taps, &mut self.padded, row);
            } else if let Start::From(prior) = model.start {
                for (place, mass) in row.iter_mut().enumerate() {
                    let z = (origin + place as f64 * spacing - prior.mean) / prior.sd;
                    *mass = density(z) * spacing / prior.sd;
                }
            } else {
                row.fill(spacing);
            }
            let seen = &self.likelihood[node * points..(node + 1) * points];
            row.iter_mut().zip(seen).for_each(|(mass, l)| *mass *= l);
            let sum = normalise(row).ok_or_else(|| too_far(self.nodes[node].week))?;
            self.log_likelihood += sum.ln();
        }
        Ok(())
    }

    fn backward(&mut self) {
        let points = self.layout.points;
        self.backward.clear();
        self.backward.resize(self.nodes.len() * points, 1.0);
        self.product.resize(points, 0.0);
        for node in (0..self.nodes.len().saturating_sub(1)).rev() {
            let (row, after) = self.backward[node * points..].split_at_mut(points);
            let seen = &self.likelihood[(node + 1) * points..(node + 2) * points];
            let product = &mut self.product[..points];
            for ((out, l), b) in product.iter_mut().zip(seen).zip(after.iter()) {
                *out = l * b;
            }
            let taps = &self.kernels[self.steps[node]].taps;
            kernel::convolve(product, taps, &mut self.padded, row);
            normalise(row);
        }
    }

    fn combine(&mut self) -> Result<(), MeasureError> {
        let points = self.layout.points;
        self.smoothed.clear();
        self.smoothed
            .extend(self.filtered.iter().zip(&self.backward).map(|(a, b)| a * b));
        for (node, row) in self.smoothed.chunks_exact_mut(points).enumerate() {
            normalise(row).ok_or_else(|| too_far(self.nodes[node].week))?;
        }
        Ok(())
    }
}

/// Makes the sum 1; returns what it was, where that is a number above 0.
fn normalise(row: &mut [f64]) -> Option<f64> {
    let sum: f64 = row.iter().sum();
    if !(sum.is_finite() && sum > 0.0) {
        return None;
    }
    let inverse = 1.0 / sum;
    if !inverse.is_finite() {
        return None;
    }
    row.iter_mut().for_each(|value| *value *= inverse);
    Some(sum)
}

fn too_far(week: f64) -> MeasureError {
    MeasureError::Undefined {
        what: "the level",
        why: format!(
            "the results around week {week} lie some 37 errors or more from what the others and \
             the group allow; check their unit, test and date"
        ),
    }
}

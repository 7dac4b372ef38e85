//! Predicted random effects (BLUPs) and their conditional variances.
//! Conditional on the estimated fixed effects and variances, as the usual software has them.

use super::blocks::{Block, Lambdas};
use super::dense::{backward, inverse};
use super::objective::{Point, Problem};
use super::reduce::{Schur, eliminate};
use super::stats::{Component, Stats};

/// Effects and SDs of one factor, level by level, in scaled units.
pub(super) struct FactorEffects {
    pub(super) effects: Vec<f64>,
    /// SDs relative to sigma.
    pub(super) sds: Vec<f64>,
}

/// Returns the effects of every factor; none when a block cannot be factored.
pub(super) fn effects(
    problem: &Problem,
    lambdas: &Lambdas,
    point: &Point,
) -> Option<Vec<FactorEffects>> {
    let stats = &problem.stats;
    let mut out: Vec<FactorEffects> = stats
        .shapes
        .iter()
        .map(|shape| FactorEffects {
            effects: vec![0.0; shape.labels.len() * shape.q],
            sds: vec![0.0; shape.labels.len() * shape.q],
        })
        .collect();
    let mut block = Block::default();
    for component in &stats.components {
        let mut gram = vec![0.0; stats.width * stats.width];
        let schur = eliminate(stats, component, lambdas, &mut block, &mut gram)?;
        let (u, spread) = rest_effects(stats, component, lambdas, &schur, point, &mut out);
        for &g in &component.groups {
            block.load(stats, component, g as usize, lambdas)?;
            let touched = Touched {
                u: &u,
                spread: &spread,
                m: component.m,
            };
            group_effects(
                &block,
                g as usize,
                &lambdas[0],
                point,
                &touched,
                &mut out[0],
            );
        }
    }
    Some(out)
}

/// Response less fixed part, for each row of a solved block.
fn leftover(half: &[f64], width: usize, stride: usize, gamma: &[f64]) -> Vec<f64> {
    half.chunks_exact(stride)
        .map(|row| {
            let fixed: f64 = row.iter().zip(gamma).map(|(x, g)| x * g).sum();
            row[width - 1] - fixed
        })
        .collect()
}

/// Writes lambda u and the SDs of lambda var lambda' at `at`.
fn write(
    lambda: &[f64],
    q: usize,
    u: &[f64],
    var: impl Fn(usize, usize) -> f64,
    out: &mut FactorEffects,
    at: usize,
) {
    for i in 0..q {
        let row = &lambda[i * q..(i + 1) * q];
        out.effects[at + i] = row.iter().zip(u).map(|(l, u)| l * u).sum();
        let mut variance = 0.0;
        for (j, a) in row.iter().enumerate() {
            for (k, b) in row.iter().enumerate() {
                variance += a * var(j, k) * b;
            }
        }
        out.sds[at + i] = variance.max(0.0).sqrt();
    }
}

fn rest_effects(
    stats: &Stats,
    component: &Component,
    lambdas: &Lambdas,
    schur: &Schur,
    point: &Point,
    out: &mut [FactorEffects],
) -> (Vec<f64>, Vec<f64>) {
    let m = component.m;
    if m == 0 {
        return (Vec::new(), Vec::new());
    }
    let mut u = leftover(&schur.half, stats.width, stats.width, &point.gamma);
    backward(&schur.l, m, &mut u, 1);
    let spread = inverse(&schur.l, m);
    for rest in &component.rest {
        let q = stats.shapes[rest.factor].q;
        let at = rest.offset;
        write(
            &lambdas[rest.factor],
            q,
            &u[at..at + q],
            |j, k| spread[(at + j) * m + at + k],
            &mut out[rest.factor],
            rest.level as usize * q,
        );
    }
    (u, spread)
}

/// Effects of the dense block that a group needs.
struct Touched<'a> {
    u: &'a [f64],
    spread: &'a [f64],
    m: usize,
}

fn group_effects(
    block: &Block,
    g: usize,
    lambda: &[f64],
    point: &Point,
    touched: &Touched,
    out: &mut FactorEffects,
) {
    let width = point.gamma.len() + 1;
    let stride = width + block.touched.len();
    let mut u = leftover(&block.half, width, stride, &point.gamma);
    let q = u.len();
    let rows: Vec<&[f64]> = block
        .half
        .chunks_exact(stride)
        .map(|r| &r[width..])
        .collect();
    let mut var = vec![0.0; q * q];
    for i in 0..q {
        u[i] -= block
            .touched
            .iter()
            .zip(rows[i])
            .map(|(&c, x)| x * touched.u[c])
            .sum::<f64>();
        var[i * q + i] = 1.0;
    }
    for (a, &c) in block.touched.iter().enumerate() {
        let line = &touched.spread[c * touched.m..(c + 1) * touched.m];
        for (i, row) in rows.iter().enumerate() {
            let along: f64 = block
                .touched
                .iter()
                .zip(*row)
                .map(|(&d, x)| line[d] * x)
                .sum();
            for (j, other) in rows.iter().enumerate() {
                var[j * q + i] += other[a] * along;
            }
        }
    }
    backward(&block.l, q, &mut u, 1);
    // L'^-1 var L^-1: once from each side.
    backward(&block.l, q, &mut var, q);
    let mut turned = transpose(&var, q);
    backward(&block.l, q, &mut turned, q);
    write(lambda, q, &u, |j, k| turned[j * q + k], out, g * q);
}

fn transpose(a: &[f64], q: usize) -> Vec<f64> {
    (0..q * q).map(|i| a[(i % q) * q + i / q]).collect()
}

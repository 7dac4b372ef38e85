//! Eliminates all random effects at given covariance factors.
//! What is left are the weighted sums of products of fixed columns and response.

use super::blocks::{Block, Lambdas, transposed_times};
use super::dense::{cholesky, forward};
use super::pair;
use super::stats::{Component, Stats};

/// Groups whose sums are added up before they are taken from the total, for the digits.
pub(super) const BATCH: usize = 256;

/// What is left when the random effects are gone.
pub(super) struct Reduced {
    /// Log determinant of lambda' Z' W Z lambda + 1.
    pub(super) log_det: f64,
    /// Fixed columns and response, width x width, both triangles.
    pub(super) gram: Vec<f64>,
}

/// The dense block of a component: factor and what belongs to it.
pub(super) struct Schur {
    /// Cholesky factor, m x m.
    pub(super) l: Vec<f64>,
    /// L^-1 of its fixed columns and response, m x width.
    pub(super) half: Vec<f64>,
    /// Log determinant with that of the groups.
    pub(super) log_det: f64,
}

/// Eliminates everything; none when a block cannot be factored.
pub(super) fn reduce(stats: &Stats, lambdas: &Lambdas) -> Option<Reduced> {
    let width = stats.width;
    let mut gram = stats.gram.clone();
    let mut log_det = 0.0;
    let mut block = Block::default();
    for component in &stats.components {
        if pair::fits(stats, component) {
            log_det += pair::eliminate(stats, component, lambdas, &mut gram)?;
            continue;
        }
        let schur = eliminate(stats, component, lambdas, &mut block, &mut gram)?;
        log_det += schur.log_det;
        take_products(&mut gram, &schur.half, width, width);
    }
    for i in 0..width {
        for j in 0..i {
            gram[j * width + i] = gram[i * width + j];
        }
    }
    Some(Reduced { log_det, gram })
}

/// Takes x' x from the lower triangle of `gram`; rows of x are `stride` long.
fn take_products(gram: &mut [f64], x: &[f64], width: usize, stride: usize) {
    for row in x.chunks_exact(stride) {
        for i in 0..width {
            let factor = row[i];
            let out = &mut gram[i * width..i * width + i + 1];
            for (sum, value) in out.iter_mut().zip(row) {
                *sum -= factor * value;
            }
        }
    }
}

/// Eliminates the groups of a component, then factors what is left of it.
pub(super) fn eliminate(
    stats: &Stats,
    component: &Component,
    lambdas: &Lambdas,
    block: &mut Block,
    gram: &mut [f64],
) -> Option<Schur> {
    let (m, width) = (component.m, stats.width);
    let (mut s, mut t) = scaled_rest(stats, component, lambdas);
    let mut log_det = 0.0;
    let mut part = vec![0.0; width * width];
    for batch in component.groups.chunks(BATCH) {
        part.fill(0.0);
        for &g in batch {
            log_det += block.load(stats, component, g as usize, lambdas)?;
            let columns = width + block.touched.len();
            take_products(&mut part, &block.half, width, columns);
            if m > 0 {
                take_from_rest(&mut s, &mut t, block, m, width);
            }
        }
        for (total, value) in gram.iter_mut().zip(&part) {
            *total += value;
        }
    }
    if m > 0 {
        log_det += cholesky(&mut s, m)?;
        forward(&s, m, &mut t, width);
    }
    Some(Schur {
        l: s,
        half: t,
        log_det,
    })
}

fn take_from_rest(s: &mut [f64], t: &mut [f64], block: &Block, m: usize, width: usize) {
    let touched = &block.touched;
    let whole = touched.len() == m;
    for row in block.half.chunks_exact(width + touched.len()) {
        let (fixed, rest) = row.split_at(width);
        for (a, &i) in touched.iter().enumerate() {
            let factor = rest[a];
            if factor == 0.0 {
                continue;
            }
            for (sum, value) in t[i * width..(i + 1) * width].iter_mut().zip(fixed) {
                *sum -= factor * value;
            }
            let out = &mut s[i * m..i * m + i + 1];
            if whole {
                for (sum, value) in out.iter_mut().zip(rest) {
                    *sum -= factor * value;
                }
            } else {
                for (&j, value) in touched[..=a].iter().zip(rest) {
                    out[j] -= factor * value;
                }
            }
        }
    }
}

/// Returns lambda' zz lambda + 1 and lambda' zc of the dense block.
fn scaled_rest(stats: &Stats, component: &Component, lambdas: &Lambdas) -> (Vec<f64>, Vec<f64>) {
    let (m, width) = (component.m, stats.width);
    let (mut s, mut t) = (component.zz.clone(), component.zc.clone());
    let mut work = Vec::new();
    for rest in &component.rest {
        let (at, q) = (rest.offset, stats.shapes[rest.factor].q);
        let lambda = &lambdas[rest.factor];
        transposed_times(lambda, q, &mut s[at * m..], m, &mut work);
        transposed_times(lambda, q, &mut t[at * width..], width, &mut work);
    }
    let mut line = Vec::new();
    for row in s.chunks_exact_mut(m.max(1)) {
        for rest in &component.rest {
            let (at, q) = (rest.offset, stats.shapes[rest.factor].q);
            let lambda = &lambdas[rest.factor];
            // (x lambda)' = lambda' x', so that a row is treated as a column.
            transposed_times(lambda, q, &mut row[at..], 1, &mut line);
        }
    }
    (0..m).for_each(|i| s[i * m + i] += 1.0);
    (s, t)
}

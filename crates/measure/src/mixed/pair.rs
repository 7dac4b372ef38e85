//! Eliminates groups with two effects each (a level and a slope) that touch nothing else.
//! The same sums as the general way, on plain numbers: it is where a large fit spends its time.

use super::blocks::Lambdas;
use super::reduce::BATCH;
use super::stats::{Component, Stats};

/// Pivots are multiplied up to here before their logarithm is taken.
const LARGE: f64 = 1e200;

/// Whether the component is of this kind.
pub(super) fn fits(stats: &Stats, component: &Component) -> bool {
    stats.shapes[0].q == 2 && component.m == 0
}

/// Takes the groups from `gram`; returns the log determinant, or none where a group cannot be factored.
pub(super) fn eliminate(
    stats: &Stats,
    component: &Component,
    lambdas: &Lambdas,
    gram: &mut [f64],
) -> Option<f64> {
    let width = stats.width;
    let &[a, b, c, d] = lambdas[0].as_slice() else {
        return None;
    };
    let (mut log_det, mut product) = (0.0, 1.0_f64);
    let mut part = vec![0.0; width * width];
    let (mut first, mut second) = (vec![0.0; width], vec![0.0; width]);
    for batch in component.groups.chunks(BATCH) {
        part.fill(0.0);
        for &g in batch {
            let g = g as usize;
            let &[p, q, r, s] = &stats.lead_zz[4 * g..4 * g + 4] else {
                return None;
            };
            // zz lambda, then lambda' of that, and 1 on the diagonal.
            let (pa, pb) = (p * a + q * c, p * b + q * d);
            let (ra, rb) = (r * a + s * c, r * b + s * d);
            let top = a * pa + c * ra + 1.0;
            let side = b * pa + d * ra;
            let bottom = b * pb + d * rb + 1.0;
            let rest = bottom - side * side / top;
            let whole = top * rest;
            if !(top > 0.0 && rest > 0.0 && whole.is_finite()) {
                return None;
            }
            product *= whole;
            if product > LARGE {
                log_det += product.ln();
                product = 1.0;
            }
            let (one, two) = (1.0 / top.sqrt(), 1.0 / rest.sqrt());
            let ratio = side / top;
            let (upper, lower) = stats.lead_zc[2 * width * g..2 * width * (g + 1)].split_at(width);
            for k in 0..width {
                let x = a * upper[k] + c * lower[k];
                let y = b * upper[k] + d * lower[k];
                first[k] = x * one;
                second[k] = (y - ratio * x) * two;
            }
            for i in 0..width {
                let (x, y) = (first[i], second[i]);
                let out = &mut part[i * width..i * width + i + 1];
                for ((sum, u), v) in out.iter_mut().zip(&first).zip(&second) {
                    *sum -= x * u + y * v;
                }
            }
        }
        for (total, value) in gram.iter_mut().zip(&part) {
            *total += value;
        }
    }
    Some(log_det + product.ln())
}

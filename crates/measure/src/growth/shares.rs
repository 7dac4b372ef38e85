//! Which share of each bend of a curve its data settle, the rest being settled by the penalty.
//! Sums over the bends only, from traces: no bend is worked out by itself.
//! Jeffreys' density of ln(factor): own derivation, docs/methods/growth-references.md.

use super::matrix::Matrix;

/// Sum of squares of shares below which a curve is a straight line.
const STRAIGHT: f64 = 1e-8;

/// Sums over the bends of a curve, s being the share that the data settle.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Shares {
    /// Sum of s.
    pub(crate) sum: f64,
    squares: f64,
    pulls: f64,
}

impl Shares {
    /// Makes them from the part of (information + penalty)^-1 of one curve times its penalty.
    pub(crate) fn new(left: &Matrix, rank: f64) -> Self {
        let size = left.size();
        let (mut first, mut second, mut third) = (0.0, 0.0, 0.0);
        for i in 0..size {
            first += left.get(i, i);
            for j in 0..size {
                let cell: f64 = (0..size).map(|k| left.get(i, k) * left.get(k, j)).sum();
                if i == j {
                    second += cell;
                }
                third += cell * left.get(j, i);
            }
        }
        Self {
            sum: (rank - first).max(0.0),
            squares: rank - 2.0 * first + second,
            pulls: first - 2.0 * second + third,
        }
    }

    /// Returns the logarithm of Jeffreys' density of ln(factor), up to a constant.
    pub(crate) fn log_density(&self) -> f64 {
        0.5 * self.squares.max(STRAIGHT).ln()
    }

    /// Returns how fast it falls with ln(factor): 1 at a straight line, to 0 where data settle all.
    pub(crate) fn fall(&self) -> f64 {
        if self.squares > STRAIGHT {
            (self.pulls / self.squares).clamp(0.0, 1.0)
        } else {
            1.0
        }
    }
}

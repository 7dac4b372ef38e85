//! One group of the leading factor: its small block, factored, with all it touches.
//! Holds the work space, so that a pass over the groups allocates nothing.

use super::dense::{cholesky, forward};
use super::stats::{Component, Stats};

/// Relative covariance factors, one q x q list a factor, row by row.
pub(super) type Lambdas = [Vec<f64>];

/// Work space of a group.
#[derive(Default)]
pub(super) struct Block {
    /// Cholesky factor of lambda' zz lambda + 1, q x q.
    pub(super) l: Vec<f64>,
    /// L^-1 lambda' [zc | meetings], q x (width + touched).
    pub(super) half: Vec<f64>,
    /// Columns of the dense block that the group touches.
    pub(super) touched: Vec<usize>,
    work: Vec<f64>,
}

impl Block {
    /// Fills the block for group `g`; returns log det, or none when it cannot be factored.
    pub(super) fn load(
        &mut self,
        stats: &Stats,
        component: &Component,
        g: usize,
        lambdas: &Lambdas,
    ) -> Option<f64> {
        let (q, width) = (stats.shapes[0].q, stats.width);
        let meetings = &stats.meetings[stats.meeting_start[g]..stats.meeting_start[g + 1]];
        self.touched.clear();
        for meeting in meetings {
            let rest = &component.rest[meeting.rest as usize];
            let size = stats.shapes[rest.factor].q;
            self.touched.extend(rest.offset..rest.offset + size);
        }
        let columns = width + self.touched.len();
        self.half.clear();
        self.half.resize(q * columns, 0.0);
        for (row, out) in self.half.chunks_exact_mut(columns).enumerate() {
            let from = (g * q + row) * width;
            out[..width].copy_from_slice(&stats.lead_zc[from..from + width]);
        }
        let mut at = width;
        for meeting in meetings {
            let rest = &component.rest[meeting.rest as usize];
            let lambda = &lambdas[rest.factor];
            let size = stats.shapes[rest.factor].q;
            let values = &stats.meeting_values[meeting.at..meeting.at + q * size];
            for row in 0..q {
                for column in 0..size {
                    self.half[row * columns + at + column] = (0..size)
                        .map(|k| values[row * size + k] * lambda[k * size + column])
                        .sum();
                }
            }
            at += size;
        }
        transposed_times(&lambdas[0], q, &mut self.half, columns, &mut self.work);
        self.factor(
            &stats.lead_zz[g * q * q..(g + 1) * q * q],
            q,
            &lambdas[0],
            columns,
        )
    }

    fn factor(&mut self, zz: &[f64], q: usize, lambda: &[f64], columns: usize) -> Option<f64> {
        self.l.clear();
        self.l.resize(q * q, 0.0);
        for i in 0..q {
            for k in 0..q {
                let value = zz[i * q + k];
                for j in 0..q {
                    self.l[i * q + j] += value * lambda[k * q + j];
                }
            }
        }
        transposed_times(lambda, q, &mut self.l, q, &mut self.work);
        (0..q).for_each(|i| self.l[i * q + i] += 1.0);
        let log_det = cholesky(&mut self.l, q)?;
        forward(&self.l, q, &mut self.half, columns);
        Some(log_det)
    }
}

/// Replaces `b` (q x width) by lambda' b.
pub(super) fn transposed_times(
    lambda: &[f64],
    q: usize,
    b: &mut [f64],
    width: usize,
    work: &mut Vec<f64>,
) {
    work.clear();
    work.extend_from_slice(&b[..q * width]);
    for i in 0..q {
        let row = &mut b[i * width..(i + 1) * width];
        row.fill(0.0);
        for k in 0..q {
            let factor = lambda[k * q + i];
            if factor != 0.0 {
                for (x, y) in row.iter_mut().zip(&work[k * width..(k + 1) * width]) {
                    *x += factor * y;
                }
            }
        }
    }
}

//! Cholesky factors of small blocks in flat lists, and of large ones in panels.
//! Row by row storage; only lower triangles are read and written.

use nalgebra::{DMatrix, DMatrixView};

/// Columns a panel; larger blocks go through matrix products.
const PANEL: usize = 48;

/// Replaces the lower triangle of a k x k block by its Cholesky factor; returns log det.
/// None when it is not positive definite.
pub(super) fn cholesky(a: &mut [f64], k: usize) -> Option<f64> {
    if k > 2 * PANEL {
        return cholesky_in_panels(a, k);
    }
    let mut log_det = 0.0;
    for j in 0..k {
        for i in j..k {
            let (head, tail) = a.split_at_mut(i * k);
            let row_j = if i == j {
                None
            } else {
                Some(&head[j * k..j * k + j])
            };
            let row_i = &mut tail[..k];
            let sum = match row_j {
                None => row_i[..j].iter().map(|x| x * x).sum::<f64>(),
                Some(row_j) => product(&row_i[..j], row_j),
            };
            row_i[j] -= sum;
            if i == j {
                let pivot = row_i[j];
                if !(pivot > 0.0 && pivot.is_finite()) {
                    return None;
                }
                log_det += pivot.ln();
                row_i[j] = pivot.sqrt();
            } else {
                row_i[j] /= head[j * k + j];
            }
        }
    }
    Some(log_det)
}

fn product(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

/// Left-looking by panels: the products of finished panels go through a fast multiplication.
/// Stored column by column for the library: the transpose, whose upper triangle is ours.
fn cholesky_in_panels(a: &mut [f64], k: usize) -> Option<f64> {
    let mut full = DMatrix::zeros(k, k);
    for i in 0..k {
        for j in 0..=i {
            full[(i, j)] = a[i * k + j];
        }
    }
    let mut log_det = 0.0;
    let mut start = 0;
    while start < k {
        let size = PANEL.min(k - start);
        if start > 0 {
            let done = full.view((start, 0), (k - start, start)).clone_owned();
            let top = full.view((start, 0), (size, start)).transpose();
            full.view_mut((start, start), (k - start, size))
                .gemm(-1.0, &done, &top, 1.0);
        }
        log_det += panel(&mut full, start, size)?;
        start += size;
    }
    for i in 0..k {
        for j in 0..=i {
            a[i * k + j] = full[(i, j)];
        }
    }
    Some(log_det)
}

fn panel(full: &mut DMatrix<f64>, start: usize, size: usize) -> Option<f64> {
    let k = full.nrows();
    let mut log_det = 0.0;
    for j in start..start + size {
        let pivot = full[(j, j)];
        if !(pivot > 0.0 && pivot.is_finite()) {
            return None;
        }
        log_det += pivot.ln();
        let root = pivot.sqrt();
        full.view_mut((j, j), (k - j, 1)).scale_mut(1.0 / root);
        for c in j + 1..start + size {
            let factor = full[(c, j)];
            for i in c..k {
                full[(i, c)] -= factor * full[(i, j)];
            }
        }
    }
    Some(log_det)
}

/// Solves L x = b for `width` columns at once, b stored row by row.
pub(super) fn forward(l: &[f64], k: usize, b: &mut [f64], width: usize) {
    for i in 0..k {
        let (done, rest) = b.split_at_mut(i * width);
        let row = &mut rest[..width];
        for j in 0..i {
            let factor = l[i * k + j];
            if factor != 0.0 {
                for (x, y) in row.iter_mut().zip(&done[j * width..(j + 1) * width]) {
                    *x -= factor * y;
                }
            }
        }
        let pivot = l[i * k + i];
        row.iter_mut().for_each(|x| *x /= pivot);
    }
}

/// Solves L' x = b for `width` columns at once.
pub(super) fn backward(l: &[f64], k: usize, b: &mut [f64], width: usize) {
    for i in (0..k).rev() {
        let (head, rest) = b.split_at_mut((i + 1) * width);
        let row = &mut head[i * width..];
        for j in i + 1..k {
            let factor = l[j * k + i];
            let below = &rest[(j - i - 1) * width..(j - i) * width];
            for (x, y) in row.iter_mut().zip(below) {
                *x -= factor * y;
            }
        }
        let pivot = l[i * k + i];
        row.iter_mut().for_each(|x| *x /= pivot);
    }
}

/// Returns the inverse of L L', k x k.
pub(super) fn inverse(l: &[f64], k: usize) -> Vec<f64> {
    let mut out = vec![0.0; k * k];
    if k > 2 * PANEL {
        let lower = DMatrixView::from_slice(l, k, k).transpose();
        let mut half = DMatrix::identity(k, k);
        // The factor has positive pivots, so that the solve succeeds.
        lower.solve_lower_triangular_mut(&mut half);
        out.copy_from_slice((half.transpose() * half).as_slice());
        return out;
    }
    (0..k).for_each(|i| out[i * k + i] = 1.0);
    forward(l, k, &mut out, k);
    backward(l, k, &mut out, k);
    out
}

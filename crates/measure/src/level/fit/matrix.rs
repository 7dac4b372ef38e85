//! The little linear algebra a search over a handful of parameters needs.
//! Refuses what is not positive definite; no pivoting, for matrices of ten rows at most.
//! Source: Nocedal & Wright 2006, equation 6.17 for the update.

/// Rows of a square matrix.
pub(super) type Matrix = Vec<Vec<f64>>;

/// Inverts a symmetric positive definite matrix by elimination; none where it is not one.
pub(super) fn invert(mut matrix: Matrix) -> Option<Matrix> {
    let size = matrix.len();
    let mut inverse = unit(size);
    for k in 0..size {
        let pivot = matrix[k][k];
        if !(pivot.is_finite() && pivot > 0.0) {
            return None;
        }
        for column in 0..size {
            matrix[k][column] /= pivot;
            inverse[k][column] /= pivot;
        }
        for row in (0..size).filter(|&row| row != k) {
            let factor = matrix[row][k];
            for column in 0..size {
                let (a, b) = (matrix[k][column], inverse[k][column]);
                matrix[row][column] -= factor * a;
                inverse[row][column] -= factor * b;
            }
        }
    }
    Some(inverse)
}

/// Returns ln of the determinant of a symmetric positive definite matrix; none where it is not one.
pub(super) fn log_determinant(mut matrix: Matrix) -> Option<f64> {
    let size = matrix.len();
    let mut sum = 0.0;
    for k in 0..size {
        let above = matrix[k].clone();
        let pivot = above[k];
        if !(pivot.is_finite() && pivot > 0.0) {
            return None;
        }
        sum += pivot.ln();
        for row in &mut matrix[k + 1..] {
            let factor = row[k] / pivot;
            row.iter_mut()
                .zip(&above)
                .for_each(|(value, above)| *value -= factor * above);
        }
    }
    Some(sum)
}

/// The update of the inverse curvature from one step.
pub(super) fn learn(inverse: &mut Matrix, step: &[f64], before: &[f64], after: &[f64]) {
    let change: Vec<f64> = before.iter().zip(after).map(|(a, b)| a - b).collect();
    let product = dot(step, &change);
    if product <= 1e-12 {
        return;
    }
    let carried = times(inverse, &change);
    let factor = (1.0 + dot(&change, &carried) / product) / product;
    for (a, row) in inverse.iter_mut().enumerate() {
        for (b, value) in row.iter_mut().enumerate() {
            *value += factor * step[a] * step[b]
                - (carried[a] * step[b] + step[a] * carried[b]) / product;
        }
    }
}

pub(super) fn unit(size: usize) -> Matrix {
    (0..size)
        .map(|a| (0..size).map(|b| f64::from(u8::from(a == b))).collect())
        .collect()
}

pub(super) fn times(matrix: &Matrix, vector: &[f64]) -> Vec<f64> {
    matrix.iter().map(|row| dot(row, vector)).collect()
}

pub(super) fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

pub(super) fn add(place: &mut [f64], step: &[f64]) {
    place.iter_mut().zip(step).for_each(|(p, s)| *p += s);
}

pub(super) fn largest(vector: &[f64]) -> f64 {
    vector.iter().fold(0.0, |most, v| most.max(v.abs()))
}

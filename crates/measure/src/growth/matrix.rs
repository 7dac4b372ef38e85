//! A small dense symmetric matrix with its Cholesky factor.
//! Not for large systems: a fit has some dozens of coefficients.
//! Textbook algorithm, nothing taken from elsewhere.

/// Pivots below this share of the diagonal count as zero.
const PIVOT: f64 = 1e-13;

/// A square matrix, row by row.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Matrix {
    size: usize,
    cells: Vec<f64>,
}

impl Matrix {
    /// Makes a matrix of zeros.
    pub(crate) fn zeros(size: usize) -> Self {
        Self {
            size,
            cells: vec![0.0; size * size],
        }
    }

    /// Returns the number of rows.
    pub(crate) fn size(&self) -> usize {
        self.size
    }

    /// Returns one entry.
    pub(crate) fn get(&self, row: usize, column: usize) -> f64 {
        self.cells[row * self.size + column]
    }

    /// Adds to one entry.
    pub(crate) fn add(&mut self, row: usize, column: usize, value: f64) {
        self.cells[row * self.size + column] += value;
    }

    /// Multiplies one row and the same column, the diagonal entry twice.
    pub(crate) fn scale(&mut self, index: usize, factor: f64) {
        for other in 0..self.size {
            self.cells[index * self.size + other] *= factor;
            self.cells[other * self.size + index] *= factor;
        }
    }

    /// Copies the lower triangle over the upper one.
    pub(crate) fn mirror(&mut self) {
        for row in 0..self.size {
            for column in 0..row {
                self.cells[column * self.size + row] = self.cells[row * self.size + column];
            }
        }
    }

    /// Returns the product with a vector.
    pub(crate) fn times(&self, vector: &[f64]) -> Vec<f64> {
        self.cells
            .chunks_exact(self.size.max(1))
            .map(|row| row.iter().zip(vector).map(|(a, b)| a * b).sum())
            .collect()
    }

    /// Returns v' A v.
    pub(crate) fn form(&self, vector: &[f64]) -> f64 {
        dot(&self.times(vector), vector)
    }

    /// Returns the Cholesky factor, or nothing when the matrix is not positive definite.
    pub(crate) fn factor(&self) -> Option<Factor> {
        let n = self.size;
        let mut lower = vec![0.0; n * n];
        for row in 0..n {
            for column in 0..=row {
                let mut sum = self.get(row, column);
                for k in 0..column {
                    sum -= lower[row * n + k] * lower[column * n + k];
                }
                if row > column {
                    lower[row * n + column] = sum / lower[column * n + column];
                } else if sum.is_finite() && sum > PIVOT * self.get(row, row).abs() {
                    lower[row * n + row] = sum.sqrt();
                } else {
                    return None;
                }
            }
        }
        Some(Factor { size: n, lower })
    }
}

/// A lower triangular Cholesky factor.
#[derive(Debug, Clone)]
pub(crate) struct Factor {
    size: usize,
    lower: Vec<f64>,
}

impl Factor {
    /// Solves A x = b.
    pub(crate) fn solve(&self, right: &[f64]) -> Vec<f64> {
        let n = self.size;
        let mut x = right.to_vec();
        for row in 0..n {
            for k in 0..row {
                x[row] -= self.lower[row * n + k] * x[k];
            }
            x[row] /= self.lower[row * n + row];
        }
        for row in (0..n).rev() {
            for k in row + 1..n {
                x[row] -= self.lower[k * n + row] * x[k];
            }
            x[row] /= self.lower[row * n + row];
        }
        x
    }

    /// Returns the logarithm of the determinant of A.
    pub(crate) fn log_determinant(&self) -> f64 {
        let n = self.size;
        (0..n).map(|at| 2.0 * self.lower[at * n + at].ln()).sum()
    }

    /// Returns the inverse of A.
    pub(crate) fn inverse(&self) -> Matrix {
        let mut inverse = Matrix::zeros(self.size);
        let mut unit = vec![0.0; self.size];
        for column in 0..self.size {
            unit[column] = 1.0;
            for (row, value) in self.solve(&unit).into_iter().enumerate() {
                inverse.add(row, column, value);
            }
            unit[column] = 0.0;
        }
        inverse
    }
}

/// The sum of products.
pub(crate) fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

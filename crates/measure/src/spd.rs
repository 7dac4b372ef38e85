//! Cholesky factor of a symmetric positive definite system.
//! Small dense systems only; says so when the system is singular.
//! Formula: textbook.

/// A factored system, row-major lower triangle.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Factor {
    lower: Vec<f64>,
    size: usize,
}

impl Factor {
    /// Factors a row-major system; none when it is singular or not finite.
    pub fn new(system: &[f64], size: usize) -> Option<Self> {
        let mut lower = vec![0.0; size * size];
        for i in 0..size {
            for j in 0..=i {
                let mut sum = system[i * size + j];
                for l in 0..j {
                    sum -= lower[i * size + l] * lower[j * size + l];
                }
                if i != j {
                    lower[i * size + j] = sum / lower[j * size + j];
                } else if sum > 1e-12 * system[i * size + i] && sum.is_finite() {
                    lower[i * size + i] = sum.sqrt();
                } else {
                    return None;
                }
            }
        }
        Some(Self { lower, size })
    }

    /// Solves for one right side.
    pub fn solve(&self, right: &[f64]) -> Vec<f64> {
        let (m, lower) = (self.size, &self.lower);
        let mut x = right.to_vec();
        for i in 0..m {
            for l in 0..i {
                x[i] -= lower[i * m + l] * x[l];
            }
            x[i] /= lower[i * m + i];
        }
        for i in (0..m).rev() {
            for l in i + 1..m {
                x[i] -= lower[l * m + i] * x[l];
            }
            x[i] /= lower[i * m + i];
        }
        x
    }

    /// Natural log of the determinant.
    pub fn log_determinant(&self) -> f64 {
        (0..self.size)
            .map(|i| 2.0 * self.lower[i * self.size + i].ln())
            .sum()
    }

    /// Diagonal element of the inverse.
    pub fn inverse_diagonal(&self, i: usize) -> f64 {
        let mut unit = vec![0.0; self.size];
        unit[i] = 1.0;
        self.solve(&unit)[i]
    }
}

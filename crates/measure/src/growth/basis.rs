//! The shapes a curve over age can take: a polynomial, or cubic B-splines with a penalty.
//! Knows only its own ages: a caller asks for no age outside them.
//! B-splines on even knots, second differences penalised: Eilers & Marx 1996.

use super::matrix::Matrix;

/// Most basis functions that are not zero at one age.
pub(crate) const WIDEST: usize = 7;

/// The shape of one curve over age.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// A polynomial of this degree, 0 (the same at all ages) to 6.
    Polynomial(usize),
    /// Cubic B-splines on this number of even stretches of age, 2 to 60, with a penalty on
    /// second differences.
    Spline(usize),
}

/// A shape on a stretch of ages.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Basis {
    shape: Shape,
    /// Polynomial: centre and unit of age. Spline: first age and length of a stretch.
    origin: f64,
    unit: f64,
}

/// The basis functions at one age that are not zero.
#[derive(Debug, Clone, Copy)]
pub(crate) struct BasisRow {
    pub(crate) start: usize,
    pub(crate) count: usize,
    pub(crate) values: [f64; WIDEST],
}

impl BasisRow {
    /// Returns the indices and values.
    pub(crate) fn entries(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        let values = self.values[..self.count].iter().copied();
        (self.start..).zip(values)
    }

    /// Returns the height of a curve with these coefficients.
    pub(crate) fn height(&self, coefficients: &[f64]) -> f64 {
        self.entries().map(|(at, b)| b * coefficients[at]).sum()
    }
}

impl Basis {
    /// Makes a basis; `scale` is the centre and the unit of age of polynomials.
    pub(crate) fn new(shape: Shape, ages: (f64, f64), scale: (f64, f64)) -> Self {
        match shape {
            Shape::Polynomial(_) => Self {
                shape,
                origin: scale.0,
                unit: scale.1,
            },
            Shape::Spline(stretches) => Self {
                shape,
                origin: ages.0,
                unit: (ages.1 - ages.0) / stretches as f64,
            },
        }
    }

    /// Returns the number of coefficients.
    pub(crate) fn len(&self) -> usize {
        match self.shape {
            Shape::Polynomial(degree) => degree + 1,
            Shape::Spline(stretches) => stretches + 3,
        }
    }

    /// Returns the functions at an age.
    pub(crate) fn row(&self, age: f64) -> BasisRow {
        let x = (age - self.origin) / self.unit;
        let mut values = [0.0; WIDEST];
        match self.shape {
            Shape::Polynomial(degree) => {
                let mut power = 1.0;
                for value in &mut values[..=degree] {
                    *value = power;
                    power *= x;
                }
                BasisRow {
                    start: 0,
                    count: degree + 1,
                    values,
                }
            }
            Shape::Spline(stretches) => {
                let start = (x.max(0.0) as usize).min(stretches - 1);
                let t = x - start as f64;
                let s = 1.0 - t;
                values[0] = s * s * s / 6.0;
                values[1] = (3.0 * t * t * t - 6.0 * t * t + 4.0) / 6.0;
                values[2] = (3.0 * s * s * s - 6.0 * s * s + 4.0) / 6.0;
                values[3] = t * t * t / 6.0;
                BasisRow {
                    start,
                    count: 4,
                    values,
                }
            }
        }
    }

    /// Returns the coefficients of a curve that has one height at all ages.
    pub(crate) fn flat(&self, height: f64) -> Vec<f64> {
        match self.shape {
            Shape::Polynomial(degree) => {
                let mut coefficients = vec![0.0; degree + 1];
                coefficients[0] = height;
                coefficients
            }
            Shape::Spline(_) => vec![height; self.len()],
        }
    }

    /// Returns the penalty matrix and its rank; nothing for a polynomial.
    pub(crate) fn penalty(&self) -> Option<(Matrix, f64)> {
        let Shape::Spline(_) = self.shape else {
            return None;
        };
        let mut penalty = Matrix::zeros(self.len());
        for first in 0..self.len() - 2 {
            for (i, a) in [1.0, -2.0, 1.0].into_iter().enumerate() {
                for (j, b) in [1.0, -2.0, 1.0].into_iter().enumerate() {
                    penalty.add(first + i, first + j, a * b);
                }
            }
        }
        Some((penalty, self.len() as f64 - 2.0))
    }
}

//! Parameters of the search and the covariance factors they stand for.
//! Signs are free during the search (the deviance does not see them) and set at the end.

use std::ops::Range;

use super::factors::Shape;

/// Place of one parameter in a factor.
#[derive(Debug, Clone)]
struct Place {
    factor: usize,
    row: usize,
    column: usize,
}

/// Which parameter stands where; term by term, column by column of the lower triangle.
#[derive(Debug, Clone)]
pub(super) struct Layout {
    places: Vec<Place>,
    sizes: Vec<usize>,
    /// Factor, offset and size of each term as handed in.
    pub(super) terms: Vec<(usize, usize, usize)>,
    /// Parameters of each term.
    pub(super) ranges: Vec<Range<usize>>,
}

impl Layout {
    /// Lays out the parameters of all terms.
    pub(super) fn new(shapes: &[Shape]) -> Self {
        let mut slots: Vec<_> = shapes
            .iter()
            .enumerate()
            .flat_map(|(f, shape)| shape.slots.iter().map(move |slot| (f, slot)))
            .collect();
        slots.sort_by_key(|(_, slot)| slot.term);
        let mut layout = Self {
            places: Vec::new(),
            sizes: shapes.iter().map(|s| s.q).collect(),
            terms: Vec::new(),
            ranges: Vec::new(),
        };
        for (factor, slot) in slots {
            let from = layout.places.len();
            for column in 0..slot.q {
                let last = if slot.correlated { slot.q } else { column + 1 };
                layout.places.extend((column..last).map(|row| Place {
                    factor,
                    row: slot.offset + row,
                    column: slot.offset + column,
                }));
            }
            layout.ranges.push(from..layout.places.len());
            layout.terms.push((factor, slot.offset, slot.q));
        }
        layout
    }

    /// Number of parameters.
    pub(super) fn len(&self) -> usize {
        self.places.len()
    }

    /// Returns which parameters lie on a diagonal.
    pub(super) fn diagonal(&self) -> Vec<bool> {
        self.places.iter().map(|p| p.row == p.column).collect()
    }

    /// Returns the factors for these parameters.
    pub(super) fn lambdas(&self, theta: &[f64]) -> Vec<Vec<f64>> {
        let mut out: Vec<Vec<f64>> = self.sizes.iter().map(|q| vec![0.0; q * q]).collect();
        for (place, value) in self.places.iter().zip(theta) {
            out[place.factor][place.row * self.sizes[place.factor] + place.column] = *value;
        }
        out
    }

    /// Returns the parameters that stand in these factors.
    pub(super) fn read(&self, lambdas: &[Vec<f64>]) -> Vec<f64> {
        self.places
            .iter()
            .map(|p| lambdas[p.factor][p.row * self.sizes[p.factor] + p.column])
            .collect()
    }

    /// Returns the q x q block of one term.
    pub(super) fn block(&self, lambdas: &[Vec<f64>], term: usize) -> Vec<Vec<f64>> {
        let (factor, offset, q) = self.terms[term];
        let size = self.sizes[factor];
        (0..q)
            .map(|i| {
                (0..q)
                    .map(|j| lambdas[factor][(offset + i) * size + offset + j])
                    .collect()
            })
            .collect()
    }

    /// Puts a q x q block of one term in place.
    pub(super) fn set_block(&self, lambdas: &mut [Vec<f64>], term: usize, block: &[Vec<f64>]) {
        let (factor, offset, _) = self.terms[term];
        let size = self.sizes[factor];
        for (i, row) in block.iter().enumerate() {
            for (j, &value) in row.iter().enumerate() {
                lambdas[factor][(offset + i) * size + offset + j] = value;
            }
        }
    }

    /// Returns the same covariance with diagonals that are not negative and no free rotation.
    pub(super) fn canonical(&self, theta: &[f64]) -> Vec<f64> {
        let lambdas = self.lambdas(theta);
        let mut out = theta.to_vec();
        for (term, range) in self.ranges.iter().enumerate() {
            let block = self.block(&lambdas, term);
            let q = block.len();
            let lower = if (0..q).any(|i| block[i][i] == 0.0) {
                half_definite(&covariance(&block))
            } else {
                let sign: Vec<f64> = (0..q).map(|j| block[j][j].signum()).collect();
                (0..q)
                    .map(|i| (0..q).map(|j| block[i][j] * sign[j]).collect())
                    .collect()
            };
            let offset = self.terms[term].1;
            for k in range.clone() {
                let place = &self.places[k];
                out[k] = lower[place.row - offset][place.column - offset];
            }
        }
        out
    }
}

/// Returns block times its transpose.
pub(super) fn covariance(block: &[Vec<f64>]) -> Vec<Vec<f64>> {
    block
        .iter()
        .map(|a| {
            block
                .iter()
                .map(|b| a.iter().zip(b).map(|(x, y)| x * y).sum())
                .collect()
        })
        .collect()
}

/// Returns the Cholesky factor of a matrix that may have directions without variance.
pub(super) fn half_definite(a: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let q = a.len();
    let mut l = vec![vec![0.0; q]; q];
    for j in 0..q {
        let left = a[j][j] - l[j][..j].iter().map(|x| x * x).sum::<f64>();
        if left <= 1e-14 * a[j][j] || a[j][j] <= 0.0 {
            continue;
        }
        l[j][j] = left.sqrt();
        for i in j + 1..q {
            let sum: f64 = l[i][..j].iter().zip(&l[j][..j]).map(|(x, y)| x * y).sum();
            l[i][j] = (a[i][j] - sum) / l[j][j];
        }
    }
    l
}

//! Fast tails of the normal distribution, relatively exact far out.
//! Holds a table of the ratio tail over density; nothing else is approximated.
//! Built from `dist` and the recurrence of the ratio's derivatives; checked against `dist`.

use std::sync::OnceLock;

use crate::dist;

/// Cells of the table per unit of z.
const CELLS: f64 = 16.0;
/// From here on the asymptotic series is exact to twelve digits.
const FAR: f64 = 10.0;
/// Coefficients of a cell: the next one is below 1e-16.
const TERMS: usize = 8;
/// Below this width a strip is its middle height times its width, corrected for curvature.
const THIN: f64 = 1e-3;
/// 1 over root(2 pi).
const DENSITY_AT_0: f64 = 0.398_942_280_401_432_7;

static TABLE: OnceLock<Vec<[f64; TERMS]>> = OnceLock::new();

/// The table of tails; get it once, ask it often.
#[derive(Clone, Copy)]
pub(super) struct Tails(&'static [[f64; TERMS]]);

/// Returns the density of a standard normal.
pub(super) fn density(z: f64) -> f64 {
    DENSITY_AT_0 * (-0.5 * z * z).exp()
}

impl Tails {
    pub(super) fn get() -> Self {
        Self(TABLE.get_or_init(|| {
            let cells = (FAR * CELLS) as usize;
            (0..cells)
                .map(|cell| coefficients((cell as f64 + 0.5) / CELLS))
                .collect()
        }))
    }

    /// Returns P(Z > z).
    pub(super) fn above(self, z: f64) -> f64 {
        if z < 0.0 {
            1.0 - self.tail(-z)
        } else {
            self.tail(z)
        }
    }

    /// Returns P(lower < Z < upper), relatively exact on either side and for thin strips.
    pub(super) fn between(self, lower: f64, upper: f64) -> f64 {
        let width = upper - lower;
        if width < THIN {
            let middle = 0.5 * (lower + upper);
            return density(middle)
                * width
                * (1.0 + (middle * middle - 1.0) * width * width / 24.0);
        }
        if lower >= 0.0 {
            self.tail(lower) - self.tail(upper)
        } else if upper <= 0.0 {
            self.tail(-upper) - self.tail(-lower)
        } else {
            1.0 - self.tail(-lower) - self.tail(upper)
        }
    }

    /// P(Z > z) for z >= 0.
    fn tail(self, z: f64) -> f64 {
        density(z) * self.ratio(z)
    }

    fn ratio(self, z: f64) -> f64 {
        let place = z * CELLS;
        let Some(row) = self.0.get(place as usize) else {
            return far_ratio(z);
        };
        let step = z - ((place as usize) as f64 + 0.5) / CELLS;
        row.iter().rev().fold(0.0, |sum, c| sum * step + c)
    }
}

/// Taylor coefficients of R(z) = P(Z > z) / density(z): R' = z R - 1, R(n+1) = z R(n) + n R(n-1).
fn coefficients(z: f64) -> [f64; TERMS] {
    let mut derivatives = [0.0; TERMS];
    derivatives[0] = dist::lower_tail(-z, None) / density(z);
    derivatives[1] = z * derivatives[0] - 1.0;
    let mut factorial = 1.0;
    for n in 2..TERMS {
        derivatives[n] = z * derivatives[n - 1] + (n - 1) as f64 * derivatives[n - 2];
    }
    for (n, value) in derivatives.iter_mut().enumerate().skip(1) {
        factorial *= n as f64;
        *value /= factorial;
    }
    derivatives
}

/// The asymptotic series 1/z (1 - 1/z^2 + 1 3/z^4 - ...), twelve terms.
fn far_ratio(z: f64) -> f64 {
    let u = 1.0 / (z * z);
    (1..=12)
        .rev()
        .fold(1.0, |sum, n| 1.0 - (2 * n - 1) as f64 * u * sum)
        / z
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What the table and the series leave, relative.
    const TABLE_ERROR: f64 = 2e-12;

    #[test]
    fn tails_agree_with_the_incomplete_gamma_function() {
        let tails = Tails::get();
        for k in 0..3700 {
            let z = f64::from(k) * 0.01 + 0.0037;
            let want = dist::lower_tail(-z, None);
            assert!((tails.above(z) / want - 1.0).abs() < TABLE_ERROR, "z {z}");
            assert!(
                (tails.above(-z) - (1.0 - want)).abs() < TABLE_ERROR,
                "z -{z}"
            );
        }
    }

    #[test]
    fn thin_and_thick_strips_meet() {
        let tails = Tails::get();
        for middle in [-6.0, -1.0, 0.0, 0.4, 5.0] {
            let thin = tails.between(middle - 0.499_99 * THIN, middle + 0.499_99 * THIN);
            let thick = tails.between(middle - 0.500_01 * THIN, middle + 0.500_01 * THIN);
            // The thick one loses digits by subtraction: 1e-16 over a strip of 1e-3.
            assert!(
                (thin / thick - 0.499_99 / 0.500_01).abs() < 1e-9,
                "middle {middle}"
            );
        }
    }
}

//! Seeded draws from LMS curves, for calibration tests.
//! SplitMix64 with the Box-Muller rule: the same numbers on every machine.

use plimsoll_measure::growth::Row;
use plimsoll_measure::norms::Lms;

/// A small generator of uniform and normal numbers.
pub struct Draws(u64);

impl Draws {
    /// Starts from a seed.
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// Returns a number above 0 and below 1.
    pub fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut x = self.0;
        x = (x ^ (x >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        x ^= x >> 31;
        ((x >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    /// Returns a standard normal number.
    pub fn normal(&mut self) -> f64 {
        let size = (-2.0 * self.uniform().ln()).sqrt();
        size * (std::f64::consts::TAU * self.uniform()).cos()
    }
}

/// Curved L, M and S between 8 and 18 years, invented.
pub fn truth(age: f64) -> Lms {
    let x = (age - 13.0) / 5.0;
    let m = 900.0 + 350.0 * x + 120.0 * (1.6 * x).sin();
    let s = 0.17 + 0.05 * (-2.0 * x * x).exp();
    Lms::new(-0.4 + 0.9 * x * x, m, s).expect("an LMS")
}

/// Returns `n` people from the curves, ages even between 8 and 18.
pub fn people(n: usize, seed: u64) -> Vec<Row> {
    people_with(n, seed, Draws::normal)
}

/// The same with another law for z; draws that no value has are drawn again.
pub fn people_with(n: usize, seed: u64, z: impl Fn(&mut Draws) -> f64) -> Vec<Row> {
    let mut draws = Draws::new(seed);
    let mut rows = Vec::with_capacity(n);
    while rows.len() < n {
        let age = (1000.0 * (8.0 + 10.0 * draws.uniform())).round() / 1000.0;
        if let Ok(value) = truth(age).value_at(z(&mut draws)) {
            rows.push(Row::new(age, value));
        }
    }
    rows
}

//! A small reproducible source of random numbers for calibration tests (splitmix64).

/// A stream of numbers from a seed.
pub struct Seeded(pub u64);

impl Seeded {
    /// Returns a number from 0 to below 1.
    pub fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Returns a standard normal number (Box-Muller, one of the two).
    pub fn normal(&mut self) -> f64 {
        let (u, v) = (1.0 - self.uniform(), self.uniform());
        (-2.0 * u.ln()).sqrt() * (2.0 * std::f64::consts::PI * v).cos()
    }

    /// Returns a whole number from 0 to `below` - 1.
    pub fn below(&mut self, below: usize) -> usize {
        (self.uniform() * below as f64) as usize
    }
}

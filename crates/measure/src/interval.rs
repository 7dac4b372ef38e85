//! An interval with its confidence level.
//! Holds numbers only: what they are intervals for is said where they are made.

/// A lower and an upper end, in the unit of the value they belong to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// Lower end.
    pub lower: f64,
    /// Upper end; never below the lower end.
    pub upper: f64,
    /// Confidence level as a fraction, such as 0.90.
    pub level: f64,
}

impl Interval {
    /// Returns half the distance between the ends.
    pub fn half_width(&self) -> f64 {
        (self.upper - self.lower) / 2.0
    }

    /// Returns whether `value` lies in the interval, ends included.
    pub fn contains(&self, value: f64) -> bool {
        self.lower <= value && value <= self.upper
    }
}

//! A linear axis with round ticks.
//! Must not clip: the domain always holds every value it was made from.

/// A mapping from data to px.
#[derive(Debug, Clone, Copy)]
pub struct Axis {
    low: f64,
    high: f64,
    start: f64,
    end: f64,
    step: f64,
}

impl Axis {
    /// Returns an axis that holds all finite `values` with a little air, from `start` to `end` px.
    pub fn new(values: impl IntoIterator<Item = f64>, start: f64, end: f64, ticks: f64) -> Self {
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for value in values.into_iter().filter(|v| v.is_finite()) {
            low = low.min(value);
            high = high.max(value);
        }
        if low > high {
            (low, high) = (0.0, 1.0);
        }
        if high - low < 1e-9 {
            let air = (low.abs() * 0.05).max(1.0);
            (low, high) = (low - air, high + air);
        }
        let air = (high - low) * 0.03;
        let (low, high) = (low - air, high + air);
        Self {
            low,
            high,
            start,
            end,
            step: round_step((high - low) / ticks.max(1.0)),
        }
    }

    /// Returns where a value lies, px.
    pub fn at(&self, value: f64) -> f64 {
        self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)
    }

    /// Returns where the axis begins and ends, px.
    pub const fn ends(&self) -> (f64, f64) {
        (self.start, self.end)
    }

    /// Returns the lowest and the highest value on the axis.
    pub const fn domain(&self) -> (f64, f64) {
        (self.low, self.high)
    }

    /// Returns the round values inside the axis.
    pub fn ticks(&self) -> Vec<f64> {
        let first = (self.low / self.step).ceil() as i64;
        let last = (self.high / self.step).floor() as i64;
        (first..=last).map(|i| i as f64 * self.step).collect()
    }

    /// Returns how many decimals the ticks need.
    pub fn decimals(&self) -> usize {
        if self.step >= 1.0 {
            0
        } else {
            (-self.step.log10()).ceil().max(0.0) as usize
        }
    }
}

/// Returns the nearest of 1, 2, 5 times a power of ten, on a logarithmic scale.
fn round_step(raw: f64) -> f64 {
    let power = 10f64.powf(raw.log10().floor());
    let factor = match raw / power {
        f if f < std::f64::consts::SQRT_2 => 1.0,
        f if f < 10f64.sqrt() => 2.0,
        f if f < 50f64.sqrt() => 5.0,
        _ => 10.0,
    };
    factor * power
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_inside() {
        let axis = Axis::new([-420.0, 520.0], 100.0, 500.0, 5.0);
        assert_eq!(axis.ticks(), [-400.0, -200.0, 0.0, 200.0, 400.0]);
        assert!(axis.at(-420.0) > 100.0 && axis.at(520.0) < 500.0);
        assert_eq!(axis.decimals(), 0);
        let one = Axis::new([960.0], 0.0, 100.0, 4.0);
        assert!((one.at(960.0) - 50.0).abs() < 1e-9);
        assert_eq!(Axis::new([0.0, 1.0], 0.0, 1.0, 5.0).decimals(), 1);
        assert!(!Axis::new([], 0.0, 1.0, 5.0).ticks().is_empty());
    }
}

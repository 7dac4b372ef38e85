//! A distribution given by masses at equal distances: moments, chances, quantiles.
//! The density between the points is smooth, so that chances need no fine grid.
//! Formula: Euler-Maclaurin sum to sixth order, quintic within a cell.

/// Masses of sum 1 at origin, origin + spacing, ...
#[derive(Debug, Clone, Copy)]
pub(super) struct Lattice<'a> {
    pub(super) origin: f64,
    pub(super) spacing: f64,
    pub(super) mass: &'a [f64],
}

impl Lattice<'_> {
    fn at(&self, place: isize) -> f64 {
        usize::try_from(place)
            .ok()
            .and_then(|place| self.mass.get(place))
            .copied()
            .unwrap_or(0.0)
    }

    /// Returns mean and SD.
    pub(super) fn moments(&self) -> (f64, f64) {
        let (mut first, mut second) = (0.0, 0.0);
        let centre = 0.5 * (self.mass.len() as f64 - 1.0);
        for (place, mass) in self.mass.iter().enumerate() {
            let distance = place as f64 - centre;
            first += mass * distance;
            second += mass * distance * distance;
        }
        let mean = self.origin + self.spacing * (centre + first);
        (
            mean,
            self.spacing * (second - first * first).max(0.0).sqrt(),
        )
    }

    /// Slope of the mass at a point, per spacing.
    fn slope(&self, place: isize) -> f64 {
        let near = self.at(place + 1) - self.at(place - 1);
        (8.0 * near - (self.at(place + 2) - self.at(place - 2))) / 12.0
    }

    /// P(X <= point) where `below` is the sum of all masses before the point.
    fn corrected(&self, place: isize, below: f64) -> f64 {
        let near = self.at(place + 1) - self.at(place - 1);
        let third = self.at(place + 2) - self.at(place - 2) - 2.0 * near;
        below + 0.5 * self.at(place) - self.slope(place) / 12.0 + third / 1440.0
    }

    /// Share `t` of the way from a point to the next: the quintic through both with density and
    /// its slope.
    fn within(&self, place: isize, low: f64, high: f64, t: f64) -> f64 {
        let cube = t * t * t;
        let rise = cube * (10.0 + t * (6.0 * t - 15.0));
        let first = t - cube * (6.0 + t * (3.0 * t - 8.0));
        let last = cube * (t * (7.0 - 3.0 * t) - 4.0);
        let bend = 0.5 * t * t * (1.0 - t) * (1.0 - t);
        low + (high - low) * rise
            + self.at(place) * first
            + self.at(place + 1) * last
            + bend * ((1.0 - t) * self.slope(place) + t * self.slope(place + 1))
    }

    /// Returns P(X <= x).
    pub(super) fn below(&self, x: f64) -> f64 {
        let place = ((x - self.origin) / self.spacing).floor();
        if place < -1.0 {
            return 0.0;
        }
        if place >= self.mass.len() as f64 {
            return 1.0;
        }
        let t = (x - self.origin) / self.spacing - place;
        let place = place as isize;
        let before: f64 = self.mass.iter().take(place.max(0) as usize).sum();
        let low = self.corrected(place, before);
        let high = self.corrected(place + 1, before + self.at(place));
        self.within(place, low, high, t).clamp(0.0, 1.0)
    }

    /// Returns the x below which a fraction `p` (0 to 1, ends excluded) lies.
    pub(super) fn quantile(&self, p: f64) -> f64 {
        let mut before = 0.0;
        let mut low = 0.0;
        let mut place = -1_isize;
        let mut high = self.corrected(0, 0.0);
        while high < p && place < self.mass.len() as isize {
            place += 1;
            before += self.at(place);
            (low, high) = (high, self.corrected(place + 1, before));
        }
        let (mut a, mut b) = (0.0, 1.0);
        for _ in 0..30 {
            let middle = 0.5 * (a + b);
            if self.within(place, low, high, middle) < p {
                a = middle;
            } else {
                b = middle;
            }
        }
        self.origin + self.spacing * (place as f64 + 0.5 * (a + b))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::dist;

    #[test]
    fn a_normal_on_a_coarse_lattice_keeps_its_chances() {
        // Three points to an SD: sixth-order sums leave 2e-5.
        let (spacing, origin) = (1.0 / 3.0, -7.1);
        let mass: Vec<f64> = (0..43)
            .map(|k| spacing * super::super::tail::density(origin + f64::from(k) * spacing))
            .collect();
        let lattice = Lattice {
            origin,
            spacing,
            mass: &mass,
        };
        let (mean, sd) = lattice.moments();
        assert!(mean.abs() < 1e-9 && (sd - 1.0).abs() < 1e-9);
        for k in -40..=40 {
            let z = f64::from(k) * 0.1;
            let p = dist::lower_tail(z, None);
            assert!((lattice.below(z) - p).abs() < 3e-5, "z {z}");
        }
        for p in [0.005, 0.05, 0.1, 0.5, 0.77, 0.95, 0.995] {
            let z = dist::normal_quantile(p).expect("a quantile");
            assert!((lattice.quantile(p) - z).abs() < 3e-4, "p {p}");
        }
        assert!(lattice.below(-9.0) == 0.0 && lattice.below(9.0) == 1.0);
    }
}

//! What a simulation counts: intervals that hold the truth, chances that came true, errors.
//! Rows appear as they are first named, so that a job states each of them once.

/// Levels of the intervals looked at.
pub const LEVELS: [f64; 4] = [0.5, 0.8, 0.9, 0.95];

/// Intervals of one kind at each level: how many held the truth, of how many.
#[derive(Debug, Clone, Default)]
pub struct Cover {
    pub held: [f64; 4],
    pub all: [f64; 4],
}

/// Chances in ten bins of equal width: sum said, number that came, sum of p (1 - p), count, and the sum
/// over units of (came - said) squared, for cases of one unit that go together.
#[derive(Debug, Clone, Default)]
pub struct Bins(pub [[f64; 5]; 10]);

/// Errors: count, sum, sum of squares.
#[derive(Debug, Clone, Copy, Default)]
pub struct Errors(pub [f64; 3]);

/// All counts of a job by name.
#[derive(Debug, Clone, Default)]
pub struct Tally {
    pub covers: Vec<(&'static str, Cover)>,
    pub bins: Vec<(&'static str, Bins)>,
    pub errors: Vec<(&'static str, Errors)>,
}

fn named<'a, T: Default>(list: &'a mut Vec<(&'static str, T)>, name: &'static str) -> &'a mut T {
    let place = list
        .iter()
        .position(|(known, _)| *known == name)
        .unwrap_or_else(|| {
            list.push((name, T::default()));
            list.len() - 1
        });
    &mut list[place].1
}

impl Tally {
    /// Counts an interval at the place of its level.
    pub fn held(&mut self, name: &'static str, level: usize, held: bool) {
        let cover = named(&mut self.covers, name);
        cover.held[level] += f64::from(u8::from(held));
        cover.all[level] += 1.0;
    }

    /// Counts a share (a yes or no without a level) at the place of 90 %.
    pub fn yes(&mut self, name: &'static str, yes: bool) {
        self.held(name, 2, yes);
    }

    /// Counts a chance said and whether it came true.
    pub fn chance(&mut self, name: &'static str, said: f64, came: bool) {
        let bin = &mut named(&mut self.bins, name).0[((said * 10.0) as usize).min(9)];
        bin[0] += said;
        bin[1] += f64::from(u8::from(came));
        bin[2] += said * (1.0 - said);
        bin[3] += 1.0;
    }

    /// Counts an error.
    pub fn error(&mut self, name: &'static str, error: f64) {
        let sums = &mut named(&mut self.errors, name).0;
        sums[0] += 1.0;
        sums[1] += error;
        sums[2] += error * error;
    }

    /// Adds the counts of a unit.
    pub fn add(&mut self, other: &Self) {
        for (name, cover) in &other.covers {
            let sum = named(&mut self.covers, name);
            for i in 0..LEVELS.len() {
                sum.held[i] += cover.held[i];
                sum.all[i] += cover.all[i];
            }
        }
        for (name, bins) in &other.bins {
            let sum = named(&mut self.bins, name);
            for (to, from) in sum.0.iter_mut().zip(bins.0) {
                (0..4).for_each(|i| to[i] += from[i]);
                to[4] += (from[1] - from[0]).powi(2);
            }
        }
        for (name, errors) in &other.errors {
            let sum = named(&mut self.errors, name);
            for (to, from) in sum.0.iter_mut().zip(errors.0) {
                *to += from;
            }
        }
    }

    /// Returns the share of a yes-or-no count, in percent.
    pub fn share(&self, name: &str) -> f64 {
        let found = self.covers.iter().find(|(known, _)| *known == name);
        found.map_or(f64::NAN, |(_, cover)| 100.0 * cover.held[2] / cover.all[2])
    }
}

impl Errors {
    /// Returns the mean and its standard error.
    pub fn mean(&self) -> (f64, f64) {
        let [n, sum, squares] = self.0;
        let mean = sum / n;
        (mean, ((squares / n - mean * mean) / (n - 1.0)).sqrt())
    }
}

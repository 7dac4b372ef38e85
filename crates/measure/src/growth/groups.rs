//! Checks of fit by age group: moments of z and the four Q statistics.
//! A test says what does not fit, never that a fit is good.
//! Q statistics: Royston & Wright 2000 (from memory, degrees of freedom as printed there).

use statrs::function::gamma::gamma_ur;

use super::normality::{Moments, kurtosis_test, moments, skewness_test};
use super::residuals::{Residual, Residuals};
use crate::MeasureError;

/// Fewest people of an age group.
const FEWEST: f64 = 20.0;

/// One age group.
#[derive(Debug, Clone, PartialEq)]
pub struct AgeGroup {
    /// First and last age in it.
    pub ages: (f64, f64),
    /// Moments of z.
    pub moments: Moments,
    /// How far mean, variance, skewness and kurtosis are from a normal's, as z each.
    pub distances: [f64; 4],
    /// z and weight, by rising z.
    pub(crate) sorted: Vec<(f64, f64)>,
}

/// A sum of squared distances over the groups with its p.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct QTest {
    /// The sum.
    pub q: f64,
    /// Groups less what the fit used; none left when not above 0.
    pub df: f64,
    /// Chance of a larger sum when the model fits; none without degrees of freedom.
    pub p: Option<f64>,
}

/// Age groups with the Q statistics over them.
#[derive(Debug, Clone, PartialEq)]
pub struct Groups {
    /// The groups, by rising age.
    pub groups: Vec<AgeGroup>,
    /// Q of mean, variance, skewness and kurtosis.
    pub q: [QTest; 4],
    /// Moments of all z.
    pub all: Moments,
}

impl Residuals {
    /// Returns checks in `count` groups of about equal size (1 or more, 20 people each; people
    /// of one age stay together).
    pub fn groups(&self, count: usize) -> Result<Groups, MeasureError> {
        let people: f64 = self.items.iter().map(|r| r.weight).sum();
        let needed = count.max(1) as f64 * FEWEST;
        if count == 0 || people < needed {
            return Err(MeasureError::TooFew {
                what: "people for age groups of this number",
                found: people as usize,
                needed: needed as usize,
            });
        }
        let groups: Vec<AgeGroup> = self
            .cut(count, people)
            .into_iter()
            .map(group)
            .collect::<Result<_, _>>()?;
        let used = self.freedom;
        let lost = [used[1], 0.5 * (used[2] + 1.0), used[0], 0.0];
        let q = [0, 1, 2, 3].map(|which| {
            let q: f64 = groups.iter().map(|g| g.distances[which].powi(2)).sum();
            let df = groups.len() as f64 - lost[which];
            QTest {
                q,
                df,
                p: (df > 0.0).then(|| chi_square_above(q, df)),
            }
        });
        let all: Vec<(f64, f64)> = self.items.iter().map(|r| (r.z, r.weight)).collect();
        Ok(Groups {
            groups,
            q,
            all: moments(&all)?,
        })
    }

    /// Cuts at the ages where the people so far pass an even share; a last group that is too
    /// small joins the one before.
    fn cut(&self, count: usize, people: f64) -> Vec<&[Residual]> {
        let share = people / count as f64;
        let mut bounds = vec![0];
        let (mut so_far, mut in_group) = (0.0, 0.0);
        for (at, item) in self.items.iter().enumerate() {
            let new_age = at > 0 && item.age != self.items[at - 1].age;
            if new_age && in_group >= FEWEST && so_far >= share * bounds.len() as f64 {
                bounds.push(at);
                in_group = 0.0;
            }
            so_far += item.weight;
            in_group += item.weight;
        }
        if in_group < FEWEST && bounds.len() > 1 {
            bounds.pop();
        }
        bounds.push(self.items.len());
        bounds
            .windows(2)
            .map(|pair| &self.items[pair[0]..pair[1]])
            .collect()
    }
}

fn group(items: &[Residual]) -> Result<AgeGroup, MeasureError> {
    let mut sorted: Vec<(f64, f64)> = items.iter().map(|r| (r.z, r.weight)).collect();
    sorted.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
    let moments = moments(&sorted)?;
    let n = moments.people;
    let spread = 2.0 / (9.0 * (n - 1.0));
    Ok(AgeGroup {
        ages: (
            items.first().map_or(f64::NAN, |r| r.age),
            items.last().map_or(f64::NAN, |r| r.age),
        ),
        distances: [
            moments.mean * n.sqrt(),
            (moments.sd.powi(2).cbrt() - (1.0 - spread)) / spread.sqrt(),
            skewness_test(moments.skewness, n)?,
            kurtosis_test(moments.excess_kurtosis, n)?,
        ],
        moments,
        sorted,
    })
}

/// The chance above a chi-square value.
pub(crate) fn chi_square_above(value: f64, df: f64) -> f64 {
    if value > 0.0 && value.is_finite() && df.is_finite() {
        gamma_ur(0.5 * df, 0.5 * value)
    } else {
        f64::from(u8::from(value <= 0.0))
    }
}

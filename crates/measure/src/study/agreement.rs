//! Interval of the agreement correlation that holds what it says also with few trials and many people.
//! Generalised (fiducial) interval: each mean square over its chi-square, worked out by quadrature, not drawn.
//! Source: Weerahandi 1993 (from memory); coverage by simulation, docs/methods/reliability-study.md.

use statrs::function::gamma::{gamma_lr, gamma_ur};

use super::components::Components;
use crate::quad;
use crate::tails::phi;

/// From here on a chi-square is taken by the cube root of Wilson & Hilferty (a chance is then out by 2e-4 at most).
const MANY: f64 = 60.0;
/// From here on three places stand for a variance (Gauss and Hermite, on the cube root).
const FEW_PLACES: f64 = 20.0;
/// Logit of a share as good as 0 or 1.
const FAR: f64 = 34.0;
/// A chance of an end is met this closely.
const NEAR: f64 = 1e-6;

/// What a mean square does to the correlation: much, or as the error little beside the others.
#[derive(Clone, Copy, PartialEq)]
enum Role {
    Main,
    Beside,
}

/// A mean square with its df, and its true value at even steps of chance with their weights.
struct Square {
    value: f64,
    df: f64,
    draws: Vec<(f64, f64)>,
}

/// Returns both ends at `level`; none when people do not differ, or where gaps leave too little.
pub(crate) fn ends(parts: &Components, level: f64) -> Option<(f64, f64)> {
    let (people, error) = (parts.people_square(), parts.error);
    // A mean square of the trials at 0 leaves a chi-square nothing to work on.
    let trials = parts
        .trials_square()
        .max(f64::MIN_POSITIVE * 1e20)
        .max(1e-12 * error);
    if people <= 0.0 || error <= 0.0 || parts.trials_each <= 1.0 || parts.people_each <= 1.0 {
        return None;
    }
    let law = Law {
        people: Square::new(people, parts.people as f64 - 1.0, Role::Main),
        trials: Square::new(trials, parts.trials as f64 - 1.0, Role::Main),
        error: Square::new(error, parts.df_error as f64, Role::Beside),
        n: parts.people_each,
        k: parts.trials_each,
    };
    let floor = -1.0 / (law.k - 1.0);
    let middle = (law.share(parts) - floor) / (1.0 - floor);
    let guess = (middle / (1.0 - middle)).ln();
    let value = |x: f64| floor + (1.0 - floor) / (1.0 + (-x).exp());
    let tail = 0.5 * (1.0 - level);
    let by_trials = law.trials_lead(parts);
    let at = |chance: f64| {
        let what = "the interval of the agreement correlation";
        let miss = |x: f64| law.below(value(x), by_trials) - chance;
        // What is as good as certain beyond the lowest or the highest value ends there.
        if miss(-FAR) >= 0.0 {
            return Some(floor);
        }
        if miss(FAR) <= 0.0 {
            return Some(1.0);
        }
        let found = quad::rising_root_within(what, guess, 1.0, NEAR, miss);
        found.ok().map(value)
    };
    Some((at(tail)?, at(1.0 - tail)?))
}

impl Square {
    fn new(value: f64, df: f64, role: Role) -> Self {
        let draws = if df > FEW_PLACES && role == Role::Beside {
            let unit = 2.0 / (9.0 * df);
            let at = |z: f64| value / (1.0 - unit + z * unit.sqrt()).powi(3);
            let third = 3.0_f64.sqrt();
            vec![
                (at(-third), 1.0 / 6.0),
                (at(0.0), 2.0 / 3.0),
                (at(third), 1.0 / 6.0),
            ]
        } else {
            chi_square(df)
                .map(|(x, weight)| (value * df / x, weight))
                .collect()
        };
        Self { value, df, draws }
    }

    /// Chance that the true value is `most` or less.
    fn at_most(&self, most: f64) -> f64 {
        if most <= 0.0 {
            return 0.0;
        }
        let x = self.df * self.value / most;
        if self.df > MANY {
            let unit = 2.0 / (9.0 * self.df);
            return phi(-((x / self.df).cbrt() - 1.0 + unit) / unit.sqrt());
        }
        gamma_ur(self.df / 2.0, (x / 2.0).clamp(1e-300, 1e300))
    }

    /// Chance that the true value is `least` or more.
    fn at_least(&self, least: f64) -> f64 {
        if least <= 0.0 || self.df > MANY {
            return 1.0 - self.at_most(least);
        }
        let x = self.df * self.value / least;
        gamma_lr(self.df / 2.0, (x / 2.0).clamp(1e-300, 1e300))
    }
}

/// Places and weights of a chi-square, even in the cube root that makes it nearly normal.
fn chi_square(df: f64) -> impl Iterator<Item = (f64, f64)> {
    let unit = 2.0 / (9.0 * df);
    let lowest = (-6.0_f64).max(-(1.0 - unit) / unit.sqrt());
    let places: Vec<(f64, f64)> = quad::nodes(lowest, 6.0, 2)
        .map(|(z, width)| {
            let root = 1.0 - unit + z * unit.sqrt();
            // Log density by z, up to a constant: x = df root^3, so dx is root^2 dz.
            let log = 1.5 * df * root.ln() - root.ln() - 0.5 * df * (root.powi(3) - 1.0);
            (df * root.powi(3), width * log.exp())
        })
        .collect();
    let sum: f64 = places.iter().map(|(_, weight)| weight).sum();
    places.into_iter().map(move |(x, weight)| (x, weight / sum))
}

/// The fiducial law of the correlation.
struct Law {
    people: Square,
    trials: Square,
    error: Square,
    n: f64,
    k: f64,
}

impl Law {
    /// The correlation itself, held from 0.02 to 0.98 as a first guess.
    fn share(&self, parts: &Components) -> f64 {
        let rest = parts.trial.max(0.0) + parts.error;
        let between = parts.between.max(0.0);
        (between / (between + rest)).clamp(0.02, 0.98)
    }

    /// Whether the doubt about the trials is larger than that about the people: the larger one is
    /// worked out in closed form, so that what is left to the quadrature is smooth.
    fn trials_lead(&self, parts: &Components) -> bool {
        let share = self.share(parts);
        let people = (1.0 - share) * self.people.value / self.k / self.people.df.sqrt();
        let trials = share * self.trials.value / self.n / self.trials.df.sqrt();
        trials > people
    }

    /// Chance that the correlation is `r` or less: (1 - r)/k people <= r/n trials + rest error.
    fn below(&self, r: f64, by_trials: bool) -> f64 {
        let (of_people, of_trials) = ((1.0 - r) / self.k, r / self.n);
        let of_error = of_people + r * (1.0 - 1.0 / self.n);
        let mut sum = 0.0;
        for (error, first) in &self.error.draws {
            let error = of_error * error;
            let inner: f64 = if by_trials && of_trials != 0.0 {
                let each = self.people.draws.iter().map(|(people, weight)| {
                    let bound = (of_people * people - error) / of_trials;
                    weight
                        * if r > 0.0 {
                            self.trials.at_least(bound)
                        } else {
                            self.trials.at_most(bound)
                        }
                });
                each.sum()
            } else {
                let each = self.trials.draws.iter().map(|(trials, weight)| {
                    weight
                        * self
                            .people
                            .at_most((of_trials * trials + error) / of_people)
                });
                each.sum()
            };
            sum += first * inner;
        }
        sum
    }
}

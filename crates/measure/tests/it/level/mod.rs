//! Levels: exactness, laws, simulation, parameters, faults.

mod brute_force;
mod ensemble;
mod exactness;
mod faults;
mod laws;
mod parameters;
mod planning;
mod random;
mod simulation;

use plimsoll_measure::level::{Learning, Model, Normal, Observation, Outcome, Series, Start, Test};

/// A squad on ln of distance: SD 20 %, error 7 %, drift 1.4 % a week (invented, of usual size).
pub fn usual() -> Model {
    let start = Start::From(Normal { mean: 7.2, sd: 0.2 });
    Model::new(start, 0.0002, vec![Test::anchor(0.07)], Learning::NONE).expect("a model")
}

/// Results of one test by week.
pub fn series(results: &[(f64, Outcome)]) -> Series {
    let seen = results
        .iter()
        .map(|&(week, outcome)| Observation::plain(week, 0, outcome));
    Series::new(seen.collect()).expect("a series")
}

/// A whole number of 40 m bouts, on ln of distance.
pub fn bouts(n: u32) -> Outcome {
    let metres = |n: u32| (40.0 * f64::from(n)).ln();
    Outcome::Between {
        lower: metres(n),
        upper: metres(n + 1),
    }
}

//! A mixed model of 24 athletes with 4 tests each: fixed effects by Satterthwaite, SDs by profile.

use plimsoll_measure::mixed::{
    Column, Criterion, Data, Design, Fit, ProfileTarget, RandomTerm, Settings, Weights, fit,
    intercept,
};

use crate::Fault;
use crate::numbers::{Numbers, over};
use crate::section::Section;
use crate::tally::Tally;

const RUNS: usize = 2000;
const ATHLETES: usize = 24;
const WEEKS: [f64; 4] = [0.0, 4.0, 8.0, 12.0];
/// Mean, gain a week, and the SDs of level, gain a week and error, on logs.
const MEAN: f64 = 7.2;
const GAIN: f64 = 0.004;
const LEVELS: f64 = 0.2;
const GAINS: f64 = 0.012;
const ERROR: f64 = 0.05;
/// Correlation of level and gain.
const TOGETHER: f64 = -0.3;

fn drawn(numbers: &mut Numbers) -> Result<Fit, Fault> {
    let (mut response, mut groups, mut weeks) = (Vec::new(), Vec::new(), Vec::new());
    for athlete in 0..ATHLETES {
        let (a, b) = (numbers.normal(), numbers.normal());
        let level = MEAN + LEVELS * a;
        let gain = GAIN + GAINS * (TOGETHER * a + (1.0 - TOGETHER * TOGETHER).sqrt() * b);
        for week in WEEKS {
            response.push(level + gain * week + ERROR * numbers.normal());
            groups.push(athlete);
            weeks.push(week);
        }
    }
    let rows = response.len();
    let columns = || vec![intercept(rows), Column::new("week", weeks.clone())];
    let data = Data {
        response,
        design: Design {
            fixed: columns(),
            random: vec![RandomTerm::new("athlete", groups, columns())],
        },
        weights: Weights::Equal,
    };
    Ok(fit(&data, &Settings::new(Criterion::Reml))?)
}

fn unit(unit: usize) -> Result<Tally, Fault> {
    let mut numbers = Numbers::of(6, unit);
    let mut tally = Tally::default();
    let found = drawn(&mut numbers)?;
    let test = found.test(&[1.0, 0.0])?.interval(0.9)?;
    tally.yes("the mean level, Satterthwaite", test.contains(MEAN));
    let test = found.test(&[0.0, 1.0])?.interval(0.9)?;
    tally.yes("the mean gain a week, Satterthwaite", test.contains(GAIN));
    let sd = |column| ProfileTarget::Sd { term: 0, column };
    let correlation = ProfileTarget::Correlation {
        term: 0,
        first: 0,
        second: 1,
    };
    for (name, target, truth) in [
        ("the SD of levels, profile", sd(0), LEVELS),
        ("the SD of gains, profile", sd(1), GAINS),
        (
            "the correlation of level and gain, profile",
            correlation,
            TOGETHER,
        ),
        ("the error, profile", ProfileTarget::Sigma, ERROR),
        (
            "the mean gain a week, profile",
            ProfileTarget::Fixed { column: 1 },
            GAIN,
        ),
    ] {
        let found = found.profile(target, 0.9)?;
        tally.yes(name, found.interval.contains(truth));
    }
    Ok(tally)
}

pub fn job() -> Result<Section, Fault> {
    let tally = over(RUNS, unit)?;
    let mut section = Section::new(
        "Mixed models of 24 athletes with 4 tests",
        "2000 data sets: a level and a gain of each athlete's own (correlation -0.3), error 0.05 on logs; REML for the \
         fixed effects, profiles by ML.",
    );
    section.covers(&tally);
    Ok(section)
}

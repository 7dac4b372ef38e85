//! The mean of a group whose results are cut off: ours and the naive mean.

use plimsoll_measure::level::{
    Learning, Model, Normal, Observation, Outcome, PriorWidth, Series, Start, Test, fit_squad,
    posterior,
};

use crate::Fault;
use crate::athletes::{SQUAD, whole};
use crate::numbers::{Numbers, over};
use crate::section::Section;
use crate::tally::Tally;

const SQUADS: usize = 400;
const BOUT: f64 = 40.0;
/// Three tests at once, so that the level stays; all end at 1400 m.
const TESTS: usize = 3;
const END: f64 = 1400.0;
const ERROR: f64 = 0.07;

fn model(group: Normal, error: f64) -> Result<Model, Fault> {
    let tests = vec![Test::anchor(error)];
    Ok(Model::new(Start::From(group), 0.0, tests, Learning::NONE)?)
}

/// What a naive sheet takes: the middle of the bout, or the distance reached.
fn naive(outcome: Outcome) -> f64 {
    match outcome {
        Outcome::Between { lower, upper } => f64::midpoint(lower.exp(), upper.exp()).ln(),
        Outcome::Exact(value) | Outcome::AtLeast(value) | Outcome::AtMost(value) => value,
    }
}

fn unit(unit: usize) -> Result<Tally, Fault> {
    let mut numbers = Numbers::of(3, unit);
    let group = Normal {
        mean: 7.2 + 0.1 * numbers.normal(),
        sd: 0.2 * (0.25 * numbers.normal()).exp(),
    };
    let (mut truth, mut sheet, mut squad) = (0.0, 0.0, Vec::new());
    for _ in 0..SQUAD {
        let level = group.mean + group.sd * numbers.normal();
        truth += level / SQUAD as f64;
        let mut seen = Vec::new();
        for _ in 0..TESTS {
            let injured = (numbers.even() < 0.1).then(|| 7.0 + 0.2 * numbers.normal());
            let end = injured.map_or(END.ln(), |at: f64| at.min(END.ln()));
            let outcome = whole(level + ERROR * numbers.normal(), BOUT, Some(end));
            sheet += naive(outcome) / (SQUAD * TESTS) as f64;
            seen.push(Observation::plain(0.0, 0, outcome));
        }
        squad.push(Series::new(seen)?);
    }
    let ours = |model: &Model| -> Result<f64, Fault> {
        let mut sum = 0.0;
        for series in &squad {
            sum += posterior(model, series)?.levels(0.9)?[0].mean;
        }
        Ok(sum / SQUAD as f64)
    };
    let known = model(group, ERROR)?;
    let start = model(Normal { mean: 7.2, sd: 0.2 }, 0.06)?;
    let fit = fit_squad(&start, &squad, &PriorWidth::WEAK, 1)?;
    let mut tally = Tally::default();
    tally.error("ours, parameters known", ours(&known)? - truth);
    tally.error("ours, parameters fitted", ours(&fit.model)? - truth);
    tally.error("the naive mean", sheet - truth);
    Ok(tally)
}

pub fn job() -> Result<Section, Fault> {
    let tally = over(SQUADS, unit)?;
    let mut section = Section::new(
        "The mean of a group whose results are cut off",
        "400 squads of 24 with a mean and a spread of their own, three results each; a test that ends at 1400 m for everybody (a third would go on), and \
         one result in ten ended by injury. The naive mean takes the distance reached for the distance possible.",
    );
    let mut rows = Vec::new();
    for (name, errors) in &tally.errors {
        let (mean, se) = errors.mean();
        rows.push(vec![
            (*name).to_owned(),
            format!("{:+.2} %", 100.0 * mean.exp_m1()),
            format!("{:.2} %", 100.0 * se),
        ]);
        let (low, high) = if name.starts_with("ours") {
            (-3.0, 3.0)
        } else {
            (-1e6, -3.0)
        };
        let what = format!("bias of {name}, in its standard errors");
        section.bound(what, mean / se, low, high, "");
    }
    section.table(&["group mean", "bias", "standard error"], rows);
    Ok(section)
}

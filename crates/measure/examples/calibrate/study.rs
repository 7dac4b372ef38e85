//! A reliability study of 12, 24 and 100 people: typical error, correlations, limits of agreement.

use plimsoll_measure::Interval;
use plimsoll_measure::study::{Analysis, Trials, study};

use crate::Fault;
use crate::numbers::{Numbers, over};
use crate::section::Section;
use crate::tally::Tally;

const RUNS: usize = 3000;
const TRIALS: usize = 3;
/// SDs between people, between trials, and of the error.
const PEOPLE: f64 = 150.0;
const DAYS: f64 = 40.0;
const ERROR: f64 = 60.0;

/// Names of the rows of one size.
type Names = [&'static str; 12];

macro_rules! names {
    ($n:literal) => {
        [
            concat!("the typical error, n = ", $n),
            concat!("the change in the mean, n = ", $n),
            concat!("ICC(1,1), n = ", $n),
            concat!("ICC(2,1), n = ", $n),
            concat!("ICC(3,1), n = ", $n),
            concat!("ICC(1,k), n = ", $n),
            concat!("ICC(2,k), n = ", $n),
            concat!("ICC(3,k), n = ", $n),
            concat!("the lower limit of agreement, n = ", $n),
            concat!("the upper limit of agreement, n = ", $n),
            concat!("the typical error of one pair, n = ", $n),
            concat!("the interval of 1996, n = ", $n),
        ]
    };
}

/// A table of people and trials; without the trials' own effects for the one-way form.
fn analysed(numbers: &mut Numbers, n: usize, days: [f64; TRIALS]) -> Result<Analysis, Fault> {
    let mut cells = Vec::with_capacity(n * TRIALS);
    for _ in 0..n {
        let level = 1500.0 + PEOPLE * numbers.normal();
        cells.extend(days.map(|day| level + day + ERROR * numbers.normal()));
    }
    Ok(study(&Trials::complete(&cells, TRIALS)?, 0.9)?.raw)
}

fn unit(unit: usize, n: usize, names: &Names) -> Result<Tally, Fault> {
    let mut numbers = Numbers::of(5 + n as u64 * 16, unit);
    let mut tally = Tally::default();
    let days = [0; TRIALS].map(|_| DAYS * numbers.normal());
    let found = analysed(&mut numbers, n, days)?;
    tally.yes(names[0], found.pooled?.interval.contains(ERROR));
    let first = found.pairs.first().ok_or("no pair")?;
    let change = days[1] - days[0];
    let mean = first.change.as_ref().map_err(Clone::clone)?;
    tally.yes(names[1], mean.interval.contains(change));
    let own = first.error.as_ref().map_err(Clone::clone)?;
    tally.yes(names[10], own.interval.contains(ERROR));
    let limits = first.limits.as_ref().map_err(Clone::clone)?;
    let half = 1.959_964 * ERROR * std::f64::consts::SQRT_2;
    tally.yes(names[8], limits.lower_interval.contains(change - half));
    tally.yes(names[9], limits.upper_interval.contains(change + half));
    let one_way = analysed(&mut numbers, n, [0.0; TRIALS])?.correlations?;
    let two_way = found.correlations?;
    let (people, day, error) = (PEOPLE.powi(2), DAYS.powi(2), ERROR.powi(2));
    let rest = [error, day + error, error];
    for form in 0..6 {
        let noise = rest[form % 3] / if form < 3 { 1.0 } else { TRIALS as f64 };
        let from = if form % 3 == 0 { &one_way } else { &two_way };
        let truth = people / (people + noise);
        let holds = |i: Option<Interval>| i.is_some_and(|i| i.contains(truth));
        tally.yes(names[2 + form], holds(from[form].calibrated));
        if form == 1 {
            tally.yes(names[11], holds(from[form].interval));
        }
    }
    Ok(tally)
}

pub fn job() -> Result<Section, Fault> {
    let mut section = Section::new(
        "Reliability studies",
        "3000 studies of each size with three trials: SD 150 m between people, 40 m between days (drawn anew for each \
         study; none for the one-way form), 60 m the error. Of ICC(2,1) and (2,k) the interval shown to people is held to the \
         bound; the one of McGraw & Wong 1996, kept beside it, stands in the second table.",
    );
    let mut all = Tally::default();
    for (n, names) in [(12, names!("12")), (24, names!("24")), (100, names!("100"))] {
        all.add(&over(RUNS, |at| unit(at, n, &names))?);
    }
    let old = |name: &str| name.starts_with("the interval of 1996");
    let rows = all.covers.iter().filter(|(name, _)| old(name));
    let rows = rows.map(|(name, _)| vec![(*name).to_owned(), format!("{:.1} %", all.share(name))]);
    let rows = rows.collect();
    all.covers.retain(|(name, _)| !old(name));
    section.covers(&all);
    section.table(
        &["ICC(2,1) as other programs give it", "90 % intervals hold"],
        rows,
    );
    Ok(section)
}

//! Changes between two occasions: typical error known, estimated, on logs, and pulled towards the usual.

use plimsoll_measure::change::{Comparison, log_change, shrink};

use crate::Fault;
use crate::numbers::{Numbers, over};
use crate::section::Section;
use crate::tally::{LEVELS, Tally};

const UNITS: usize = 400;
const CASES: usize = 100;
/// Typical error, and the degrees of freedom of a study of 24.
const ERROR: f64 = 50.0;
const DF: u32 = 23;
const WORTHWHILE: f64 = 30.0;
/// CV of 5 %, and a worthwhile change of 2 %.
const CV: f64 = 5.0;
const PERCENT: f64 = 2.0;
/// Usual true changes, where something is known of them.
const USUAL: (f64, f64) = (25.0, 40.0);

fn unit(unit: usize) -> Result<Tally, Fault> {
    let mut numbers = Numbers::of(4, unit);
    let mut tally = Tally::default();
    for _ in 0..CASES {
        // Nothing is known of the change: any is as likely, far beyond the error.
        let truth = 12.0 * ERROR * (numbers.even() - 0.5);
        let before = ERROR * numbers.normal();
        let seen = truth + ERROR * numbers.normal() - before;
        let known = Comparison::new(ERROR, None, 1, 1)?;
        let estimated = Comparison::new(ERROR * numbers.estimated(DF), Some(f64::from(DF)), 1, 1)?;
        let log_error = (CV / 100.0).ln_1p();
        let log_truth = 12.0 * log_error * (numbers.even() - 0.5);
        let step = log_truth + log_error * (numbers.normal() + numbers.normal());
        let log = log_change(1000.0, 1000.0 * step.exp(), CV, None, (1, 1))?;
        let own = USUAL.0 + USUAL.1 * numbers.normal();
        let drawn = own + ERROR * (numbers.normal() + numbers.normal());
        let pulled = shrink(&known, drawn, USUAL.0, USUAL.1)?;
        for (place, level) in LEVELS.into_iter().enumerate() {
            let held = known.interval(seen, level)?.contains(truth);
            tally.held("a change, error known", place, held);
            let held = estimated.interval(seen, level)?.contains(truth);
            tally.held("a change, error from a study of 24", place, held);
            let percent = 100.0 * log_truth.exp_m1();
            let held = log.interval_percent(level)?.contains(percent);
            tally.held("a change in percent", place, held);
            let held = pulled.interval(level)?.contains(own);
            tally.held("a change pulled towards the usual", place, held);
        }
        let up = known.chance(seen, WORTHWHILE)?.up;
        tally.chance("P(up), error known", up, truth > WORTHWHILE);
        let up = estimated.chance(seen, WORTHWHILE)?.up;
        tally.chance("P(up), error from a study of 24", up, truth > WORTHWHILE);
        let up = log.chance(PERCENT)?.up;
        tally.chance(
            "P(up), in percent",
            up,
            log_truth > (PERCENT / 100.0).ln_1p(),
        );
        let up = pulled.chance(WORTHWHILE)?.up;
        tally.chance("P(up), pulled towards the usual", up, own > WORTHWHILE);
    }
    Ok(tally)
}

pub fn job() -> Result<Section, Fault> {
    let tally = over(UNITS, unit)?;
    let mut section = Section::new(
        "Changes between two results",
        "40 000 pairs: true changes spread evenly far beyond the error, or drawn from the usual changes where these \
         are known; typical error 50 m or a CV of 5 %, known or estimated from 24 people.",
    );
    section.covers(&tally);
    section.bins(&tally, false);
    Ok(section)
}

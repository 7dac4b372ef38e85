//! Levels with the parameters worked out from each squad itself: the honest case.

use plimsoll_measure::level::{Normal, PriorWidth, Series, fit_squad};

use crate::Fault;
use crate::athletes::{Athlete, SQUAD, Truth, judge};
use crate::level::USUAL;
use crate::numbers::{Numbers, over};
use crate::section::Section;
use crate::tally::Tally;

/// Squads of 24.
const SQUADS: usize = 400;

/// Draws what is true of a squad: within a factor of about 1.5 (errors), 4 (drift) of the start.
fn squad(numbers: &mut Numbers) -> Truth {
    let mut near = |value: f64, sd: f64| value * (sd * numbers.normal()).exp();
    let error = [near(0.07, 0.2), near(0.09, 0.2)];
    let drift = near(0.0002, 0.7);
    let sd = near(0.2, 0.25);
    let mean = 7.2 + 0.2 * numbers.normal();
    let learning = USUAL
        .learning
        .map(|l| Normal::exactly(l.mean + l.sd * numbers.normal()));
    Truth {
        group: Normal { mean, sd },
        drift,
        error,
        learning,
    }
}

pub fn job() -> Result<Section, Fault> {
    let prior = USUAL.model()?;
    let tally = over(SQUADS, |unit| {
        let mut numbers = Numbers::of(2, unit);
        let mut tally = Tally::default();
        let truth = squad(&mut numbers);
        let athletes: Vec<Athlete> = (0..SQUAD)
            .map(|_| truth.athlete(&mut numbers))
            .collect::<Result<_, _>>()?;
        let series: Vec<Series> = athletes.iter().map(|a| a.series.clone()).collect();
        let fit = fit_squad(&prior, &series, &PriorWidth::WEAK, 1)?;
        tally.yes("converged", fit.record.converged);
        for athlete in &athletes {
            let found = fit.ensemble.posterior(&athlete.series)?;
            judge(&mut tally, &found, &athlete.levels)?;
        }
        Ok(tally)
    })?;
    let converged = tally.share("converged");
    let mut section = Section::new(
        "Levels, parameters fitted to each squad",
        "400 squads of 24 as above, each with errors, drift, learning, mean and spread of its own; the fit starts \
         from the values of the last section, knows none of these, and sees the squad's results only.",
    );
    let mut rest = tally.clone();
    rest.covers.retain(|(name, _)| *name != "converged");
    section.covers(&rest);
    section.bins(&rest, true);
    section.bound(
        "fits that converged".to_owned(),
        converged,
        95.0,
        100.0,
        "%",
    );
    Ok(section)
}

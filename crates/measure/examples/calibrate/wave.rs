//! A wave as planned: who is still running after a bout, and when the last one stops.

use plimsoll_measure::planning::{Rungs, last_stop, squad_predictions, stops};

use crate::Fault;
use crate::numbers::{Numbers, over};
use crate::section::Section;
use crate::tally::Tally;

const WAVES: usize = 3000;
const RUNNERS: usize = 24;
/// Results each has from before; the typical error is known.
const EARLIER: usize = 3;
const ERROR: f64 = 0.07;
const BOUTS: usize = 90;
const BOUT: f64 = 40.0;

fn rungs() -> Result<Rungs, Fault> {
    let distances = (1..=BOUTS).map(|n| BOUT * n as f64).collect();
    let times = (1..=BOUTS).map(|n| 25.0 * n as f64).collect();
    Ok(Rungs::new(distances, times)?)
}

fn unit(unit: usize) -> Result<Tally, Fault> {
    let mut numbers = Numbers::of(10, unit);
    let rungs = rungs()?;
    let levels: Vec<f64> = (0..RUNNERS).map(|_| 7.1 + 0.2 * numbers.normal()).collect();
    let mut show = |level: &f64| level + ERROR * numbers.normal();
    let earlier: Vec<Vec<f64>> = levels
        .iter()
        .map(|level| (0..EARLIER).map(|_| show(level)).collect())
        .collect();
    let done: Vec<usize> = levels
        .iter()
        .map(|l| rungs.bouts_at(show(l).exp()))
        .collect();
    let squad = squad_predictions(&earlier, ERROR)?;
    let mut tally = Tally::default();
    let mut chances = Vec::new();
    for (runner, done) in squad.runners.iter().zip(&done) {
        let runner = runner.as_ref().ok_or("a runner without a prediction")?;
        let each = stops(runner, &rungs);
        // The bout asked about is drawn, so that every chance from 0 to 1 comes up.
        let asked = (numbers.even() * 2.0 * (runner.mean().exp() / BOUT)) as usize;
        let said: f64 = each.iter().take(asked).sum();
        tally.chance(
            "P(a runner has stopped by a bout)",
            said.min(1.0),
            *done < asked,
        );
        chances.push(each);
    }
    let last = last_stop(&chances);
    let best = done.iter().max().copied().unwrap_or(0);
    // One question a wave: answers about one wave go together.
    let asked = 28 + (numbers.even() * 50.0) as usize;
    let said: f64 = last.iter().take(asked).sum();
    tally.chance("P(the wave is over by a bout)", said.min(1.0), best < asked);
    Ok(tally)
}

pub fn job() -> Result<Section, Fault> {
    let tally = over(WAVES, unit)?;
    let mut section = Section::new(
        "A wave as planned",
        "3000 waves of 24 runners with three earlier results each; nobody has changed since.",
    );
    section.bins(&tally, false);
    Ok(section)
}

//! What the lowest of the day are expected to run next time when nobody has changed at all.
//! Must not call the expected rise a gain. Formula: `measure::squad::retest`.

use plimsoll_measure::squad::retest_of_lowest;
use plimsoll_report::format::{amount, signed_amount};
use serde::Serialize;

use super::Part;
use super::gather::{Runner, Squad};
use super::spread::{full, spread};

/// Full results from which somebody is called low. Chosen, no source.
const FEWEST: usize = 6;
/// Quantile of a 90 % interval, normal.
const Z90: f64 = 1.645;

/// One of the lowest.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Low {
    /// The name called.
    pub name: String,
    /// The result, in the unit of the test.
    pub result: f64,
    /// Its label.
    pub label: Option<String>,
    /// Expected next result without any change.
    pub expected_next: f64,
    /// Lower end of the interval that holds it with 90 %.
    pub low90: f64,
    /// Upper end.
    pub high90: f64,
}

/// The lowest together.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Lowest {
    /// How many.
    pub picked: usize,
    /// Of how many full results.
    pub of: usize,
    /// The lowest, lowest first.
    pub people: Vec<Low>,
    /// Mean of their results.
    pub mean: f64,
    /// Expected mean rise without any change.
    pub rise: f64,
    /// Lower end of the interval that holds the mean rise with 90 %.
    pub low90: f64,
    /// Upper end.
    pub high90: f64,
    /// Share of the spread that is between people.
    pub reliability: f64,
}

const SETTLE: &str = "Compare with those who were not picked, or test the lowest once more before the programme \
    begins and count the rise from that second test. A rise is credited to the programme only beyond the interval.";
const NO_BASIS: &str = "typical error and spread of the day";

pub(super) fn answer(squad: &Squad<'_>, wanted: Option<usize>) -> Part<Lowest> {
    let list: Vec<(&Runner, f64)> = squad
        .runners
        .iter()
        .filter_map(|r| Some((r, full(r)?.0)))
        .collect();
    if list.len() < FEWEST {
        let why = format!(
            "{} full results are too few to call anybody low; {FEWEST} are needed.",
            list.len()
        );
        return Part::refused(why, NO_BASIS, "Test more of the squad on one day.");
    }
    let k = wanted.unwrap_or_else(|| (list.len() as f64 / 4.0).round() as usize);
    if k > list.len() {
        let why = format!("{k} were asked for and {} have a full result.", list.len());
        return Part::refused(why, NO_BASIS, "Ask for fewer.");
    }
    let Some(spread) = spread(squad) else {
        let why = squad.error.as_ref().err().cloned();
        let why = format!(
            "What the lowest would run next time cannot be said: {}.",
            why.as_deref()
                .unwrap_or("no typical error is known")
                .trim_end_matches('.')
        );
        return Part::refused(
            why,
            NO_BASIS,
            "An error of your own, from people tested twice within days.",
        );
    };
    let Some(group) = spread.as_read else {
        let why = "The results of the day differ no more than one person's results do by chance: nobody can be \
                   called low."
            .to_owned();
        return Part::refused(why, NO_BASIS, SETTLE);
    };
    let scores: Vec<f64> = list.iter().map(|(_, at)| *at).collect();
    match retest_of_lowest(&scores, k, group.reliability) {
        Ok(found) => {
            // A full result is the last whole bout: back from the middle by half a bout.
            let half = |runner: &Runner| full(runner).map_or(0.0, |(_, width)| width / 2.0);
            let people: Vec<Low> = found
                .selected
                .iter()
                .zip(&found.expected)
                .map(|(&place, &expected)| {
                    let runner = list[place].0;
                    let at = |x: f64| (x - half(runner)).exp();
                    Low {
                        name: runner.name.clone(),
                        result: runner.result,
                        label: runner.label.clone(),
                        expected_next: at(expected),
                        low90: at(expected - Z90 * found.sd_retest),
                        high90: at(expected + Z90 * found.sd_retest),
                    }
                })
                .collect();
            let mean = people.iter().map(|p| p.result).sum::<f64>() / k as f64;
            let to = |x: f64| mean * x.exp_m1();
            let lowest = Lowest {
                picked: k,
                of: list.len(),
                mean,
                rise: to(found.apparent_gain),
                low90: to(found.apparent_gain - Z90 * found.retest_mean_sd),
                high90: to(found.apparent_gain + Z90 * found.retest_mean_sd),
                reliability: group.reliability,
                people,
            };
            part(squad, lowest)
        }
        Err(fault) => Part::refused(format!("No answer: {fault}."), NO_BASIS, SETTLE),
    }
}

fn part(squad: &Squad<'_>, lowest: Lowest) -> Part<Lowest> {
    let unit = squad.unit.as_str();
    let names: Vec<&str> = lowest.people.iter().map(|p| p.name.as_str()).collect();
    let says = vec![
        format!(
            "The lowest {} of {} full results: {}.",
            lowest.picked,
            lowest.of,
            names.join(", ")
        ),
        format!(
            "With no change at all they are expected to run {} more next time on average ({} to {}, 90 %), from a \
             mean of {}: some of them were low today by chance.",
            amount(lowest.rise, unit),
            signed_amount(lowest.low90, unit),
            signed_amount(lowest.high90, unit),
            amount(lowest.mean, unit)
        ),
        format!(
            "A mean rise of up to {} is no sign that a programme worked.",
            amount(lowest.high90.max(0.0), unit)
        ),
    ];
    let bounds = squad.runners.len() - lowest.of;
    let left = match bounds {
        0 => String::new(),
        1 => " One result known only as a bound is left out.".to_owned(),
        n => format!(" {n} results known only as bounds are left out."),
    };
    let basis = format!(
        "Spread of the day and typical error, on ln: {:.0} % of the spread is between people, the rest is chance \
         and whole bouts; {}. Earlier results of a person are not used here.{left}",
        100.0 * lowest.reliability,
        squad.error_basis()
    );
    Part {
        answer: Some(lowest),
        says,
        basis,
        settle: SETTLE.to_owned(),
    }
}

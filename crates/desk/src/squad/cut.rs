//! Pass or fail at a cut: each person's chance on their level, the squad's wrong verdicts, best of several.
//! Must not say pass or fail of a level; a result passes, a level has a chance. Formulas: `measure::squad::cut`.

use plimsoll_measure::squad::{
    CutRisk, best_of, chance_above, chance_above_in_group, cut_risk, guard_band,
    guard_band_in_group,
};
use plimsoll_report::{CutMark, CutPlot, Figure, figure_cut};
use serde::Serialize;

use super::cut_read::{WrongCut, read};
use super::gather::{Seen, Squad};
use super::spread::{Spread, spread};
use super::{Part, RISK, cut_words};

/// Nearer to certainty than this no chance is given: the model is not that sure. Chosen, no source.
const SUREST: f64 = 0.999;

/// One person at the cut.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AtCut {
    /// The name called.
    pub name: String,
    /// The result, in the unit of the test.
    pub result: f64,
    /// Its label.
    pub label: Option<String>,
    /// Whether the result is known only as "at least".
    pub bound: bool,
    /// Whether the result is at the cut or above.
    pub passes: bool,
    /// Chance that the true level is at the cut or above; nothing where no error is known.
    pub p_above: Option<f64>,
    /// What the chance rests on: `all_results`, `result_in_group`, `result_alone` or `nothing`.
    pub from: &'static str,
}

/// Results that decide with at most the risk, for somebody of whom nothing else is known.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Band {
    /// The risk, as a share.
    pub risk: f64,
    /// From this result on the level is below the cut with at most the risk; nothing on the ladder reaches so far.
    pub pass_from: Option<f64>,
    /// Its label.
    pub pass_label: Option<String>,
    /// Up to this result the level is at the cut or above with at most the risk; nothing on the ladder is so low.
    pub fail_to: Option<f64>,
    /// Its label.
    pub fail_label: Option<String>,
    /// Whether the spread of the squad was used.
    pub in_group: bool,
}

/// Wrong verdicts expected in a squad like this one.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Risk {
    /// People.
    pub people: usize,
    /// Expected to pass.
    pub passes: f64,
    /// Expected to be truly at the cut or above.
    pub truly_above: f64,
    /// Expected to pass with a level below.
    pub false_passes: f64,
    /// Expected to fail with a level at the cut or above.
    pub false_fails: f64,
}

/// What counting the best of several trials does.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct BestOf {
    /// Trials.
    pub trials: u32,
    /// How far the best lies above the level on average, percent.
    pub inflation_percent: f64,
    /// The same at the cut, in the unit of the test.
    pub inflation: f64,
    /// Wrong verdicts then; nothing without a group.
    pub risk: Option<Risk>,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Cut {
    /// The cut, in the unit of the test.
    pub at: f64,
    /// Its label.
    pub label: Option<String>,
    /// How what was written was read.
    pub read_as: String,
    /// Unit of the results.
    pub unit: &'static str,
    /// Everybody, highest result first.
    pub people: Vec<AtCut>,
    /// The guard band.
    pub band: Band,
    /// Wrong verdicts with one trial; nothing without a group.
    pub risk: Option<Risk>,
    /// The best of several.
    pub best_of: BestOf,
}

/// Answers for a cut.
pub(super) fn answer(squad: &Squad<'_>, written: &str, trials: u32) -> Result<Part<Cut>, WrongCut> {
    let (at, label, read_as) = read(squad, written)?;
    let (spread, levels) = match (spread(squad), squad.levels()) {
        (Some(spread), Ok(levels)) => (spread, levels),
        (_, refused) => return Ok(cut_words::refused(squad, refused.err().as_ref())),
    };
    let cut = at.ln();
    let mut people: Vec<AtCut> = squad
        .runners
        .iter()
        .map(|runner| {
            let level = levels.level_on(&runner.id, squad.day.facts.date).ok();
            let (p_above, from) = match (level, runner.seen, &spread.as_read) {
                // Nobody is judged by an error that does not fit them.
                _ if runner.error.is_none() => (None, "nothing"),
                (Some(level), ..) => (
                    chance_above(level.mean, level.sd, None, cut).ok(),
                    "all_results",
                ),
                (None, Seen::Full { at, .. }, Some(group)) => (
                    chance_above_in_group(at, group, cut).ok(),
                    "result_in_group",
                ),
                (None, Seen::Full { at, .. }, None) => {
                    let error = (spread.error.powi(2) + spread.rounding).sqrt();
                    (chance_above(at, error, None, cut).ok(), "result_alone")
                }
                _ => (None, "nothing"),
            };
            AtCut {
                name: runner.name.clone(),
                result: runner.result,
                label: runner.label.clone(),
                bound: runner.seen == Seen::AtLeast,
                passes: runner.result + 1e-9 >= at,
                p_above: p_above.map(|p: f64| p.clamp(1.0 - SUREST, SUREST)),
                from,
            }
        })
        .collect();
    people.sort_by(|a, b| b.result.total_cmp(&a.result).then(a.name.cmp(&b.name)));
    let n = squad.runners.len();
    let risk = |trials: u32| {
        let group = spread.group.as_ref()?;
        Some(scaled(&cut_risk(cut, group, trials).ok()?, n))
    };
    let inflation = best_of(trials, spread.error).map_or(0.0, |b| b.inflation.exp_m1());
    let answer = Cut {
        band: band(squad, &spread, cut),
        risk: risk(1),
        best_of: BestOf {
            trials,
            inflation_percent: 100.0 * inflation,
            inflation: inflation * at,
            risk: risk(trials),
        },
        at,
        label,
        read_as,
        unit: squad.unit.as_str(),
        people,
    };
    Ok(cut_words::part(squad, answer, &spread, levels.basis()))
}

fn scaled(risk: &CutRisk, people: usize) -> Risk {
    let n = people as f64;
    Risk {
        people,
        passes: n * risk.pass,
        truly_above: n * risk.truly_above,
        false_passes: n * risk.false_pass,
        false_fails: n * risk.false_fail,
    }
}

/// The guard band in whole results of the test.
fn band(squad: &Squad<'_>, spread: &Spread, cut: f64) -> Band {
    let error = (spread.error.powi(2) + spread.rounding).sqrt();
    let found = match &spread.as_read {
        Some(group) => guard_band_in_group(cut, group, RISK),
        None => guard_band(cut, error, None, RISK),
    };
    let mut band = Band {
        risk: RISK,
        pass_from: None,
        pass_label: None,
        fail_to: None,
        fail_label: None,
        in_group: spread.as_read.is_some(),
    };
    let Ok(edges) = found else { return band };
    if squad.steps.rise() {
        let steps = squad.steps.list();
        let middle = |at: &usize| squad.steps.middle(*at);
        let from = (0..steps.len()).find(|at| middle(at).is_some_and(|m| m >= edges.pass_from));
        let to = (0..steps.len()).rfind(|at| middle(at).is_some_and(|m| m <= edges.fail_to));
        if let Some(step) = from.and_then(|at| steps.get(at)) {
            (band.pass_from, band.pass_label) = (Some(step.value), Some(step.label.clone()));
        }
        if let Some(step) = to.and_then(|at| steps.get(at)) {
            (band.fail_to, band.fail_label) = (Some(step.value), Some(step.label.clone()));
        }
    } else {
        (band.pass_from, band.fail_to) = (Some(edges.pass_from.exp()), Some(edges.fail_to.exp()));
    }
    band
}

/// Draws everybody on a line with the cut.
pub fn figure(cut: &Cut) -> Option<Figure> {
    figure_cut(&CutPlot {
        unit: cut.unit.to_owned(),
        cut: cut.at,
        label: cut.label.clone(),
        risk: cut.band.risk,
        fail_to: cut.band.fail_to,
        pass_from: cut.band.pass_from,
        people: cut
            .people
            .iter()
            .map(|p| CutMark {
                name: p.name.clone(),
                result: p.result,
                bound: p.bound,
                chance: p.p_above,
            })
            .collect(),
    })
}

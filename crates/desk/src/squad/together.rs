//! Do people stop right after one another more than their earlier results lead to expect?
//! A hint about the day, never a finding about a person. Formula: `measure::squad::cascade`.

use plimsoll_judge::What;
use plimsoll_measure::squad::{PredictedStop, Strength, cascade};
use plimsoll_report::format::{count, percent};
use serde::Serialize;

use super::Part;
use super::effort::{Stop, in_words, stops, word};
use super::gather::{Logged, Squad};

/// Stops count as right after one another within this many bouts. Chosen, no source.
const WINDOW: f64 = 1.0;
/// Runners of a wave from which it says something (as the formula has it).
const FEWEST: usize = 5;

/// The densest run of stops of a wave.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Window {
    /// The wave, or the whole day where no waves are recorded.
    pub group: String,
    /// Runners counted.
    pub runners: usize,
    /// Stops within the window.
    pub observed: usize,
    /// Expected there.
    pub expected: f64,
    /// Chance of such a window anywhere in the wave.
    pub chance: f64,
    /// `none`, `weak` or `strong`.
    pub strength: &'static str,
    /// Completed bouts at which it begins.
    pub from_bouts: f64,
}

/// One entry a wave.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Together {
    /// The waves.
    pub waves: Vec<Window>,
}

const SETTLE: &str = "Ask whether a group agreed on a stop or one stop drew others, and spread friends over the \
    lanes next time; a repeat of the test shows whether they go further.";
const BASIS: &str = "earlier results of each person, and who ran together";

pub(super) fn answer(squad: &Squad<'_>, waves: &[Logged]) -> Part<Together> {
    let refused = |why: String| Part::refused(why, BASIS, SETTLE);
    if !squad.steps.rise() {
        return refused(
            "Results of this test do not rise bout by bout; stops cannot be set side by side."
                .to_owned(),
        );
    }
    let mut groups: Vec<(String, Vec<Stop<'_>>)> = Vec::new();
    for logged in waves {
        let people = people(logged);
        let own = squad.runners.iter().filter(|r| people.contains(&r.id));
        groups.push((logged.wave.name.clone(), stops(squad, own)));
    }
    let sheet_only = groups.iter().all(|(_, stops)| stops.is_empty());
    if sheet_only {
        groups = vec![("The day".to_owned(), stops(squad, squad.runners.iter()))];
    }
    let mut says = Vec::new();
    let mut found = Vec::new();
    for (group, stops) in groups {
        if stops.len() < FEWEST {
            says.push(format!(
                "{group}: {} can be set against earlier results; {FEWEST} are needed.",
                count(stops.len(), "stop", "stops")
            ));
            continue;
        }
        match one(squad, &group, &stops) {
            Ok((window, words)) => {
                says.push(words);
                found.push(window);
            }
            Err(why) => says.push(format!("{group}: no answer, {why}.")),
        }
    }
    let who = if sheet_only {
        "The sheet does not say who ran together; all of the day are taken as one wave. "
    } else {
        ""
    };
    Part {
        answer: (!found.is_empty()).then_some(Together { waves: found }),
        says,
        basis: format!(
            "{who}Stops within {WINDOW:.0} bout of each other against each runner's earlier results; the wave's common \
             gap is taken out and every window is allowed for. It errs on the careful side. Weak below 5 %, strong \
             below 0.5 % (common practice, no source)."
        ),
        settle: SETTLE.to_owned(),
    }
}

/// Ids of the people of a wave.
fn people(logged: &Logged) -> Vec<String> {
    let mut found = Vec::new();
    for event in &logged.events {
        match &event.what {
            What::Opened { plan } => found.extend(plan.lanes.iter().map(|l| l.person.clone())),
            What::Joined { runner } => found.push(runner.person.clone()),
            _ => {}
        }
    }
    found
}

fn one(squad: &Squad<'_>, group: &str, stops: &[Stop<'_>]) -> Result<(Window, String), String> {
    let bouts = |ln: f64| squad.steps.bouts_at(ln.exp());
    let predicted: Vec<PredictedStop> = stops
        .iter()
        .map(|stop| {
            let (mean, sd) = (stop.expected.mean, stop.expected.sd);
            let spread = (bouts(mean + sd) - bouts(mean - sd)) / 2.0;
            PredictedStop {
                stop: f64::from(stop.bouts),
                // A run that ends within a bout counts the whole bouts before it.
                predicted: bouts(mean) - 0.5,
                sd: spread.max(0.5),
            }
        })
        .collect();
    let hint = cascade(&predicted, WINDOW, 1.0).map_err(|fault| fault.to_string())?;
    let from = hint.from.unwrap_or_default();
    let label = |bouts: f64| {
        let step = squad
            .steps
            .list()
            .iter()
            .find(|s| f64::from(s.bouts) == bouts);
        step.map_or_else(|| format!("bout {bouts:.0}"), |s| s.label.clone())
    };
    let window = Window {
        group: group.to_owned(),
        runners: stops.len(),
        observed: hint.observed,
        expected: hint.expected,
        chance: hint.chance,
        strength: word(hint.strength),
        from_bouts: from,
    };
    let many = if hint.strength == Strength::None {
        "the densest place is"
    } else {
        "stops crowd at"
    };
    let words = format!(
        "{group}: {many} {} to {}, {} of {} stops where {:.1} were expected (chance of such a place anywhere {}). {}.",
        label(from),
        label(from + WINDOW),
        hint.observed,
        stops.len(),
        hint.expected,
        percent(hint.chance),
        in_words(hint.strength)
    );
    Ok((window, words))
}

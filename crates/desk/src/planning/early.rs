//! From earlier results to each runner's next stop on one test.
//! Uses the last three results within a year of the latest. Common practice, no source.

use std::collections::BTreeMap;

use plimsoll_ladder::{Catalogue, Test};
use plimsoll_measure::planning::{Rungs, Runner, squad_predictions};

use super::ladder::{Carried, carried, rungs as rungs_of};
use super::{Noise, PlanningError, Roster};

/// Who is out by then is out early, s. Common practice, no source: two minutes.
pub const EARLY_S: f64 = 120.0;
/// Results of one person that count.
const RECENT: usize = 3;
/// Days before a person's latest result from which others still count.
const YEAR_DAYS: i64 = 365;
/// Newcomers of an unknown spread are drawn from the known ones only with this share known.
const KNOWN_SHARE: f64 = 0.5;

/// Predictions of a roster on one test.
#[derive(Debug, Clone, PartialEq)]
pub struct Early {
    /// Each runner's next result, in the order of the roster; none where nothing is known.
    pub runners: Vec<Option<Runner>>,
    /// People with results that count.
    pub known: usize,
    /// Expected bouts of each: of the middle of the prediction.
    pub bouts: Vec<Option<u32>>,
    /// Results that reached the end of the ladder, which may understate.
    pub at_end: usize,
    /// Where the predictions come from, in words.
    pub basis: String,
}

/// Results of a roster that say something about one test.
pub struct Usable {
    /// Ln of the distances of each person that count, m, oldest first: each on the ladder it was run on.
    pub logs: Vec<Vec<f64>>,
    /// Results among them that reached the end of their ladder.
    pub at_end: usize,
    /// Ids of other tests with the same cues that were used.
    pub from: Vec<String>,
}

impl Usable {
    /// Returns the middle of the people's latest distances, m.
    pub fn middle(&self) -> Option<f64> {
        let mut all: Vec<f64> = self
            .logs
            .iter()
            .filter_map(|own| own.last())
            .copied()
            .collect();
        all.sort_by(f64::total_cmp);
        all.get(all.len() / 2).map(|ln| ln.exp())
    }
}

/// Returns the results that count for a test.
pub fn usable(roster: &Roster, catalogue: &Catalogue, test: &Test) -> Usable {
    let mut from: Vec<String> = Vec::new();
    let mut ladders: BTreeMap<&str, Option<(Carried, Rungs)>> = BTreeMap::new();
    let mut at_end = 0;
    let logs = roster
        .athletes
        .iter()
        .map(|athlete| {
            let mut fit: Vec<(Option<i64>, f64, bool)> = Vec::new();
            for e in &athlete.earlier {
                let ladder = ladders.entry(&e.test).or_insert_with(|| {
                    let own = catalogue.get(&e.test)?;
                    Some((carried(own, test)?, rungs_of(own)?))
                });
                let Some((how, rungs)) = ladder else { continue };
                if *how == Carried::SameCues && !from.contains(&e.test) {
                    from.push(e.test.clone());
                }
                let done = (e.bouts as usize).min(rungs.bouts());
                fit.push((e.day, rungs.middle_ln(done), done == rungs.bouts()));
            }
            let latest = fit.iter().filter_map(|f| f.0).max();
            fit.retain(|(day, _, _)| match (day, latest) {
                (Some(day), Some(latest)) => latest - day <= YEAR_DAYS,
                _ => true,
            });
            let surplus = fit.len().saturating_sub(RECENT);
            let fit = fit.split_off(surplus);
            at_end += fit.iter().filter(|f| f.2).count();
            fit.into_iter().map(|f| f.1).collect()
        })
        .collect();
    from.sort();
    Usable { logs, at_end, from }
}

/// Returns the test whose error says how far results scatter: the test itself, or the one on the
/// same cues that the results come from.
pub fn error_test<'a>(roster: &Roster, catalogue: &'a Catalogue, test: &'a Test) -> &'a Test {
    let results = || roster.athletes.iter().flat_map(|a| &a.earlier);
    if results().any(|e| e.test == test.id()) && test.definition().maximal {
        return test;
    }
    let mut ids = results().map(|e| e.test.as_str());
    ids.find_map(|id| {
        let own = catalogue.get(id)?;
        (carried(own, test) == Some(Carried::SameCues)).then_some(own)
    })
    .unwrap_or(test)
}

/// Returns the predictions of a roster on a test, or why there are none.
///
/// # Errors
///
/// [`PlanningError`] when a number cannot be used.
pub fn predictions_of(
    roster: &Roster,
    catalogue: &Catalogue,
    test: &Test,
    rungs: &Rungs,
    noise: &Noise,
) -> Result<Result<Early, String>, PlanningError> {
    let Usable { logs, at_end, from } = usable(roster, catalogue, test);
    let n = logs.len();
    let known = logs.iter().filter(|b| !b.is_empty()).count();
    if known == 0 {
        let others = roster.athletes.iter().flat_map(|a| &a.earlier);
        let mut others: Vec<&str> = others.map(|e| e.test.as_str()).collect();
        others.sort_unstable();
        others.dedup();
        return Ok(Err(if others.is_empty() {
            "nobody on this roster has an earlier result of a paced test".to_owned()
        } else {
            format!(
                "nobody on this roster has a result of it, and there is no published conversion \
                 from {}",
                others.join(", ")
            )
        }));
    }
    if (known as f64) < KNOWN_SHARE * n as f64 {
        return Ok(Err(format!(
            "only {known} of {n} have a result that counts for it"
        )));
    }
    let Some(error) = noise.ln else {
        return Ok(Err(noise.basis.clone()));
    };
    let squad = squad_predictions(&logs, error)?;
    let expected = squad
        .runners
        .iter()
        .map(|r| r.map(|r| rungs.bouts_at(r.mean().exp()) as u32))
        .collect();
    let told = roster
        .athletes
        .iter()
        .flat_map(|a| &a.earlier)
        .all(|e| e.day.is_none());
    let mut basis = if told {
        format!("{known} of {n} from what is expected of them, taken as one result each")
    } else {
        format!("{known} of {n} from their last results (at most {RECENT} within a year)")
    };
    if !from.is_empty() {
        basis.push_str(&format!(", those of {} on the same cues", from.join(", ")));
    }
    match squad.between {
        Some(between) => basis.push_str(&format!(
            ", pulled towards the squad, whose true levels differ by {:.0} % (SD)",
            100.0 * (between.exp() - 1.0)
        )),
        None => {
            basis.push_str("; under five known, so each stands alone and newcomers are left out")
        }
    }
    if known < n && squad.between.is_some() {
        basis.push_str("; the others drawn from the squad");
    }
    if at_end > 0 {
        basis.push_str("; results at the end of the ladder may understate");
    }
    Ok(Ok(Early {
        runners: squad.runners,
        known,
        bouts: expected,
        at_end,
        basis,
    }))
}

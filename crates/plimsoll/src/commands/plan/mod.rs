//! `plimsoll plan`: which test suits a group, waves and lanes, when to test again. It only proposes.

mod choose;
mod retest;
mod waves;

use plimsoll_desk::Choices;
use plimsoll_desk::planning::{PlanningError, Roster, archive_roster, csv_roster};
use plimsoll_desk::test_day::easier_form;
use plimsoll_interpret::Catalogue as Facts;
use plimsoll_ladder::{Catalogue, Test};
use plimsoll_report::Cautions;

use super::{known_test, reading};
use crate::cli::{Judging, Plan};
use crate::failure::{Failure, Found};
use crate::places::{Session, read_small};
use crate::{print, world};

/// Plans what is asked for.
pub fn run(
    session: &Session,
    catalogue: &Catalogue,
    facts: &Facts,
    args: &Plan,
) -> Result<Found, Failure> {
    if args.what.choose {
        choose::run(session, catalogue, facts, args)
    } else if args.what.waves {
        waves::run(session, catalogue, facts, args)
    } else {
        retest::run(session, catalogue, facts, args)
    }
}

impl From<PlanningError> for Failure {
    fn from(error: PlanningError) -> Self {
        match error {
            PlanningError::Archive(error) => Self::new(error),
            other => Self::new(other),
        }
    }
}

fn on(args: &Plan) -> Result<jiff::civil::Date, Failure> {
    args.on
        .as_deref()
        .map_or_else(|| Ok(world::today()), reading::date)
}

/// What the command line says about errors.
fn choices(args: &Plan) -> Result<Choices, Failure> {
    let judged = reading::judging(&Judging {
        typical_error: args.typical_error.clone(),
        swc: None,
        level: args.level.clone(),
        from_memory: args.from_memory,
    })?;
    Ok(Choices {
        error: judged.error,
        level: judged.level,
        from_memory: args.from_memory,
        ..Choices::default()
    })
}

/// The roster named, without those who do not show.
fn roster(session: &Session, catalogue: &Catalogue, args: &Plan) -> Result<Roster, Failure> {
    let mut roster = if let Some(file) = &args.file {
        let id = args.test.as_deref().unwrap_or_default();
        let test = known_test(catalogue, id)?;
        csv_roster(&file.display().to_string(), &read_small(file)?, test)?
    } else {
        archive_roster(&session.read()?, args.squad.as_deref(), on(args)?)?
    };
    for absent in &args.absent {
        let wanted = absent.trim().to_lowercase();
        let found: Vec<usize> = roster
            .athletes
            .iter()
            .enumerate()
            .filter(|(_, a)| a.name.to_lowercase() == wanted || a.person.as_deref() == Some(absent))
            .map(|(at, _)| at)
            .collect();
        let [at] = found.as_slice() else {
            return Err(Failure::new(format!(
                "--absent {absent}: {} on this roster have that name; allowed is the name or id of one",
                found.len()
            ))
            .hint("`plimsoll people list` shows names and ids"));
        };
        roster.athletes.remove(*at);
    }
    if roster.athletes.is_empty() {
        return Err(Failure::new("nobody is left on the roster").hint("take an --absent away"));
    }
    Ok(roster)
}

/// What stands under every plan of a maximal test.
pub fn cautions(catalogue: &Catalogue, test: Option<&Test>) -> String {
    let mut text = Cautions::default().short;
    if let Some(test) = test {
        match easier_form(catalogue, test) {
            Some((form, _)) => text.push_str(&format!(
                " The easier version on the same cues is {} ({}).",
                form.name(),
                form.id()
            )),
            None => text.push_str(
                " No easier version follows the cues of this test: who is not fit for it sits out, \
                 or runs another definition in a wave of their own.",
            ),
        }
    }
    text.push_str(" `plimsoll cautions` prints them all.");
    print::wrapped(&format!("Cautions. {text}"), 88)
}

//! The opening of a wave from its plan: names, codes, the submaximal form, the rules in force.
//! Must carry no reason of a code, and must leave out nobody without saying so.

use std::collections::BTreeMap;

use plimsoll_judge::{LanePlan, Opening, Settings};
use plimsoll_ladder::{Catalogue, Test};

use super::papers::Code;
use super::plan::PlannedWave;

/// A wave that cannot be opened.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum OpeningFault {
    /// A person of the plan is not known.
    #[error("lane {lane}: the person {person} is not in the archive; plan the wave again")]
    Unknown {
        /// The lane.
        lane: u16,
        /// The person's id.
        person: String,
    },
    /// The easier form cannot be run to the cues of this wave.
    #[error(
        "lane {lane}: {name} is to run a submaximal form, and none follows the cues of `{test}`; \
         give them a wave of their own on another definition, or let them sit out"
    )]
    NoEasierForm {
        /// The lane.
        lane: u16,
        /// The name called.
        name: String,
        /// The test of the wave.
        test: String,
    },
}

/// Returns the submaximal form that can be run to the cues of a test, with its last bout: a form
/// that is not maximal and whose bouts are the first ones of the test's ladder.
pub fn easier_form<'a>(catalogue: &'a Catalogue, test: &Test) -> Option<(&'a Test, u32)> {
    let ladder = test.ladder()?;
    let fits =
        |form: &&'a Test| {
            let definition = form.definition();
            let Some(own) = form.ladder() else {
                return false;
            };
            !definition.maximal
                && form.id() != test.id()
                && own.bouts().len() < ladder.bouts().len()
                && own.bouts().iter().zip(ladder.bouts()).all(|(a, b)| {
                    (a.start, a.finish, a.distance) == (b.start, b.finish, b.distance)
                })
        };
    let named = test.definition().easier.as_deref();
    let form = named
        .and_then(|id| catalogue.get(id))
        .filter(fits)
        .or_else(|| catalogue.iter().find(fits))?;
    let last = form.ladder()?.last()?.number;
    Some((form, last))
}

/// Returns the opening of a wave.
///
/// `names` are the names called by person id; `codes` what each may do, full where it says nothing.
/// Who is not to run today is left out of the lanes.
///
/// # Errors
///
/// [`OpeningFault`] when a person is not known or a submaximal form is missing.
pub fn opening(
    wave: &PlannedWave,
    test: &Test,
    catalogue: &Catalogue,
    names: &BTreeMap<String, String>,
    codes: &BTreeMap<String, Code>,
) -> Result<Opening, OpeningFault> {
    let easier = easier_form(catalogue, test);
    let mut lanes = Vec::new();
    for runner in &wave.runners {
        let name = names
            .get(&runner.person)
            .ok_or_else(|| OpeningFault::Unknown {
                lane: runner.lane,
                person: runner.person.clone(),
            })?;
        let code = codes.get(&runner.person).copied().unwrap_or_default();
        let form = match (code, easier) {
            (Code::NotToday, _) => continue,
            (Code::Submaximal, None) => {
                return Err(OpeningFault::NoEasierForm {
                    lane: runner.lane,
                    name: name.clone(),
                    test: test.id().to_owned(),
                });
            }
            (Code::Submaximal, Some(form)) => Some(form),
            (Code::Full | Code::Modified, _) => None,
        };
        lanes.push(LanePlan {
            lane: runner.lane,
            person: runner.person.clone(),
            name: name.clone(),
            bib: runner.bib.clone(),
            ends_at: form.map(|(_, last)| last),
            ladder: form.map(|(form, _)| form.id().to_owned()),
            from_bout: 1,
        });
    }
    let runs = |lane: &u16| lanes.iter().any(|l| l.lane == *lane);
    let mut assessors = wave.assessors.clone();
    for assessor in &mut assessors {
        assessor.lanes.retain(runs);
    }
    Ok(Opening {
        test: test.id().to_owned(),
        fingerprint: test.fingerprint(),
        settings: Settings::of(test),
        lanes,
        assessors,
    })
}

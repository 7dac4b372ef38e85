//! The demo's live test day: the invented squad again, three days on, judged on phones and closed.
//! What assessors tap comes from a seed; nobody ran.

use std::collections::BTreeMap;

use jiff::ToSpan;
use plimsoll_archive::{DayFacts, PaperKind, ResultFilter, TestDay, WaveId, Writer};
use plimsoll_desk::plain_day;
use plimsoll_desk::test_day::rehearsal::taps_near;
use plimsoll_desk::test_day::{Around, Expected, SignOff, deal, outcomes, write_paper};
use plimsoll_judge::{Event, Fold, Lane, Role, What};
use plimsoll_ladder::{Catalogue, Test};

use super::rehearsal::{open_first_wave, spoken, stored};
use crate::failure::Failure;

/// Most runners of the wave.
const RUNNERS: usize = 24;
/// Days after the sheet of the demo.
const LATER: i64 = 3;
/// The seed of the taps.
const SEED: u64 = 2_026;

/// Runs the wave, closes it and leaves all in the archive; returns what to say.
pub fn step(
    archive: &mut Writer,
    catalogue: &Catalogue,
    before: &TestDay,
    test: &Test,
) -> Result<Vec<String>, Failure> {
    let filter = ResultFilter {
        ladder: Some(test.id().to_owned()),
        ..ResultFilter::default()
    };
    let last: BTreeMap<String, u32> = archive
        .results(&filter)?
        .into_iter()
        .filter(|result| result.day == before.id)
        .map(|result| {
            (
                result.person.to_string(),
                result.facts.outcome.amount.to_parts().1,
            )
        })
        .collect();
    let names: BTreeMap<String, String> = archive
        .people()?
        .into_iter()
        .map(|p| (p.id.to_string(), p.facts.called_name))
        .collect();
    let runners: Vec<Expected> = last
        .iter()
        .zip(1u32..)
        .take(RUNNERS)
        .map(|((person, bouts), bib)| Expected {
            person: person.clone(),
            bib: Some(bib.to_string()),
            bouts: Some(*bouts),
        })
        .collect();
    let date = before
        .facts
        .date
        .checked_add(LATER.days())
        .map_err(Failure::new)?;
    let day = archive.add_day(&DayFacts {
        name: Some("Judged on phones".to_owned()),
        squad: before.facts.squad.clone(),
        venue: before.facts.venue.clone(),
        ..plain_day(date, test)
    })?;
    let plan = deal(test.id(), &runners, RUNNERS as u16, 3);
    archive.add_paper(day, PaperKind::Plan, None, &write_paper(&plan))?;
    let (wave, opened) = open_first_wave(archive, catalogue, test, day, &plan, &names)?;
    let (events, read_back) = run(archive, test, wave, opened, &last)?;
    let signed = SignOff {
        read_back: read_back.clone(),
        by: "the demo".to_owned(),
        course_checked: true,
    };
    let subject = wave.to_string();
    archive.add_paper(
        day,
        PaperKind::SignOff,
        Some(&subject),
        &write_paper(&signed),
    )?;
    Ok(vec![
        format!(
            "{date}: {events} events of three phones and the loudspeaker; read back: {read_back}"
        ),
        format!("any moment of it again: `plimsoll day replay {wave} --cue 300`"),
    ])
}

/// Records what the loudspeaker and the assessors say, and closes.
fn run(
    archive: &mut Writer,
    test: &Test,
    wave: WaveId,
    opened: Event,
    last: &BTreeMap<String, u32>,
) -> Result<(usize, String), Failure> {
    let fold = Fold::new(test).ok_or_else(|| Failure::new("a test without cues"))?;
    let What::Opened { plan } = opened.what.clone() else {
        return Err(Failure::new("a wave without opening"));
    };
    let expected: BTreeMap<Lane, u32> = plan
        .lanes
        .iter()
        .filter_map(|lane| Some((lane.lane, *last.get(&lane.person)?)))
        .collect();
    let lanes = plan.lanes.iter().map(|lane| lane.lane).collect();
    let zero_ms = opened.at_ms;
    let mut events = vec![
        spoken(
            "loudspeaker",
            2,
            None,
            Role::Lead,
            What::Anchored { zero_ms, pm_ms: 12 },
        ),
        spoken(
            "loudspeaker",
            3,
            Some(0),
            Role::Lead,
            What::Started { lanes },
        ),
    ];
    for tap in taps_near(&plan, fold.index(), &expected, SEED) {
        let device = format!("phone-{}", tap.assessor + 1);
        let next = events.len() as u64 + 2;
        let mut event = spoken(&device, next, Some(tap.cue_ms), Role::Assessor, tap.what);
        event.at_ms = zero_ms + tap.cue_ms;
        events.push(event);
    }
    let batch: Vec<_> = events.iter().map(|event| (wave, stored(event))).collect();
    archive.append_events(&batch)?;
    let closed = spoken(
        "server",
        events.len() as u64 + 2,
        None,
        Role::Lead,
        What::Closed {},
    );
    events.insert(0, opened);
    let state = fold.state(&events);
    archive.close_wave(
        wave,
        &[stored(&closed)],
        &outcomes(&state, &Around::default()),
    )?;
    Ok((events.len() + 1, state.read_back().in_words()))
}

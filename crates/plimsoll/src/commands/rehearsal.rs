//! The invented squad of a rehearsal: people, a test day, a plan, an open wave. Events as a phone would say them.

use std::collections::BTreeMap;

use plimsoll_archive::{DayId, Membership, NewEvent, PaperKind, PersonFacts, WaveId, Writer};
use plimsoll_desk::plain_day;
use plimsoll_desk::test_day::{Expected, Plan, deal, opening, write_paper};
use plimsoll_judge::{DeviceId, Event, Role, VERSION, What};
use plimsoll_ladder::{Catalogue, Test};
use uuid::Uuid;

use super::known_test;
use crate::failure::Failure;
use crate::world;

/// Invented names, short enough to call.
const NAMES: [&str; 24] = [
    "Aro", "Bela", "Cato", "Dira", "Enno", "Fila", "Gero", "Hane", "Ivo", "Jule", "Karo", "Lian",
    "Mero", "Nuri", "Olin", "Pari", "Quil", "Rhea", "Sano", "Tilo", "Ulla", "Vero", "Wina", "Yaro",
];

/// The test of a rehearsal.
const TEST: &str = "ir1";

/// Fills an empty archive for a rehearsal.
pub fn fill(writer: &mut Writer, catalogue: &Catalogue) -> Result<(), Failure> {
    let test = known_test(catalogue, TEST)?;
    let mut names = BTreeMap::new();
    let mut runners = Vec::new();
    for (name, bib) in NAMES.iter().zip(1u32..) {
        let facts = PersonFacts {
            called_name: (*name).to_owned(),
            ..PersonFacts::default()
        };
        let none: [Membership; 0] = [];
        let person = writer.add_person(&facts, &none)?.to_string();
        names.insert(person.clone(), (*name).to_owned());
        runners.push(Expected {
            person,
            bib: Some(bib.to_string()),
            bouts: Some(18 + (bib * 7) % 30),
        });
    }
    let day = writer.add_day(&plimsoll_archive::DayFacts {
        name: Some("Rehearsal".to_owned()),
        squad: Some("Invented".to_owned()),
        ..plain_day(world::today(), test)
    })?;
    let plan = deal(TEST, &runners, 24, 3);
    writer.add_paper(day, PaperKind::Plan, None, &write_paper(&plan))?;
    open_first_wave(writer, catalogue, test, day, &plan, &names)?;
    Ok(())
}

/// Opens the first wave of a plan; returns it with its opening.
pub fn open_first_wave(
    writer: &mut Writer,
    catalogue: &Catalogue,
    test: &Test,
    day: DayId,
    plan: &Plan,
    names: &BTreeMap<String, String>,
) -> Result<(WaveId, Event), Failure> {
    let planned = plan
        .waves
        .first()
        .ok_or_else(|| Failure::new("an empty plan"))?;
    let opening =
        opening(planned, test, catalogue, names, &BTreeMap::new()).map_err(Failure::new)?;
    let wave = writer.add_wave(day, planned.number, &planned.name)?;
    let plan = Box::new(opening);
    let event = spoken("server", 1, None, Role::Lead, What::Opened { plan });
    writer.append_events(&[(wave, stored(&event))])?;
    Ok((wave, event))
}

/// Returns an event of a device that knows the cue clock to 5 ms, or not at all.
pub fn spoken(device: &str, seq: u64, cue_ms: Option<i64>, role: Role, what: What) -> Event {
    Event {
        v: VERSION,
        id: Uuid::now_v7(),
        device: DeviceId(device.to_owned()),
        seq,
        order: seq,
        at_ms: jiff::Timestamp::now().as_millisecond(),
        cue_ms,
        cue_pm_ms: cue_ms.map(|_| 5),
        role,
        by: None,
        what,
    }
}

/// Returns an event as the archive stores it.
pub fn stored(event: &Event) -> NewEvent {
    NewEvent {
        id: event.id,
        device: event.device.0.clone(),
        seq: event.seq,
        body: event.to_line(),
    }
}

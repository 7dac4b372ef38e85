//! The invented squad of a rehearsal: people, a test day, a plan, an open wave.

use std::collections::BTreeMap;

use plimsoll_archive::{Membership, NewEvent, PaperKind, PersonFacts, Writer};
use plimsoll_desk::plain_day;
use plimsoll_desk::test_day::{Expected, deal, opening, write_paper};
use plimsoll_judge::{DeviceId, Event, Role, VERSION, What};
use plimsoll_ladder::Catalogue;
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
    let planned = plan
        .waves
        .first()
        .ok_or_else(|| Failure::new("an empty plan"))?;
    let opening =
        opening(planned, test, catalogue, &names, &BTreeMap::new()).map_err(Failure::new)?;
    let wave = writer.add_wave(day, planned.number, &planned.name)?;
    let event = Event {
        v: VERSION,
        id: Uuid::now_v7(),
        device: DeviceId("server".to_owned()),
        seq: 1,
        order: 1,
        at_ms: jiff::Timestamp::now().as_millisecond(),
        cue_ms: None,
        cue_pm_ms: None,
        role: Role::Lead,
        by: None,
        what: What::Opened {
            plan: Box::new(opening),
        },
    };
    let stored = NewEvent {
        id: event.id,
        device: event.device.0.clone(),
        seq: event.seq,
        body: event.to_line(),
    };
    writer.append_events(&[(wave, stored)])?;
    Ok(())
}

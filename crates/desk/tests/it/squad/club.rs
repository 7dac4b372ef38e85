//! A club of twelve with four days in an archive, and a wave with events on the last.

use jiff::ToSpan;
use jiff::civil::Date;
use plimsoll_archive::{
    Archive, DayId, NewEvent, PersonFacts, PersonId, ResultFacts, Sex, TestDay, World, Writer,
};
use plimsoll_desk::squad::{Answers, Ask, answers};
use plimsoll_desk::{Choices, plain_day};
use plimsoll_interpret::{Catalogue as Facts, Size};
use plimsoll_judge::{
    Amount, DeviceId, Event, LanePlan, Opening, Outcome, Role, Settings, StopReason, VERSION, What,
};
use plimsoll_ladder::{Catalogue, Test};
use uuid::Uuid;

struct Desk;

impl World for Desk {
    fn now_ms(&self) -> i64 {
        1_795_000_000_000
    }

    fn new_id(&self) -> Uuid {
        Uuid::now_v7()
    }

    fn who(&self) -> String {
        "test".to_owned()
    }
}

pub struct Club {
    _folder: tempfile::TempDir,
    pub writer: Writer,
    people: Vec<PersonId>,
    days: Vec<DayId>,
    pub catalogue: Catalogue,
}

const FIRST: Date = Date::constant(2026, 1, 10);
pub const PEOPLE: usize = 12;

impl Club {
    /// Four days of twelve people: `facts(person, day)` gives bouts and peak heart rate.
    pub fn new(facts: impl Fn(usize, usize) -> (u32, Option<u32>)) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let mut writer = Archive::create(folder.path().join("archive"), Desk).expect("made");
        let catalogue = Catalogue::built_in();
        let test = catalogue.get("ir1").expect("shipped");
        let people: Vec<PersonId> = (0..PEOPLE)
            .map(|n| {
                let facts = PersonFacts {
                    called_name: format!("Person {n:02}"),
                    sex: Some(Sex::Male),
                    birth_date: Some(Date::constant(2008, 1, 1)),
                    ..PersonFacts::default()
                };
                writer.add_person(&facts, &[]).expect("taken")
            })
            .collect();
        let mut days = Vec::new();
        for day in 0..4 {
            let date = FIRST.checked_add((28 * day as i64).days()).expect("a date");
            let id = writer.add_day(&plain_day(date, test)).expect("taken");
            for (n, person) in people.iter().enumerate() {
                let (bouts, peak) = facts(n, day);
                let outcome = Outcome {
                    ladder: "ir1".to_owned(),
                    amount: Amount::Bouts(bouts),
                    reason: StopReason::Exhaustion,
                };
                let facts = ResultFacts {
                    peak_hr_bpm: peak,
                    ..ResultFacts::of(outcome)
                };
                writer.add_result(*person, id, &facts).expect("taken");
            }
            days.push(id);
        }
        Self {
            _folder: folder,
            writer,
            people,
            days,
            catalogue,
        }
    }

    pub fn test(&self) -> &Test {
        self.catalogue.get("ir1").expect("shipped")
    }

    pub fn day(&self, n: usize) -> TestDay {
        self.writer.day(self.days[n]).expect("read").expect("there")
    }

    pub fn ask(&self, day: usize) -> Answers {
        let choices = Choices {
            error: Some(Size::Percent(5.0)),
            ..Choices::default()
        };
        let facts = Facts::built_in().expect("shipped");
        let ask = Ask::default();
        answers(
            &self.writer,
            &self.catalogue,
            &facts,
            &self.day(day),
            &choices,
            &ask,
        )
        .expect("answers")
    }

    /// Opens a wave of all on the last day and records events of devices there.
    pub fn wave(&mut self, said: &[(&str, i64, What)]) {
        let lane = |(n, person): (usize, &PersonId)| LanePlan {
            lane: n as u16 + 1,
            person: person.to_string(),
            name: format!("Person {n:02}"),
            bib: None,
            ends_at: None,
            ladder: None,
            from_bout: 1,
        };
        let plan = Box::new(Opening {
            test: "ir1".to_owned(),
            fingerprint: "none".to_owned(),
            settings: Settings::of(self.test()),
            lanes: self.people.iter().enumerate().map(lane).collect(),
            assessors: Vec::new(),
        });
        let lanes = (1..=PEOPLE as u16).collect();
        let mut all = vec![
            ("server", 0, What::Opened { plan }),
            ("server", 0, What::Started { lanes }),
        ];
        all.extend(said.iter().cloned());
        let wave = self
            .writer
            .add_wave(self.days[3], 1, "Wave 1")
            .expect("opened");
        let batch: Vec<_> = all
            .into_iter()
            .zip(1u64..)
            .map(|((device, cue_ms, what), n)| {
                let lead = device == "server";
                let event = Event {
                    v: VERSION,
                    id: Uuid::now_v7(),
                    device: DeviceId(device.to_owned()),
                    seq: n,
                    order: n,
                    at_ms: 1_795_000_000_000 + cue_ms,
                    cue_ms: Some(cue_ms),
                    cue_pm_ms: None,
                    role: if lead { Role::Lead } else { Role::Assessor },
                    by: None,
                    what,
                };
                let stored = NewEvent {
                    id: event.id,
                    device: device.to_owned(),
                    seq: n,
                    body: event.to_line(),
                };
                (wave, stored)
            })
            .collect();
        self.writer.append_events(&batch).expect("stored");
    }
}

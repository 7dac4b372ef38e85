//! A club with results, for questions about levels.

use jiff::ToSpan;
use jiff::civil::Date;
use plimsoll_archive::{
    Archive, DayFacts, DayId, PersonFacts, PersonId, ResultFacts, Sex, World, Writer,
};
use plimsoll_desk::level::{SquadLevels, members};
use plimsoll_desk::{Choices, plain_day};
use plimsoll_interpret::{Catalogue as Facts, Size};
use plimsoll_judge::{Amount, Outcome, StopReason};
use plimsoll_ladder::Catalogue;
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
    pub people: Vec<PersonId>,
    pub catalogue: Catalogue,
    pub facts: Facts,
}

/// The first day; others follow four weeks apart.
const FIRST: Date = Date::constant(2026, 1, 10);

impl Club {
    /// A club of men with results: `bouts(person, day)`, none where a person did not run.
    pub fn new(people: usize, days: usize, bouts: impl Fn(usize, usize) -> Option<u32>) -> Self {
        Self::on_days(people, days, bouts, |_, _| {})
    }

    /// The same, with days of its own.
    pub fn on_days(
        people: usize,
        days: usize,
        bouts: impl Fn(usize, usize) -> Option<u32>,
        known: impl Fn(usize, &mut DayFacts),
    ) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let mut writer = Archive::create(folder.path().join("archive"), Desk).expect("made");
        let catalogue = Catalogue::built_in();
        let test = catalogue.get("ir1").expect("shipped");
        let people: Vec<PersonId> = (0..people)
            .map(|n| {
                let facts = PersonFacts {
                    called_name: format!("Person {n}"),
                    sex: Some(Sex::Male),
                    birth_date: Some(Date::constant(2001, 1, 1)),
                    ..PersonFacts::default()
                };
                writer.add_person(&facts, &[]).expect("taken")
            })
            .collect();
        for day in 0..days {
            let date = FIRST.checked_add((28 * day as i64).days()).expect("a date");
            let mut facts = plain_day(date, test);
            known(day, &mut facts);
            let id: DayId = writer.add_day(&facts).expect("taken");
            for (n, person) in people.iter().enumerate() {
                if let Some(bouts) = bouts(n, day) {
                    let facts = ResultFacts::of(Outcome {
                        ladder: "ir1".to_owned(),
                        amount: Amount::Bouts(bouts),
                        reason: StopReason::Exhaustion,
                    });
                    writer.add_result(*person, id, &facts).expect("taken");
                }
            }
        }
        Self {
            _folder: folder,
            writer,
            people,
            catalogue,
            facts: Facts::built_in().expect("shipped"),
        }
    }

    pub fn levels(&self, error: Option<Size>) -> Result<SquadLevels, String> {
        let test = self.catalogue.get("ir1").expect("shipped");
        let choices = Choices {
            error,
            ..Choices::default()
        };
        let all = members(&self.writer, &self.facts, test, &choices, None).expect("read");
        SquadLevels::of(test, self.facts.scale("ir1"), &all).map_err(|e| e.to_string())
    }
}

pub fn day(n: usize) -> Date {
    FIRST.checked_add((28 * n as i64).days()).expect("a date")
}

/// Bouts that scatter about what a person can do, the same each time.
pub fn scattered(person: usize, day: usize) -> i64 {
    let mixed = (person as u64 * 31 + day as u64 * 17 + 5).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    (mixed >> 40) as i64 % 5 - 2
}

pub fn usual(person: usize, day: usize) -> u32 {
    (25 + 2 * person as i64 + scattered(person, day)).max(1) as u32
}

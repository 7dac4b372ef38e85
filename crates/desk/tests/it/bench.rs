//! An archive with one test day and two invented runners, and a document of what was heard.

use std::cell::Cell;

use jiff::civil::date;
use plimsoll_archive::{
    Archive, DayFacts, DayId, PersonFacts, ResultFacts, World, Writer, sha256_hex,
};
use plimsoll_desk::{Choices, day_report};
use plimsoll_judge::{Amount, Outcome, StopReason};
use plimsoll_ladder::Catalogue;
use plimsoll_listen::{Gap, GapKind, Heard, HeardCue, Kind};
use plimsoll_report::DayReport;
use uuid::Uuid;

struct Repeating(Cell<u64>);

impl World for Repeating {
    fn now_ms(&self) -> i64 {
        1_790_000_000_000
    }

    fn new_id(&self) -> Uuid {
        self.0.set(self.0.get() + 1);
        Uuid::from_u64_pair(0x0190_f5a0_0000_7000, 0x8000_0000_0000_0000 + self.0.get())
    }

    fn who(&self) -> String {
        "Test Bench".to_owned()
    }
}

pub struct Bench {
    _folder: tempfile::TempDir,
    pub writer: Writer,
    pub day: DayId,
}

impl Bench {
    pub fn new() -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let world = Repeating(Cell::new(0));
        let mut writer = Archive::create(folder.path().join("a"), world).expect("made");
        let facts = DayFacts {
            ladder_id: Some("ir1".to_owned()),
            ..DayFacts::on(date(2026, 11, 25))
        };
        let day = writer.add_day(&facts).expect("taken");
        for (name, bouts) in [("Sol Heron", 20), ("Tove Birk", 31)] {
            let person = PersonFacts {
                called_name: name.to_owned(),
                ..PersonFacts::default()
            };
            let person = writer.add_person(&person, &[]).expect("taken");
            let outcome = Outcome {
                ladder: "ir1".to_owned(),
                amount: Amount::Bouts(bouts),
                reason: StopReason::Exhaustion,
            };
            let facts = ResultFacts::of(outcome);
            writer.add_result(person, day, &facts).expect("taken");
        }
        Self {
            _folder: folder,
            writer,
            day,
        }
    }

    pub fn report(&self) -> DayReport {
        let facts = plimsoll_interpret::Catalogue::built_in().expect("the facts can be read");
        let day = self.writer.day(self.day).expect("read").expect("there");
        let choices = Choices::default();
        day_report(&self.writer, &Catalogue::built_in(), &facts, &day, &choices).expect("a report")
    }
}

/// Cues of the document, as many as the invented track has.
pub const CUES: usize = 1_112;

/// A recording of `ir1`, all cues heard, one pause.
pub fn heard() -> Heard {
    let cue = |n: usize| {
        let at = 4.0 + n as f64 * 3.3;
        let error = if n == 700 {
            -4.2
        } else {
            (n % 5) as f64 * 0.4 - 0.8
        };
        HeardCue {
            bout: n as u32 / 4 + 1,
            label: format!("{}.{}", n / 32 + 5, n / 4 % 8 + 1),
            kind: "turn".to_owned(),
            timeline_s: at - 4.0,
            expected_s: at,
            heard_s: Some(at + error / 1e3),
            error_ms: Some(error),
            level_db: Some(22.0),
            code_read: true,
            overdriven: false,
        }
    };
    Heard {
        format: 1,
        kind: Kind::Own,
        test: Some("ir1".to_owned()),
        shared: Vec::new(),
        script: None,
        duration_s: 3_700.0,
        rate: 48_000,
        codec: "aac".to_owned(),
        offset_s: Some(4.0),
        speed_error_ppm: Some(-12.0),
        speed_interval_ppm: Some((-15.0, -9.0)),
        cues_heard: CUES,
        cues_expected: CUES,
        gaps: vec![Gap {
            at_s: 725.4,
            between_s: (723.0, 727.8),
            length_s: 2.5,
            kind: GapKind::Pause,
            from_bout: 54,
            to_bout: 55,
        }],
        residual_ms: Some(0.6),
        worst_interval_ms: Some(4.2),
        worst_level_db: Some(17.3),
        speeds: Vec::new(),
        cues: (0..CUES).map(cue).collect(),
        posterior: vec![("ir1".to_owned(), 1.0)],
        overdriven: Vec::new(),
        damaged: 0,
        meaning: vec!["Every cue came when it should".to_owned()],
    }
}

pub fn digest() -> String {
    sha256_hex(b"pitch")
}

//! What a full disk does to an import: words, and nothing kept. A test only.
//! SQLite's own page limit stands in for the disk: it gives the same error at the same place.

use jiff::civil::date;
use plimsoll_judge::{Amount, Outcome, StopReason};
use uuid::Uuid;

use crate::db::{Access, Db, Lite};
use crate::model::{
    DayFacts, ImportFile, NewResult, PersonFacts, ResultFacts, ResultFilter, SourceRow, WhichDay,
};
use crate::open::{Archive, DB_FILE, Writer};
use crate::world::World;

struct Plain(std::cell::Cell<u128>);

impl World for Plain {
    fn now_ms(&self) -> i64 {
        1
    }

    fn new_id(&self) -> Uuid {
        self.0.set(self.0.get() + 1);
        Uuid::from_u128(self.0.get())
    }

    fn who(&self) -> String {
        "test".to_owned()
    }
}

#[test]
fn a_full_disk_is_named_and_nothing_of_the_import_is_kept() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut writer =
        Archive::create(folder.path(), Plain(std::cell::Cell::new(0))).expect("an archive");
    let facts = PersonFacts {
        called_name: "Ilo".to_owned(),
        ..PersonFacts::default()
    };
    let person = writer.add_person(&facts, &[]).expect("taken");
    let before = writer.journal().expect("read");
    let dir = writer.dir().to_owned();

    let lite = Lite::open(&dir.join(DB_FILE), Access::Write).expect("open");
    lite.cap_pages(lite.pages() + 20);
    let mut full = Writer::on(
        dir,
        Db::new(lite),
        Box::new(Plain(std::cell::Cell::new(1_000))),
    );
    let facts = ResultFacts::of(Outcome {
        ladder: "ir1".to_owned(),
        amount: Amount::Bouts(3),
        reason: StopReason::Misses,
    });
    let new: Vec<NewResult> = (2..2_002)
        .map(|row| NewResult {
            person,
            facts: facts.clone(),
            supersedes: None,
            source: SourceRow {
                sheet: None,
                row,
                as_written: serde_json::json!({ "Level": "1.3" }),
            },
        })
        .collect();
    let file = ImportFile {
        file_name: "results.csv".to_owned(),
        sha256: crate::sha256_hex(b"results"),
        rows_seen: 2_000,
        options: None,
        force: false,
        held: Vec::new(),
        findings: Vec::new(),
    };
    let day = WhichDay::New(Box::new(DayFacts::on(date(2026, 10, 3))));
    let error = full
        .import_results(&file, &day, &new)
        .expect_err("the disk is full");
    assert_eq!(
        error.to_string(),
        "the disk is full; nothing of this change was recorded; free some space, then try again \
         (the database says: database or disk is full)"
    );
    assert_eq!(full.journal().expect("read"), before);
    assert_eq!(full.results(&ResultFilter::default()).expect("read"), []);
    assert_eq!(full.check().expect("read"), []);
    full.import_results(&file, &day, &new[..20])
        .expect("a small one still fits");
}

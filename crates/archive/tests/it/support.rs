//! A world that repeats itself, invented people, and folders as maps.

use std::cell::Cell;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use jiff::civil::Date;
use plimsoll_archive::{
    Archive, DayFacts, ImportFile, NewPerson, NewResult, PersonFacts, PersonId, ResultFacts,
    SourceRow, WhichDay, World, Writer, sha256_hex,
};
use plimsoll_judge::{Amount, Outcome, StopReason};
use uuid::Uuid;

/// Time and ids that are the same in every run.
pub struct Repeating {
    time: Cell<i64>,
    id: Cell<u64>,
}

impl Repeating {
    /// Returns a world whose ids start after `first`; use another number for each opening.
    pub fn after(first: u64) -> Self {
        Self {
            time: Cell::new(1_790_000_000_000),
            id: Cell::new(first),
        }
    }
}

impl World for Repeating {
    fn now_ms(&self) -> i64 {
        self.time.set(self.time.get() + 1);
        self.time.get()
    }

    fn new_id(&self) -> Uuid {
        self.id.set(self.id.get() + 1);
        let mut rest = [0; 10];
        rest[2..].copy_from_slice(&self.id.get().to_be_bytes());
        uuid::Builder::from_unix_timestamp_millis(1_790_000_000_000, &rest).into_uuid()
    }

    fn who(&self) -> String {
        "Test Bench".to_owned()
    }
}

/// An archive in a folder that goes away with it.
pub struct Bench {
    pub folder: tempfile::TempDir,
    pub writer: Writer,
}

impl Bench {
    pub fn new() -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let writer = Archive::create(folder.path().join("archive"), Repeating::after(0))
            .expect("an archive is made");
        Self { folder, writer }
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }
}

/// Returns every file below a folder with its content.
pub fn files(dir: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    for entry in fs::read_dir(dir).expect("the folder is there") {
        let path = entry.expect("an entry").path();
        let name = path
            .file_name()
            .expect("a name")
            .to_string_lossy()
            .into_owned();
        if path.is_dir() {
            for (below, bytes) in files(&path) {
                found.insert(format!("{name}/{below}"), bytes);
            }
        } else {
            found.insert(name, fs::read(&path).expect("the file can be read"));
        }
    }
    found
}

/// Returns the archive's export, file by file.
pub fn exported(archive: &Archive) -> BTreeMap<String, Vec<u8>> {
    let folder = tempfile::tempdir().expect("a folder");
    let to = folder.path().join("export");
    archive.export(&to).expect("the export is written");
    files(&to)
}

/// Returns the export without the journal and the digests, which remember what was undone.
pub fn content(archive: &Archive) -> BTreeMap<String, Vec<u8>> {
    let mut files = exported(archive);
    files.remove("change.csv").expect("the journal is exported");
    files
        .remove("archive.json")
        .expect("the manifest is exported");
    files
}

/// Asserts that the check finds nothing.
#[track_caller]
pub fn assert_sound(archive: &Archive) {
    let findings = archive.check().expect("the check runs");
    let findings: Vec<String> = findings.iter().map(ToString::to_string).collect();
    assert_eq!(findings, Vec::<String>::new());
}

pub fn called(name: &str) -> PersonFacts {
    PersonFacts {
        called_name: name.to_owned(),
        ..PersonFacts::default()
    }
}

pub fn date(text: &str) -> Date {
    text.parse().expect("a date")
}

pub fn row(number: u32) -> SourceRow {
    SourceRow {
        sheet: Some("U16".to_owned()),
        row: number,
        as_written: serde_json::json!({ "Name": format!("row {number}"), "Level": "14.3" }),
    }
}

/// Returns a file with this content and room for `rows` rows.
pub fn sheet(name: &str, rows: usize) -> ImportFile {
    ImportFile {
        file_name: name.to_owned(),
        sha256: sha256_hex(name.as_bytes()),
        rows_seen: u32::try_from(rows).expect("few rows"),
        options: Some(serde_json::json!({ "decimal": "," })),
        force: false,
        held: Vec::new(),
        findings: Vec::new(),
    }
}

pub fn new_person(name: &str, number: u32) -> NewPerson {
    NewPerson {
        existing: None,
        facts: called(name),
        aliases: Vec::new(),
        memberships: Vec::new(),
        source: row(number),
    }
}

pub fn bouts(number: u32) -> ResultFacts {
    ResultFacts::of(Outcome {
        ladder: "ir1".to_owned(),
        amount: Amount::Bouts(number),
        reason: StopReason::Exhaustion,
    })
}

pub fn new_result(person: PersonId, number: u32) -> NewResult {
    NewResult {
        person,
        facts: bouts(number),
        supersedes: None,
        source: row(number),
    }
}

pub fn on(text: &str) -> WhichDay {
    WhichDay::New(Box::new(day(text)))
}

pub fn day(text: &str) -> DayFacts {
    DayFacts {
        ladder_id: Some("ir1".to_owned()),
        ..DayFacts::on(date(text))
    }
}

/// Records people by these names; returns their ids.
pub fn squad(writer: &mut Writer, file: &str, names: &[&str]) -> Vec<PersonId> {
    let people: Vec<NewPerson> = names
        .iter()
        .zip(2..)
        .map(|(n, row)| new_person(n, row))
        .collect();
    let report = writer.import_people(&sheet(file, people.len()), &people);
    report.expect("the people are taken").people
}

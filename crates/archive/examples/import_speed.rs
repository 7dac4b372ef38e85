//! Prints how long an import, a read, a check, an export and a restore of many results take.
//! Run with `--release -- ROWS`; the numbers say something about this machine only.

use std::cell::Cell;
use std::io::Write as _;
use std::time::Instant;

use plimsoll_archive::{
    Archive, DayFacts, ImportFile, NewPerson, NewResult, PersonFacts, ResultFacts, ResultFilter,
    SourceRow, WhichDay, World, sha256_hex,
};
use plimsoll_judge::{Amount, Outcome, StopReason};
use uuid::Uuid;

struct Counting(Cell<u128>);

impl World for Counting {
    fn now_ms(&self) -> i64 {
        0
    }

    fn new_id(&self) -> Uuid {
        self.0.set(self.0.get() + 1);
        Uuid::from_u128(self.0.get())
    }

    fn who(&self) -> String {
        "speed example".to_owned()
    }
}

fn file(name: &str, rows: u32) -> ImportFile {
    ImportFile {
        file_name: name.to_owned(),
        sha256: sha256_hex(name.as_bytes()),
        rows_seen: rows,
        options: None,
        force: false,
        held: Vec::new(),
        findings: Vec::new(),
    }
}

fn source(row: u32) -> SourceRow {
    SourceRow {
        sheet: None,
        row,
        as_written: serde_json::json!({ "Name": format!("person {row}"), "Level": "14.3" }),
    }
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let rows: u32 = std::env::args()
        .nth(1)
        .map_or(Ok(200_000), |text| text.parse())?;
    let folder = tempfile::tempdir()?;
    let mut out = std::io::stdout();
    let mut step = Instant::now();
    let mut told = |what: &str| {
        let line = writeln!(out, "{what}: {:.2} s", step.elapsed().as_secs_f64());
        step = Instant::now();
        line
    };
    let dir = folder.path().join("archive");
    let mut writer = Archive::create(&dir, Counting(Cell::new(0)))?;
    let people: Vec<NewPerson> = (2..2 + rows.div_ceil(10))
        .map(|row| NewPerson {
            existing: None,
            facts: PersonFacts {
                called_name: format!("person {row}"),
                ..PersonFacts::default()
            },
            aliases: Vec::new(),
            memberships: Vec::new(),
            source: source(row),
        })
        .collect();
    let count = u32::try_from(people.len())?;
    let ids = writer
        .import_people(&file("people.csv", count), &people)?
        .people;
    told(&format!("import of {count} people"))?;
    let new: Vec<NewResult> = ids
        .iter()
        .cycle()
        .zip(2..2 + rows)
        .map(|(person, row)| NewResult {
            person: *person,
            facts: ResultFacts::of(Outcome {
                ladder: "ir1".to_owned(),
                amount: Amount::Bouts(row % 90),
                reason: StopReason::Exhaustion,
            }),
            supersedes: None,
            source: source(row),
        })
        .collect();
    told("making the results")?;
    let day = WhichDay::New(Box::new(DayFacts::on(jiff::civil::date(2026, 10, 3))));
    writer.import_results(&file("results.csv", rows), &day, &new)?;
    told(&format!("import of {rows} results"))?;
    let found = writer.results(&ResultFilter::default())?.len();
    told(&format!("reading {found} results"))?;
    let found = writer.people()?.len();
    told(&format!("reading {found} people"))?;
    let found = writer.history(ids[0])?.len();
    told(&format!("reading one history of {found} results"))?;
    let found = writer.check()?.len();
    told(&format!("check, {found} findings"))?;
    let export = folder.path().join("export");
    writer.export(&export)?;
    told("export")?;
    Archive::restore(&export, &folder.path().join("restored"))?;
    told("restore")?;
    writer.backup(&folder.path().join("backup"))?;
    told("backup")?;
    writer.undo_change(2)?;
    told("undo")?;
    Ok(())
}

//! Export, restore and backup: identical on the way back, and never half.

use std::fs;
use std::path::Path;

use plimsoll_archive::{Archive, PersonFacts};
use rusqlite::Connection;

use crate::support::{
    Bench, assert_sound, bouts, called, date, exported, files, new_result, on, sheet, squad,
};

fn filled() -> Bench {
    let mut bench = Bench::new();
    let people = squad(
        &mut bench.writer,
        "list.csv",
        &["Ilo", "Zoë; \"Zo\"\r\nOrlane", "-", "Bram"],
    );
    let new: Vec<_> = people
        .iter()
        .zip(2..)
        .map(|(id, row)| new_result(*id, row))
        .collect();
    let results = bench
        .writer
        .import_results(&sheet("results.csv", 4), &on("2026-10-03"), &new)
        .expect("taken");
    let mut facts = bouts(12);
    facts.covariates.sleep_h = Some(0.1 + 0.2);
    facts.mass_kg = Some(61.0);
    facts.covariates.hours_since_meal = Some(-0.0);
    bench
        .writer
        .correct_result(results.results[1], &facts, "misread")
        .expect("corrected");
    bench
        .writer
        .merge_people(people[0], people[3])
        .expect("merged");
    bench.writer.undo_change(4).expect("undone");
    let born = PersonFacts {
        birth_date: Some(date("2010-02-28")),
        ..called(" spaces kept ")
    };
    bench.writer.add_person(&born, &[]).expect("taken");
    let own = bench.writer.definitions_dir().join("own");
    fs::create_dir(&own).expect("a folder");
    fs::write(own.join("test.toml"), "id = \"own\"\n").expect("written");
    fs::write(
        bench.writer.references_dir().join("club.csv"),
        "age,l,m,s\n",
    )
    .expect("written");
    bench
}

/// Returns every table of a database, row by row, read without the archive.
fn tables(dir: &Path) -> Vec<(String, Vec<String>)> {
    let db = Connection::open(dir.join("plimsoll.db")).expect("the database opens");
    let names: Vec<String> = db
        .prepare("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name")
        .expect("a query")
        .query_map([], |row| row.get(0))
        .expect("rows")
        .collect::<Result<_, _>>()
        .expect("names");
    let table = |name: String| {
        let mut query = db
            .prepare(&format!("SELECT * FROM {name} ORDER BY 1"))
            .expect("a query");
        let width = query.column_count();
        let rows = query
            .query_map([], |row| {
                let cells: Result<Vec<_>, _> = (0..width)
                    .map(|at| row.get::<_, rusqlite::types::Value>(at))
                    .collect();
                Ok(format!("{:?}", cells?))
            })
            .expect("rows")
            .collect::<Result<_, _>>()
            .expect("cells");
        (name, rows)
    };
    names.into_iter().map(table).collect()
}

#[test]
fn a_restored_export_is_the_same_archive() {
    let bench = filled();
    let (to, back) = (bench.path("out/export"), bench.path("back"));
    bench.writer.export(&to).expect("exported");
    Archive::restore(&to, &back).expect("restored");
    let restored = Archive::open_reader(&back).expect("an archive");
    assert_sound(&restored);
    assert_eq!(tables(&back), tables(bench.writer.dir()));
    assert_eq!(
        exported(&restored),
        files(&to),
        "exporting again gives the same bytes"
    );
    assert_eq!(
        restored.people().expect("read"),
        bench.writer.people().expect("read")
    );
    let own = fs::read_to_string(restored.definitions_dir().join("own/test.toml"));
    assert_eq!(own.expect("restored too"), "id = \"own\"\n");
    assert!(!bench.path("back.partial").exists() && !bench.path("out/export.partial").exists());
}

#[test]
fn a_data_dictionary_explains_every_column_of_every_table() {
    let bench = filled();
    let files = exported(&bench.writer);
    let mut reader = csv::Reader::from_reader(files["data-dictionary.csv"].as_slice());
    let told: Vec<(String, String)> = reader
        .records()
        .map(|record| {
            let record = record.expect("a line");
            assert!(!record[2].is_empty() && !record[5].is_empty() && !record[6].is_empty());
            (record[0].to_owned(), record[1].to_owned())
        })
        .collect();
    let mut wanted = Vec::new();
    for table in plimsoll_archive::schema::TABLES {
        let file = &files[&format!("{}.csv", table.name)];
        let mut reader = csv::Reader::from_reader(file.as_slice());
        let headings = reader.headers().expect("headings").clone();
        wanted.extend(
            headings
                .iter()
                .map(|name| (table.name.to_owned(), name.to_owned())),
        );
    }
    assert_eq!(told, wanted);
}

/// Alters one file of an export and returns what the restore says.
fn refusal(alter: impl FnOnce(&Path)) -> String {
    let bench = filled();
    let (to, back) = (bench.path("export"), bench.path("back"));
    bench.writer.export(&to).expect("exported");
    alter(&to);
    let error = Archive::restore(&to, &back)
        .expect_err("refused")
        .to_string();
    assert!(
        !back.exists() && !bench.path("back.partial").exists(),
        "something was left"
    );
    error
}

fn replace(path: &Path, from: &str, to: &str) {
    let text = fs::read_to_string(path).expect("the file can be read");
    assert!(text.contains(from), "{path:?} has no {from}");
    fs::write(path, text.replacen(from, to, 1)).expect("the file can be written");
}

const HINT: &str = "export the archive anew, or take an unaltered copy of the export; nothing was \
                    restored";

#[test]
fn a_cell_that_does_not_fit_is_named_by_file_row_and_column() {
    let error = refusal(|dir| replace(&dir.join("result.csv"), "exhaustion", "tired"));
    assert_eq!(
        error,
        format!(
            "`result.csv`, row 2, column `reason`: found `tired`, allowed is exhaustion, misses, \
             end_of_ladder, injury, medical, technical, discipline, withdrew, not_recorded; {HINT}"
        )
    );
    let error = refusal(|dir| replace(&dir.join("person_version.csv"), "2010-02-28", "28.2.2010"));
    assert!(
        error.starts_with(
            "`person_version.csv`, row 6, column `birth_date`: found `28.2.2010`, allowed is a \
             date as YYYY-MM-DD, or nothing;"
        ),
        "{error}"
    );
    let error = refusal(|dir| replace(&dir.join("result.csv"), ",bouts,2,", ",bouts,2.0,"));
    assert!(
        error.contains("column `amount`: found `2.0`, allowed is a whole number"),
        "{error}"
    );
    let error = refusal(|dir| replace(&dir.join("alias.csv"), "person_id", "person"));
    assert!(
        error.starts_with(
            "`alias.csv`, row 1, column `person_id`: found the heading `person`, allowed is \
             `person_id`;"
        ),
        "{error}"
    );
}

#[test]
fn a_reference_to_nothing_is_named() {
    let error = refusal(|dir| {
        let path = dir.join("result.csv");
        let text = fs::read_to_string(&path).expect("the file can be read");
        let superseded = text
            .lines()
            .find(|line| line.contains(",3,exhaustion"))
            .expect("there");
        let id = superseded.split(',').next().expect("an id").to_owned();
        replace(&path, &id, "01a0c450-6c00-7000-8000-0000000000aa");
    });
    assert!(
        error.contains("column `supersedes`: found `01a0c450"),
        "{error}"
    );
    assert!(
        error.contains("allowed is the key of a row in `result.csv`"),
        "{error}"
    );
    let error = refusal(|dir| {
        let path = dir.join("person.csv");
        let text = fs::read_to_string(&path).expect("the file can be read");
        let kept: Vec<&str> = text.lines().take(2).collect();
        fs::write(&path, kept.join("\n")).expect("written");
    });
    assert!(
        error.starts_with("`person.csv`, row 2: found 1 rows, allowed is the 5 rows"),
        "{error}"
    );
}

#[test]
fn an_altered_file_is_named_by_its_digest() {
    let error = refusal(|dir| replace(&dir.join("result.csv"), ",bouts,3,", ",bouts,33,"));
    assert!(
        error.starts_with("`result.csv`: found content with SHA-256 "),
        "{error}"
    );
    assert!(error.ends_with(HINT), "{error}");
    let error =
        refusal(|dir| fs::write(dir.join("definitions/own/test.toml"), "x").expect("written"));
    assert!(
        error.starts_with("`definitions/own/test.toml`: found content"),
        "{error}"
    );
    let error = refusal(|dir| fs::remove_file(dir.join("merge.csv")).expect("removed"));
    assert!(
        error.starts_with("could not read `") && error.contains("merge.csv"),
        "{error}"
    );
}

#[test]
fn a_row_without_end_is_not_read_into_memory() {
    let error = refusal(|dir| {
        let path = dir.join("about.csv");
        let mut text = fs::read_to_string(&path).expect("the file can be read");
        text.push('"');
        text.push_str(&"x".repeat(17 * 1024 * 1024));
        fs::write(&path, text).expect("written");
    });
    assert!(
        error.contains("about.csv`: a row is longer than is read;"),
        "{error}"
    );
}

#[test]
fn a_manifest_that_is_not_understood_is_refused() {
    let manifest = |from: &'static str, to: &'static str| {
        refusal(move |dir| replace(&dir.join("archive.json"), from, to))
    };
    let error = manifest("\"format_version\": 1", "\"format_version\": 2");
    assert_eq!(
        error,
        "`archive.json`: found format `plimsoll-export` version 2, allowed is `plimsoll-export` \
         version 1; use the build that made the export; nothing was restored"
    );
    let error = manifest("\"schema_version\": 6", "\"schema_version\": 7");
    assert!(
        error.starts_with("`archive.json`: found schema 7, allowed is schema 6 of this build;"),
        "{error}"
    );
    let error = manifest("definitions/own/test.toml", "definitions/../plimsoll.db");
    assert!(
        error.contains("found the file `definitions/../plimsoll.db`"),
        "{error}"
    );
    let error = manifest("\"table\": \"alias\"", "\"table\": \"alien\"");
    assert!(error.contains("found another list of tables"), "{error}");
    let error = manifest("{", "[");
    assert!(error.starts_with("`archive.json`: found `"), "{error}");
}

#[test]
fn an_altered_export_whose_digests_fit_is_still_checked() {
    let error = refusal(|dir| {
        let path = dir.join("import.csv");
        let before = plimsoll_archive::sha256_hex(&fs::read(&path).expect("read"));
        replace(&path, ",4,4,0,", ",5,3,0,");
        let after = plimsoll_archive::sha256_hex(&fs::read(&path).expect("read"));
        replace(&dir.join("archive.json"), &before, &after);
    });
    assert!(
        error.contains("was not kept, because the check found: import, row"),
        "{error}"
    );
    assert!(
        error.contains("`rows_accepted` says 3, but `source_row` has 4 of it"),
        "{error}"
    );
}

#[test]
fn nothing_that_exists_is_overwritten() {
    let bench = filled();
    let taken = bench.path("taken");
    fs::write(&taken, "mine").expect("written");
    let wanted = format!(
        "`{}` already exists and is not overwritten; name a folder that does not exist yet",
        taken.display()
    );
    bench
        .writer
        .export(&bench.path("export"))
        .expect("exported");
    for error in [
        bench.writer.export(&taken).expect_err("taken"),
        bench.writer.backup(&taken).expect_err("taken"),
        Archive::restore(&bench.path("export"), &taken).expect_err("taken"),
    ] {
        assert_eq!(error.to_string(), wanted);
    }
    assert_eq!(fs::read(&taken).expect("kept"), b"mine");
}

#[test]
fn a_backup_is_the_same_archive() {
    let bench = filled();
    let copy = bench.path("backup");
    bench.writer.backup(&copy).expect("backed up");
    let backup = Archive::open_reader(&copy).expect("an archive");
    assert_sound(&backup);
    assert_eq!(tables(&copy), tables(bench.writer.dir()));
    assert_eq!(exported(&backup), exported(&bench.writer));
    drop(backup);
    let mut writer = Archive::open_writer(&copy, crate::support::Repeating::after(9_000))
        .expect("an archive to go on with");
    writer.add_person(&called("New"), &[]).expect("taken");
}

#[test]
fn a_damaged_archive_makes_no_backup() {
    let bench = filled();
    let behind = Connection::open(bench.writer.dir().join("plimsoll.db")).expect("opens");
    behind
        .execute_batch("UPDATE result SET motivation = 99")
        .expect("altered");
    let copy = bench.path("backup");
    let error = bench
        .writer
        .backup(&copy)
        .expect_err("not sound")
        .to_string();
    assert!(error.contains("column `motivation` holds `99`"), "{error}");
    assert!(!copy.exists() && !bench.path("backup.partial").exists());
}

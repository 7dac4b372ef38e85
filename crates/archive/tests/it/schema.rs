//! The schema: migrations, description and page say the same; newer archives are only read.

use std::collections::BTreeSet;
use std::path::Path;

use plimsoll_archive::schema::{Column, Kind, TABLES, schema_page};
use plimsoll_archive::{Archive, ArchiveError};
use rusqlite::Connection;

use crate::support::{Bench, Repeating, assert_sound, squad};

/// Where the generated part of the page begins.
const MARK: &str = "<!-- tables: written by the test `the_schema_page_shows_the_schema` -->\n";

fn open(path: &Path) -> Connection {
    Connection::open(path.join("plimsoll.db")).expect("the database opens")
}

fn sqlite_type(column: &Column) -> &'static str {
    match column.kind {
        Kind::Seq | Kind::SeqRef | Kind::Int(..) | Kind::Flag | Kind::Instant => "INTEGER",
        Kind::Real(..) => "REAL",
        _ => "TEXT",
    }
}

#[test]
fn the_live_schema_is_the_described_one() {
    let bench = Bench::new();
    let live = open(bench.writer.dir());
    let names: BTreeSet<String> = live
        .prepare("SELECT name FROM sqlite_schema WHERE type = 'table'")
        .expect("a query")
        .query_map([], |row| row.get(0))
        .expect("rows")
        .collect::<Result<_, _>>()
        .expect("names");
    let mut described: BTreeSet<String> = TABLES.iter().map(|t| t.name.to_owned()).collect();
    described.insert("schema_step".to_owned());
    assert_eq!(names, described);
    for table in TABLES {
        let columns: Vec<(String, String, bool, bool)> = live
            .prepare("SELECT name, type, \"notnull\", pk FROM pragma_table_info(?1)")
            .expect("a query")
            .query_map([table.name], |row| {
                Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?))
            })
            .expect("rows")
            .collect::<Result<_, _>>()
            .expect("columns");
        let described: Vec<(String, String, bool, bool)> = (table.columns.iter().enumerate())
            .map(|(at, column)| {
                let kind = sqlite_type(column).to_owned();
                (column.name.to_owned(), kind, !column.optional, at == 0)
            })
            .collect();
        assert_eq!(columns, described, "table {}", table.name);
        let references: BTreeSet<(String, String)> = live
            .prepare("SELECT \"from\", \"table\" FROM pragma_foreign_key_list(?1)")
            .expect("a query")
            .query_map([table.name], |row| Ok((row.get(0)?, row.get(1)?)))
            .expect("rows")
            .collect::<Result<_, _>>()
            .expect("references");
        let described: BTreeSet<(String, String)> = (table.columns.iter())
            .filter_map(|column| match column.kind {
                Kind::Ref(target) => Some((column.name.to_owned(), target.to_owned())),
                Kind::SeqRef => Some((column.name.to_owned(), "change".to_owned())),
                _ => None,
            })
            .collect();
        assert_eq!(references, described, "table {}", table.name);
    }
}

#[test]
fn every_table_refers_only_to_itself_and_to_earlier_ones() {
    let mut seen = BTreeSet::new();
    for table in TABLES {
        seen.insert(table.name);
        for column in table.columns {
            let target = match column.kind {
                Kind::Ref(target) => target,
                Kind::SeqRef => "change",
                _ => continue,
            };
            assert!(
                seen.contains(target),
                "{}.{} to {target}",
                table.name,
                column.name
            );
        }
    }
}

/// With `PLIMSOLL_REWRITE_DOCS` set, writes the generated part of the page first.
#[test]
fn the_schema_page_shows_the_schema() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/formats/archive-schema.md");
    let mut page = std::fs::read_to_string(&path).expect("the page is there");
    let start = page.find(MARK).expect("the mark is there") + MARK.len();
    if std::env::var_os("PLIMSOLL_REWRITE_DOCS").is_some() {
        page.truncate(start);
        page.push_str(&schema_page());
        std::fs::write(&path, &page).expect("the page is written");
    }
    assert_eq!(
        &page[start..],
        schema_page(),
        "docs/formats/archive-schema.md is stale; run this test with PLIMSOLL_REWRITE_DOCS=1"
    );
}

#[test]
fn an_archive_of_a_newer_build_is_read_and_not_written() {
    let mut bench = Bench::new();
    squad(&mut bench.writer, "list.csv", &["Ilo"]);
    let dir = bench.writer.dir().to_owned();
    drop(bench.writer);
    let newer = open(&dir);
    newer
        .execute_batch(
            "ALTER TABLE person_version ADD COLUMN shoe_size INTEGER; \
             INSERT INTO schema_step VALUES (7, 'shoes', 'not known here', 1)",
        )
        .expect("a newer build");
    drop(newer);
    let reader = Archive::open_reader(&dir).expect("read");
    assert_eq!(reader.people().expect("read")[0].facts.called_name, "Ilo");
    assert_sound(&reader);
    let error = Archive::open_writer(&dir, Repeating::after(1_000))
        .err()
        .expect("not written");
    assert_eq!(
        error.to_string(),
        "the archive is of schema 7 and this build knows schema 6: it was not opened for writing; \
         open it for reading, or use the newer build"
    );
    open(&dir)
        .execute_batch("ALTER TABLE alias DROP COLUMN name")
        .expect("a newer build");
    let error = Archive::open_reader(&dir).err().expect("not readable");
    assert_eq!(
        error.to_string(),
        "the archive is of schema 7 and has no column `name` in `alias`, which this build reads; \
         use the newer build"
    );
}

#[test]
fn an_older_archive_is_brought_up_to_date_by_a_writer_only() {
    let bench = Bench::new();
    let dir = bench.writer.dir().to_owned();
    drop(bench.writer);
    open(&dir)
        .execute_batch(
            "PRAGMA foreign_keys=OFF; DROP TABLE wave_event; DROP TABLE wave_result; DROP TABLE wave; \
             DROP TABLE day_paper; DROP TABLE health_note; DROP TABLE sound_check; DROP TABLE result; DROP TABLE test_day_version; \
             DROP TABLE test_day; DELETE FROM schema_step WHERE number >= 4",
        )
        .expect("an older build");
    let error = Archive::open_reader(&dir).err().expect("too old");
    assert_eq!(
        error.to_string(),
        "the archive is of schema 3 and this build reads schema 6; open it once for writing, which \
         brings it up to date (make a backup first)"
    );
    let writer = Archive::open_writer(&dir, Repeating::after(1_000)).expect("brought up to date");
    assert_sound(&writer);
}

#[test]
fn folders_that_hold_no_archive_are_named() {
    let bench = Bench::new();
    let dir = bench.writer.dir().to_owned();
    let error = Archive::create(&dir, Repeating::after(0))
        .err()
        .expect("in use");
    assert!(matches!(error, ArchiveError::WriterBusy { .. }), "{error}");
    drop(bench.writer);
    let error = Archive::create(&dir, Repeating::after(0))
        .err()
        .expect("there already");
    assert_eq!(
        error.to_string(),
        format!(
            "`{}` already holds an archive; open that one, or name another folder",
            dir.display()
        )
    );
    let empty = bench.folder.path().join("empty");
    std::fs::create_dir(&empty).expect("a folder");
    for error in [
        Archive::open_reader(&empty).err().expect("nothing there"),
        Archive::open_writer(&empty, Repeating::after(0))
            .err()
            .expect("nothing there"),
    ] {
        assert_eq!(
            error.to_string(),
            format!(
                "`{}` holds no archive (there is no plimsoll.db in it); name the folder of an \
                 archive, or create one there first",
                empty.display()
            )
        );
    }
    std::fs::write(
        empty.join("plimsoll.db"),
        "not a database, but long enough to be read as one",
    )
    .expect("written");
    for error in [
        Archive::open_reader(&empty).err().expect("no database"),
        Archive::open_writer(&empty, Repeating::after(0))
            .err()
            .expect("no database"),
    ] {
        let text = error.to_string();
        assert!(
            text.starts_with("the file is not an archive database"),
            "{text}"
        );
    }
}

#[test]
fn an_archive_is_made_beside_other_files() {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::write(folder.path().join("report.pdf"), "kept").expect("written");
    let writer = Archive::create(folder.path(), Repeating::after(0)).expect("made");
    assert!(writer.definitions_dir().is_dir() && writer.references_dir().is_dir());
    assert_eq!(
        std::fs::read(folder.path().join("report.pdf")).expect("kept"),
        b"kept"
    );
}

//! The archive check finds what was altered behind the archive's back.

use plimsoll_archive::{Archive, Finding};
use rusqlite::Connection;

use crate::support::{Bench, assert_sound, bouts, called, new_person, new_result, on, row, sheet};

/// Returns an archive with one of everything, undone things too, closed.
fn full() -> (Bench, std::path::PathBuf) {
    let mut bench = Bench::new();
    let mut file = sheet("list.csv", 3);
    file.held.push(row(9));
    file.findings.push(Finding {
        sheet: None,
        row: 9,
        column: None,
        code: "blank-name".to_owned(),
        found: None,
        allowed: None,
        suggestion: None,
    });
    let new = [new_person("Ilo", 2), new_person("Bram", 3)];
    let people = bench
        .writer
        .import_people(&file, &new)
        .expect("taken")
        .people;
    let new = [new_result(people[0], 2), new_result(people[1], 3)];
    let results = bench
        .writer
        .import_results(&sheet("results.csv", 2), &on("2026-10-03"), &new)
        .expect("taken");
    bench
        .writer
        .correct_result(results.results[0], &bouts(9), "misread")
        .expect("corrected");
    bench
        .writer
        .add_person(&called("Undone"), &[])
        .expect("taken");
    bench.writer.undo_change(4).expect("undone");
    bench
        .writer
        .rename_person(people[0], "Ilo Vant")
        .expect("renamed");
    bench
        .writer
        .merge_people(people[0], people[1])
        .expect("merged");
    assert_sound(&bench.writer);
    let dir = bench.writer.dir().to_owned();
    (bench, dir)
}

/// Returns the findings, without ids, after an alteration behind the archive's back.
fn findings_after(sql: &str) -> Vec<String> {
    let (bench, dir) = full();
    drop(bench.writer);
    let behind = Connection::open(dir.join("plimsoll.db")).expect("the database opens");
    behind
        .execute_batch(&format!(
            "PRAGMA foreign_keys=OFF; PRAGMA ignore_check_constraints=ON; {sql}"
        ))
        .expect(sql);
    assert_ne!(behind.total_changes(), 0, "nothing was altered by {sql}");
    drop(behind);
    let reader = Archive::open_reader(&dir).expect("still an archive");
    let findings = reader.check().expect("the check runs");
    findings
        .iter()
        .map(|finding| format!("{}: {}", finding.table, finding.text))
        .collect()
}

#[track_caller]
fn assert_found(sql: &str, wanted: &str) {
    let found = findings_after(sql);
    assert!(
        found.iter().any(|line| line.contains(wanted)),
        "{sql}: {found:#?}"
    );
}

#[test]
fn altered_values_and_digests_are_found() {
    assert_found(
        "UPDATE result SET motivation = 11",
        "result: column `motivation` holds `11`, allowed is a whole number from 1 to 10, or nothing",
    );
    assert_found(
        "UPDATE result SET reason = 'injury'",
        "result: `censoring` is `score`, but its reason makes it `lower_bound`",
    );
    assert_found(
        "UPDATE source_row SET as_written = '{\"Level\":\"15.1\"}' WHERE row_number = 2",
        "source_row: `row_sha256` is not the digest of `as_written`: one of them was altered",
    );
    assert_found(
        "UPDATE held_row SET row_sha256 = '0000000000000000000000000000000000000000000000000000000000000000'",
        "held_row: `row_sha256` is not the digest of `as_written`",
    );
    assert_found(
        "UPDATE person_version SET birth_date = '2010-02-30'",
        "person_version: column `birth_date` holds `2010-02-30`, allowed is a date as YYYY-MM-DD",
    );
}

#[test]
fn missing_rows_are_found() {
    assert_found(
        "DELETE FROM person WHERE id IN (SELECT kept_id FROM merge)",
        "refers to a row of `person`",
    );
    assert_found(
        "DELETE FROM person_version WHERE supersedes IS NOT NULL",
        "change: it recorded 2 rows, but 1 are there",
    );
    assert_found(
        "DELETE FROM finding",
        "change: it recorded 9 rows, but 8 are there",
    );
    assert_found(
        "DELETE FROM alias",
        "change: it recorded 2 rows, but 1 are there",
    );
}

#[test]
fn a_journal_that_does_not_fit_is_found() {
    assert_found(
        "UPDATE change SET undone = 0 WHERE seq = 4",
        "change: it counts as in force, but the journal says that it was undone",
    );
    assert_found(
        "UPDATE change SET undone = 1 WHERE seq = 3",
        "change: it counts as undone, but the journal does not say so",
    );
    assert_found(
        "UPDATE change SET seq = 70 WHERE seq = 7; UPDATE merge SET change_seq = 70",
        "change: change 7 is missing before it",
    );
    assert_found(
        "UPDATE change SET target_seq = 6 WHERE seq = 5",
        "change: it is about a change that came later",
    );
    assert_found(
        "DELETE FROM about WHERE key = 'archive_id'",
        "about: the row `archive_id` is missing",
    );
}

#[test]
fn imports_whose_counts_do_not_fit_are_found() {
    assert_found(
        "UPDATE import SET rows_accepted = 1 WHERE kind = 'results'",
        "import: `rows_accepted` says 1, but `source_row` has 2 of it",
    );
    assert_found(
        "DELETE FROM held_row",
        "import: `rows_held` says 1, but `held_row` has 0 of it",
    );
    assert_found(
        "DELETE FROM result WHERE amount = 3",
        "source_row: the row was taken, but nothing was recorded from it",
    );
    assert_found(
        "UPDATE result SET change_seq = 3 WHERE amount = 3",
        "result: its change is not that of the import its source row belongs to",
    );
    assert_found(
        "UPDATE import SET rows_seen = 1",
        "import: more rows accepted and held than seen",
    );
}

#[test]
fn versions_and_merges_that_do_not_fit_are_found() {
    assert_found(
        "UPDATE result SET supersedes = (SELECT id FROM result WHERE amount = 9) WHERE amount = 2",
        "result: it supersedes itself by way of others",
    );
    assert_found(
        "UPDATE result SET supersedes = (SELECT id FROM result WHERE amount = 2) WHERE amount = 3",
        "supersede the same version, both in force",
    );
    assert_found(
        "UPDATE person_version SET person_id = (SELECT duplicate_id FROM merge) WHERE supersedes IS NOT NULL",
        "person_version: it supersedes a version that belongs to something else",
    );
    assert_found(
        "UPDATE person_version SET supersedes = NULL",
        "person: 2 rows of `person_version` are in force for it, not 1",
    );
    assert_found(
        "UPDATE merge SET duplicate_id = kept_id",
        "merge: it joins a person to themselves",
    );
    assert_found(
        "UPDATE merge SET duplicate_id = (SELECT person_id FROM person_version WHERE called_name = 'Undone')",
        "merge: it builds on",
    );
    assert_found(
        "INSERT INTO merge SELECT '01a0c450-6c00-7000-8000-00000000ffff', duplicate_id, kept_id, change_seq FROM merge",
        "merge: it is part of a ring of merges",
    );
}

#[test]
fn a_damaged_file_is_found() {
    let (bench, dir) = full();
    drop(bench.writer);
    let path = dir.join("plimsoll.db");
    let mut bytes = std::fs::read(&path).expect("the file can be read");
    let half = bytes.len() / 2;
    for byte in &mut bytes[half..half + 4096] {
        *byte ^= 0x5a;
    }
    std::fs::write(&path, bytes).expect("the file can be written");
    let reader = Archive::open_reader(&dir).expect("its first pages are whole");
    let findings = reader.check().expect("the check runs");
    assert!(
        findings.iter().any(|finding| finding.table == "database"),
        "{findings:?}"
    );
}

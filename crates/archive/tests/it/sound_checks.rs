//! Sound checks: kept beside a day, hidden and shown by undo and redo, exported and restored.

use std::fs;

use plimsoll_archive::schema::DOCUMENT_LIMIT;
use plimsoll_archive::{
    Archive, ArchiveError, ChangeKind, DayId, SoundCheckFacts, SoundCheckKind, sha256_hex,
};
use rusqlite::Connection;

use crate::support::{
    Bench, Repeating, assert_sound, content, day, exported, files, new_result, on, sheet, squad,
};

fn heard(note: &str) -> SoundCheckFacts {
    SoundCheckFacts {
        kind: SoundCheckKind::Before,
        file_name: format!("{note}.m4a"),
        file_sha256: sha256_hex(note.as_bytes()),
        // Spaces, order and digits are to come back letter for letter.
        heard: format!(
            "{{ \"test\":\"ir1\", \"format\": 1,\n\"speed\":-1.20e1,\"x\":{} }}",
            serde_json::Value::from(note)
        ),
    }
}

fn a_day(bench: &mut Bench) -> DayId {
    bench.writer.add_day(&day("2026-11-25")).expect("taken")
}

#[test]
fn checks_come_back_oldest_first_with_who_and_when() {
    let mut bench = Bench::new();
    let (first, other) = (a_day(&mut bench), a_day(&mut bench));
    let during = SoundCheckFacts {
        kind: SoundCheckKind::During,
        ..heard("pitch")
    };
    let one = bench
        .writer
        .add_sound_check(first, &heard("a"))
        .expect("taken");
    let two = bench.writer.add_sound_check(first, &during).expect("taken");
    bench
        .writer
        .add_sound_check(other, &heard("b"))
        .expect("taken");
    let checks = bench.writer.sound_checks(first).expect("read");
    let journal = bench.writer.journal().expect("read");
    let got: Vec<_> = checks.iter().map(|c| (c.id, c.day, &c.facts)).collect();
    assert_eq!(got, [(one, first, &heard("a")), (two, first, &during)]);
    for check in &checks {
        let change = journal
            .iter()
            .find(|c| c.seq == check.change)
            .expect("there");
        assert_eq!(change.kind, ChangeKind::SoundCheckAdded);
        assert_eq!((change.at_ms, &change.who), (check.at_ms, &check.who));
        assert_eq!(change.rows, 1);
        let name = &check.facts.file_name;
        let summary = format!("sound check `{name}` added to test day 2026-11-25");
        assert_eq!(change.summary, summary);
    }
    assert_eq!(checks[0].who, "Test Bench");
    assert_sound(&bench.writer);
}

#[test]
fn undo_hides_a_check_and_redo_shows_it_and_its_day_is_held() {
    let mut bench = Bench::new();
    let day = a_day(&mut bench);
    let before = content(&bench.writer);
    bench
        .writer
        .add_sound_check(day, &heard("a"))
        .expect("taken");
    let error = bench
        .writer
        .undo_change(1)
        .expect_err("built on")
        .to_string();
    assert_eq!(
        error,
        "change 1 (test day 2026-11-25 added) cannot be undone: change 2 (sound check `a.m4a` \
         added to test day 2026-11-25) builds on it; undo that first"
    );
    let shown = content(&bench.writer);
    assert_ne!(shown, before);
    bench.writer.undo_change(2).expect("undone");
    assert_eq!(bench.writer.sound_checks(day).expect("read"), []);
    assert_sound(&bench.writer);
    bench.writer.redo_change(2).expect("redone");
    assert_eq!(bench.writer.sound_checks(day).expect("read").len(), 1);
    assert_sound(&bench.writer);
    bench.writer.undo_change(2).expect("undone");
    bench
        .writer
        .undo_change(1)
        .expect("nothing builds on it now");
    let error = bench
        .writer
        .add_sound_check(day, &heard("b"))
        .expect_err("no day");
    assert!(
        matches!(
            error,
            ArchiveError::NotFound {
                what: "test day",
                ..
            }
        ),
        "{error}"
    );
}

type Spoil<'a> = &'a dyn Fn(&mut SoundCheckFacts);

#[test]
fn what_cannot_be_kept_is_named_and_leaves_nothing() {
    let mut bench = Bench::new();
    let day = a_day(&mut bench);
    let big = format!("{{\"format\":1,\"x\":\"{}\"}}", "y".repeat(DOCUMENT_LIMIT));
    let cases: [(&str, Spoil<'_>); 5] = [
        ("`heard`: found `{\"format\":2}`", &|f| {
            f.heard = "{\"format\":2}".to_owned()
        }),
        ("`heard`: found `not JSON`", &|f| {
            f.heard = "not JSON".to_owned()
        }),
        ("`heard`: found `{\"format\":1,", &|f| {
            f.heard.clone_from(&big)
        }),
        ("`file_name`: found blank text", &|f| {
            f.file_name = "  ".to_owned()
        }),
        ("`file_sha256`: found `ABC`", &|f| {
            f.file_sha256 = "ABC".to_owned()
        }),
    ];
    for (wanted, spoil) in cases {
        let mut facts = heard("a");
        spoil(&mut facts);
        let error = bench.writer.add_sound_check(day, &facts).expect_err(wanted);
        let error = error.to_string();
        let plain = error.replace("\\\"", "\"");
        assert!(
            plain.contains("table `sound_check`") && plain.contains(wanted),
            "{error}"
        );
    }
    assert_eq!(bench.writer.journal().expect("read").len(), 1);
    assert_sound(&bench.writer);
}

#[test]
fn an_export_brings_checks_back_letter_for_letter() {
    let mut bench = Bench::new();
    let day = a_day(&mut bench);
    for name in ["a", "Zoë; \"b\"\r\n", "undone"] {
        bench
            .writer
            .add_sound_check(day, &heard(name))
            .expect("taken");
    }
    // A document of the largest size whose quotation marks a CSV cell doubles.
    let room = DOCUMENT_LIMIT - 20;
    let large = SoundCheckFacts {
        heard: format!(
            "{{\"format\":1,\"x\":[{}\"\"]}}",
            "\"\",".repeat(room / 3 - 2)
        ),
        ..heard("large")
    };
    bench.writer.add_sound_check(day, &large).expect("taken");
    bench.writer.undo_change(4).expect("undone");
    let (to, back) = (bench.path("export"), bench.path("back"));
    bench.writer.export(&to).expect("exported");
    let csv = fs::read_to_string(to.join("sound_check.csv")).expect("a table");
    let header = "id,day_id,kind,file_name,file_sha256,heard,change_seq\n";
    assert!(csv.starts_with(header) && csv.contains("undone.m4a"));
    Archive::restore(&to, &back).expect("restored");
    let restored = Archive::open_reader(&back).expect("an archive");
    let checks = restored.sound_checks(day).expect("read");
    assert_eq!(checks, bench.writer.sound_checks(day).expect("read"));
    assert_eq!(checks.len(), 3);
    assert_eq!(exported(&restored), files(&to));
}

#[test]
fn the_check_finds_an_altered_document_and_a_check_without_its_day() {
    let mut bench = Bench::new();
    let day = a_day(&mut bench);
    bench
        .writer
        .add_sound_check(day, &heard("a"))
        .expect("taken");
    let behind = Connection::open(bench.writer.dir().join("plimsoll.db")).expect("opens");
    let findings = |sql: &str| {
        behind.execute_batch(sql).expect("altered");
        let found = bench.writer.check().expect("the check runs");
        found.iter().map(ToString::to_string).collect::<Vec<_>>()
    };
    let found = findings("UPDATE sound_check SET heard = '{\"format\":7}'");
    assert!(
        found[0].starts_with("sound_check, row ")
            && found[0].ends_with("allowed is a JSON object with `format` 1, at most 4 MiB"),
        "{found:?}"
    );
    let found = findings(
        "UPDATE sound_check SET heard = '{\"format\":1}'; \
         UPDATE change SET undone = 1 WHERE seq = 1",
    );
    assert!(
        found
            .iter()
            .any(|f| f.starts_with("sound_check, row ")
                && f.ends_with("of `test_day`, which is undone")),
        "{found:?}"
    );
}

/// The archive is as the schema of four steps left it: with people, results and no sound checks.
#[test]
fn an_archive_of_the_schema_before_keeps_all_and_takes_checks() {
    let mut bench = Bench::new();
    let people = squad(&mut bench.writer, "list.csv", &["Ilo"]);
    let new = [new_result(people[0], 2)];
    bench
        .writer
        .import_results(&sheet("results.csv", 1), &on("2026-10-03"), &new)
        .expect("taken");
    let (dir, before) = (bench.writer.dir().to_owned(), content(&bench.writer));
    drop(bench.writer);
    let behind = Connection::open(dir.join("plimsoll.db")).expect("opens");
    behind
        .execute_batch(
            "PRAGMA foreign_keys=OFF; DROP TABLE wave_event; DROP TABLE wave_result; DROP TABLE wave; \
             DROP TABLE day_paper; DROP TABLE health_note; DROP TABLE sound_check; \
             DELETE FROM schema_step WHERE number >= 5",
        )
        .expect("an older build");
    drop(behind);
    let error = Archive::open_reader(&dir)
        .err()
        .expect("too old")
        .to_string();
    assert!(
        error.contains("of schema 4 and this build reads schema 6"),
        "{error}"
    );
    let mut writer = Archive::open_writer(&dir, Repeating::after(1_000)).expect("up to date");
    assert_sound(&writer);
    assert_eq!(content(&writer), before);
    let day = writer.days().expect("read")[0].id;
    writer.add_sound_check(day, &heard("a")).expect("taken");
    assert_eq!(writer.sound_checks(day).expect("read").len(), 1);
    assert_sound(&writer);
}

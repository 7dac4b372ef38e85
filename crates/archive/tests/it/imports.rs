//! Imports: provenance, held rows, the same file twice.

use plimsoll_archive::{Finding, ImportKind, Membership, NewPerson, Sex, sha256_hex};

use crate::support::{
    Bench, assert_sound, called, date, new_person, new_result, on, row, sheet, squad,
};

#[test]
fn every_row_knows_its_file_row_digest_and_time() {
    let mut bench = Bench::new();
    let people = squad(&mut bench.writer, "list.csv", &["Ilo", "Bram"]);
    let new = [new_result(people[0], 7), new_result(people[1], 9)];
    let report = bench
        .writer
        .import_results(&sheet("results.xlsx", 3), &on("2026-10-03"), &new)
        .expect("taken");
    let results = bench.writer.results(&Default::default()).expect("read");
    let source = results[1].source.expect("it came from a file");
    let from = bench.writer.provenance(source).expect("known");
    assert_eq!(from.import.id, report.import);
    assert_eq!(from.import.file_name, "results.xlsx");
    assert_eq!(from.import.sha256, sha256_hex(b"results.xlsx"));
    assert_eq!(from.import.kind, ImportKind::Results);
    assert_eq!(from.import.ladder.as_deref(), Some("ir1"));
    assert_eq!(from.import.on_date, Some(date("2026-10-03")));
    assert_eq!((from.import.rows_seen, from.import.rows_accepted), (3, 2));
    assert_eq!(from.import.who, "Test Bench");
    assert!(from.import.imported_at_ms > 1_790_000_000_000);
    assert_eq!(from.row, row(9));
    assert_eq!(
        from.row_sha256,
        sha256_hex(row(9).as_written.to_string().as_bytes())
    );
    let rows = bench.writer.source_rows(report.import).expect("read");
    assert_eq!(
        rows.iter().map(|(_, row)| row.row).collect::<Vec<_>>(),
        [7, 9]
    );
    assert_sound(&bench.writer);
}

#[test]
fn held_rows_stay_listed_until_they_are_dealt_with() {
    let mut bench = Bench::new();
    let finding = Finding {
        sheet: Some("U16".to_owned()),
        row: 5,
        column: Some("Level".to_owned()),
        code: "label-not-on-ladder".to_owned(),
        found: Some("14.9".to_owned()),
        allowed: Some("14.1 to 14.8".to_owned()),
        suggestion: Some("look at the paper sheet".to_owned()),
    };
    let mut file = sheet("list.csv", 2);
    file.held.push(row(5));
    file.findings.push(finding.clone());
    let report = bench
        .writer
        .import_people(&file, &[new_person("Ilo", 4)])
        .expect("taken");
    assert_eq!(
        bench.writer.findings(report.import).expect("read"),
        [finding]
    );
    let held = bench.writer.held_rows().expect("read");
    assert_eq!(
        (held.len(), &held[0].source, &held[0].settled),
        (1, &row(5), &None)
    );
    bench
        .writer
        .settle_held_row(held[0].id, "was 14.8")
        .expect("settled");
    let error = bench
        .writer
        .settle_held_row(held[0].id, "again")
        .expect_err("settled before");
    assert!(
        error.to_string().contains("it is dealt with already"),
        "{error}"
    );
    let held = bench.writer.held_rows().expect("read");
    assert_eq!(held[0].settled.as_deref(), Some("was 14.8"));
    assert_sound(&bench.writer);
    bench.writer.undo_import(report.import).expect("undone");
    assert_eq!(bench.writer.held_rows().expect("read"), []);
    assert_sound(&bench.writer);
}

#[test]
fn the_same_file_is_refused_unless_forced_or_undone_or_for_another_day() {
    let mut bench = Bench::new();
    let people = squad(&mut bench.writer, "list.csv", &["Ilo"]);
    let new = [new_result(people[0], 7)];
    let file = sheet("results.csv", 1);
    let first = bench
        .writer
        .import_results(&file, &on("2026-10-03"), &new)
        .expect("taken");
    let mut renamed = file.clone();
    renamed.file_name = "results (1).csv".to_owned();
    let error = bench
        .writer
        .import_results(&renamed, &on("2026-10-03"), &new)
        .expect_err("same");
    assert_eq!(
        error.to_string(),
        "`results (1).csv` has the same content as `results.csv`, imported as results of ir1 on \
         2026-10-03, change 2 of the journal; undo that import first, or force this one"
    );
    bench
        .writer
        .import_results(&file, &on("2026-10-04"), &new)
        .expect("another day");
    renamed.force = true;
    bench
        .writer
        .import_results(&renamed, &on("2026-10-03"), &new)
        .expect("forced");
    bench.writer.undo_import(first.import).expect("undone");
    let error = bench
        .writer
        .import_people(&sheet("list.csv", 1), &[new_person("Ilo", 2)]);
    assert!(
        error
            .expect_err("same")
            .to_string()
            .contains("imported as people, change 1")
    );
    assert_sound(&bench.writer);
}

#[test]
fn a_list_that_names_someone_known_adds_a_version_and_loses_nothing() {
    let mut bench = Bench::new();
    let u16 = Membership {
        squad: "U16".to_owned(),
        from: Some(date("2025-08-01")),
        to: None,
    };
    let mut first = called("Jo");
    first.sex = Some(Sex::Female);
    let id = bench
        .writer
        .add_person(&first, std::slice::from_ref(&u16))
        .expect("taken");
    let mut facts = called("Joanna");
    facts.birth_date = Some(date("2010-01-02"));
    let new = NewPerson {
        existing: Some(id),
        facts,
        aliases: vec!["Jojo".to_owned()],
        memberships: vec![u16.clone()],
        source: row(2),
    };
    let report = bench
        .writer
        .import_people(&sheet("list.csv", 1), &[new])
        .expect("taken");
    assert_eq!(report.people, [id]);
    let person = bench.writer.person(id).expect("read").expect("there");
    assert_eq!(person.facts.called_name, "Joanna");
    assert_eq!(
        person.facts.sex,
        Some(Sex::Female),
        "a blank cell does not erase"
    );
    assert_eq!(person.facts.birth_date, Some(date("2010-01-02")));
    assert_eq!(person.aliases, ["Jo", "Jojo"]);
    assert_eq!(
        person.memberships.len(),
        1,
        "the same membership is not recorded twice"
    );
    assert_sound(&bench.writer);
    bench.writer.undo_import(report.import).expect("undone");
    let person = bench.writer.person(id).expect("read").expect("there");
    assert_eq!((person.facts, person.aliases), (first, vec![]));
}

#[test]
fn more_rows_than_were_seen_are_refused() {
    let mut bench = Bench::new();
    let mut file = sheet("list.csv", 1);
    file.held.push(row(3));
    let error = bench
        .writer
        .import_people(&file, &[new_person("Ilo", 2)])
        .expect_err("too many");
    assert_eq!(
        error.to_string(),
        "`list.csv`: 1 rows accepted and 1 held are more than the 1 rows seen; this is a fault of \
         the program, please report it"
    );
    assert_eq!(bench.writer.journal().expect("read"), []);
}

//! Undo and redo: what is refused, and in which words.

use plimsoll_archive::ChangeKind;

use crate::support::{Bench, assert_sound, bouts, content, day, new_result, on, sheet, squad};

#[test]
fn an_import_that_others_build_on_is_not_undone() {
    let mut bench = Bench::new();
    let people = squad(&mut bench.writer, "list.csv", &["Ilo", "Bram"]);
    let new = [new_result(people[0], 7)];
    let results = bench
        .writer
        .import_results(&sheet("results.csv", 1), &on("2026-10-03"), &new)
        .expect("taken");
    bench
        .writer
        .correct_result(results.results[0], &bouts(8), "misread")
        .expect("corrected");
    let error = bench.writer.undo_change(1).expect_err("needed");
    assert_eq!(
        error.to_string(),
        "change 1 (people from `list.csv`: 2 accepted, 0 held) cannot be undone: change 2 (results \
         of 2026-10-03 from `results.csv`: 1 accepted, 0 held) builds on it; change 3 (result of \
         Ilo on 2026-10-03 corrected: misread) builds on it; undo those first"
    );
    let error = bench
        .writer
        .undo_import(results.import)
        .expect_err("needed");
    assert_eq!(
        error.to_string(),
        "change 2 (results of 2026-10-03 from `results.csv`: 1 accepted, 0 held) cannot be undone: \
         change 3 (result of Ilo on 2026-10-03 corrected: misread) builds on it; undo that first"
    );
    for seq in [3, 2, 1] {
        bench.writer.undo_change(seq).expect("undone");
        assert_sound(&bench.writer);
    }
    assert_eq!(bench.writer.people().expect("read"), []);
    assert_eq!(bench.writer.results(&Default::default()).expect("read"), []);
    assert_eq!(bench.writer.days().expect("read"), []);
    let error = bench
        .writer
        .redo_change(2)
        .expect_err("its people are undone");
    assert_eq!(
        error.to_string(),
        "change 2 (results of 2026-10-03 from `results.csv`: 1 accepted, 0 held) cannot be redone: \
         change 1 (people from `list.csv`: 2 accepted, 0 held) is undone and it builds on that: \
         redo that first"
    );
    for seq in [1, 2, 3] {
        bench.writer.redo_change(seq).expect("redone");
        assert_sound(&bench.writer);
    }
    let now = bench.writer.results(&Default::default()).expect("read");
    assert_eq!(now[0].facts, bouts(8));
}

#[test]
fn an_undo_is_not_undone_but_the_change_redone() {
    let mut bench = Bench::new();
    squad(&mut bench.writer, "list.csv", &["Ilo"]);
    let before = content(&bench.writer);
    bench.writer.undo_change(1).expect("undone");
    let error = bench.writer.undo_change(1).expect_err("twice");
    assert_eq!(
        error.to_string(),
        "change 1 (people from `list.csv`: 1 accepted, 0 held) is undone already; nothing was done"
    );
    let error = bench.writer.undo_change(2).expect_err("an undo");
    assert!(
        error
            .to_string()
            .contains("is an undo or redo itself; redo or undo the change it is about"),
        "{error}"
    );
    bench.writer.redo_change(1).expect("redone");
    let error = bench.writer.redo_change(1).expect_err("twice");
    assert!(
        error
            .to_string()
            .contains("is not undone; nothing was done"),
        "{error}"
    );
    let error = bench.writer.undo_change(99).expect_err("no such change");
    assert_eq!(
        error.to_string(),
        "there is no change `99` in the archive; read the journal to see their numbers"
    );
    assert_eq!(content(&bench.writer), before);
    let kinds: Vec<_> = bench
        .writer
        .journal()
        .expect("read")
        .iter()
        .map(|c| c.kind)
        .collect();
    assert_eq!(
        kinds,
        [
            ChangeKind::PeopleImported,
            ChangeKind::Undo,
            ChangeKind::Redo
        ]
    );
}

#[test]
fn a_redo_does_not_bring_a_file_a_second_time() {
    let mut bench = Bench::new();
    squad(&mut bench.writer, "list.csv", &["Ilo"]);
    bench.writer.undo_change(1).expect("undone");
    squad(&mut bench.writer, "list.csv", &["Ilo"]);
    let error = bench.writer.redo_change(1).expect_err("imported again");
    assert_eq!(
        error.to_string(),
        "change 1 (people from `list.csv`: 1 accepted, 0 held) cannot be redone: change 3 (people \
         from `list.csv`: 1 accepted, 0 held) has imported the same content since: undo that first"
    );
}

#[test]
fn a_redo_does_not_take_a_place_that_was_taken_since() {
    let mut bench = Bench::new();
    let people = squad(&mut bench.writer, "list.csv", &["Ilo"]);
    let on_day = bench.writer.add_day(&day("2026-10-03")).expect("taken");
    let first = bench
        .writer
        .add_result(people[0], on_day, &bouts(7))
        .expect("taken");
    bench
        .writer
        .correct_result(first, &bouts(8), "misread")
        .expect("corrected");
    bench.writer.undo_change(4).expect("undone");
    bench
        .writer
        .correct_result(first, &bouts(9), "misread more")
        .expect("corrected");
    let error = bench.writer.redo_change(4).expect_err("taken");
    assert!(
        error.to_string().ends_with(
            "change 6 (result of Ilo on 2026-10-03 corrected: misread more) changed the same \
             since: undo that first"
        ),
        "{error}"
    );
    bench.writer.undo_change(6).expect("undone");
    bench.writer.redo_change(4).expect("redone");
    assert_sound(&bench.writer);
}

#[test]
fn a_redo_does_not_close_a_ring_of_merges() {
    let mut bench = Bench::new();
    let ids = squad(&mut bench.writer, "list.csv", &["A", "B", "C"]);
    let b_to_a = bench.writer.merge_people(ids[0], ids[1]).expect("merged");
    bench.writer.unmerge(b_to_a.merge).expect("unmerged");
    bench
        .writer
        .merge_people(ids[1], ids[0])
        .expect("the other way");
    let error = bench.writer.redo_change(2).expect_err("a ring");
    assert!(
        error
            .to_string()
            .contains("change 4 joined the same person another way: undo that first"),
        "{error}"
    );
    bench.writer.undo_change(4).expect("undone");
    bench
        .writer
        .merge_people(ids[2], ids[1])
        .expect("another person");
    let error = bench.writer.redo_change(2).expect_err("merged elsewhere");
    assert!(
        error
            .to_string()
            .contains("change 6 joined the same person"),
        "{error}"
    );
    let error = bench.writer.undo_change(1).expect_err("merged");
    assert!(error.to_string().contains("change 6 ("), "{error}");
    assert_sound(&bench.writer);
}

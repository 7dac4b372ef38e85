//! Looking after the archive, and people.

use crate::support::{Bench, run_in};

#[test]
fn backup_export_and_restore_keep_everything() {
    let bench = Bench::filled();
    for args in [
        ["archive", "backup", "copy"],
        ["archive", "export", "plain"],
    ] {
        let ran = bench.run(&args);
        assert_eq!(ran.status, 0, "{}", ran.err);
    }
    let before = bench.run(&["results", "--json"]).out;
    let copy = run_in(
        bench.folder.path(),
        &bench.path("copy"),
        &["results", "--json"],
    );
    assert_eq!(copy.out, before);
    let restored = bench.path("restored");
    assert_eq!(
        run_in(
            bench.folder.path(),
            &restored,
            &["archive", "restore", "plain"]
        )
        .status,
        0
    );
    assert_eq!(
        run_in(bench.folder.path(), &restored, &["results", "--json"]).out,
        before
    );
    assert_eq!(
        run_in(bench.folder.path(), &restored, &["archive", "check"]).status,
        0
    );
    let occupied = bench.run(&["archive", "export", "plain"]);
    assert_eq!(occupied.status, 2);
    assert!(
        occupied
            .err
            .contains("already exists and is not overwritten"),
        "{}",
        occupied.err
    );
}

#[test]
fn people_are_merged_and_stand_alone_again() {
    let bench = Bench::filled();
    let ran = bench.run(&["people", "merge", "Sol Heron", "Wren Osier"]);
    assert!(ran.status < 2, "{}", ran.err);
    let sol = |bench: &Bench| {
        bench
            .run(&["results", "--person", "Sol Heron", "--json"])
            .json()
            .as_array()
            .map(Vec::len)
    };
    assert_eq!(sol(&bench), Some(2));
    assert_eq!(bench.run(&["people", "unmerge", "Sol Heron"]).status, 0);
    assert_eq!(sol(&bench), Some(1));
}

#[test]
fn a_new_name_keeps_the_history_and_the_old_name_is_found() {
    let bench = Bench::filled();
    assert_eq!(
        bench
            .run(&["people", "rename", "Kai Linnet", "Kai Linnet-Moor"])
            .status,
        0
    );
    let list = bench
        .run(&["results", "--person", "Kai Linnet", "--json"])
        .json();
    assert_eq!(list[0]["person"], "Kai Linnet-Moor");
}

#[test]
fn the_journal_names_who_acted() {
    let bench = Bench::filled();
    bench.run(&["--as", "Ada Reed", "people", "alias", "Kai Linnet", "Kay"]);
    let journal = bench.run(&["archive", "journal", "--json"]).json();
    let last = journal
        .as_array()
        .and_then(|j| j.last())
        .expect("entries")
        .clone();
    assert_eq!(last["who"], "Ada Reed");
    assert_eq!(last["kind"], "alias_added");
}

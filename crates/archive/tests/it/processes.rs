//! Two processes: one writer at a time, and readers all the while.

use std::thread;

use plimsoll_archive::{Archive, ArchiveError};

use crate::child::{self, Running};
use crate::support::{Bench, Repeating, assert_sound, new_result, on, sheet, squad};

const TEST: &str = "processes::a_second_writer_is_refused_and_readers_see_before_or_after";
/// Enough rows for several reads to fall into the import.
const ROWS: u32 = 3_000;

fn hold(dir: &std::path::Path) {
    let mut writer = Archive::open_writer(dir, Repeating::after(1_000_000)).expect("open");
    let person = writer.people().expect("read")[0].id;
    let new: Vec<_> = (2..2 + ROWS).map(|row| new_result(person, row)).collect();
    child::tell("ready");
    child::await_word();
    writer
        .import_results(&sheet("results.csv", new.len()), &on("2026-10-03"), &new)
        .expect("taken");
    child::tell("done");
    child::await_word();
}

#[test]
fn a_second_writer_is_refused_and_readers_see_before_or_after() {
    if let Some(dir) = child::role() {
        return hold(&dir);
    }
    let mut bench = Bench::new();
    squad(&mut bench.writer, "list.csv", &["Ilo"]);
    let dir = bench.writer.dir().to_owned();
    drop(bench.writer);

    let mut writer = Running::start(TEST, &dir);
    writer.hear("ready");
    let error = Archive::open_writer(&dir, Repeating::after(0))
        .err()
        .expect("one writer only");
    assert!(matches!(error, ArchiveError::WriterBusy { .. }));
    assert_eq!(
        error.to_string(),
        format!(
            "the archive `{}` is already open for writing (by Test Bench since \
             2026-09-21T14:13:20.001Z); close that program or wait until it ends, then try again; \
             reading works meanwhile",
            dir.display()
        )
    );
    let reader = Archive::open_reader(&dir).expect("reading works meanwhile");
    let count = || reader.results(&Default::default()).expect("read").len();
    assert_eq!(count(), 0);
    writer.say("go");
    let done = thread::spawn(move || {
        writer.hear("done");
        writer
    });
    let mut reads = 0;
    let mut last = 0;
    while !done.is_finished() {
        let now = count();
        assert!(
            now == 0 || now == ROWS as usize,
            "{now} results: something between"
        );
        assert!(now >= last, "results went away");
        last = now;
        reads += 1;
    }
    assert!(reads > 0, "no read fell into the import");
    assert_eq!(
        count(),
        ROWS as usize,
        "an acknowledged import is seen at once"
    );
    let mut writer = done.join().expect("the child was heard");
    let backup = bench.folder.path().join("backup");
    reader
        .backup(&backup)
        .expect("a backup while a writer has the archive open");

    writer.kill();
    let after = Archive::open_writer(&dir, Repeating::after(2_000_000));
    assert_sound(&after.expect("a killed writer leaves no lock behind"));
    assert_sound(&Archive::open_reader(&backup).expect("an archive"));
}

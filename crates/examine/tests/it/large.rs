//! A file of 200 000 rows, read from disk in a process of its own whose memory is measured.

use std::io::Write;
use std::process::Command;

use plimsoll_examine::{Options, examine_path};

use crate::support::{bouts, catalogue, keep, metres};

const ROWS: usize = 200_000;
/// Peak memory of the whole process, MiB. The file has 12 MiB; measured: 140 MiB, most of it the names
/// of 200 000 different people. Twice that leaves room for other allocators.
const PEAK_MIB: u64 = 280;

fn write(path: &std::path::Path) {
    let mut file = std::io::BufWriter::new(std::fs::File::create(path).expect("a file"));
    writeln!(file, "Pupil,Date of birth,Class,Date,Level,Distance (m)").expect("disk");
    let ladder = bouts("msr20_whole");
    for i in 0..ROWS {
        let bout = &ladder[20 + (i * 7_919) % 120];
        let distance = if i == 150_000 {
            "1001".to_owned()
        } else {
            metres(bout)
        };
        writeln!(
            file,
            "Pupil{:06} Of{:06},20{:02}-{:02}-{:02},S{:04}-{},2026-05-04,{},{distance}",
            (i * 48_271) % 1_000_003,
            (i * 69_621) % 1_000_003,
            10 + i % 4,
            1 + i % 12,
            1 + i % 28,
            i / 120,
            (i / 30) % 4,
            bout.label,
        )
        .expect("disk");
    }
}

#[test]
fn two_hundred_thousand_rows_in_bounded_memory() {
    if let Ok(path) = std::env::var("PLIMSOLL_LARGE_SHEET") {
        return child(std::path::Path::new(&path));
    }
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("large.csv");
    write(&path);
    // Written by the second process at its end, so that a renamed test cannot pass by running nothing.
    let done = folder.path().join("done");
    let output = Command::new(std::env::current_exe().expect("this test"))
        .args([
            "--exact",
            "large::two_hundred_thousand_rows_in_bounded_memory",
            "--nocapture",
        ])
        .env("PLIMSOLL_LARGE_SHEET", &path)
        .env("PLIMSOLL_LARGE_DONE", &done)
        .output()
        .expect("a second process");
    let text = String::from_utf8_lossy(&output.stdout);
    assert!(
        output.status.success(),
        "{text}\n{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let rows = std::fs::read_to_string(&done).expect("the second process ran the test");
    assert_eq!(rows, ROWS.to_string());
}

fn child(path: &std::path::Path) {
    let before = peak_mib();
    let examination = examine_path(path, keep(Options::new(catalogue()))).expect("a sheet");
    let report = &examination.report;
    assert_eq!(report.rows, ROWS);
    let found: Vec<(u32, &str)> = report
        .findings
        .iter()
        .map(|f| (f.row, f.code.as_str()))
        .collect();
    assert_eq!(found, [(150_002, "distance-not-a-step")]);
    assert_eq!(report.verdicts.accepted.count(), ROWS - 1);
    assert_eq!(examination.results().count(), ROWS - 1);
    if let (Some(before), Some(after)) = (before, peak_mib()) {
        assert!(after < PEAK_MIB, "{after} MiB, {before} before");
    }
    let done = std::env::var("PLIMSOLL_LARGE_DONE").expect("set by the first process");
    std::fs::write(done, report.rows.to_string()).expect("writable");
}

/// Peak resident memory so far, where the system tells.
fn peak_mib() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM:"))?;
    line.split_whitespace()
        .nth(1)?
        .parse::<u64>()
        .ok()
        .map(|kb| kb / 1024)
}

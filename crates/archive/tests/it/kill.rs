//! Faults: an import is killed at a random instant, many times.
//! A killed process is not a lost power supply: that half rests on SQLite's full synchronisation.

use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

use plimsoll_archive::Archive;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{RngCore as _, SeedableRng as _};

use crate::child::{self, Running};
use crate::support::{Bench, Repeating, assert_sound, exported, new_person, new_result, on, sheet};

const TEST: &str = "kill::an_import_killed_at_any_instant_leaves_all_or_nothing";
/// Kills when `PLIMSOLL_KILLS` does not say otherwise.
const KILLS: u32 = 20;
/// Results in the file: enough for the import to last many times longer than a sleep is inexact.
const ROWS: u32 = 3_000;
/// The last kills come this much later than an undisturbed import takes, to meet the closing too.
const STRETCH: f64 = 1.4;
/// Longer than any test: a child whose parent died ends by itself.
const FORGOTTEN: Duration = Duration::from_secs(120);

fn import(dir: &Path) {
    let mut writer = Archive::open_writer(dir, Repeating::after(1_000_000)).expect("open");
    let people = writer.people().expect("read");
    let new: Vec<_> = (people.iter().cycle().zip(2..2 + ROWS))
        .map(|(p, row)| new_result(p.id, row))
        .collect();
    let file = sheet("results.csv", new.len());
    child::tell("ready");
    writer
        .import_results(&file, &on("2026-10-03"), &new)
        .expect("taken");
    child::tell("done");
    drop(writer);
    std::thread::sleep(FORGOTTEN);
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir(to).expect("a folder");
    for name in ["plimsoll.db", "writer.lock"] {
        fs::copy(from.join(name), to.join(name)).expect("copied");
    }
}

/// Kills an import when `ripe` returns; returns what is left.
fn killed(
    base: &Path,
    ripe: impl FnOnce(&mut Running),
) -> std::collections::BTreeMap<String, Vec<u8>> {
    let folder = tempfile::tempdir().expect("a folder");
    let dir = folder.path().join("archive");
    copy(base, &dir);
    let mut running = Running::start(TEST, &dir);
    running.hear("ready");
    ripe(&mut running);
    running.kill();
    let reader = Archive::open_reader(&dir).expect("it opens for reading");
    assert_sound(&reader);
    let left = exported(&reader);
    drop(reader);
    let writer = Archive::open_writer(&dir, Repeating::after(2_000_000)).expect("it opens again");
    assert_sound(&writer);
    assert_eq!(
        exported(&writer),
        left,
        "opening for writing changed something"
    );
    left
}

#[test]
fn an_import_killed_at_any_instant_leaves_all_or_nothing() {
    if let Some(dir) = child::role() {
        return import(&dir);
    }
    let kills: u32 = match std::env::var("PLIMSOLL_KILLS") {
        Ok(text) => text.parse().expect("PLIMSOLL_KILLS is a whole number"),
        Err(_) => KILLS,
    };
    assert!(kills >= 2, "PLIMSOLL_KILLS must be at least 2");
    let mut bench = Bench::new();
    let people: Vec<_> = (2..302)
        .map(|row| new_person(&format!("P{row}"), row))
        .collect();
    bench
        .writer
        .import_people(&sheet("list.csv", people.len()), &people)
        .expect("taken");
    let base = bench.writer.dir().to_owned();
    let before = exported(&bench.writer);
    drop(bench.writer);

    let mut whole = Duration::ZERO;
    let after = killed(&base, |running| {
        let start = Instant::now();
        running.hear("done");
        whole = start.elapsed();
    });
    assert_ne!(before, after);

    let mut chance = ChaCha8Rng::seed_from_u64(2_026);
    let (mut befores, mut afters) = (0, 0);
    for kill in 0..kills {
        let left = killed(&base, |running| {
            if kill == 0 {
                return; // at once
            }
            if kill + 1 == kills {
                return running.hear("done"); // acknowledged
            }
            let part = f64::from(chance.next_u32()) / f64::from(u32::MAX);
            let share = (f64::from(kill) + part) / f64::from(kills);
            std::thread::sleep(whole.mul_f64(share * STRETCH));
        });
        if left == before {
            befores += 1;
            assert_ne!(kill + 1, kills, "an acknowledged import was lost");
        } else {
            assert!(
                left == after,
                "kill {kill} of {kills} left something between"
            );
            afters += 1;
        }
    }
    assert!(
        befores > 0 && afters > 0,
        "{befores} before and {afters} after: not spread enough"
    );
}

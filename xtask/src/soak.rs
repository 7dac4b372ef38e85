//! `cargo xtask soak`: the long form of the fault and fuzzing tests.

use crate::run::{Outcome, cargo, step};

/// Kills of an import.
const KILLS: &str = "200";
/// Seeded cases for each reader.
const CASES: &str = "10000";

/// Runs both and prints what was done.
pub fn run() -> Outcome {
    let mut kills = cargo(&[
        "test",
        "--package",
        "plimsoll-archive",
        "--test",
        "it",
        "kill",
        "--",
        "--nocapture",
    ]);
    kills.env("PLIMSOLL_KILLS", KILLS);
    step(&format!("{KILLS} kills of an import"), &mut kills)?;
    let mut cases = cargo(&[
        "test",
        "--package",
        "plimsoll-fuzz-targets",
        "--",
        "--nocapture",
    ]);
    cases.env("PLIMSOLL_FUZZ_CASES", CASES);
    step(&format!("{CASES} seeded cases for each reader"), &mut cases)?;
    println!("\nsoak: {KILLS} kills and {CASES} cases a reader survived");
    Ok(())
}

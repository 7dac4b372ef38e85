//! `cargo xtask soak`: the long form of the fault and fuzzing tests.

use crate::run::{Outcome, cargo, program, root, step, target};

/// Kills of an import.
const KILLS: &str = "200";
/// Seeded cases for each reader.
const CASES: &str = "10000";

/// Waves with killed servers, killed phones and a bad network.
const WAVES: &str = "300";

/// Runs all and prints what was done.
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
    step(
        "the binary for the waves",
        &mut cargo(&["build", "--package", "plimsoll"]),
    )?;
    let mut waves = program("node", &["tests/faults.mjs", WAVES]);
    waves.current_dir(root().join("web"));
    waves.env("PLIMSOLL", target().join("debug/plimsoll"));
    step(&format!("{WAVES} waves with faults"), &mut waves)?;
    println!(
        "\nsoak: {KILLS} kills of an import, {CASES} cases a reader and {WAVES} waves survived"
    );
    Ok(())
}

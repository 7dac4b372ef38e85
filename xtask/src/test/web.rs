//! The front end's own checks: types, lint, unit tests in Node, the line screen in Chromium.

use std::path::PathBuf;
use std::process::Stdio;

use super::Tally;
use crate::run::{output, program, root, step, target};

/// Runs them all.
pub fn run() -> Result<Tally, String> {
    let folder = || -> PathBuf { root().join("web") };
    let npm = |args: &[&str]| {
        let mut command = program("npm", args);
        command.current_dir(folder());
        command
    };
    step("packages of the front end", &mut npm(&["ci", "--silent"]))?;
    let mut tally = Tally::default();
    for script in ["types", "lint"] {
        let name = format!("front end: {script}");
        match step(&name, &mut npm(&["run", "--silent", script])) {
            Ok(()) => tally.passed += 1,
            Err(words) => {
                println!("{words}");
                tally.failed += 1;
            }
        }
    }
    tally += counted("test", npm(&["run", "--silent", "test"]), |line| {
        let number = |word: &str| {
            let rest = line
                .trim_start_matches(['#', 'ℹ', ' '])
                .strip_prefix(word)?;
            rest.trim().parse::<u32>().ok()
        };
        match (number("pass"), number("fail")) {
            (Some(n), _) => (n, 0),
            (_, Some(n)) => (0, n),
            _ => (0, 0),
        }
    })?;
    for script in ["browser", "listened", "faults", "day", "pages", "soon"] {
        let mut command = npm(&["run", "--silent", script]);
        command.env("PLIMSOLL", target().join("debug/plimsoll"));
        tally += counted(script, command, |line| {
            (
                u32::from(line.starts_with("ok ")),
                u32::from(line.starts_with("FAIL")),
            )
        })?;
    }
    Ok(tally)
}

/// Runs a script that prints a line for each test, shows it, and counts.
fn counted(
    name: &str,
    mut command: std::process::Command,
    read: impl Fn(&str) -> (u32, u32),
) -> Result<Tally, String> {
    println!("── front end: {name}");
    let out = output(name, command.stdout(Stdio::piped()).stderr(Stdio::piped()))?;
    let printed = format!(
        "{}{}",
        String::from_utf8_lossy(&out.stdout),
        String::from_utf8_lossy(&out.stderr)
    );
    println!("{printed}");
    let mut tally = Tally::default();
    for line in printed.lines() {
        let (passed, failed) = read(line);
        tally.passed += passed;
        tally.failed += failed;
    }
    if !out.status.success() && tally.failed == 0 {
        tally.failed = 1;
    }
    if tally.passed + tally.failed == 0 {
        return Err(format!("front end, {name}: no test ran"));
    }
    Ok(tally)
}

//! `cargo xtask test`: installs what tests need, checks, tests, cross-checks, and sums up in a line.

mod cross;
mod tools;
mod web;

use std::process::{Command, Stdio};

use crate::check;
use crate::run::{Outcome, cargo, is_there, output, step};

pub use tools::install as python;

/// How many passed and failed.
#[derive(Debug, Default, Clone, Copy)]
pub struct Tally {
    pub passed: u32,
    pub failed: u32,
}

impl std::ops::AddAssign for Tally {
    fn add_assign(&mut self, other: Self) {
        self.passed += other.passed;
        self.failed += other.failed;
    }
}

/// Runs everything.
pub fn run() -> Outcome {
    let python = tools::install()?;
    check::run()?;
    let mut tally = Tally::default();
    tally += tests()?;
    tally += doc_tests()?;
    step(
        "the binary for cross-checks",
        &mut cargo(&["build", "--package", "plimsoll", "--quiet"]),
    )?;
    tally += web::run()?;
    tally += cross::run(&python)?;
    println!("\n{} passed, {} failed", tally.passed, tally.failed);
    if tally.failed == 0 {
        Ok(())
    } else {
        Err("some tests failed".to_owned())
    }
}

/// Runs all tests, with nextest where it is there.
fn tests() -> Result<Tally, String> {
    let args: &[&str] = if is_there("cargo", &["nextest", "--version"]) {
        &[
            "nextest",
            "run",
            "--workspace",
            "--no-fail-fast",
            "--status-level",
            "fail",
        ]
    } else {
        &[
            "test",
            "--workspace",
            "--no-fail-fast",
            "--lib",
            "--bins",
            "--tests",
        ]
    };
    counted("tests", cargo(args))
}

fn doc_tests() -> Result<Tally, String> {
    counted(
        "examples in the documentation",
        cargo(&["test", "--workspace", "--doc", "--quiet"]),
    )
}

/// Runs a test runner, shows what it prints, and counts.
fn counted(name: &str, mut command: Command) -> Result<Tally, String> {
    println!("── {name}");
    let out = output(name, command.stdout(Stdio::piped()).stderr(Stdio::piped()))?;
    let printed = format!(
        "{}{}",
        String::from_utf8_lossy(&out.stdout),
        String::from_utf8_lossy(&out.stderr)
    );
    println!("{printed}");
    let mut tally = count(&printed);
    if !out.status.success() && tally.failed == 0 {
        tally.failed = 1;
    }
    Ok(tally)
}

/// Returns the counts of a runner's closing lines.
fn count(printed: &str) -> Tally {
    let number = |line: &str, word: &str| -> u32 {
        let before = line.split(word).next().unwrap_or("");
        before
            .split_whitespace()
            .last()
            .and_then(|n| n.parse().ok())
            .unwrap_or(0)
    };
    let mut tally = Tally::default();
    for line in printed.lines() {
        let nextest = line.trim_start().starts_with("Summary [");
        if nextest || line.starts_with("test result:") {
            tally.passed += number(line, " passed");
            if line.contains(" failed") {
                tally.failed += number(line, " failed");
            }
        }
    }
    tally
}

#[cfg(test)]
mod tests {
    use super::count;

    #[test]
    fn closing_lines_are_counted() {
        let tally = count(
            "test result: ok. 4 passed; 0 failed; 0 ignored;\n\
             test result: FAILED. 2 passed; 1 failed; 0 ignored;\n\
             \u{20}    Summary [  12.3s] 40 tests run: 39 passed, 1 failed, 0 skipped",
        );
        assert_eq!((tally.passed, tally.failed), (45, 2));
    }
}

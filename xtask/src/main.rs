//! The project's own commands: `cargo xtask check|test|bench|fuzz|soak|demo-data`.

#![expect(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "a command line prints"
)]

mod bench;
mod check;
mod demo_data;
mod fuzz;
mod run;
mod soak;
mod test;

use std::process::ExitCode;

use crate::run::{Outcome, root};

const USAGE: &str = "usage: cargo xtask COMMAND\n\
    \n  check          formatting, lints, docs, crate directions, file sizes, words, licences, generated files\
    \n  test           installs what tests need, then check, all tests, cross-checks; ends with one line\
    \n  bench [--only PART] measures beside general-purpose peers, holds calibration to its bounds, writes\
    \n                 BENCHMARKS.md; PART is programs, science, live or calibration\
    \n  fuzz [SECONDS] coverage-guided fuzzing of every reader (needs cargo-fuzz)\
    \n  soak           200 kills of an import, long seeded fuzzing, 300 waves with faults\
    \n  demo-data      makes demo/ anew from its seed";

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let done: Outcome = match words.first().map(String::as_str) {
        Some("check") => check::run(),
        Some("test") => test::run(),
        Some("bench") => bench::run(words.get(1..).unwrap_or_default()),
        Some("fuzz") => fuzz::run(words.get(1)),
        Some("soak") => soak::run(),
        Some("demo-data") => demo_data::write(&root().join("demo")).map_err(|e| e.to_string()),
        _ => Err(USAGE.to_owned()),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            eprintln!("\n{message}");
            ExitCode::FAILURE
        }
    }
}

//! The command line: parse, call, print. Everything that is computed lives in the other crates.

#![expect(clippy::print_stderr, reason = "this is the crate that prints")]

mod cli;
mod commands;
mod failure;
mod places;
mod print;
mod world;

use std::process::ExitCode;
use std::sync::Mutex;

use clap::Parser;

use crate::failure::Failure;

/// A bug of ours.
const BUG: u8 = 70;

/// What the last panic said. Readers of hostile files catch panics of their libraries and go on,
/// so only a panic that reaches `main` is shown.
static PANIC: Mutex<Option<String>> = Mutex::new(None);

fn main() -> ExitCode {
    std::panic::set_hook(Box::new(|info| {
        if let Ok(mut last) = PANIC.lock() {
            *last = Some(info.to_string());
        }
    }));
    let args = cli::Args::parse();
    let json = args.json;
    match std::panic::catch_unwind(|| commands::run(args)) {
        Err(_) => {
            let said = PANIC
                .lock()
                .ok()
                .and_then(|mut last| last.take())
                .unwrap_or_default();
            eprintln!(
                "plimsoll met a fault of its own: {said}\n\
                 Nothing half done was kept. Please report this with the command you ran."
            );
            ExitCode::from(BUG)
        }
        Ok(Ok(found)) => ExitCode::from(u8::from(found.needs_a_person())),
        Ok(Err(failure)) => report(&failure, json),
    }
}

/// Prints a failure where a person or a program expects it.
fn report(failure: &Failure, json: bool) -> ExitCode {
    if failure.is_closed_pipe() {
        return ExitCode::SUCCESS;
    }
    if json {
        // A reader that went away does not change what happened.
        let _ = print::json(&failure.to_json());
    } else {
        eprintln!("{failure}");
    }
    ExitCode::from(2)
}

//! The project's own commands: `cargo xtask check|test|bench|fuzz|soak|demo-data`.

#![expect(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "a command line prints"
)]

mod demo_data;

use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Returns the repository's folder.
fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let done = match words.first().map(String::as_str) {
        Some("demo-data") => demo_data::write(&root().join("demo")).map_err(|e| e.to_string()),
        _ => Err("usage: cargo xtask demo-data".to_owned()),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            eprintln!("{message}");
            println!();
            ExitCode::from(2)
        }
    }
}

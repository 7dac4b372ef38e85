//! `cargo xtask fuzz [SECONDS]`: coverage-guided fuzzing of every reader, with cargo-fuzz.

use crate::run::{Outcome, is_there, program, root, step, text};

/// Seconds for each target when none are given.
const SECONDS: u32 = 60;

/// Fuzzes every target in turn.
pub fn run(seconds: Option<&String>) -> Outcome {
    let seconds: u32 = match seconds {
        None => SECONDS,
        Some(written) => written
            .parse()
            .map_err(|_| format!("`{written}` is not a number of seconds"))?,
    };
    if !is_there("cargo", &["fuzz", "--version"]) {
        return Err(
            "cargo-fuzz is missing: `cargo install cargo-fuzz --locked`, then run this \
                    again; the seeded fuzzing of `cargo xtask test` needs nothing"
                .to_owned(),
        );
    }
    let list = text("cargo fuzz list", &mut with_fuzz(&["fuzz", "list"]))?;
    for name in list.split_whitespace() {
        let most = format!("-max_total_time={seconds}");
        let args = [
            "fuzz",
            "run",
            name,
            "--",
            &most,
            "-rss_limit_mb=2048",
            "-timeout=20",
        ];
        step(
            &format!("fuzzing {name} for {seconds} s"),
            &mut with_fuzz(&args),
        )?;
    }
    Ok(())
}

/// Returns cargo in the fuzzing crate, on the stable toolchain.
fn with_fuzz(args: &[&str]) -> std::process::Command {
    let mut command = program("cargo", args);
    command
        .current_dir(root().join("fuzz"))
        .env("RUSTC_BOOTSTRAP", "1");
    command
}

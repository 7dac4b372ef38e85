//! Running other programs, in the repository's folder, with their words when they fail.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::time::Instant;

/// A step's end: nothing to say, or what went wrong.
pub type Outcome = Result<(), String>;

/// Returns the repository's folder.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .parent()
        .map(Path::to_owned)
        .unwrap_or_default()
}

/// Returns the folder for what the commands make.
pub fn target() -> PathBuf {
    std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| root().join("target"), PathBuf::from)
}

/// Returns cargo, with the target folder this process was built in.
pub fn cargo(args: &[&str]) -> Command {
    let mut command = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    command.current_dir(root()).args(args);
    command
}

/// Returns a program in the repository's folder.
pub fn program(name: impl AsRef<std::ffi::OsStr>, args: &[&str]) -> Command {
    let mut command = Command::new(name);
    command.current_dir(root()).args(args);
    command
}

/// Runs a step, showing what it prints, and says how long it took.
pub fn step(name: &str, command: &mut Command) -> Outcome {
    println!("── {name}");
    let begun = Instant::now();
    let status = command
        .status()
        .map_err(|e| format!("{name}: could not start: {e}"))?;
    println!("── {name}: {:.0} s", begun.elapsed().as_secs_f64());
    if status.success() {
        Ok(())
    } else {
        Err(format!("{name} failed ({status})"))
    }
}

/// Runs a program and returns what it printed.
pub fn output(name: &str, command: &mut Command) -> Result<Output, String> {
    command
        .output()
        .map_err(|e| format!("{name}: could not start: {e}"))
}

/// Runs a program and returns its standard output as text, or why there is none.
pub fn text(name: &str, command: &mut Command) -> Result<String, String> {
    let out = output(name, command)?;
    if !out.status.success() {
        return Err(format!(
            "{name} failed: {}",
            String::from_utf8_lossy(&out.stderr)
        ));
    }
    String::from_utf8(out.stdout).map_err(|e| format!("{name}: {e}"))
}

/// Returns whether a program can be started.
pub fn is_there(name: &str, args: &[&str]) -> bool {
    Command::new(name)
        .args(args)
        .output()
        .is_ok_and(|o| o.status.success())
}

/// Returns the files that git tracks or would track, by their path in the repository.
pub fn files() -> Result<Vec<String>, String> {
    let args = [
        "ls-files",
        "--cached",
        "--others",
        "--exclude-standard",
        "-z",
    ];
    let list = text("git ls-files", &mut program("git", &args))?;
    let mut names: Vec<String> = list
        .split('\0')
        .filter(|n| !n.is_empty())
        .map(str::to_owned)
        .collect();
    names.retain(|n| root().join(n).is_file());
    names.sort();
    names.dedup();
    Ok(names)
}

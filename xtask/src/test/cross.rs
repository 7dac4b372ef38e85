//! Checks by programs in other languages: each script of `scripts/cross` is one check.

use std::path::Path;

use super::Tally;
use crate::run::{program, root, target};

/// Runs every script with the binary in `PLIMSOLL`.
pub fn run(python: &Path) -> Result<Tally, String> {
    let folder = root().join("scripts/cross");
    let entries = std::fs::read_dir(&folder).map_err(|e| format!("scripts/cross: {e}"))?;
    let mut scripts: Vec<_> = entries.filter_map(|e| e.ok().map(|e| e.path())).collect();
    scripts.retain(|p| p.extension().is_some_and(|e| e == "py"));
    scripts.sort();
    let mut tally = Tally::default();
    for script in scripts {
        let name = script
            .file_stem()
            .map(|n| n.to_string_lossy().into_owned())
            .unwrap_or_default();
        println!("── cross-check {name}");
        let mut command = program(python, &[]);
        command
            .arg(&script)
            .env("PLIMSOLL", target().join("debug/plimsoll"));
        let status = command.status().map_err(|e| format!("{name}: {e}"))?;
        if status.success() {
            tally.passed += 1;
        } else {
            println!("── cross-check {name} failed");
            tally.failed += 1;
        }
    }
    if tally.passed + tally.failed == 0 {
        return Err("scripts/cross holds no check".to_owned());
    }
    Ok(tally)
}

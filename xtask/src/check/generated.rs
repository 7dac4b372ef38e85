//! Generated files are what their generators make.

use crate::demo_data;
use crate::run::{Outcome, program, root, text};

/// Makes everything generated anew and compares with what is there.
pub fn check() -> Outcome {
    let before = state()?;
    demo_data::write(&root().join("demo")).map_err(|e| format!("demo data: {e}"))?;
    if state()? == before {
        println!("── generated files: as their generators make them");
        return Ok(());
    }
    Err("demo/ is not what `cargo xtask demo-data` makes; commit what it made now".to_owned())
}

/// Returns what git says of the generated folder, and a digest of its files.
fn state() -> Result<String, String> {
    let args = [
        "-c",
        "core.quotepath=false",
        "ls-files",
        "-s",
        "-o",
        "-m",
        "--",
        "demo",
    ];
    let listed = text("git ls-files", &mut program("git", &args))?;
    let hashed = text(
        "git hash-object",
        &mut program(
            "sh",
            &[
                "-c",
                "git ls-files -co -z -- demo | xargs -0 git hash-object",
            ],
        ),
    )?;
    Ok(format!("{listed}{hashed}"))
}

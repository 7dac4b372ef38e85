//! `cargo xtask check`: what must hold before anything is tested.

mod directions;
mod generated;
mod licences;
mod purity;
mod sizes;
mod words;

use crate::run::{Outcome, cargo, step};

/// Runs every check; stops at the first that fails.
pub fn run() -> Outcome {
    step("format", &mut cargo(&["fmt", "--all", "--check"]))?;
    directions::check()?;
    licences::check()?;
    sizes::check()?;
    words::check()?;
    purity::check()?;
    step(
        "lints",
        &mut cargo(&[
            "clippy",
            "--workspace",
            "--all-targets",
            "--quiet",
            "--",
            "-D",
            "warnings",
        ]),
    )?;
    let mut docs = cargo(&[
        "doc",
        "--workspace",
        "--no-deps",
        "--document-private-items",
        "--quiet",
    ]);
    docs.env(
        "RUSTDOCFLAGS",
        "-D warnings -A rustdoc::private_intra_doc_links",
    );
    step("documentation", &mut docs)?;
    generated::check()
}

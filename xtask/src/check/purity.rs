//! Only the command line (and later the pages) reads the clock and the environment, and prints.

use crate::run::{Outcome, files, root};

/// What only those crates may call.
const KEPT: [&str; 8] = [
    "SystemTime::now",
    "Instant::now()",
    "Timestamp::now",
    "ZonedDateTime::now",
    "std::env::var",
    "env::args",
    "println!(",
    "Uuid::now_v7",
];
/// The crates that may.
const MAY: [&str; 2] = ["crates/plimsoll/", "crates/site/"];

/// Checks the sources of every other crate, tests left out.
pub fn check() -> Outcome {
    let mut wrong = Vec::new();
    for name in files()? {
        let source = name.starts_with("crates/") && name.contains("/src/") && name.ends_with(".rs");
        if !source || MAY.iter().any(|m| name.starts_with(m)) {
            continue;
        }
        let text =
            std::fs::read_to_string(root().join(&name)).map_err(|e| format!("{name}: {e}"))?;
        wrong.extend(found(&name, &text));
    }
    if wrong.is_empty() {
        println!("── purity: no clock, environment or printing outside the command line");
        return Ok(());
    }
    Err(format!(
        "only the command line may do this:\n  {}",
        wrong.join("\n  ")
    ))
}

/// Returns each line of a source, its unit tests and comments left out, that calls what is kept.
fn found(name: &str, text: &str) -> Vec<String> {
    let body = text.split("#[cfg(test)]\nmod ").next().unwrap_or("");
    (1..)
        .zip(body.lines())
        .filter(|(_, line)| !line.trim_start().starts_with("//"))
        .filter_map(|(n, line)| {
            let word = KEPT.iter().find(|k| line.contains(**k))?;
            Some(format!("{name}:{n}: {word}"))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_clock_is_found_and_a_comment_is_not() {
        let text = "// SystemTime::now\nlet t = SystemTime::now();\n#[cfg(test)]\nmod tests { println!(); }";
        assert_eq!(found("a.rs", text), ["a.rs:2: SystemTime::now"]);
    }
}

//! Words that may not stand in the repository: brand-like names, machine paths, download addresses.

use crate::run::{Outcome, files, root};

/// Returns the forbidden words, put together here so that this file does not hold them.
fn forbidden() -> Vec<String> {
    [
        ["yo", "yo"].join("-"),
        ["yo", "yo"].concat(),
        ["ble", "ep"].concat(),
        ["be", "ep test"].concat(),
        ["fitness", "gram"].concat(),
        ["/wo", "rk/"].concat(),
        ["/ro", "ot/"].concat(),
        ["seed ", "document"].concat(),
        ["sub", "agent"].concat(),
        ["index.", "crates.io"].concat(),
        ["registry.", "npmjs"].concat(),
    ]
    .to_vec()
}

/// Endings of files that hold words.
const READ: [&str; 14] = [
    "rs", "toml", "md", "csv", "typ", "py", "sh", "json", "txt", "case", "sql", "yml", "html", "js",
];

/// Checks every file that git tracks or would track.
pub fn check() -> Outcome {
    let forbidden = forbidden();
    let mut wrong = Vec::new();
    let mut read = 0;
    for name in files()? {
        let ending = name.rsplit_once('.').map_or("", |(_, e)| e);
        let plain = READ.contains(&ending) || name.starts_with(".ci/");
        let Some(bytes) = plain
            .then(|| std::fs::read(root().join(&name)).ok())
            .flatten()
        else {
            continue;
        };
        read += 1;
        let text = String::from_utf8_lossy(&bytes);
        wrong.extend(found(&name, &text, &forbidden));
    }
    if wrong.is_empty() {
        println!("── words: {read} files, nothing that may not stand there");
        return Ok(());
    }
    Err(format!(
        "words and paths that may not stand in the repository:\n  {}",
        wrong.join("\n  ")
    ))
}

/// Returns each line with a forbidden word.
fn found(name: &str, text: &str, forbidden: &[String]) -> Vec<String> {
    let mut out = Vec::new();
    for (n, line) in (1..).zip(text.lines()) {
        let lower = line.to_lowercase();
        if let Some(word) = forbidden.iter().find(|w| lower.contains(w.as_str())) {
            out.push(format!("{name}:{n}: `{word}`"));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_forbidden_word_is_found_with_its_line() {
        let text = format!("fine\nthe {}\n", forbidden()[2].to_uppercase());
        assert_eq!(found("a.md", &text, &forbidden()).len(), 1);
        assert!(found("a.md", &text, &forbidden())[0].starts_with("a.md:2"));
        assert!(found("a.md", "shuttle, bout, stage", &forbidden()).is_empty());
    }
}

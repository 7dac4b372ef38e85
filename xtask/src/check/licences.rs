//! Licences and bans of everything that is compiled, against the list in `deny.toml`.

use std::collections::BTreeSet;

use cargo_metadata::MetadataCommand;

use crate::run::{Outcome, root};

/// Checks every package of the lock file.
pub fn check() -> Outcome {
    let text =
        std::fs::read_to_string(root().join("deny.toml")).map_err(|e| format!("deny.toml: {e}"))?;
    let allowed = quoted_after(&text, "allow = [");
    let banned = quoted_after(&text, "deny = [");
    let metadata = MetadataCommand::new()
        .current_dir(root())
        .exec()
        .map_err(|e| format!("cargo metadata: {e}"))?;
    let mut wrong = Vec::new();
    for package in metadata.packages.iter().filter(|p| p.source.is_some()) {
        if banned.contains(package.name.as_str()) {
            wrong.push(format!("{} is banned in deny.toml", package.name));
        }
        let licence = package.license.clone().unwrap_or_default();
        if !is_allowed(&licence, &allowed) {
            wrong.push(format!(
                "{} {}: licence `{licence}`",
                package.name, package.version
            ));
        }
    }
    if wrong.is_empty() {
        println!(
            "── licences: {} packages, all on the list of deny.toml",
            metadata.packages.len()
        );
        return Ok(());
    }
    Err(format!(
        "licences and bans (deny.toml):\n  {}",
        wrong.join("\n  ")
    ))
}

/// Returns the quoted words of a list that begins with `opening`.
fn quoted_after(text: &str, opening: &str) -> BTreeSet<String> {
    let list = text
        .split_once(opening)
        .and_then(|(_, rest)| rest.split_once(']'));
    let words = list.map_or("", |(list, _)| list);
    words
        .split('"')
        .skip(1)
        .step_by(2)
        .map(str::to_owned)
        .collect()
}

/// Returns whether a licence expression can be met from the list: AND needs all, OR needs one.
fn is_allowed(expression: &str, allowed: &BTreeSet<String>) -> bool {
    let plain = expression.replace('/', " OR ").replace(['(', ')'], " ");
    let one = |licence: &str| allowed.contains(licence.trim());
    // Without nesting deeper than one level: (a OR b) AND c, or a AND b OR c, is met if every
    // AND part has a choice on the list, or every part of one choice is.
    let by_parts = plain.split(" AND ").all(|part| part.split(" OR ").any(one));
    let by_choices = plain
        .split(" OR ")
        .any(|choice| choice.split(" AND ").all(one));
    !plain.trim().is_empty() && (by_parts || by_choices)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn expressions_are_met_or_not() {
        let allowed: BTreeSet<String> = ["MIT", "Apache-2.0", "BSD-3-Clause"]
            .map(str::to_owned)
            .into();
        for fine in [
            "MIT",
            "GPL-3.0 OR MIT",
            "MIT/Apache-2.0",
            "(Apache-2.0 OR MIT) AND BSD-3-Clause",
        ] {
            assert!(is_allowed(fine, &allowed), "{fine}");
        }
        for bad in ["", "GPL-3.0", "MIT AND GPL-3.0", "LGPL-3.0"] {
            assert!(!is_allowed(bad, &allowed), "{bad}");
        }
        assert_eq!(
            quoted_after("x\nallow = [\"A\",\n \"B\"]", "allow = [").len(),
            2
        );
    }
}

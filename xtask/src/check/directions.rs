//! Which crate may depend on which: no arrow runs back and none runs sideways.

use std::collections::BTreeMap;

use cargo_metadata::{DependencyKind, MetadataCommand};

use crate::run::{Outcome, root};

/// The tier of each crate: a crate may depend on crates of lower tiers only. `measure` stands alone
/// beside `ladder`; `xtask` and the fuzzing targets are tools and free.
const TIERS: [(&str, u8); 15] = [
    ("plimsoll-ladder", 0),
    ("plimsoll-measure", 0),
    ("plimsoll-pitch", 0),
    ("plimsoll-judge", 1),
    ("plimsoll-sound", 1),
    ("plimsoll-archive", 2),
    ("plimsoll-examine", 2),
    ("plimsoll-interpret", 2),
    ("plimsoll-listen", 2),
    ("plimsoll-report", 2),
    ("plimsoll-trace", 2),
    ("plimsoll-desk", 3),
    ("plimsoll-site", 4),
    ("plimsoll", 5),
    ("plimsoll-fuzz-targets", 9),
];

/// Only these may see `measure`, which knows no domain: they turn results into plain numbers and back.
const MAY_MEASURE: [&str; 4] = [
    "plimsoll-desk",
    "plimsoll-interpret",
    "plimsoll-listen",
    "plimsoll-trace",
];

/// Checks the workspace.
pub fn check() -> Outcome {
    let metadata = MetadataCommand::new()
        .current_dir(root())
        .no_deps()
        .exec()
        .map_err(|e| format!("cargo metadata: {e}"))?;
    let mut edges = Vec::new();
    for package in &metadata.packages {
        for dependency in &package.dependencies {
            if dependency.name.starts_with("plimsoll") && dependency.kind == DependencyKind::Normal
            {
                edges.push((package.name.to_string(), dependency.name.clone()));
            }
        }
    }
    let wrong = wrong_arrows(&edges);
    if wrong.is_empty() {
        println!("── directions: {} arrows, all downward", edges.len());
        return Ok(());
    }
    Err(format!(
        "crate directions (see ARCHITECTURE.md):\n  {}",
        wrong.join("\n  ")
    ))
}

/// Returns what is wrong with a list of (from, to).
fn wrong_arrows(edges: &[(String, String)]) -> Vec<String> {
    let tiers: BTreeMap<&str, u8> = TIERS.into_iter().collect();
    let mut wrong = Vec::new();
    for (from, to) in edges.iter().filter(|(from, _)| from != "xtask") {
        match (tiers.get(from.as_str()), tiers.get(to.as_str())) {
            (Some(a), Some(b)) if a > b => {}
            (Some(_), Some(_)) => wrong.push(format!("{from} → {to} runs back or sideways")),
            _ => wrong.push(format!("{from} → {to}: give the new crate a tier in xtask")),
        }
        if to == "plimsoll-measure"
            && !MAY_MEASURE.contains(&from.as_str())
            && tiers.get(from.as_str()).is_none_or(|t| *t < 9)
        {
            wrong.push(format!(
                "{from} → {to}: numbers reach it through interpret or desk"
            ));
        }
    }
    wrong
}

#[cfg(test)]
mod tests {
    use super::*;

    fn edge(from: &str, to: &str) -> (String, String) {
        (format!("plimsoll-{from}"), format!("plimsoll-{to}"))
    }

    #[test]
    fn arrows_that_run_back_or_sideways_are_named() {
        let wrong = wrong_arrows(&[
            edge("judge", "ladder"),
            edge("ladder", "judge"),
            edge("archive", "report"),
            edge("archive", "measure"),
            edge("nowhere", "ladder"),
        ]);
        assert_eq!(wrong.len(), 4, "{wrong:?}");
        assert!(wrong[0].starts_with("plimsoll-ladder → plimsoll-judge"));
    }
}

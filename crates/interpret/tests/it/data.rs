//! The built-in data: complete, tagged, and clear of names that may not be used.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use plimsoll_interpret::data::{ErrorUse, Origin, Statistic};
use plimsoll_interpret::{Catalogue, Confidence};

use crate::catalogue;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../references")
}

fn files() -> Vec<(String, String)> {
    let mut found = Vec::new();
    let mut open = vec![folder()];
    while let Some(dir) = open.pop() {
        for entry in std::fs::read_dir(dir).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                open.push(path);
            } else {
                let name = path.strip_prefix(folder()).expect("inside");
                let name = name.to_str().expect("UTF-8").replace('\\', "/");
                found.push((name, std::fs::read_to_string(&path).expect("a text")));
            }
        }
    }
    found.sort();
    found
}

/// The list compiled in and the folder hold the same files: loading either gives the same.
#[test]
fn the_folder_and_the_build_hold_the_same() {
    let files = files();
    let mut from_folder = Catalogue::default();
    let pairs = files
        .iter()
        .map(|(name, text)| (name.as_str(), text.as_str()));
    from_folder.add(pairs).expect("the folder loads");
    let built_in = catalogue();
    assert_eq!(from_folder.populations.len(), built_in.populations.len());
    assert_eq!(from_folder.studies.len(), built_in.studies.len());
    assert_eq!(from_folder.effects, built_in.effects);
    assert_eq!(from_folder.works, built_in.works);
    assert_eq!(from_folder.equations, built_in.equations);
    assert_eq!(from_folder.scales, built_in.scales);
    assert_eq!(from_folder.defaults, built_in.defaults);
    for (a, b) in from_folder.populations.iter().zip(&built_in.populations) {
        assert_eq!(a.rows, b.rows);
        assert_eq!(a.provenance.origin, Origin::User);
        assert_eq!(b.provenance.origin, Origin::BuiltIn);
    }
    for (a, b) in from_folder.studies.iter().zip(&built_in.studies) {
        assert_eq!(a.rows, b.rows);
    }
}

/// Source: the project's reference notes: 46 + 28 + 7 + 89 rows of populations, 129 rows of
/// reliability, 34 effects, 112 works, 37 equations.
#[test]
fn no_row_was_lost() {
    let all = catalogue();
    let populations: usize = all.populations.iter().map(|p| p.rows.len()).sum();
    let reliability: usize = all.studies.iter().map(|s| s.rows.len()).sum();
    assert_eq!(populations, 46 + 28 + 7 + 89);
    assert_eq!(reliability, 129);
    assert_eq!(all.effects.len(), 34);
    assert_eq!(all.works.len(), 112);
    assert_eq!(all.equations.len(), 37);
}

/// Source: the counts of each tag in the reference notes. There "source read" means that the
/// abstract or opening was read, which has a tag of its own here.
#[test]
fn no_tag_was_lost() {
    let all = catalogue();
    let count = |wanted| {
        let rows = all
            .populations
            .iter()
            .flat_map(|p| &p.rows)
            .map(|r| r.confidence);
        let more = all
            .studies
            .iter()
            .flat_map(|s| &s.rows)
            .map(|r| r.confidence);
        let effects = all.effects.iter().map(|e| e.confidence);
        let equations = all.equations.iter().map(|e| e.confidence);
        rows.chain(more)
            .chain(effects)
            .chain(equations)
            .filter(|&tag| tag == wanted)
            .count()
    };
    let tags = Confidence::ALL.map(count);
    assert_eq!(tags, EXPECTED_TAGS, "in the order of Confidence::ALL");
}

/// Read in full, abstract, secondary, derived, common practice, from memory.
const EXPECTED_TAGS: [usize; 6] = [0, 195, 9, 0, 0, 166];

#[test]
fn every_number_says_where_it_comes_from() {
    let all = catalogue();
    for population in &all.populations {
        assert!(
            !population.provenance.licence.is_empty(),
            "{}",
            population.provenance.id
        );
        for row in &population.rows {
            assert!(
                !row.source.is_empty(),
                "{}: {row:?}",
                population.provenance.id
            );
        }
    }
    for equation in &all.equations {
        assert!(
            !equation.source.is_empty() && !equation.licence.is_empty(),
            "{}",
            equation.id
        );
        assert_eq!(
            equation.see.is_some(),
            equation.see_confidence.is_some(),
            "{}",
            equation.id
        );
    }
    for study in &all.studies {
        assert!(!study.provenance.source.is_empty() && !study.provenance.read.is_empty());
    }
}

/// Ids of tests are those of the definitions.
#[test]
fn every_test_named_has_a_definition() {
    let known: BTreeSet<String> = std::fs::read_dir(folder().join("../protocols"))
        .expect("the definitions")
        .filter_map(|entry| {
            let path = entry.expect("an entry").path();
            path.file_stem()
                .map(|stem| stem.to_string_lossy().into_owned())
        })
        .collect();
    let all = catalogue();
    let mut named: BTreeSet<&str> = BTreeSet::new();
    named.extend(
        all.populations
            .iter()
            .flat_map(|p| &p.rows)
            .map(|r| r.test.as_str()),
    );
    named.extend(
        all.studies
            .iter()
            .flat_map(|s| &s.rows)
            .flat_map(|r| &r.tests)
            .map(String::as_str),
    );
    named.extend(all.scales.iter().map(|s| s.test.as_str()));
    named.extend(all.defaults.iter().map(|d| d.test.as_str()));
    named.extend(
        all.equations
            .iter()
            .flat_map(|e| &e.tests)
            .map(String::as_str),
    );
    // Measured on a treadmill, so no definition of a field test.
    named.remove("vo2max_treadmill");
    for test in named {
        assert!(known.contains(test), "no definition for `{test}`");
    }
}

/// Nicknames and programme names stand nowhere in the data. Pieces keep them out of this file.
#[test]
fn no_forbidden_names() {
    let words = [
        ["yo", "yo"].concat(),
        ["yo-", "yo"].concat(),
        ["ble", "ep"].concat(),
        ["be", "ep"].concat(),
        ["vi", "ft"].concat(),
        ["ms", "ft"].concat(),
        ["pac", "er"].concat(),
        ["fitness", "gram"].concat(),
    ];
    let files = files();
    assert!(files.len() > 100);
    for (name, text) in files {
        let text = format!("{name}\n{text}").to_lowercase();
        for word in &words {
            assert!(!text.contains(word.as_str()), "{name} holds `{word}`");
        }
    }
}

/// Source: SD = SEM x root n, with SEM and n as printed: Krustrup 2006 (43, 13), Mohr & Krustrup
/// 2013 (42, 19), Mohr 2003 (80, 18 and 60, 24).
#[test]
fn standard_errors_were_converted() {
    let all = catalogue();
    let mut found: Vec<(f64, f64)> = all
        .populations
        .iter()
        .flat_map(|p| &p.rows)
        .filter_map(|row| match row.statistic {
            Statistic::Mean {
                sd: Some(sd),
                sem: Some(sem),
                sd_from_sem: true,
                ..
            } => Some((sem, sd)),
            _ => None,
        })
        .collect();
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    let want = [(42.0, 183.0), (43.0, 155.0), (60.0, 294.0), (80.0, 339.0)];
    assert_eq!(found.len(), want.len());
    for ((sem, sd), (want_sem, printed)) in found.into_iter().zip(want) {
        assert_eq!(sem, want_sem);
        assert!((sd - printed).abs() < 0.5, "SEM {sem}: {sd} v {printed}");
    }
}

/// A row with SEM but no n has no SD: none is made up.
#[test]
fn a_standard_error_without_n_gives_no_sd() {
    let all = catalogue();
    let without: Vec<_> = all
        .populations
        .iter()
        .flat_map(|p| &p.rows)
        .filter(|row| row.n.is_none())
        .filter_map(|row| match row.statistic {
            Statistic::Mean {
                sd, sem: Some(_), ..
            } => Some(sd),
            _ => None,
        })
        .collect();
    assert_eq!(without, [None, None]);
}

/// Rows that carry an error have it as a number above 0.
#[test]
fn usable_errors_are_numbers() {
    let all = catalogue();
    let usable: Vec<_> = all
        .studies
        .iter()
        .flat_map(|s| &s.rows)
        .filter(|r| matches!(r.use_as, ErrorUse::CvPercent | ErrorUse::Error))
        .collect();
    assert!(usable.len() > 40, "{}", usable.len());
    for row in usable {
        let (low, high) = row.range.expect("a number");
        assert!(low > 0.0 && low <= high, "{row:?}");
    }
}

//! Runs `tests/corpus/*.case`: one text file a case, a definition in, its cues or its errors out.
//! The format is described in `tests/corpus/README.md`.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use plimsoll_ladder::Catalogue;

/// The three parts of a case.
struct Case {
    definition: String,
    expect: Expect,
}

enum Expect {
    Cues(String),
    Error(String),
}

fn read(path: &Path) -> Case {
    let text = std::fs::read_to_string(path).expect("case file");
    let name = path.display();
    let (_, rest) = text
        .split_once("--- definition\n")
        .unwrap_or_else(|| panic!("{name}: no `--- definition`"));
    if let Some((definition, cues)) = rest.split_once("--- cues\n") {
        return Case {
            definition: definition.to_owned(),
            expect: Expect::Cues(cues.to_owned()),
        };
    }
    let (definition, error) = rest
        .split_once("--- error\n")
        .unwrap_or_else(|| panic!("{name}: no `--- cues` or `--- error`"));
    Case {
        definition: definition.to_owned(),
        expect: Expect::Error(error.to_owned()),
    }
}

/// Cues as the corpus writes them: seconds to the nanosecond, kind, label.
fn cues(catalogue: &Catalogue) -> String {
    let mut out = String::new();
    for test in catalogue.iter().filter(|t| !t.is_built_in()) {
        for cue in test.cues() {
            let nanos = cue.at.as_nanos();
            let (s, ns) = (nanos / 1_000_000_000, nanos % 1_000_000_000);
            writeln!(out, "{s}.{ns:09} {} {}", cue.kind, cue.label).expect("write to a string");
        }
    }
    out
}

fn cases() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/corpus");
    let mut list: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("folder")
        .map(|e| e.expect("entry").path())
        .filter(|p| p.extension().is_some_and(|e| e == "case"))
        .collect();
    list.sort();
    list
}

#[test]
fn every_case_gives_what_it_says() {
    let list = cases();
    assert!(list.len() >= 20, "only {} cases", list.len());
    let mut wrong = String::new();
    for path in list {
        let case = read(&path);
        let got = Catalogue::with_user_files(&[("case.toml".to_owned(), case.definition)]);
        let (got, want) = match (got, case.expect) {
            (Ok(catalogue), Expect::Cues(want)) => (cues(&catalogue), want),
            (Ok(catalogue), Expect::Error(want)) => {
                (format!("no error, but\n{}", cues(&catalogue)), want)
            }
            (Err(error), Expect::Cues(want) | Expect::Error(want)) => (error.to_string(), want),
        };
        if got.trim() != want.trim() {
            writeln!(
                wrong,
                "== {}\n-- got\n{got}\n-- expected\n{want}",
                path.display()
            )
            .expect("string");
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

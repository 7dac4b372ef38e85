//! Every fixture of the catalogue shows exactly its fault, in the rows listed, and its clean twin none.

use std::collections::BTreeSet;
use std::path::Path;

use plimsoll_examine::{Code, Examination, Options, RowVerdict, examine_path};

use crate::support::{catalogue, context, fixtures, keep};

/// Examines a fixture with the context file beside it, if there is one.
pub fn examine(path: &Path) -> Examination<'static> {
    let sidecar = path.with_extension("context.json");
    let mut options = Options::new(catalogue());
    if sidecar.exists() {
        let json = std::fs::read_to_string(&sidecar).expect("readable");
        let (test, context) = context(&serde_json::from_str(&json).expect("JSON"));
        options.test = test;
        options.context = context;
    }
    examine_path(path, keep(options)).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// Returns file name and path of every sheet.
fn sheets() -> Vec<(String, std::path::PathBuf)> {
    let mut list: Vec<_> = std::fs::read_dir(fixtures())
        .expect("the fixtures folder")
        .map(|entry| entry.expect("readable").path())
        .filter(|p| {
            let ext = p.extension().and_then(|e| e.to_str());
            matches!(ext, Some("csv" | "xlsx" | "ods"))
        })
        .map(|p| {
            (
                p.file_name()
                    .expect("a name")
                    .to_string_lossy()
                    .into_owned(),
                p,
            )
        })
        .filter(|(name, _)| name.starts_with(|c: char| c.is_ascii_digit()))
        .collect();
    list.sort();
    list
}

/// Returns the code that a fixture's name starts with.
fn code_of(name: &str) -> Code {
    let (number, rest) = name.split_once('-').expect("NN-code");
    let code = Code::ALL
        .iter()
        .copied()
        .filter(|c| rest.starts_with(c.as_str()))
        .max_by_key(|c| c.as_str().len())
        .unwrap_or_else(|| panic!("{name} names no code"));
    assert_eq!(number, format!("{:02}", code.catalogue_number()), "{name}");
    code
}

/// The rows in which each faulty fixture shows its fault.
fn expected() -> Vec<(String, String)> {
    let text = std::fs::read_to_string(fixtures().join("expected-rows.txt")).expect("readable");
    text.lines()
        .filter(|l| !l.starts_with('#') && !l.is_empty())
        .map(|l| {
            let (name, rows) = l.split_once(": ").expect("name: rows");
            (name.to_owned(), rows.to_owned())
        })
        .collect()
}

#[test]
fn every_faulty_sheet_shows_exactly_its_fault() {
    let expected = expected();
    let mut seen: BTreeSet<Code> = BTreeSet::new();
    for (name, path) in sheets().into_iter().filter(|(n, _)| !n.contains(".clean.")) {
        let code = code_of(&name);
        let examination = examine(&path);
        let report = &examination.report;
        let found: BTreeSet<&str> = report.findings.iter().map(|f| f.code.as_str()).collect();
        assert_eq!(found, BTreeSet::from([code.as_str()]), "{name}");
        seen.insert(code);
        let rows: Vec<String> = report
            .findings
            .iter()
            .map(|f| {
                f.rows
                    .as_ref()
                    .map_or_else(|| f.row.to_string(), ToString::to_string)
            })
            .collect();
        let wanted = expected.iter().find(|(n, _)| *n == name);
        let wanted = wanted.unwrap_or_else(|| panic!("{name} is not in expected-rows.txt"));
        assert_eq!(rows.join("; "), wanted.1, "{name}");
        for finding in &report.findings {
            assert!(
                finding.message.contains(&finding.column),
                "{name}: {}",
                finding.message
            );
            assert!(finding.message.contains(&finding.row.to_string()), "{name}");
            for part in [
                &finding.column,
                &finding.found,
                &finding.allowed,
                &finding.suggestion,
            ] {
                assert!(!part.is_empty(), "{name}: an empty part in {finding:?}");
            }
            let held = examination
                .rows
                .iter()
                .any(|(row, v)| *row == finding.row && *v == RowVerdict::Held);
            assert_eq!(held, code.holds(), "{name}: row {}", finding.row);
        }
    }
    let missing: Vec<&str> = Code::ALL
        .iter()
        .filter(|c| !seen.contains(c))
        .map(|c| c.as_str())
        .collect();
    assert!(missing.is_empty(), "codes without a fixture: {missing:?}");
}

#[test]
fn every_clean_twin_shows_nothing_and_exists() {
    let sheets = sheets();
    for (name, path) in &sheets {
        if let Some((stem, ext)) = name.rsplit_once('.')
            && !stem.ends_with(".clean")
        {
            let twin = format!("{stem}.clean.{ext}");
            assert!(
                sheets.iter().any(|(n, _)| *n == twin),
                "{name} has no clean twin"
            );
            continue;
        }
        let report = examine(path).report;
        let messages: Vec<&str> = report.findings.iter().map(|f| f.message.as_str()).collect();
        assert!(messages.is_empty(), "{name}: {messages:#?}");
    }
}

/// Whole sentences, so that a change of wording is seen.
#[test]
fn a_message_says_where_what_allowed_and_next() {
    let report = examine(&fixtures().join("01-label-not-on-ladder.csv")).report;
    assert_eq!(
        report.findings[0].message,
        "Row 11, column `level`: the label is not on `ir1`; found `14.9`; allowed: `14.1` to `14.8` \
         in stage 14 of `ir1`. The other columns say `15.1` (800 m); `14.9` exists on msr20 (bout 133, \
         2660 m), msr20_2min (bout 247, 4940 m), msr20_fr (bout 146, 2920 m), msr20_whole (bout 140, \
         2800 m), msr20_whole_jp (bout 140, 2800 m), msr20_preschool (bout 111, 2220 m) and 2 more."
    );
    let report = examine(&fixtures().join("07-ladders-mixed.csv")).report;
    assert_eq!(
        report.findings[0].message,
        "Rows 14-25, column `Level`: from row 14 (2026-03-10) on the rows are those of another ladder; \
         found `ir1` before and `ir2` from there (label `21.2`, distance `840`); allowed: one ladder, \
         or a column that names the test of each row. Import the rows before as `ir1` and these as `ir2`."
    );
    assert_eq!(report.switch_at_row, Some(14));
}

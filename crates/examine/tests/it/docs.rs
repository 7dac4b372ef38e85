//! The documents list every code, field and rule, and nothing that does not exist.

use std::collections::BTreeSet;
use std::path::PathBuf;

use plimsoll_examine::{Code, Field, Rule};

fn doc(name: &str) -> String {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("../../docs")
        .join(name);
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// Returns the words in marks at the start of headings of a level.
fn headings(text: &str, level: &str) -> BTreeSet<String> {
    text.lines()
        .filter_map(|l| l.strip_prefix(level)?.strip_prefix(" `")?.split_once('`'))
        .map(|(code, _)| code.to_owned())
        .collect()
}

#[test]
fn every_code_has_a_section_and_every_section_a_code() {
    let documented = headings(&doc("import-faults.md"), "##");
    let codes: BTreeSet<String> = Code::ALL.iter().map(|c| c.as_str().to_owned()).collect();
    assert_eq!(documented, codes);
}

#[test]
fn every_section_says_how_it_arises_what_to_do_and_its_limits() {
    let text = doc("import-faults.md");
    for code in Code::ALL {
        let start = text
            .find(&format!("## `{}`", code.as_str()))
            .expect("a section");
        let section = text[start + 3..].split("\n## ").next().expect("text");
        for part in ["**Arises**", "**Do**", "**Found by**", "**Limits**"] {
            assert!(section.contains(part), "{}: no {part}", code.as_str());
        }
        let held = if code.holds() {
            "Rows are held."
        } else {
            "Rows are not held."
        };
        assert!(
            section.contains(held),
            "{}: says nothing about holding",
            code.as_str()
        );
        let number = code.catalogue_number();
        if number > 0 {
            assert!(
                section.contains(&format!("Catalogue {number}.")),
                "{}",
                code.as_str()
            );
        }
    }
}

#[test]
fn every_field_and_rule_is_in_the_format_document() {
    let text = doc("formats/sheets.md");
    let rows: BTreeSet<&str> = text
        .lines()
        .filter_map(|l| l.strip_prefix("| `")?.split_once('`'))
        .map(|(word, _)| word)
        .collect();
    for field in Field::ALL.iter().filter(|f| **f != Field::Result) {
        assert!(
            rows.contains(field.as_str()),
            "field `{}` is not documented",
            field.as_str()
        );
    }
    for rule in Rule::ALL {
        assert!(
            rows.contains(rule.as_str()),
            "rule `{}` is not documented",
            rule.as_str()
        );
    }
    for word in rows {
        let known = Field::from_name(word).is_some() || Rule::from_name(word).is_some();
        assert!(known, "`{word}` is documented but does not exist");
    }
}

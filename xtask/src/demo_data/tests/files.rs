//! The committed files are what the seed makes, in the encodings the read-me names, and it lists every wart.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use super::super::club::{PLAYERS, SWAPPED};
use super::super::days::DAYS;
use super::super::sheets::Cell;
use super::super::warts::{Kind, planted};
use super::super::write;
use super::{made, player, shown};

const READ_ME: &str = include_str!("../../../../demo/README.md");

fn committed() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../demo")
}

/// Returns every file below a folder but the read-me, by its path in the folder.
fn files(folder: &Path, below: &Path, into: &mut BTreeMap<PathBuf, Vec<u8>>) {
    for entry in std::fs::read_dir(below).expect("folder") {
        let path = entry.expect("entry").path();
        if path.is_dir() {
            files(folder, &path, into);
        } else if path.file_name().is_some_and(|n| n != "README.md") {
            let name = path.strip_prefix(folder).expect("below").to_owned();
            into.insert(name, std::fs::read(&path).expect("file"));
        }
    }
}

fn all_committed() -> BTreeMap<PathBuf, Vec<u8>> {
    let mut all = BTreeMap::new();
    files(&committed(), &committed(), &mut all);
    all
}

#[test]
fn the_committed_folder_is_what_the_seed_makes() {
    let folder = tempfile::tempdir().expect("folder");
    write(folder.path()).expect("writes");
    let mut new = BTreeMap::new();
    files(folder.path(), folder.path(), &mut new);
    let old = all_committed();
    let names = |m: &BTreeMap<PathBuf, Vec<u8>>| m.keys().cloned().collect::<Vec<_>>();
    assert_eq!(names(&new), names(&old));
    for (name, bytes) in &new {
        assert!(
            old[name] == *bytes,
            "{} differs: run `cargo xtask demo-data`",
            name.display()
        );
    }
}

#[test]
fn files_are_utf_8_with_line_feeds_but_the_borrowed_template_and_the_workbook() {
    for (name, bytes) in all_committed() {
        let name = name.display().to_string();
        if name.ends_with(".xlsx") {
            continue;
        }
        assert!(!bytes.contains(&b'\r'), "{name}");
        assert!(bytes.ends_with(b"\n"), "{name}");
        assert_eq!(
            std::str::from_utf8(&bytes).is_err(),
            name == "days/2026-05-23-ir1.csv",
            "{name}"
        );
    }
    let borrowed = std::fs::read(committed().join("days/2026-05-23-ir1.csv")).expect("file");
    let (text, _, lost) = encoding_rs::WINDOWS_1252.decode(&borrowed);
    assert!(
        !lost && text.contains("Lars Bjørk-Åsen;16,4;1240;"),
        "{text}"
    );
    assert!(text.contains("\nElati Korydallou;") && text.contains("\nKawase Tsubaki;"));
}

#[test]
fn the_read_me_lists_the_planted_rows_and_no_others() {
    let mut planted_at: BTreeSet<(String, String)> = BTreeSet::new();
    let mut at = |file: String, row: String| {
        assert!(
            planted_at.insert((file.clone(), row.clone())),
            "{file} {row}"
        );
    };
    for (day, rows) in made() {
        let file = day.file(day.ending());
        for (i, row) in rows.iter().enumerate() {
            let who = player(day, row);
            let newcomer = who.first_day > 0 && DAYS[who.first_day].on == day.on;
            let kind = planted(day.on, who.name);
            if kind.is_some() || newcomer {
                at(file.clone(), shown(i).to_string());
            }
            if let Some(Kind::Stop(..)) = kind {
                let start = format!("| `{file}` | {} | ", shown(i));
                let line = READ_ME.lines().find(|l| l.starts_with(&start));
                let bound = format!("at least {} m", row.get(Cell::Distance));
                assert!(line.is_some_and(|l| l.contains(&bound)), "{start}{bound}");
            }
        }
        if day.played != "ir1" || day.course_length_m < 19.9 {
            at(file, "all".to_owned());
        }
    }
    let swapped = PLAYERS.iter().position(|p| p.name == SWAPPED);
    at(
        "roster.csv".to_owned(),
        shown(swapped.expect("there")).to_string(),
    );
    at("roster.csv".to_owned(), shown(PLAYERS.len()).to_string());
    let listed: Vec<(String, String)> = READ_ME
        .lines()
        .filter_map(|line| {
            let cells: Vec<&str> = line.split('|').map(str::trim).collect();
            let [_, file, row, _, says, _] = cells.as_slice() else {
                return None;
            };
            let file = file.strip_prefix('`')?.strip_suffix('`')?;
            assert!(!says.is_empty(), "{line}");
            Some((file.to_owned(), (*row).to_owned()))
        })
        .collect();
    assert_eq!(listed.len(), planted_at.len(), "a row is listed twice");
    assert_eq!(listed.into_iter().collect::<BTreeSet<_>>(), planted_at);
}

//! Makes `demo/`: an invented club of 26 players over three seasons, with the warts real sheets have.
//! The same seed gives the same files, byte for byte.

mod club;
mod model;
mod sheets;

use std::io;
use std::path::Path;

use plimsoll_ladder::Catalogue;

use club::DAYS;

/// Writes the whole folder.
pub fn write(folder: &Path) -> io::Result<()> {
    let catalogue = Catalogue::built_in();
    let days = model::results(&catalogue);
    sheets::put(&folder.join("roster.csv"), sheets::roster().as_bytes())?;
    let last = DAYS.len() - 1;
    for (n, (day, lines)) in DAYS.iter().zip(&days).enumerate() {
        if n == last {
            sheets::put(&folder.join("today.csv"), sheets::today(lines).as_bytes())?;
            sheets::put(&folder.join("today.toml"), sheets::card(day).as_bytes())?;
            continue;
        }
        let rows = sheets::with_wart(day, lines);
        let stem = format!("days/{}-ir1", day.on);
        let (ending, bytes) = match day.on {
            "2026-03-14" => ("xlsx", sheets::workbook(&rows).map_err(io::Error::other)?),
            "2026-05-23" => ("csv", sheets::semicolon(&rows)),
            _ => ("csv", sheets::comma(&rows).into_bytes()),
        };
        sheets::put(&folder.join(format!("{stem}.{ending}")), &bytes)?;
        sheets::put(
            &folder.join(format!("{stem}.toml")),
            sheets::card(day).as_bytes(),
        )?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;
    use std::path::PathBuf;

    use super::*;

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

    #[test]
    fn the_committed_folder_is_what_the_seed_makes() {
        let made = tempfile::tempdir().expect("folder");
        write(made.path()).expect("writes");
        let (mut new, mut old) = (BTreeMap::new(), BTreeMap::new());
        files(made.path(), made.path(), &mut new);
        files(&committed(), &committed(), &mut old);
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
    fn squads_and_days_have_the_planned_size() {
        let days = model::results(&Catalogue::built_in());
        assert_eq!((club::PLAYERS.len(), days.len()), (26, 10));
        for (day, lines) in DAYS.iter().zip(&days) {
            assert!(
                (16..=26).contains(&lines.len()),
                "{}: {}",
                day.on,
                lines.len()
            );
        }
    }
}

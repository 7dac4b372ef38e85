//! Makes `demo/`: an invented club of 26 players over three seasons, with the warts real sheets have.
//! The same seed gives the same files, byte for byte. The read-me of the folder is written by hand.

mod club;
mod days;
mod model;
mod sheets;
#[cfg(test)]
mod tests;
mod warts;

use std::io;
use std::path::Path;

use plimsoll_ladder::{Catalogue, Ladder};

use days::{DAYS, Day};
use sheets::Row;

/// Writes the whole folder.
///
/// # Errors
///
/// Those of writing files.
pub fn write(folder: &Path) -> io::Result<()> {
    put(&folder.join("roster.csv"), club::roster()?.as_bytes())?;
    for (day, rows) in sheets_of(&Catalogue::built_in()) {
        let file = folder.join(day.file(day.ending()));
        put(&file, &sheets::file(day, &rows)?)?;
        put(&folder.join(day.file("toml")), days::card(day).as_bytes())?;
    }
    Ok(())
}

/// Returns every day with the rows of its sheet.
fn sheets_of(catalogue: &Catalogue) -> Vec<(&'static Day, Vec<Row>)> {
    DAYS.iter()
        .zip(model::results(catalogue))
        .map(|(day, lines)| (day, sheets::rows(day, ladder(catalogue, day), &lines)))
        .collect()
}

/// Returns the ladder that was played on a day.
fn ladder<'a>(catalogue: &'a Catalogue, day: &Day) -> &'a Ladder {
    catalogue
        .get(day.played)
        .and_then(|test| test.ladder())
        .expect("the days name built-in tests with a ladder")
}

/// Writes a file, with its folder.
fn put(path: &Path, bytes: &[u8]) -> io::Result<()> {
    if let Some(folder) = path.parent() {
        std::fs::create_dir_all(folder)?;
    }
    std::fs::write(path, bytes)
}

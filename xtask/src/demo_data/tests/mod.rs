//! Holds the committed folder to its generator, its read-me to its rows, and the rest to the ladders.

mod files;
mod plan;
mod rows;

use plimsoll_ladder::Catalogue;

use super::club::{PLAYERS, Player};
use super::days::Day;
use super::sheets::{Cell, Row};
use super::sheets_of;
use super::warts::{Kind, planted};

fn made() -> Vec<(&'static Day, Vec<Row>)> {
    sheets_of(&Catalogue::built_in())
}

/// Returns the player of a row by name, alias or planted spelling.
fn player(day: &Day, row: &Row) -> &'static Player {
    let name = row.get(Cell::Name);
    let mut found = PLAYERS.iter().filter(|p| {
        p.name == name
            || p.aliases.split(';').any(|a| a.trim() == name)
            || planted(day.on, p.name)
                .is_some_and(|k| matches!(k, Kind::Spelt(written) if written == name))
    });
    let one = found.next().expect(name);
    assert!(found.next().is_none(), "{name} is two players");
    one
}

/// Returns the row a spreadsheet shows: the header is row 1.
fn shown(index: usize) -> usize {
    index + 2
}

fn metres(row: &Row) -> f64 {
    row.get(Cell::Distance).parse().expect("metres")
}

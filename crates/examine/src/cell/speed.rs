//! Reads a speed with or without its unit. Without one, the column decides.

use crate::cell::words::is_absent;
use crate::header::Unit;
use crate::table::Cell;

/// What a cell in a speed column says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum SpeedReading {
    /// Nothing there, or a word for "no result".
    Absent,
    /// A number, with the unit written beside it when there was one.
    Value(f64, Option<Unit>),
    /// Something else.
    Unreadable,
}

/// Reads a cell of a speed column.
pub(crate) fn speed(cell: &Cell) -> SpeedReading {
    let (value, unit) = match cell {
        Cell::Empty => return SpeedReading::Absent,
        Cell::Text(text) if is_absent(text) => return SpeedReading::Absent,
        Cell::Number(number) => (number.get(), None),
        Cell::Text(text) => match super::parse_number(text, false) {
            Some((value, "")) => (value, None),
            Some((value, rest)) => match Unit::parse(rest) {
                Some(unit) => (value, Some(unit)),
                None => return SpeedReading::Unreadable,
            },
            None => return SpeedReading::Unreadable,
        },
        _ => return SpeedReading::Unreadable,
    };
    if (0.0..100.0).contains(&value) {
        SpeedReading::Value(value, unit)
    } else {
        SpeedReading::Unreadable
    }
}

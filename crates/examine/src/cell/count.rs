//! Reads a whole number of bouts, shuttles, laps, people or an attempt.
//! A fraction, a sign or a word is not a count.

use crate::cell::words::is_absent;
use crate::table::Cell;

/// What a cell in a column of counts says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum CountReading {
    /// Nothing there, or a word for "no result".
    Absent,
    /// A whole number.
    Value(u32),
    /// Something else.
    Unreadable,
}

/// Reads a cell of a column of counts.
pub(crate) fn count(cell: &Cell) -> CountReading {
    let number = match cell {
        Cell::Empty => return CountReading::Absent,
        Cell::Text(text) if is_absent(text) => return CountReading::Absent,
        Cell::Number(number) => Some(number.get()),
        Cell::Text(text) => match super::parse_number(text.trim_end_matches('+'), true) {
            Some((value, "")) => Some(value),
            Some((value, rest)) if crate::header::Unit::parse(rest).is_some() => Some(value),
            _ => None,
        },
        _ => None,
    };
    match number {
        Some(n) if n.fract() == 0.0 && (0.0..1e6).contains(&n) => CountReading::Value(n as u32),
        _ => CountReading::Unreadable,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts() {
        assert_eq!(count(&Cell::text("52")), CountReading::Value(52));
        assert_eq!(count(&Cell::number(52.0)), CountReading::Value(52));
        assert_eq!(count(&Cell::text("52 laps")), CountReading::Value(52));
        assert_eq!(count(&Cell::text("5.5")), CountReading::Unreadable);
        assert_eq!(count(&Cell::text("abs")), CountReading::Absent);
    }
}

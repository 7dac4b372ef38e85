//! Reads a distance with or without its unit. Without one, the column decides.
//! Lengths come back in millimetres of the unit written, or as a bare number.

use crate::cell::words::is_absent;
use crate::header::Unit;
use crate::table::Cell;

/// What a cell in a distance column says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum DistanceReading {
    /// Nothing there, or a word for "no result".
    Absent,
    /// A number, with the unit written beside it when there was one.
    Value {
        /// The number.
        value: f64,
        /// The unit written in the cell.
        unit: Option<Unit>,
        /// Marked as a lower bound.
        at_least: bool,
    },
    /// Something else.
    Unreadable,
}

/// Reads a cell of a distance column.
pub(crate) fn distance(cell: &Cell) -> DistanceReading {
    match cell {
        Cell::Empty => DistanceReading::Absent,
        Cell::Number(number) => of(number.get(), None, false),
        Cell::Text(text) => {
            if is_absent(text) {
                return DistanceReading::Absent;
            }
            let mut core = text.trim();
            let mut at_least = false;
            for mark in [">=", "≥", ">", "at least"] {
                if let Some(rest) = core.strip_prefix(mark) {
                    (core, at_least) = (rest.trim(), true);
                    break;
                }
            }
            if let Some(rest) = core.strip_suffix('+') {
                (core, at_least) = (rest.trim(), true);
            }
            match super::parse_number(core, true) {
                Some((value, "")) => of(value, None, at_least),
                Some((value, rest)) => match Unit::parse(rest) {
                    Some(Unit::Kilometres) => {
                        // `1.240 km` is not a thousand kilometres.
                        let value = super::parse_number(core, false).map_or(value, |v| v.0);
                        of(value, Some(Unit::Kilometres), at_least)
                    }
                    Some(unit) => of(value, Some(unit), at_least),
                    None => DistanceReading::Unreadable,
                },
                None => DistanceReading::Unreadable,
            }
        }
        Cell::Date(..) | Cell::Duration(_) | Cell::Bool(_) | Cell::Fault(_) => {
            DistanceReading::Unreadable
        }
    }
}

fn of(value: f64, unit: Option<Unit>, at_least: bool) -> DistanceReading {
    if (0.0..1e7).contains(&value) {
        DistanceReading::Value {
            value,
            unit,
            at_least,
        }
    } else {
        DistanceReading::Unreadable
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distances_with_units() {
        let read = |t: &str| match distance(&Cell::text(t)) {
            DistanceReading::Value {
                value,
                unit,
                at_least,
            } => (value, unit, at_least),
            other => panic!("{t}: {other:?}"),
        };
        assert_eq!(read("560"), (560.0, None, false));
        assert_eq!(read("1,240 m"), (1240.0, Some(Unit::Metres), false));
        assert_eq!(read("1.24 km"), (1.24, Some(Unit::Kilometres), false));
        assert_eq!(read("1.240 km"), (1.24, Some(Unit::Kilometres), false));
        assert_eq!(read(">= 1240"), (1240.0, None, true));
        assert_eq!(read("52 laps"), (52.0, Some(Unit::Count), false));
        assert_eq!(distance(&Cell::text("far")), DistanceReading::Unreadable);
        assert_eq!(distance(&Cell::text("-40")), DistanceReading::Unreadable);
    }
}

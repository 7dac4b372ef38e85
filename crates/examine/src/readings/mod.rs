//! The cells of every mapped field, read once for each different cell of a column.
//! Columns decide here what one cell cannot: the order of day and month, the unit of a bare number.

mod column;
mod dates;
mod results;

pub(crate) use column::Read;
pub(crate) use dates::{DateColumn, OrderBasis, swap};
pub(crate) use results::{TimeUnit, Values, kmh_in, metres_in};

use crate::cell::{self, CountReading, Sex};
use crate::header::{Field, Mapping};
use crate::options::Options;
use crate::table::Sheet;

/// Everything read from a sheet.
pub(crate) struct Readings {
    /// Labels, distances, counts, times, speeds.
    pub values: Values,
    /// Day of the test.
    pub date: Option<DateColumn>,
    /// Date of birth.
    pub birth: Option<DateColumn>,
    /// Sex.
    pub sex: Option<Read<Option<Sex>>>,
    /// Attempt number.
    pub attempt: Option<Read<Attempt>>,
}

/// What an attempt column says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Attempt {
    /// Nothing.
    Absent,
    /// A number.
    Number(u32),
    /// The best of several.
    Best,
    /// Something else.
    Unreadable,
}

impl Readings {
    /// Reads a sheet.
    pub fn of(sheet: &Sheet, mapping: &Mapping, options: &Options<'_>) -> Self {
        let (date, birth) = dates::read(sheet, mapping, options);
        Self {
            values: Values::of(sheet, mapping),
            date,
            birth,
            sex: Read::of(sheet, mapping, Field::Sex, cell::sex),
            attempt: Read::of(sheet, mapping, Field::Attempt, attempt),
        }
    }
}

fn attempt(cell: &crate::table::Cell) -> Attempt {
    match cell::count(cell) {
        CountReading::Absent => Attempt::Absent,
        CountReading::Value(n) => Attempt::Number(n),
        CountReading::Unreadable => match cell.as_text().map(crate::header::fold).as_deref() {
            Some(
                "best" | "max" | "best of 2" | "best of two" | "best of 3" | "best of three"
                | "bester",
            ) => Attempt::Best,
            Some("first" | "1st" | "erster") => Attempt::Number(1),
            Some("second" | "2nd" | "zweiter") => Attempt::Number(2),
            Some("third" | "3rd" | "dritter") => Attempt::Number(3),
            Some(text) => {
                let digits: String = text.chars().filter(char::is_ascii_digit).collect();
                digits.parse().map_or(Attempt::Unreadable, Attempt::Number)
            }
            None => Attempt::Unreadable,
        },
    }
}

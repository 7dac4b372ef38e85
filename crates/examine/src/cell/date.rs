//! Reads dates in the ways sheets hold them, keeping both readings of `05/04/2026` open.
//! The column decides between day first and month first; nothing here does.

use jiff::civil::Date;

use crate::table::Cell;

/// Which of two small numbers of a date is the day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum DateOrder {
    /// `d/m/y`.
    DayFirst,
    /// `m/d/y`.
    MonthFirst,
}

impl DateOrder {
    /// Returns the other order.
    pub const fn other(self) -> Self {
        match self {
            Self::DayFirst => Self::MonthFirst,
            Self::MonthFirst => Self::DayFirst,
        }
    }

    /// Returns it in words.
    pub const fn in_words(self) -> &'static str {
        match self {
            Self::DayFirst => "day/month/year",
            Self::MonthFirst => "month/day/year",
        }
    }
}

/// What a cell in a date column could mean.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DateReading {
    /// Nothing there.
    Absent,
    /// A date without doubt about day and month: ISO, or with the month in letters.
    Certain(Date),
    /// A cell that a spreadsheet holds as a date; what was typed is not known any more.
    Coerced(Date),
    /// Two small numbers and a year, in the order written.
    Numeric {
        /// First number.
        first: u8,
        /// Second number.
        second: u8,
        /// Year as written.
        year: u16,
        /// The year was written with two digits.
        short_year: bool,
    },
    /// Something else.
    Unreadable,
}

impl DateReading {
    /// Returns the date under an order; two-digit years take the century that makes them lie in the
    /// hundred years up to `latest_year`.
    pub fn date(self, order: DateOrder, latest_year: i16) -> Option<Date> {
        match self {
            Self::Certain(date) | Self::Coerced(date) => Some(date),
            Self::Numeric {
                first,
                second,
                year,
                short_year,
            } => {
                let (day, month) = match order {
                    DateOrder::DayFirst => (first, second),
                    DateOrder::MonthFirst => (second, first),
                };
                let mut year = i16::try_from(year).ok()?;
                if short_year {
                    let century = latest_year - latest_year.rem_euclid(100);
                    year += century;
                    if year > latest_year {
                        year -= 100;
                    }
                }
                Date::new(year, i8::try_from(month).ok()?, i8::try_from(day).ok()?).ok()
            }
            Self::Absent | Self::Unreadable => None,
        }
    }

    /// Returns the only order in which it is a date, when there is only one.
    pub fn only_order(self) -> Option<DateOrder> {
        match self {
            Self::Numeric { first, second, .. } if first > 12 && second <= 12 => {
                Some(DateOrder::DayFirst)
            }
            Self::Numeric { first, second, .. } if second > 12 && first <= 12 => {
                Some(DateOrder::MonthFirst)
            }
            _ => None,
        }
    }
}

/// Reads a cell of a date column.
pub(crate) fn date(cell: &Cell) -> DateReading {
    match cell {
        Cell::Empty => DateReading::Absent,
        Cell::Date(date, _) => DateReading::Coerced(*date),
        Cell::Number(number) => {
            let value = number.get();
            if let Some(date) = serial_date(value.trunc()) {
                return DateReading::Certain(date);
            }
            compact(&format!("{value}"))
        }
        Cell::Text(text) => date_text(text),
        Cell::Duration(_) | Cell::Bool(_) | Cell::Fault(_) => DateReading::Unreadable,
    }
}

/// Returns the date of a spreadsheet's day count, for the years 1950 to 2099.
pub(crate) fn serial_date(value: f64) -> Option<Date> {
    // Day 1 is 1 January 1900, and day 60 is a day that never was: count from 30 December 1899.
    const FIRST: f64 = 18_264.0;
    const LAST: f64 = 73_050.0;
    if !(FIRST..=LAST).contains(&value) {
        return None;
    }
    let origin = Date::new(1899, 12, 30).ok()?;
    let days = jiff::Span::new().try_days(value as i64).ok()?;
    origin.checked_add(days).ok()
}

fn date_text(text: &str) -> DateReading {
    let lower = text.to_lowercase();
    if super::words::is_absent(&lower) {
        return DateReading::Absent;
    }
    // A time of day behind the date is not read.
    let cut = match lower.find(['t', ' ']) {
        Some(at) if lower.get(at + 1..).is_some_and(|rest| rest.contains(':')) => {
            lower.get(..at).unwrap_or_default()
        }
        _ => lower.as_str(),
    };
    let parts: Vec<&str> = cut
        .split(['-', '/', '.', ' ', ','])
        .filter(|p| !p.is_empty())
        .collect();
    if let [only] = parts.as_slice() {
        return compact(only);
    }
    let [a, b, c] = parts.as_slice() else {
        return DateReading::Unreadable;
    };
    if let Some(month) = [a, b, c].into_iter().find_map(|p| month_of(p)) {
        let numbers: Vec<&&str> = [a, b, c]
            .into_iter()
            .filter(|p| month_of(p).is_none())
            .collect();
        let [x, y] = numbers.as_slice() else {
            return DateReading::Unreadable;
        };
        let strip = |t: &str| t.trim_end_matches(|c: char| c.is_alphabetic()).to_owned();
        let (day, year) = if x.len() == 4 {
            (strip(y), x.to_string())
        } else {
            (strip(x), y.to_string())
        };
        return match (day.parse::<u8>(), year.parse::<u16>()) {
            (Ok(day), Ok(year)) if year >= 1000 => certain(year, month, day),
            (Ok(day), Ok(year)) if year < 100 && day <= 31 => {
                // The month is known, so day first is the only reading.
                DateReading::Numeric {
                    first: day,
                    second: month,
                    year,
                    short_year: true,
                }
            }
            _ => DateReading::Unreadable,
        };
    }
    match (a.parse::<u16>(), b.parse::<u16>(), c.parse::<u16>()) {
        (Ok(year), Ok(month), Ok(day)) if a.len() == 4 => certain(
            year,
            u8::try_from(month).unwrap_or(0),
            u8::try_from(day).unwrap_or(0),
        ),
        (Ok(first), Ok(second), Ok(year)) if matches!(c.len(), 2 | 4) => {
            let (first, second) = (
                u8::try_from(first).unwrap_or(0),
                u8::try_from(second).unwrap_or(0),
            );
            let possible = (1..=31).contains(&first)
                && (1..=31).contains(&second)
                && (first <= 12 || second <= 12);
            if possible {
                DateReading::Numeric {
                    first,
                    second,
                    year,
                    short_year: c.len() == 2,
                }
            } else {
                DateReading::Unreadable
            }
        }
        _ => DateReading::Unreadable,
    }
}

/// `20260405`, or a day count written as text.
fn compact(text: &str) -> DateReading {
    if text.len() == 8 && text.bytes().all(|b| b.is_ascii_digit()) {
        let part = |a: usize, z: usize| text.get(a..z).and_then(|t| t.parse::<u16>().ok());
        if let (Some(year), Some(month), Some(day)) = (part(0, 4), part(4, 6), part(6, 8)) {
            return certain(
                year,
                u8::try_from(month).unwrap_or(0),
                u8::try_from(day).unwrap_or(0),
            );
        }
    }
    text.parse()
        .ok()
        .and_then(serial_date)
        .map_or(DateReading::Unreadable, DateReading::Certain)
}

fn certain(year: u16, month: u8, day: u8) -> DateReading {
    let parts = (i16::try_from(year), i8::try_from(month), i8::try_from(day));
    match parts {
        (Ok(y), Ok(m), Ok(d)) => {
            Date::new(y, m, d).map_or(DateReading::Unreadable, DateReading::Certain)
        }
        _ => DateReading::Unreadable,
    }
}

/// Returns the month a word names, in several languages, by its first letters.
pub(crate) fn month_of(word: &str) -> Option<u8> {
    const MONTHS: [&[&str]; 12] = [
        &["jan", "ene", "gen", "gennaio"],
        &["feb", "fev", "fév"],
        &["mar", "mär", "mrz", "maa"],
        &["apr", "avr", "abr"],
        &["may", "mai", "mag", "maj", "mei"],
        &["jun", "juin", "giu"],
        &["jul", "juil", "lug"],
        &["aug", "aou", "aoû", "ago"],
        &["sep", "set"],
        &["oct", "okt", "out", "ott"],
        &["nov"],
        &["dec", "déc", "dez", "dic"],
    ];
    if word.chars().count() < 3 || !word.chars().all(char::is_alphabetic) {
        return None;
    }
    let at = MONTHS
        .iter()
        .position(|starts| starts.iter().any(|s| word.starts_with(s)))?;
    u8::try_from(at + 1).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(y: i16, m: i8, d: i8) -> Date {
        Date::new(y, m, d).expect("a date")
    }

    fn text(t: &str) -> DateReading {
        date(&Cell::text(t))
    }

    #[test]
    fn certain_dates() {
        for t in [
            "2026-04-05",
            "5 April 2026",
            "5-Apr-2026",
            "Apr 5, 2026",
            "20260405",
            "5 avril 2026",
        ] {
            assert_eq!(text(t), DateReading::Certain(day(2026, 4, 5)), "{t}");
        }
        assert_eq!(
            date(&Cell::number(46_117.0)),
            DateReading::Certain(day(2026, 4, 5))
        );
        assert_eq!(
            text("2026-04-05T10:20:00"),
            DateReading::Certain(day(2026, 4, 5))
        );
    }

    #[test]
    fn both_orders_stay_open() {
        let reading = text("05/04/2026");
        assert_eq!(
            reading.date(DateOrder::DayFirst, 2026),
            Some(day(2026, 4, 5))
        );
        assert_eq!(
            reading.date(DateOrder::MonthFirst, 2026),
            Some(day(2026, 5, 4))
        );
        assert_eq!(reading.only_order(), None);
        assert_eq!(text("25.12.2011").only_order(), Some(DateOrder::DayFirst));
        assert_eq!(text("12/25/2011").only_order(), Some(DateOrder::MonthFirst));
    }

    #[test]
    fn two_digit_years_take_the_last_hundred_years() {
        assert_eq!(
            text("05/04/12").date(DateOrder::DayFirst, 2026),
            Some(day(2012, 4, 5))
        );
        assert_eq!(
            text("05/04/74").date(DateOrder::DayFirst, 2026),
            Some(day(1974, 4, 5))
        );
    }

    #[test]
    fn what_is_no_date() {
        for t in ["31/31/2026", "soon", "2026-13-40", "1/2"] {
            assert_eq!(text(t), DateReading::Unreadable, "{t}");
        }
    }
}

//! One cell as the file holds it: text, number, date, duration, truth value or spreadsheet error.
//! Nothing is interpreted here: `14.1` stored as a number stays a number, and a date stays a date.

use std::fmt;

use jiff::civil::Date;

/// A number kept by its bits, so that cells can be compared and looked up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Num(u64);

impl Num {
    /// Wraps a number.
    pub fn new(value: f64) -> Self {
        // Zero and minus zero are one value.
        Self(if value == 0.0 { 0 } else { value.to_bits() })
    }

    /// Returns the number.
    pub const fn get(self) -> f64 {
        f64::from_bits(self.0)
    }
}

/// One cell.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub enum Cell {
    /// Nothing, or only space.
    #[default]
    Empty,
    /// Text, without space around it.
    Text(Box<str>),
    /// A number; it has lost any trailing zero it was written with.
    Number(Num),
    /// A date, with the seconds since midnight when the cell holds a time too.
    Date(Date, Option<Num>),
    /// A time of day or a duration, seconds.
    Duration(Num),
    /// A truth value.
    Bool(bool),
    /// A spreadsheet error such as `#REF!`.
    Fault(Box<str>),
}

impl Cell {
    /// Makes a text cell, or an empty one when there is only space.
    pub fn text(text: &str) -> Self {
        let trimmed = text.trim_matches(|c: char| c.is_whitespace() || c == '\u{feff}');
        if trimmed.is_empty() {
            Self::Empty
        } else {
            Self::Text(trimmed.into())
        }
    }

    /// Makes a number cell; what is not finite becomes a spreadsheet error.
    pub fn number(value: f64) -> Self {
        if value.is_finite() {
            Self::Number(Num::new(value))
        } else {
            Self::Fault("#NUM!".into())
        }
    }

    /// Returns whether there is nothing in it.
    pub const fn is_empty(&self) -> bool {
        matches!(self, Self::Empty)
    }

    /// Returns the text of a text cell.
    pub fn as_text(&self) -> Option<&str> {
        match self {
            Self::Text(text) => Some(text),
            _ => None,
        }
    }

    /// Returns the bytes of text it keeps.
    pub fn text_bytes(&self) -> usize {
        match self {
            Self::Text(text) | Self::Fault(text) => text.len(),
            _ => 0,
        }
    }
}

impl fmt::Display for Cell {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => Ok(()),
            Self::Text(text) | Self::Fault(text) => f.write_str(text),
            Self::Number(number) => write!(f, "{}", number.get()),
            Self::Date(date, None) => write!(f, "{date}"),
            Self::Date(date, Some(seconds)) => write!(f, "{date} {}", clock(seconds.get())),
            Self::Duration(seconds) => f.write_str(&clock(seconds.get())),
            Self::Bool(truth) => f.write_str(if *truth { "TRUE" } else { "FALSE" }),
        }
    }
}

/// Writes seconds as `h:mm:ss`, with tenths when there are any.
fn clock(seconds: f64) -> String {
    let tenths = (seconds * 10.0).round().clamp(-9e15, 9e15) as i64;
    let (sign, tenths) = if tenths < 0 {
        ("-", -tenths)
    } else {
        ("", tenths)
    };
    let (whole, tenth) = (tenths / 10, tenths % 10);
    let (h, m, s) = (whole / 3_600, whole / 60 % 60, whole % 60);
    if tenth == 0 {
        format!("{sign}{h}:{m:02}:{s:02}")
    } else {
        format!("{sign}{h}:{m:02}:{s:02}.{tenth}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_prints_as_a_spreadsheet_keeps_it() {
        assert_eq!(Cell::number(14.10).to_string(), "14.1");
        assert_eq!(Cell::number(560.0).to_string(), "560");
        assert_eq!(Cell::Duration(Num::new(980.0)).to_string(), "0:16:20");
    }

    #[test]
    fn only_space_is_empty() {
        assert!(Cell::text(" \u{a0}\t").is_empty());
        assert_eq!(Cell::text(" 14.10 ").as_text(), Some("14.10"));
    }
}

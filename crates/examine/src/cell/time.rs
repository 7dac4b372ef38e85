//! Reads a run time: `16:20`, `16'20"`, `980 s`, `16.33 min`, a duration cell, a bare number.
//! A bare number stays a bare number: minutes or seconds is for the column to decide.

use crate::cell::words::is_absent;
use crate::header::Unit;
use crate::table::Cell;

/// How a time was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) enum TimeForm {
    /// `m:ss`, `h:mm:ss` or with minute and second marks: certain.
    Clock,
    /// A number with its unit beside it: certain.
    WithUnit,
    /// A number alone.
    Bare,
    /// A cell that holds a time of day or a duration.
    Coerced,
}

/// What a cell in a time column says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum TimeReading {
    /// Nothing there, or a word for "no result".
    Absent,
    /// A time.
    Value {
        /// Seconds; for a bare number the number itself.
        value: f64,
        /// How it was written.
        form: TimeForm,
        /// Half of the last place written, in the same unit.
        half_step: f64,
    },
    /// Something else.
    Unreadable,
}

/// No paced test takes longer, with room to spare; a longer "time" is hours and minutes misread.
const LONGEST_RUN_S: f64 = 2.0 * 3_600.0;

/// Reads a cell of a time column.
pub(crate) fn time(cell: &Cell) -> TimeReading {
    match cell {
        Cell::Empty => TimeReading::Absent,
        Cell::Number(number) => bare(number.get(), &number.get().to_string()),
        Cell::Duration(seconds) => {
            // `16:20` typed into a sheet is stored as 16 h 20 min; no run takes that long.
            let seconds = seconds.get();
            let value = if seconds > LONGEST_RUN_S {
                seconds / 60.0
            } else {
                seconds
            };
            made(value, TimeForm::Coerced, 0.5)
        }
        Cell::Text(text) => time_text(text),
        Cell::Date(..) | Cell::Bool(_) | Cell::Fault(_) => TimeReading::Unreadable,
    }
}

fn made(value: f64, form: TimeForm, half_step: f64) -> TimeReading {
    if (0.0..1e6).contains(&value) {
        TimeReading::Value {
            value,
            form,
            half_step,
        }
    } else {
        TimeReading::Unreadable
    }
}

fn bare(value: f64, written: &str) -> TimeReading {
    let places = written
        .split_once(['.', ','])
        .map_or(0, |(_, f)| f.len().min(6));
    made(value, TimeForm::Bare, 0.5 * 10_f64.powi(-(places as i32)))
}

fn time_text(text: &str) -> TimeReading {
    if is_absent(text) {
        return TimeReading::Absent;
    }
    let core = text
        .trim()
        .trim_start_matches(['>', '=', '≥'])
        .trim_end_matches('+')
        .trim();
    if let Some(value) = clock(core) {
        let places = core
            .rsplit(':')
            .next()
            .and_then(|s| s.split_once('.'))
            .map_or(0, |(_, f)| f.len().min(6));
        return made(value, TimeForm::Clock, 0.5 * 10_f64.powi(-(places as i32)));
    }
    match super::parse_number(core, false) {
        Some((value, "")) => bare(value, core),
        Some((value, rest)) => match Unit::parse(rest) {
            Some(Unit::Seconds) => made(value, TimeForm::WithUnit, 0.5),
            Some(Unit::Minutes) => made(value * 60.0, TimeForm::WithUnit, 3.0),
            _ => TimeReading::Unreadable,
        },
        None => TimeReading::Unreadable,
    }
}

/// `16:20`, `0:16:20.5`, `16'20"`, `16 min 20 s`, `16m20s`.
fn clock(text: &str) -> Option<f64> {
    let marked = text
        .to_lowercase()
        .replace("''", "\"")
        .replace(['\u{2032}', '\u{2019}'], "'")
        .replace(['\u{2033}', '\u{201d}'], "\"");
    let mut parts: Vec<String> = vec![String::new()];
    let mut marks = 0;
    let mut rest = marked.as_str();
    while let Some(c) = rest.chars().next() {
        let skip = if c.is_ascii_digit() || matches!(c, '.' | ',') {
            if let Some(last) = parts.last_mut() {
                last.push(if c == ',' { '.' } else { c });
            }
            c.len_utf8()
        } else {
            let mark = [":", "'", "\"", "min", "m", "sec", "s", "h"]
                .into_iter()
                .find(|m| rest.starts_with(m));
            match mark {
                Some(mark) => {
                    marks += 1;
                    // A mark for seconds ends the text.
                    if !matches!(mark, "\"" | "sec" | "s") {
                        parts.push(String::new());
                    }
                    mark.len()
                }
                None if c == ' ' => 1,
                None => return None,
            }
        };
        rest = rest.get(skip..)?;
    }
    if parts.last().is_some_and(String::is_empty) {
        parts.pop();
    }
    if marks == 0 || !(2..=3).contains(&parts.len()) {
        return None;
    }
    let mut seconds = 0.0;
    for (i, part) in parts.iter().enumerate() {
        let value: f64 = part.parse().ok()?;
        // Seconds and minutes behind a mark stay below sixty.
        if i > 0 && value >= 60.0 {
            return None;
        }
        seconds = seconds * 60.0 + value;
    }
    Some(seconds)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::Num;

    #[test]
    fn times_as_people_write_them() {
        for t in [
            "16:20",
            "0:16:20",
            "16'20\"",
            "16′20″",
            "16 min 20 s",
            "16m20s",
            "980 s",
        ] {
            match time(&Cell::text(t)) {
                TimeReading::Value { value, form, .. } => {
                    assert_eq!(value, 980.0, "{t}");
                    assert_ne!(form, TimeForm::Bare, "{t}");
                }
                other => panic!("{t}: {other:?}"),
            }
        }
        assert!(matches!(
            time(&Cell::text("3.35")),
            TimeReading::Value {
                value: 3.35,
                form: TimeForm::Bare,
                ..
            }
        ));
        assert_eq!(time(&Cell::text("16:75")), TimeReading::Unreadable);
        assert_eq!(time(&Cell::text("a while")), TimeReading::Unreadable);
    }

    #[test]
    fn hours_and_minutes_in_a_cell_are_minutes_and_seconds() {
        let cell = Cell::Duration(Num::new(16.0 * 3_600.0 + 20.0 * 60.0));
        assert!(matches!(
            time(&cell),
            TimeReading::Value {
                value: 980.0,
                form: TimeForm::Coerced,
                ..
            }
        ));
    }
}

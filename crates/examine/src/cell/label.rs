//! Reads a label such as `14.3`, and sees when a spreadsheet has turned one into a number or a date.
//! A label is text: `14.10` is not `14.1`. It means nothing without a ladder.

use jiff::civil::Date;

use super::date::{month_of, serial_date};
use super::words::is_absent;
use crate::table::Cell;

/// A label as it can be looked up on a ladder.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Label {
    /// Stage and bout with a point between, or the stage alone: `14.10`, `7`.
    pub text: String,
    /// The stage part.
    pub stage: u16,
    /// The bout part, when there is one.
    pub bout: Option<u16>,
    /// It stood in a cell that holds a number, which cannot keep a trailing zero.
    pub from_number: bool,
    /// It was marked as a lower bound (`14.3+`, `>= 14.3`).
    pub at_least: bool,
}

impl Label {
    /// Makes the label of a stage and a bout.
    pub fn of(stage: u16, bout: u16) -> Self {
        Self {
            text: format!("{stage}.{bout}"),
            stage,
            bout: Some(bout),
            from_number: false,
            at_least: false,
        }
    }

    /// Returns the label with a zero put back at its end (`14.1` to `14.10`), when it can have lost one.
    pub fn with_zero(&self) -> Option<String> {
        match self.bout {
            Some(bout) if bout < 10 => Some(format!("{}.{bout}0", self.stage)),
            _ => None,
        }
    }
}

/// What a cell in a label column could mean.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LabelReading {
    /// Nothing there, or a word for "no result".
    Absent,
    /// A label.
    Label(Label),
    /// A date: day and month, in which a label of two numbers got lost.
    Date {
        /// Day of the month.
        day: u8,
        /// Month.
        month: u8,
    },
    /// Something else.
    Unreadable,
}

/// Reads a cell of a label column.
pub(crate) fn label(cell: &Cell) -> LabelReading {
    match cell {
        Cell::Empty => LabelReading::Absent,
        Cell::Text(text) => label_text(text),
        Cell::Number(number) => from_number(number.get()),
        Cell::Date(date, _) => from_date(*date),
        Cell::Duration(seconds) => from_clock(seconds.get()),
        Cell::Bool(_) | Cell::Fault(_) => LabelReading::Unreadable,
    }
}

fn from_date(date: Date) -> LabelReading {
    LabelReading::Date {
        day: date.day().unsigned_abs(),
        month: date.month().unsigned_abs(),
    }
}

/// `14:03` in a spreadsheet becomes the time of day 14 h 3 min; the parts are still there.
fn from_clock(seconds: f64) -> LabelReading {
    let minutes = (seconds / 60.0).round();
    if !(0.0..6_000.0).contains(&minutes) {
        return LabelReading::Unreadable;
    }
    let minutes = minutes as u16;
    LabelReading::Label(Label {
        from_number: true,
        ..Label::of(minutes / 60, minutes % 60)
    })
}

fn from_number(value: f64) -> LabelReading {
    // A day count from 1900: a date that lost its format.
    if value.fract() == 0.0
        && let Some(date) = serial_date(value)
    {
        return from_date(date);
    }
    match label_text(&format!("{value}")) {
        LabelReading::Label(label) => LabelReading::Label(Label {
            from_number: true,
            ..label
        }),
        other => other,
    }
}

fn label_text(text: &str) -> LabelReading {
    if is_absent(text) {
        return LabelReading::Absent;
    }
    let lower = text.to_lowercase();
    let mut core = lower.trim();
    let mut at_least = false;
    for mark in [">=", "≥", ">", "at least", "min.", "mind."] {
        if let Some(rest) = core.strip_prefix(mark) {
            (core, at_least) = (rest.trim(), true);
            break;
        }
    }
    if let Some(rest) = core.strip_suffix('+') {
        (core, at_least) = (rest.trim(), true);
    }
    if let Some(reading) = named_date(core) {
        return reading;
    }
    // Words such as `level 14 shuttle 3` or `L14 S3`: keep the numbers when only words stand between.
    let parts: Vec<&str> = core
        .split(|c: char| !c.is_ascii_digit())
        .filter(|p| !p.is_empty())
        .collect();
    let between: String = core.chars().filter(|c| !c.is_ascii_digit()).collect();
    let words_ok = between
        .split(|c: char| !c.is_alphabetic())
        .filter(|w| !w.is_empty())
        .all(|w| {
            matches!(
                w,
                "l" | "lvl"
                    | "level"
                    | "s"
                    | "st"
                    | "sh"
                    | "stage"
                    | "shuttle"
                    | "bout"
                    | "b"
                    | "palier"
                    | "niveau"
                    | "stufe"
                    | "nivel"
                    | "livello"
                    | "lap"
                    | "run"
                    | "navette"
                    | "niva"
                    | "trin"
            )
        });
    let marks_ok = between.chars().all(|c| {
        c.is_alphabetic() || matches!(c, '.' | ',' | '-' | '/' | ':' | ' ' | ';' | '_' | '–')
    });
    if !words_ok || !marks_ok || core.starts_with(['-', '.', ',']) {
        return LabelReading::Unreadable;
    }
    match parts.as_slice() {
        [stage] if stage.len() >= 5 => stage
            .parse()
            .ok()
            .and_then(serial_date)
            .map_or(LabelReading::Unreadable, from_date),
        [stage] => made(stage, None, at_least),
        [stage, bout] => made(stage, Some(bout), at_least),
        [a, b, c] => numeric_date(a, b, c),
        [a, b, c, ..] if a.len() == 4 => numeric_date(a, b, c),
        _ => LabelReading::Unreadable,
    }
}

fn made(stage: &str, bout: Option<&str>, at_least: bool) -> LabelReading {
    let number = |text: &str| {
        (text.len() <= 3)
            .then(|| text.parse::<u16>().ok())
            .flatten()
    };
    let Some(stage_number) = number(stage) else {
        return LabelReading::Unreadable;
    };
    let Some(bout) = bout else {
        return LabelReading::Label(Label {
            text: stage_number.to_string(),
            stage: stage_number,
            bout: None,
            from_number: false,
            at_least,
        });
    };
    // `14.0` and `14.00` are the stage's start; `14.03` is written for `14.3`, `14.10` keeps its zero.
    let Some(bout_number) = number(bout) else {
        return LabelReading::Unreadable;
    };
    LabelReading::Label(Label {
        text: format!("{stage_number}.{bout_number}"),
        stage: stage_number,
        bout: Some(bout_number),
        from_number: false,
        at_least,
    })
}

/// `5-Apr`, `Apr-05`, `5 April 2026`.
fn named_date(core: &str) -> Option<LabelReading> {
    let mut month = None;
    let mut numbers: Vec<u16> = Vec::new();
    for part in core
        .split(['-', ' ', '/', '.', ','])
        .filter(|p| !p.is_empty())
    {
        match month_of(part) {
            Some(m) if month.is_none() => month = Some(m),
            _ => numbers.push(part.parse().ok()?),
        }
    }
    let month = month?;
    // `Apr-05` shows month and year, but the day typed was lost: the number is what is left.
    let day = numbers.iter().copied().find(|n| (1..=31).contains(n))?;
    Some(LabelReading::Date {
        day: u8::try_from(day).ok()?,
        month,
    })
}

/// `2026-04-05`, `05/04/2026`: the two small numbers in the order written.
fn numeric_date(a: &str, b: &str, c: &str) -> LabelReading {
    let number = |text: &str| text.parse::<u8>().ok();
    let (day, month) = if a.len() == 4 {
        (number(c), number(b))
    } else if c.len() == 4 || c.len() == 2 {
        (number(a), number(b))
    } else {
        return LabelReading::Unreadable;
    };
    match (day, month) {
        (Some(day @ 1..=31), Some(month @ 1..=31)) if day <= 12 || month <= 12 => {
            LabelReading::Date { day, month }
        }
        _ => LabelReading::Unreadable,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(t: &str) -> LabelReading {
        label(&Cell::text(t))
    }

    fn is(t: &str, expected: &str) {
        match text(t) {
            LabelReading::Label(label) => assert_eq!(label.text, expected, "{t}"),
            other => panic!("{t}: {other:?}"),
        }
    }

    #[test]
    fn labels_keep_their_zeros() {
        is("14.10", "14.10");
        is("14.1", "14.1");
        is("14,3", "14.3");
        is("L14 S3", "14.3");
        is("level 5 shuttle 10", "5.10");
        is("5-4", "5.4");
        is("12/3", "12.3");
        is(">=14.3", "14.3");
        is("17", "17");
        is("05.03", "5.3");
    }

    #[test]
    fn numbers_and_dates_show() {
        assert!(matches!(
            label(&Cell::number(14.10)),
            LabelReading::Label(Label { ref text, from_number: true, .. }) if text == "14.1"
        ));
        for t in ["5-Apr", "2026-04-05", "05/04/2026", "5 Apr 26"] {
            assert_eq!(text(t), LabelReading::Date { day: 5, month: 4 }, "{t}");
        }
        assert_eq!(
            label(&Cell::number(46_117.0)),
            LabelReading::Date { day: 5, month: 4 }
        );
        assert_eq!(text("46117"), LabelReading::Date { day: 5, month: 4 });
    }

    #[test]
    fn the_rest_is_absent_or_unreadable() {
        assert_eq!(text("dns"), LabelReading::Absent);
        assert_eq!(text("-"), LabelReading::Absent);
        assert_eq!(text("fourteen"), LabelReading::Unreadable);
        assert_eq!(text("-3.2"), LabelReading::Unreadable);
        assert_eq!(text("1.2.3.4.5"), LabelReading::Unreadable);
    }
}

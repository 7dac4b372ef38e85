//! What the values of a column look like: shares of labels, numbers, times, dates and words.
//! Looks at the first rows only; it helps to tell headers apart and never changes a value.

use crate::table::{Cell, Column};

/// Rows looked at.
const SAMPLE: usize = 400;

/// Shares from 0 to 1 of the cells that are not empty.
#[derive(Debug, Clone, Default)]
pub(crate) struct Profile {
    /// Cells that are not empty.
    pub n: usize,
    /// Whole numbers.
    pub whole: f64,
    /// Numbers of any kind.
    pub numeric: f64,
    /// `12.3`: one or two digits, a point or comma, one or two digits.
    pub dotted: f64,
    /// `12.0` or `12.5` only, among the dotted ones.
    pub halves: f64,
    /// `m:ss` or longer.
    pub colon: f64,
    /// Dates.
    pub dated: f64,
    /// Median of the numbers.
    pub median: f64,
    /// Largest number.
    pub max: f64,
    /// Words that name a stop reason.
    pub reasons: f64,
    /// Times of day: hours from 6 on, with minutes and seconds.
    pub of_day: f64,
    /// Multiples of 20 from 40 on.
    pub twenties: f64,
}

impl Profile {
    /// Looks at a column.
    pub fn of(column: &Column) -> Self {
        let mut p = Self::default();
        let mut numbers: Vec<f64> = Vec::new();
        let mut of_day = 0_usize;
        let (mut whole, mut dotted, mut halves, mut colon, mut dated, mut reasons) =
            (0_usize, 0_usize, 0_usize, 0_usize, 0_usize, 0_usize);
        for cell in column.iter().take(SAMPLE).filter(|c| !c.is_empty()) {
            p.n += 1;
            match cell {
                Cell::Number(value) => {
                    let value = value.get();
                    numbers.push(value);
                    let is_whole = value.fract() == 0.0;
                    whole += usize::from(is_whole);
                    let is_dotted = !is_whole && value.abs() < 100.0;
                    dotted += usize::from(is_dotted);
                    halves += usize::from(is_dotted && (value * 2.0).fract() == 0.0);
                }
                Cell::Date(..) => dated += 1,
                Cell::Duration(seconds) => {
                    colon += 1;
                    // `16:20` typed for minutes and seconds has no seconds of its own.
                    let s = seconds.get();
                    of_day += usize::from(s >= 21_600.0 && s.rem_euclid(60.0) >= 0.5);
                }
                Cell::Text(text) => {
                    if let Ok(value) = text.replace(',', ".").parse::<f64>() {
                        numbers.push(value);
                        whole += usize::from(text.chars().all(|c| c.is_ascii_digit()));
                    }
                    if is_dotted(text) {
                        dotted += 1;
                        halves += usize::from(text.ends_with(['0', '5']) && text.len() <= 4);
                    }
                    colon += usize::from(is_colon(text));
                    of_day += usize::from(is_of_day(text));
                    dated += usize::from(is_dated(text));
                    reasons += usize::from(text.parse::<plimsoll_judge::StopReason>().is_ok());
                }
                Cell::Empty | Cell::Bool(_) | Cell::Fault(_) => {}
            }
        }
        let n = p.n.max(1) as f64;
        p.whole = whole as f64 / n;
        p.numeric = numbers.len() as f64 / n;
        p.dotted = dotted as f64 / n;
        p.halves = if dotted == 0 {
            0.0
        } else {
            halves as f64 / dotted as f64
        };
        p.colon = colon as f64 / n;
        p.dated = dated as f64 / n;
        p.of_day = of_day as f64 / n;
        p.reasons = reasons as f64 / n;
        numbers.sort_by(f64::total_cmp);
        let twenty = numbers.iter().filter(|v| **v >= 40.0 && *v % 20.0 == 0.0);
        p.twenties = twenty.count() as f64 / n;
        p.median = numbers.get(numbers.len() / 2).copied().unwrap_or(0.0);
        p.max = numbers.last().copied().unwrap_or(0.0);
        p
    }
}

fn is_dotted(text: &str) -> bool {
    let digits =
        |part: &str| matches!(part.len(), 1 | 2) && part.bytes().all(|b| b.is_ascii_digit());
    text.split_once(['.', ','])
        .is_some_and(|(a, b)| digits(a) && digits(b))
}

fn is_colon(text: &str) -> bool {
    text.contains(':')
        && text
            .chars()
            .all(|c| c.is_ascii_digit() || matches!(c, ':' | '.' | ','))
}

/// `10:42:13`, from six in the morning on.
fn is_of_day(text: &str) -> bool {
    let parts: Vec<&str> = text.split(':').collect();
    parts.len() == 3
        && is_colon(text)
        && parts
            .first()
            .and_then(|h| h.parse::<u8>().ok())
            .is_some_and(|h| (6..24).contains(&h))
}

fn is_dated(text: &str) -> bool {
    let parts: Vec<&str> = text
        .split(['-', '/', '.', ' '])
        .filter(|p| !p.is_empty())
        .collect();
    parts.len() >= 3
        && parts
            .iter()
            .take(3)
            .filter(|p| p.bytes().all(|b| b.is_ascii_digit()))
            .count()
            >= 2
        && text.bytes().filter(u8::is_ascii_digit).count() >= 4
}

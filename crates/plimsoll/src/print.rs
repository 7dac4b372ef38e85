//! Tables and numbers for people, documents for programs.

use std::io::Write;

use serde_json::{Number, Value};
use unicode_width::UnicodeWidthStr;

use crate::failure::Failure;

/// Prints one JSON document.
pub fn json(document: &Value) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    writeln!(out, "{document:#}")?;
    Ok(())
}

/// Prints a text to standard output.
pub fn text(text: impl AsRef<str>) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    writeln!(out, "{}", text.as_ref().trim_end())?;
    Ok(())
}

/// Returns a JSON number, whole where the value is whole.
pub fn number(value: f64) -> Value {
    const EXACT: f64 = 9_007_199_254_740_992.0;
    if value.fract() == 0.0 && value.abs() < EXACT {
        return Value::Number(Number::from(value as i64));
    }
    Number::from_f64(value).map_or(Value::Null, Value::Number)
}

/// Returns a number for people, with at most `places` decimals and no trailing zeros.
pub fn short(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    };
    text.replace('-', "−")
}

/// Returns a time for people: minutes and seconds.
pub fn clock(seconds: f64) -> String {
    let tenths = (seconds * 10.0).round() as i64;
    format!("{}:{:02}.{}", tenths / 600, tenths / 10 % 60, tenths % 10)
}

/// Returns a text on lines of at most `width` letters; a number and its unit stay on one line.
pub fn wrapped(text: &str, width: usize) -> String {
    let mut lines: Vec<String> = vec![String::new()];
    for word in text.split_ascii_whitespace() {
        let word = &word.replace(['\u{a0}', '\u{202f}'], " ");
        let line = lines.last_mut().map_or(0, |l| l.width());
        if line > 0 && line + 1 + word.width() > width {
            lines.push(String::new());
        }
        if let Some(line) = lines.last_mut() {
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
    }
    lines.join("\n")
}

/// Returns a list line wrapped under its own first word.
pub fn hanging(text: &str, width: usize) -> String {
    let body = text.trim_start();
    let lead = text.len() - body.len();
    let mark = body.chars().next().filter(|c| matches!(c, '·' | '→'));
    let indent = lead + if mark.is_some() { 2 } else { 0 };
    let first = wrapped(body, width.saturating_sub(indent))
        .replace('\n', &format!("\n{}", " ".repeat(indent)));
    format!("{}{first}", " ".repeat(lead))
}

/// How a column stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Align {
    /// Text.
    Left,
    /// Numbers.
    Right,
}

/// Returns a table with a rule under its head; widths count what a terminal shows.
pub fn table(head: &[(&str, Align)], rows: &[Vec<String>]) -> String {
    let widths: Vec<usize> = head
        .iter()
        .enumerate()
        .map(|(i, (title, _))| {
            let cells = rows.iter().filter_map(|r| r.get(i)).map(|c| c.width());
            cells.chain([title.width()]).max().unwrap_or(0)
        })
        .collect();
    let line = |cells: &[String]| {
        let padded: Vec<String> = cells
            .iter()
            .zip(head)
            .zip(&widths)
            .map(|((cell, (_, align)), width)| {
                let pad = " ".repeat(width.saturating_sub(cell.width()));
                if *align == Align::Left {
                    format!("{cell}{pad}")
                } else {
                    format!("{pad}{cell}")
                }
            })
            .collect();
        padded.join("  ").trim_end().to_owned()
    };
    let titles: Vec<String> = head.iter().map(|(t, _)| (*t).to_owned()).collect();
    let rule: Vec<String> = widths.iter().map(|w| "─".repeat(*w)).collect();
    let mut lines = vec![line(&titles), line(&rule)];
    lines.extend(rows.iter().map(|r| line(r)));
    lines.join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_for_people_and_programs() {
        assert_eq!(number(560.0).to_string(), "560");
        assert_eq!(number(14.5).to_string(), "14.5");
        assert_eq!(number(f64::NAN), Value::Null);
        assert_eq!(short(-12.50, 2), "−12.5");
        assert_eq!(short(10.0, 1), "10");
        assert_eq!(clock(1714.583), "28:34.6");
    }

    #[test]
    fn wide_letters_keep_the_columns() {
        let head = [("name", Align::Left), ("m", Align::Right)];
        let rows = vec![
            vec!["日向".to_owned(), "5".to_owned()],
            vec!["Al".to_owned(), "10".to_owned()],
        ];
        assert_eq!(
            table(&head, &rows),
            "name   m\n────  ──\n日向   5\nAl    10"
        );
    }
}

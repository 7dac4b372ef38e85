//! One cell as a number, or as a place on a ladder. Guesses nothing: what is not clear is a fault.

use plimsoll_examine::Cell;
use plimsoll_interpret::data::TestScale;
use plimsoll_judge::Amount;
use plimsoll_ladder::Test;

use crate::history::comparable;
use crate::score::score;

/// Words that stand for a missing value.
const MISSING: [&str; 6] = ["-", "–", "—", "na", "n/a", "."];

/// What a cell holds.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Content {
    /// No value.
    Missing,
    /// A finite number.
    Number(f64),
    /// Something else, with what is allowed.
    Fault(String),
}

const ALLOWED: &str = "a finite number, or nothing when there is no value";

/// Reads a number as people write it: decimal point or comma, no unit.
pub(crate) fn number(cell: &Cell) -> Content {
    match cell {
        Cell::Empty => Content::Missing,
        Cell::Number(number) => Content::Number(number.get()),
        Cell::Text(text) => of_text(text),
        _ => Content::Fault(ALLOWED.to_owned()),
    }
}

fn of_text(text: &str) -> Content {
    let text = text.trim().replace('\u{2212}', "-");
    if MISSING.contains(&text.to_lowercase().as_str()) {
        return Content::Missing;
    }
    let plain: String = text
        .chars()
        .filter(|c| !matches!(c, ' ' | '\u{a0}' | '\u{202f}'))
        .collect();
    let plain = match plain.split_once(',') {
        Some((_, after)) if after.len() == 3 && !plain.contains('.') => {
            return Content::Fault(format!(
                "a number without a thousands mark: write {} or {}",
                plain.replace(',', ""),
                plain.replace(',', ".")
            ));
        }
        Some(_) if !plain.contains('.') => plain.replacen(',', ".", 1),
        _ => plain,
    };
    let digits = |c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+' | 'e' | 'E');
    match plain.parse::<f64>() {
        Ok(value) if value.is_finite() && plain.chars().all(digits) => Content::Number(value),
        _ => Content::Fault(ALLOWED.to_owned()),
    }
}

/// Reads a label of a ladder and returns the value in which results of the test are compared.
pub(crate) fn label(cell: &Cell, test: &Test, scale: Option<&TestScale>) -> Content {
    let text = match cell {
        Cell::Empty => return Content::Missing,
        Cell::Number(number) => number.get().to_string(),
        Cell::Text(text) if MISSING.contains(&text.to_lowercase().as_str()) => {
            return Content::Missing;
        }
        Cell::Text(text) => text.trim().replace(',', "."),
        other => other.to_string(),
    };
    let allowed = || Content::Fault(format!("a label of {}, or nothing", test.id()));
    let Some(ladder) = test.ladder() else {
        return allowed();
    };
    let padded = format!("{text}0");
    if matches!(cell, Cell::Number(_)) && text.contains('.') && ladder.by_label(&padded).is_some() {
        return Content::Fault(format!(
            "a label kept as text: this cell holds a number, and {text} and {padded} are two \
             places on {}",
            test.id()
        ));
    }
    let Some(bout) = ladder.by_label(&text) else {
        return allowed();
    };
    let value = score(test, Amount::Bouts(bout.number)).and_then(|s| comparable(&s, scale));
    value.map_or_else(allowed, |(value, _)| Content::Number(value))
}

#[cfg(test)]
mod tests {
    use super::*;
    use plimsoll_ladder::Catalogue;

    #[test]
    fn numbers_as_people_write_them() {
        let of = |text: &str| number(&Cell::text(text));
        assert_eq!(of("14,3"), Content::Number(14.3));
        assert_eq!(of("1 240"), Content::Number(1240.0));
        assert_eq!(of("\u{2212}3.5"), Content::Number(-3.5));
        assert_eq!(of("n/a"), Content::Missing);
        for bad in ["NaN", "inf", "1,240", "12 m", "abc", "1e999", "#REF!"] {
            assert!(matches!(of(bad), Content::Fault(_)), "{bad}");
        }
    }

    #[test]
    fn a_label_is_only_read_against_its_ladder() {
        let tests = Catalogue::built_in();
        let ir1 = tests.get("ir1").expect("known");
        let of = |cell: Cell| label(&cell, ir1, None);
        assert_eq!(of(Cell::text("14.3")), Content::Number(560.0));
        assert!(matches!(of(Cell::text("99.1")), Content::Fault(_)));
        let msr = tests.get("msr20_whole").expect("known");
        // 9.1 in a number cell may have been 9.10.
        assert!(matches!(
            label(&Cell::number(9.1), msr, None),
            Content::Fault(_)
        ));
        assert!(matches!(
            label(&Cell::text("9.1"), msr, None),
            Content::Number(_)
        ));
    }
}

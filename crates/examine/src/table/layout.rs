//! Finds the header row, and tells data rows from titles, totals, units and repeated headers.
//! Looks at a bounded number of rows. Common practice, no source: how such sheets are laid out.

use super::cell::Cell;
use crate::header::{Field, Unit, fold, recognise};

/// A header must score at least this much in all, so that one exact word is enough.
const ENOUGH: f64 = 0.9;
/// Words that open a row of totals below the data.
const TOTALS: [&str; 31] = [
    "total",
    "totals",
    "sum",
    "mean",
    "average",
    "avg",
    "median",
    "sd",
    "stdev",
    "standard deviation",
    "count",
    "mean sd",
    "group mean",
    "squad mean",
    "team average",
    "class average",
    "grand total",
    "n",
    "cv",
    "range",
    "gesamt",
    "summe",
    "mittelwert",
    "durchschnitt",
    "moyenne",
    "total general",
    "media",
    "promedio",
    "somme",
    "gemiddelde",
    "medel",
];

/// How the header of a sheet is found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Heading {
    /// By the words of the trade in it.
    Known,
    /// The first row with two or more cells that name columns, whatever the words.
    First,
}

/// Returns the first row with two or more cells when it begins with a text and its numbers, if any,
/// count 1, 2, 3 ... as the trials of a study do.
pub(super) fn first_header(rows: &[(u32, Vec<Cell>)]) -> Option<usize> {
    let wide = |(_, cells): &&(u32, Vec<Cell>)| cells.iter().filter(|c| !c.is_empty()).count() > 1;
    let at = rows.iter().position(|row| wide(&row))?;
    let mut next = 1.0;
    let names = rows[at].1.iter().filter(|c| !c.is_empty()).all(|cell| {
        let number = match cell {
            Cell::Number(number) => Some(number.get()),
            Cell::Text(text) => text.parse::<f64>().ok(),
            _ => None,
        };
        let fits = number.is_none_or(|n| n == next);
        next += if number.is_some() { 1.0 } else { 0.0 };
        fits
    });
    let first = rows[at].1.first()?.as_text()?;
    (names && first.parse::<f64>().is_err()).then_some(at)
}

/// Returns the index of the header among the first rows.
pub(super) fn find_header(rows: &[(u32, Vec<Cell>)]) -> Option<usize> {
    let mut best: Option<(f64, usize)> = None;
    for (i, (_, cells)) in rows.iter().enumerate() {
        let score = header_score(cells);
        if score >= ENOUGH && best.is_none_or(|(b, _)| score > b + 1e-9) {
            best = Some((score, i));
        }
    }
    best.map(|(_, i)| i)
}

/// Returns how well a row reads as a header: the sum over cells, less for cells that are no words.
pub(super) fn header_score(cells: &[Cell]) -> f64 {
    let mut score = 0.0;
    let mut filled = 0_usize;
    let mut numbers = 0_usize;
    let mut fields: Vec<Field> = Vec::new();
    for cell in cells.iter().filter(|c| !c.is_empty()) {
        filled += 1;
        let Some(text) = cell.as_text() else {
            numbers += 1;
            continue;
        };
        if text.parse::<f64>().is_ok() {
            numbers += 1;
            continue;
        }
        let heard = recognise(text);
        if let Some((field, s)) = heard.candidates.first()
            && (!fields.contains(field) || field.may_repeat())
            && text.len() <= 60
        {
            fields.push(*field);
            score += s;
        }
    }
    if filled == 0 {
        return 0.0;
    }
    // One known word in a long line of numbers or other text is a title or a data row.
    let share = fields.len() as f64 / filled as f64;
    if share < 0.25 || numbers * 2 > filled {
        score * 0.3
    } else {
        score
    }
}

/// Returns whether a row repeats the header.
pub(super) fn is_repeat(headers: &[String], cells: &[Cell]) -> bool {
    let mut same = 0_usize;
    let mut filled = 0_usize;
    for (i, cell) in cells.iter().enumerate().filter(|(_, c)| !c.is_empty()) {
        filled += 1;
        let here = cell.as_text().map(fold);
        same += usize::from(here.is_some() && here == headers.get(i).map(|h| fold(h)));
    }
    filled > 0 && same * 5 >= filled * 4 && (filled > 1 || headers.len() == 1)
}

/// Returns the word that makes a row a row of totals.
pub(super) fn totals_word(cells: &[Cell]) -> Option<String> {
    let first = cells.iter().find(|c| !c.is_empty())?.as_text()?;
    let word = fold(first);
    let letters = word
        .trim_end_matches(|c: char| c.is_ascii_digit() || c == ' ')
        .to_owned();
    let texts = cells
        .iter()
        .filter(|c| c.as_text().is_some_and(|t| t.parse::<f64>().is_err()));
    (TOTALS.contains(&letters.as_str()) && texts.count() <= 2).then(|| first.to_owned())
}

/// Returns whether a row directly under the header holds only units.
pub(super) fn is_units(cells: &[Cell]) -> bool {
    let mut filled = cells.iter().filter(|c| !c.is_empty()).peekable();
    let strip = |text: &str| text.trim_matches(['(', ')', '[', ']']).to_owned();
    filled.peek().is_some()
        && filled.all(|c| {
            c.as_text().is_some_and(|t| {
                matches!(t, "-" | "–")
                    || Unit::parse(&strip(t)).is_some()
                    || matches!(
                        strip(t).as_str(),
                        "bpm"
                            | "yyyy-mm-dd"
                            | "dd/mm/yyyy"
                            | "years"
                            | "y"
                            | "°C"
                            | "%"
                            | "kg"
                            | "cm"
                    )
            })
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(cells: &[&str]) -> Vec<Cell> {
        cells.iter().map(|c| Cell::text(c)).collect()
    }

    #[test]
    fn a_header_of_any_words_begins_with_a_text() {
        let found = |rows: &[&[&str]]| {
            let rows: Vec<(u32, Vec<Cell>)> = (1..).zip(rows.iter().map(|r| row(r))).collect();
            first_header(&rows)
        };
        assert_eq!(
            found(&[&["target", "judge", "score"], &["1", "1", "9"]]),
            Some(0)
        );
        assert_eq!(
            found(&[&["Autumn trials"], &["Who", "1", "2"], &["A", "5", "6"]]),
            Some(1)
        );
        assert_eq!(found(&[&["1", "2", "3"]]), None);
        assert_eq!(found(&[&["Ann", "14.3", "15.1"]]), None);
        assert_eq!(found(&[&["only"]]), None);
    }

    #[test]
    fn the_header_is_found_below_a_title() {
        let rows = vec![
            (1, row(&["Autumn level test, squad B"])),
            (3, row(&["Name", "Level", "Distance (m)"])),
            (4, row(&["Ann Example", "14.3", "560"])),
        ];
        assert_eq!(find_header(&rows), Some(1));
        assert_eq!(find_header(&[(1, row(&["Ann", "14.3", "560"]))]), None);
        assert_eq!(
            find_header(&[(1, row(&["level"])), (2, row(&["14.3"]))]),
            Some(0)
        );
    }

    #[test]
    fn rows_that_are_not_data() {
        assert_eq!(
            totals_word(&row(&["Mean", "", "812"])),
            Some("Mean".to_owned())
        );
        assert_eq!(totals_word(&row(&["Max", "14.3", "560"])), None);
        assert!(is_units(&row(&["", "", "(m)"])));
        assert!(!is_units(&row(&["A", "m", "560"])));
        let headers = vec!["Name".to_owned(), "Level".to_owned()];
        assert!(is_repeat(&headers, &row(&["name", "LEVEL"])));
    }
}

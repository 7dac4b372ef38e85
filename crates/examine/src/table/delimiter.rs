//! Finds the character that separates columns in a piece of text.
//! The best one gives the same number of columns, more than one, on most of the first rows.

use super::split::{Record, Splitter};
use crate::limits::LOOK_AHEAD_ROWS;

/// The separators tried, the commonest first.
const CANDIDATES: [u8; 4] = [b',', b';', b'\t', b'|'];

/// Returns the separator of a piece of text from the start of a file.
///
/// A first line `sep=;` decides by itself. Text with one column gets the comma.
pub(crate) fn find(text: &str) -> u8 {
    if let Some(sign) = declared(text) {
        return sign;
    }
    let mut best = (0.0_f64, CANDIDATES[0]);
    for delimiter in CANDIDATES {
        let score = score(text, delimiter);
        if score > best.0 + 1e-9 {
            best = (score, delimiter);
        }
    }
    best.1
}

/// Returns the separator a first line `sep=…` declares.
pub(crate) fn declared(text: &str) -> Option<u8> {
    let line = text.lines().next()?.trim().trim_matches('"');
    let sign = line
        .strip_prefix("sep=")
        .or_else(|| line.strip_prefix("SEP="))?;
    // A tab is trimmed away with the space around it.
    match sign.as_bytes() {
        [] => Some(b'\t'),
        [sign] if CANDIDATES.contains(sign) => Some(*sign),
        _ => None,
    }
}

/// Returns the share of rows with the commonest number of columns, a little more for wide tables.
fn score(text: &str, delimiter: u8) -> f64 {
    let mut splitter = Splitter::new(text.as_bytes(), delimiter);
    let mut record = Record::default();
    let mut counts: Vec<usize> = Vec::new();
    while counts.len() < LOOK_AHEAD_ROWS {
        match splitter.next(&mut record) {
            Ok(Some(_)) => {
                let n = record.cells().count();
                let blank = record.cells().all(|c| c.trim().is_empty());
                if !blank {
                    counts.push(n);
                }
            }
            // A cut in the middle of a quoted cell ends the sample.
            Ok(None) | Err(_) => break,
        }
    }
    let mut best = 0.0_f64;
    for n in counts.iter().copied().filter(|n| *n > 1) {
        let same = counts.iter().filter(|m| **m == n).count();
        let share = same as f64 / counts.len() as f64;
        best = best.max(share + 0.01 * (n.min(20) as f64) * share);
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_usual_separators_are_found() {
        assert_eq!(find("name,level\nA,5.1\nB,9.1\n"), b',');
        assert_eq!(
            find("nom;niveau;distance\nA;14,3;560,0\nB;15,1;800,0\n"),
            b';'
        );
        assert_eq!(find("name\tlevel\nSmith, Jo\t5.1\nLee, Di\t9.1\n"), b'\t');
        assert_eq!(find("name|level\nA|5.1\n"), b'|');
    }

    #[test]
    fn a_title_line_and_one_column_do_not_disturb_it() {
        assert_eq!(find("Autumn test\n\nname;level\nA;5.1\nB;9.1\n"), b';');
        assert_eq!(find("level\n5.1\n9.1\n"), b',');
        assert_eq!(find("sep=|\nname|level\n"), b'|');
    }
}

//! The paragraph at the head of the coach page, meant to be read aloud.
//! Must not name a person and must not rank: it counts, and says what cannot be told.

use super::{capital, in_words};
use crate::format::count;
use crate::model::{Bound, DayReport};

/// Returns a read-aloud paragraph made from the report's counts, changes and decisions.
pub fn lead_paragraph(report: &DayReport) -> String {
    let mut parts = vec![turnout(report), change(report)];
    parts.push(match report.decisions.len() {
        0 => "Nothing waits for your decision.".to_owned(),
        1 => "One matter waits for your decision.".to_owned(),
        n => format!("{} matters wait for your decision.", capital(&in_words(n))),
    });
    parts.join(" ")
}

fn turnout(report: &DayReport) -> String {
    let counts = report.counts;
    let n = |n: u32| n as usize;
    let mut text = if counts.ran == 0 {
        "Nobody ran.".to_owned()
    } else {
        format!(
            "{} ran; {}",
            capital(&count(n(counts.ran), "athlete", "athletes")),
            count(n(counts.scored), "has a full result", "have a full result"),
        )
    };
    if counts.ran > 0 {
        text.push_str(&match counts.lower_bounds {
            0 => ".".to_owned(),
            b => format!(
                ", {}.",
                count(
                    n(b),
                    "is known only as “at least”",
                    "are known only as “at least”"
                )
            ),
        });
    }
    if counts.held > 0 {
        text.push(' ');
        text.push_str(&capital(&count(
            n(counts.held),
            "row is held back.",
            "rows are held back.",
        )));
    }
    text
}

fn change(report: &DayReport) -> String {
    let changes: Vec<_> = report
        .athletes
        .iter()
        .filter_map(|a| a.change.as_ref())
        .collect();
    if changes.is_empty() {
        return "Nobody has an earlier result to be compared with.".to_owned();
    }
    let up = changes
        .iter()
        .filter(|c| c.decided && c.difference > 0.0 && c.bound != Bound::AtMost)
        .count();
    let down = changes
        .iter()
        .filter(|c| c.decided && c.difference < 0.0 && c.bound != Bound::AtLeast)
        .count();
    let rest = changes.len() - up - down;
    let moved = match (up, down) {
        (0, 0) => {
            return "Set against the earlier test, nobody has moved by more than chance explains."
                .to_owned();
        }
        (up, 0) => format!("{} moved up", has(up)),
        (0, down) => format!("{} moved down", has(down)),
        (up, down) => format!("{} moved up and {} down", has(up), in_words(down)),
    };
    let tail = match rest {
        0 => String::new(),
        1 => "; for one other the two days cannot be told apart".to_owned(),
        n => format!(
            "; for the other {} the two days cannot be told apart",
            in_words(n)
        ),
    };
    format!("Set against the earlier test, {moved} by more than chance explains{tail}.")
}

fn has(n: usize) -> String {
    format!("{} {}", in_words(n), if n == 1 { "has" } else { "have" })
}

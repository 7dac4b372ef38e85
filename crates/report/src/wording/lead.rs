//! The paragraph at the head of the coach page, meant to be read aloud.
//! Must not name a person and must not rank: it counts, and says what cannot be told.

use super::{capital, in_words};
use crate::format::{count, percent};
use crate::model::{Basis, DayReport, Tally};

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
    let all = report.tally();
    if all.compared() + all.cut_short == 0 {
        return "Nobody has an earlier result to be compared with.".to_owned();
    }
    let mut parts = Vec::new();
    for (basis, opening, up, down) in [
        (
            Basis::Level,
            "By the level from all results",
            ("has likely risen", "have likely risen"),
            ("has likely fallen", "have likely fallen"),
        ),
        (
            Basis::TwoTests,
            "By the two tests alone, where no level can be had",
            ("is likely better", "are likely better"),
            ("is likely worse", "are likely worse"),
        ),
    ] {
        let tally = report.tally_by(basis);
        if tally.compared() > 0 {
            parts.push(counted(opening, tally, up, down));
        }
    }
    let words = |n: usize, one: &str, many: &str| {
        format!(
            "{} {}.",
            capital(&in_words(n)),
            if n == 1 { one } else { many }
        )
    };
    if all.cut_short > 0 {
        parts.push(words(
            all.cut_short,
            "was cut short, so a change stays open",
            "were cut short, so a change stays open",
        ));
    }
    if all.first > 0 {
        parts.push(words(
            all.first,
            "ran this test for the first time",
            "ran this test for the first time",
        ));
    }
    parts.extend(shifted(report));
    parts.join(" ")
}

/// Says how many moved which way; "likely" is a chance of 75 % or more.
fn counted(opening: &str, tally: Tally, up: (&str, &str), down: (&str, &str)) -> String {
    let verb = |n: usize, (one, many): (&str, &str)| {
        format!("{} {}", in_words(n), if n == 1 { one } else { many })
    };
    let mut parts = Vec::new();
    if tally.better + tally.worse == 0 {
        if tally.same == 0 {
            parts.push("nobody has likely moved by more than matters".to_owned());
        }
    } else {
        parts.push(verb(tally.better, up));
        parts.push(verb(tally.worse, down));
    }
    if tally.same > 0 {
        let word = if tally.same == 1 { "shows" } else { "show" };
        parts.push(format!(
            "{} likely {word} no change that matters",
            in_words(tally.same)
        ));
    }
    if tally.unclear > 0 {
        parts.push(format!("for {} it is unclear", in_words(tally.unclear)));
    }
    format!("{opening}, {}.", listed(&parts))
}

/// Says that rises or falls may be the wave's, where its shift was found.
fn shifted(report: &DayReport) -> Option<String> {
    let wave = report.wave_shift?;
    let (direction, what) = if wave.shift >= 0.0 {
        ("further", "rise")
    } else {
        ("less far", "fall")
    };
    Some(format!(
        "The whole wave ran about {} {direction} than its history leads to expect: take no {what} for the \
         runner's own before that is explained.",
        percent(wave.shift.abs())
    ))
}

fn listed(parts: &[String]) -> String {
    match parts {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

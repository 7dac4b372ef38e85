//! The words about a person's change: level first, the two tests alone, growth.

use plimsoll_desk::change::PersonAnswer;
use plimsoll_report::format::date;

use crate::print::{self, Align, short};

/// Returns the answer as the terminal prints it.
pub fn words(a: &PersonAnswer) -> String {
    let mut out = vec![format!(
        "{}, {}: {}{} {} on {}",
        a.name,
        a.test,
        if a.bound { "at least " } else { "" },
        short(a.now, 2),
        a.unit,
        date(a.date)
    )];
    level(a, &mut out);
    for (what, p) in [("last", &a.report.previous), ("best", &a.report.best)] {
        let Some(p) = p else { continue };
        let on = a.date_of(p.day).map(date).unwrap_or_default();
        out.push(print::hanging(
            &format!(
                "the two tests alone, against the {what} test ({} {} on {on}): {}",
                short(p.value, 2),
                a.unit,
                p.words
            ),
            96,
        ));
        for flag in &p.flags {
            out.push(print::hanging(&format!("  · {}", flag.words), 96));
        }
    }
    if a.report.previous.is_none() {
        out.push("there is no earlier result to compare with".to_owned());
    }
    growth(a, &mut out);
    for flag in &a.report.flags {
        out.push(print::hanging(&format!("· {}", flag.words), 96));
    }
    out.push(print::hanging(&format!("how: {}", a.basis()), 96));
    out.join("\n")
}

fn level(a: &PersonAnswer, out: &mut Vec<String>) {
    let level = match &a.level {
        Ok(level) => level,
        Err(why) => {
            out.push(print::wrapped(&format!("no level: {why}"), 96));
            return;
        }
    };
    out.push(format!(
        "level from all results: {} {} ({} to {}, 90 %)",
        short(level.now.level, 0),
        a.unit,
        short(level.now.lower, 0),
        short(level.now.upper, 0)
    ));
    if level.changes.is_empty() {
        return;
    }
    let head = [
        ("level since", Align::Left),
        ("change", Align::Right),
        ("90 % from", Align::Right),
        ("to", Align::Right),
        ("rise", Align::Right),
        ("too small", Align::Right),
        ("fall", Align::Right),
        ("", Align::Left),
    ];
    let percent = |p: f64| format!("{:.0} %", 100.0 * p);
    let rows: Vec<Vec<String>> = level
        .changes
        .iter()
        .rev()
        .map(|c| {
            vec![
                c.since.to_string(),
                short(c.difference, 0),
                short(c.low90, 0),
                short(c.high90, 0),
                percent(c.p_up),
                percent(c.p_trivial),
                percent(c.p_down),
                c.verdict.clone(),
            ]
        })
        .collect();
    out.push(print::table(&head, &rows));
    out.push(print::hanging(
        &format!(
            "changes in {}; {} to +{} are too small to matter; {}",
            a.unit,
            short(level.zone.0, 0),
            short(level.zone.1, 0),
            level.basis
        ),
        96,
    ));
}

fn growth(a: &PersonAnswer, out: &mut Vec<String>) {
    match &a.growth {
        None => {}
        Some(Err(why)) => out.push(print::wrapped(why, 96)),
        Some(Ok(growth)) => {
            out.push(print::wrapped(&growth.line(), 96));
            if growth.since.len() > 1 {
                let head = [
                    ("since", Align::Left),
                    ("seen", Align::Right),
                    ("by growth", Align::Right),
                    ("left", Align::Right),
                    ("90 %", Align::Left),
                    ("", Align::Left),
                ];
                let rows: Vec<Vec<String>> = growth.rows().into_iter().map(Vec::from).collect();
                out.push(print::table(&head, &rows));
            }
            out.push(print::wrapped(&growth.basis(), 96));
        }
    }
}

//! What stands on each sheet.
//! Must keep a lower bound out of the result column: it has a column of its own.

use rust_xlsxwriter::{Worksheet, XlsxError};

use super::sheet::{Cell, Styles, col, table};
use crate::format;
use crate::model::{AthleteLine, Bound, ChangeLine, DayReport, LevelLine, Way};
use crate::order::alphabetical;
use crate::{lead_paragraph, sound_facts};

type Writer = fn(&DayReport, &mut Worksheet, &Styles) -> Result<u32, XlsxError>;

/// The sheets in order, with what writes them.
pub const SHEETS: [(&str, Writer); 5] = [
    ("Results", results),
    ("Level", levels),
    ("Change", changes),
    ("Held back", held),
    ("How", how),
];

fn yes(flag: bool) -> Cell {
    Cell::text(if flag { "yes" } else { "" })
}

fn results(report: &DayReport, sheet: &mut Worksheet, styles: &Styles) -> Result<u32, XlsxError> {
    let unit = report.quantity.unit.as_str();
    let decimals = format::decimals(unit);
    let columns = [
        col("Id", 14.0, 0),
        col("Athlete", 28.0, 0),
        col("Label (text)", 13.0, 0),
        col(format!("Result ({unit})"), 10.0, decimals),
        col("At least", 16.0, 0),
        col(format!("Lower bound ({unit})"), 18.0, decimals),
        col("Distance (m)", 14.0, 0),
        col("Bouts", 8.0, 0),
        col("Final speed (km/h)", 13.0, 1),
        col("Why the run ended", 20.0, 0),
        col("Reached the end", 11.0, 0),
        col("Marks", 36.0, 0),
        col("How", 60.0, 0),
    ];
    let row = |a: &AthleteLine| {
        let bound = a.value.filter(|_| a.lower_bound);
        let words = bound.map(|v| format!("at least {}", format::amount(v, unit)));
        vec![
            Cell::text(&a.id),
            Cell::text(&a.name),
            Cell::text(&a.label),
            Cell::Number(a.value.filter(|_| !a.lower_bound)),
            Cell::text(words.unwrap_or_default()),
            Cell::Number(bound),
            Cell::Number(a.distance_m.filter(|_| !a.lower_bound)),
            Cell::Number(a.bouts.map(f64::from)),
            Cell::Number(a.final_speed_kmh),
            Cell::text(&a.reason),
            yes(a.ceiling),
            Cell::text(a.flags.join("; ")),
            Cell::text(&a.how),
        ]
    };
    let lines = alphabetical(&report.athletes)
        .into_iter()
        .map(|i| &report.athletes[i]);
    table(sheet, styles, &columns, lines.map(row))
}

fn levels(report: &DayReport, sheet: &mut Worksheet, styles: &Styles) -> Result<u32, XlsxError> {
    let columns = [
        col("Id", 14.0, 0),
        col("Athlete", 28.0, 0),
        col("Moved", 12.0, 0),
        col("By what", 22.0, 0),
        col("Chance of it (0 to 1)", 12.0, 3),
        col("Level (unit beside)", 12.0, 1),
        col("90 % interval, low (unit beside)", 14.0, 1),
        col("90 % interval, high (unit beside)", 14.0, 1),
        col("Unit", 8.0, 0),
        col("Change since", 13.0, 0),
        col("Probability risen (0 to 1)", 12.0, 3),
        col("Probability smaller than matters (0 to 1)", 16.0, 3),
        col("Probability fallen (0 to 1)", 12.0, 3),
        col("Verdict on the level", 30.0, 0),
    ];
    let row = |a: &AthleteLine| {
        let moved = report.moved(&a.id);
        let basis = moved.filter(|m| m.way != Way::First);
        let level = a.level.as_ref();
        let amount = |f: fn(&LevelLine) -> f64| {
            Cell::Amount(level.map(f), level.map_or(1, |l| format::decimals(&l.unit)))
        };
        let text = |f: &dyn Fn(&LevelLine) -> String| Cell::text(level.map(f).unwrap_or_default());
        vec![
            Cell::text(&a.id),
            Cell::text(&a.name),
            Cell::text(moved.map_or("", |m| m.way.as_str())),
            Cell::text(basis.map_or("", |m| m.basis.in_words())),
            Cell::Number(moved.and_then(|m| m.chance)),
            amount(|l| l.level),
            amount(|l| l.lower),
            amount(|l| l.upper),
            text(&|l| l.unit.clone()),
            text(&|l| l.since.to_string()),
            Cell::Number(level.map(|l| l.p_up)),
            Cell::Number(level.map(|l| l.p_trivial)),
            Cell::Number(level.map(|l| l.p_down)),
            text(&|l| l.verdict.clone()),
        ]
    };
    let lines = alphabetical(&report.athletes)
        .into_iter()
        .map(|i| &report.athletes[i]);
    table(sheet, styles, &columns, lines.map(row))
}

fn changes(report: &DayReport, sheet: &mut Worksheet, styles: &Styles) -> Result<u32, XlsxError> {
    let columns = [
        col("Id", 14.0, 0),
        col("Athlete", 28.0, 0),
        col("Against", 30.0, 0),
        col("Difference (unit beside)", 12.0, 1),
        col("Unit", 8.0, 0),
        col("Bound", 10.0, 0),
        col("90 % interval, low (unit beside)", 14.0, 1),
        col("90 % interval, high (unit beside)", 14.0, 1),
        col("Probability up (0 to 1)", 12.0, 3),
        col("Probability smaller than matters (0 to 1)", 16.0, 3),
        col("Probability down (0 to 1)", 12.0, 3),
        col("Verdict", 30.0, 0),
        col("More than chance", 10.0, 0),
        col("What can be seen", 46.0, 0),
    ];
    let row = |a: &AthleteLine, c: &ChangeLine| {
        vec![
            Cell::text(&a.id),
            Cell::text(&a.name),
            Cell::text(&c.against_label),
            Cell::Amount(Some(c.difference), format::decimals(&c.unit)),
            Cell::text(&c.unit),
            Cell::text(match c.bound {
                Bound::Exact => "",
                Bound::AtLeast => "at least",
                Bound::AtMost => "at most",
            }),
            Cell::Amount(c.low90, format::decimals(&c.unit)),
            Cell::Amount(c.high90, format::decimals(&c.unit)),
            Cell::Number(c.p_up),
            Cell::Number(c.p_trivial),
            Cell::Number(c.p_down),
            Cell::text(&c.verdict),
            yes(c.decided),
            Cell::text(&c.detectable),
        ]
    };
    let rows = report.athletes.iter().flat_map(|a| {
        [&a.change, &a.best]
            .into_iter()
            .flatten()
            .map(move |c| row(a, c))
    });
    table(sheet, styles, &columns, rows)
}

fn held(report: &DayReport, sheet: &mut Worksheet, styles: &Styles) -> Result<u32, XlsxError> {
    let columns = [
        col("Row", 10.0, 0),
        col("Column", 18.0, 0),
        col("Found", 24.0, 0),
        col("Why it is held", 50.0, 0),
        col("What to do", 50.0, 0),
    ];
    let rows = report.held.iter().map(|h| {
        [&h.row, &h.column, &h.found, &h.why, &h.suggestion]
            .map(Cell::text)
            .into()
    });
    table(sheet, styles, &columns, rows)
}

fn how(report: &DayReport, sheet: &mut Worksheet, styles: &Styles) -> Result<u32, XlsxError> {
    let columns = [
        col("Topic", 16.0, 0),
        col("Item", 30.0, 0),
        col("Text", 100.0, 0),
        col("How it is known", 26.0, 0),
    ];
    let mut rows = Vec::new();
    let mut add = |topic: &str, item: &str, text: &str, known: &str| {
        if !text.is_empty() {
            rows.push([topic, item, text, known].map(Cell::text).into());
        }
    };
    let day = &report.day;
    add("Day", "Date", &day.date.to_string(), "");
    add("Day", "Venue", &day.venue, "");
    add("Day", "Surface", &day.surface, "");
    add("Day", "Conditions", &day.conditions, "");
    add("Day", "Test", &day.test_name, day.test_status.words());
    add("Day", "Test id", &day.test_id, "");
    add("Day", "Ladder fingerprint", &day.ladder_fingerprint, "");
    add("Day", "Course check", &day.course, "");
    add("Day", "Sound check", &day.sound, "");
    let sound = report.sound.iter();
    for one in sound.clone().flat_map(|s| &s.recordings) {
        for (fact, text) in sound_facts(one) {
            let item = format!("{}: {}", one.file_name, fact);
            add("Sound check", &item, &text, "");
        }
    }
    for one in sound.flat_map(|s| &s.unread) {
        add("Sound check", &one.file_name, &one.why, "");
    }
    let unit = format!("{}, {}", report.quantity.name, report.quantity.unit);
    add(
        "Dictionary",
        "Result",
        &format!("{unit}; only complete results"),
        "",
    );
    let bound = "; known only as at least this much, keep out of means";
    add("Dictionary", "Lower bound", &format!("{unit}{bound}"), "");
    let label = "text, never a number: 14.10 is not 14.1";
    add("Dictionary", "Label", label, "");
    let worthwhile = &report.smallest_worthwhile;
    let size = format::amount(worthwhile.value, &worthwhile.unit);
    let text = format!("{size}; {}", worthwhile.source);
    add("Dictionary", "Smaller than matters", &text, "");
    add("Squad", "", &lead_paragraph(report), "");
    add("Squad", "Wave", &report.wave, "");
    add("How sure", "", &report.how_sure, "");
    for source in &report.sources {
        add("Source", &source.key, &source.text, source.tag.words());
    }
    for line in &report.athletes {
        for e in &line.estimates {
            let text = format!("{} ({}); {}", e.text, e.interval, e.source);
            add("Estimate", &line.name, &text, e.tag.words());
        }
        for r in &line.references {
            let n =
                r.n.map_or_else(|| "n not stated".to_owned(), |n| format!("n = {n}"));
            let text = format!("{} ({n}); {}", r.text, r.source);
            add("Reference", &line.name, &text, r.tag.words());
        }
    }
    for (head, text) in &report.cautions.full {
        add("Caution", head, text, "");
    }
    add("Caution", "Origin", &report.cautions.origin, "");
    table(sheet, styles, &columns, rows)
}

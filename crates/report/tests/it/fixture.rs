//! An invented test day: names, places and numbers are made up and look made up.

use jiff::civil::{Date, date};
use plimsoll_report::{
    AthleteLine, Basis, Bound, Cautions, ChangeLine, Counts, DayFacts, DayReport, Decision,
    EstimateLine, HeldRow, HistoryPoint, Move, Quantity, ReferenceLine, SmallestWorthwhile,
    SourceLine, Tag, Way,
};

/// Invented athletes; the order is that of the change figure.
pub const NAMES: [&str; 26] = [
    "Sol Heron",
    "Tove Birk",
    "Kai Linnet",
    "Wren Osier",
    "Quin Plover",
    "Nils Moss",
    "Uma Vetch",
    "Gus Firth",
    "Pia Sedge",
    "Ivo Larch",
    "Mira Teal",
    "Åke Tarn",
    "Bea Sorrel",
    "Cleo Marl",
    "Dov Rush",
    "Eda Fennel",
    "Finn Skerry",
    "Greta Holm",
    "Hal Briar",
    "Isa Clover",
    "Juno Reed",
    "Lars Dune",
    "Nell Thrift",
    "Otto Beck",
    "Bo Alder",
    "Ana Rowan",
];

/// Changes in metres, in the order of [`NAMES`].
const CHANGES: [f64; 26] = [
    320.0, 280.0, 240.0, 240.0, 120.0, 80.0, 40.0, 0.0, -80.0, 40.0, 120.0, 80.0, 80.0, 40.0, 40.0,
    40.0, 0.0, 0.0, 0.0, -40.0, -40.0, -80.0, -80.0, -120.0, -200.0, -240.0,
];

/// The day of the invented test.
pub const DAY: Date = date(2026, 11, 25);

/// A day of 26 athletes: one cut short, one at the end of the ladder, one without history.
pub fn day() -> DayReport {
    let athletes: Vec<AthleteLine> = NAMES
        .iter()
        .enumerate()
        .map(|(i, n)| athlete(i, n))
        .collect();
    report(athletes)
}

/// A day with the given names, every one with a result and a change.
pub fn roster(names: &[String]) -> DayReport {
    report(
        names
            .iter()
            .enumerate()
            .map(|(i, name)| athlete(i, name))
            .collect(),
    )
}

/// One athlete of the invented day.
pub fn athlete(i: usize, name: &str) -> AthleteLine {
    let bouts = 22 + (i as u32 * 7) % 19;
    let value = f64::from(bouts) * 40.0;
    let change = CHANGES[i % CHANGES.len()];
    let mut line = AthleteLine {
        id: format!("a{i:02}"),
        name: name.to_owned(),
        label: format!("{}.{}", 13 + bouts / 8, 1 + bouts % 8),
        value: Some(value),
        distance_m: Some(value),
        final_speed_kmh: Some(14.0 + f64::from(bouts / 8) * 0.5),
        bouts: Some(bouts),
        reason: "exhaustion".to_owned(),
        change: Some(change_line(change, "last test, 12 Sep 2026")),
        history: history(value, change),
        estimates: vec![EstimateLine {
            text: format!(
                "estimated oxygen uptake {:.1} ml/kg/min",
                36.4 + value * 0.0084
            ),
            interval: "no interval published".to_owned(),
            source: "[upt]".to_owned(),
            tag: Tag::SecondaryRead,
        }],
        references: vec![ReferenceLine {
            text: "no adequate reference for this ladder, sex and age".to_owned(),
            source: "looked up in 2 references".to_owned(),
            n: None,
            tag: Tag::Derived,
        }],
        next_step: "Two sessions of short intervals a week, then this test again not before \
                    9 Jan 2027, the first day on which the expected gain could be seen"
            .to_owned(),
        how: format!(
            "{bouts} bouts × 2 × 20 m = {value} m on ladder ir1; typical error 5.6 % from 18 \
             repeat pairs [own]; equation [upt]"
        ),
        ..AthleteLine::default()
    };
    match i {
        9 => {
            line.lower_bound = true;
            line.reason = "injury".to_owned();
            line.flags = vec!["left the test with a sore calf".to_owned()];
            line.label = "14.10".to_owned();
            if let Some(change) = &mut line.change {
                change.bound = Bound::AtLeast;
                change.verdict = "open: the run was cut short".to_owned();
                change.decided = false;
            }
            for point in &mut line.history {
                point.lower_bound = point.date == DAY;
            }
        }
        10 => line.flags = vec!["left early in 9 of 21 bouts, worth up to 2 bouts".to_owned()],
        11 => line.ceiling = true,
        16 => {
            line.change = None;
            line.history.truncate(0);
            line.history.push(point(DAY, value, ""));
        }
        3 => line.best = Some(change_line(-40.0, "best result, 3 May 2026")),
        _ => {}
    }
    line
}

fn change_line(difference: f64, against: &str) -> ChangeLine {
    let half = 210.0;
    let decided = difference.abs() > half;
    let above = |z: f64| 1.0 / (1.0 + (-1.7 * z).exp());
    let p_up = above((difference - 70.0) / (half / 1.645));
    let p_down = above((-70.0 - difference) / (half / 1.645));
    let verdict = match (decided, difference > 0.0) {
        (true, true) => "better (97 %)",
        (true, false) => "lower (90 %)",
        _ => "unclear",
    };
    ChangeLine {
        against_label: against.to_owned(),
        difference,
        unit: "m".to_owned(),
        low90: Some(difference - half),
        high90: Some(difference + half),
        bound: Bound::Exact,
        p_up: Some(p_up),
        p_trivial: Some(1.0 - p_up - p_down),
        p_down: Some(p_down),
        verdict: verdict.to_owned(),
        decided,
        detectable: "a change has to pass about 210 m before chance is ruled out".to_owned(),
    }
}

fn history(value: f64, change: f64) -> Vec<HistoryPoint> {
    let before = value - change;
    vec![
        point(date(2025, 9, 20), before - 120.0, "grass"),
        point(date(2026, 2, 7), before - 40.0, ""),
        point(date(2026, 5, 3), before + 80.0, "hot, 27 °C"),
        point(date(2026, 9, 12), before, ""),
        point(DAY, value, ""),
    ]
}

fn point(date: Date, value: f64, note: &str) -> HistoryPoint {
    HistoryPoint {
        date,
        value,
        low: Some(value * 0.91),
        high: Some(value * 1.09),
        lower_bound: false,
        note: note.to_owned(),
    }
}

/// Which way an invented athlete moved, by the two tests alone.
fn moved(line: &AthleteLine) -> Move {
    let chances = line.change.as_ref().map(|c| {
        [
            (Way::Better, c.p_up),
            (Way::Worse, c.p_down),
            (Way::Same, c.p_trivial),
        ]
    });
    let likely = chances.map(|all| all.into_iter().find(|(_, p)| p.is_some_and(|p| p >= 0.75)));
    let (way, chance) = match likely {
        None => (Way::First, None),
        Some(_) if line.lower_bound => (Way::CutShort, None),
        Some(None) => (Way::Unclear, None),
        Some(Some((way, chance))) => (way, chance),
    };
    Move {
        id: line.id.clone(),
        way,
        basis: Basis::TwoTests,
        chance,
    }
}

fn report(athletes: Vec<AthleteLine>) -> DayReport {
    let bounds = athletes.iter().filter(|a| a.lower_bound).count() as u32;
    let ran = athletes.len() as u32;
    DayReport {
        title: "Harbour Lane juniors: what changed since September".to_owned(),
        day: DayFacts {
            date: DAY,
            venue: "Quay Hall".to_owned(),
            surface: "wood".to_owned(),
            conditions: "19 °C, still".to_owned(),
            test_id: "ir1".to_owned(),
            test_name: "Intermittent recovery test, level 1 (2 × 20 m)".to_owned(),
            test_status: Tag::SecondaryRead,
            ladder_fingerprint: "3f9a5c01d2b7".to_owned(),
            course: "20.02 m between the lines, taped twice".to_owned(),
            sound: "on time to 3 ms, heard at every lane".to_owned(),
        },
        quantity: Quantity::default(),
        lead: String::new(),
        counts: Counts {
            ran,
            scored: ran - bounds,
            lower_bounds: bounds,
            held: 2,
            not_started: 1,
        },
        decisions: vec![
            Decision {
                person: "Ivo Larch".to_owned(),
                what: "stopped for a sore calf at 14.10: known only as at least this far"
                    .to_owned(),
                choices: "submaximal form on Thursday, or leave it open".to_owned(),
            },
            Decision {
                person: "Mira Teal".to_owned(),
                what: "left early in 9 of 21 bouts; worth up to 2 bouts".to_owned(),
                choices: "keep with the mark, or repeat".to_owned(),
            },
        ],
        moves: athletes.iter().map(moved).collect(),
        athletes,
        smallest_worthwhile: SmallestWorthwhile {
            value: 70.0,
            unit: "m".to_owned(),
            source: "0.2 of the spread between athletes, 350 m; common practice".to_owned(),
        },
        held: vec![HeldRow {
            row: "14".to_owned(),
            column: "level".to_owned(),
            found: "19.9".to_owned(),
            why: "no such label on this ladder: stage 19 has 8 bouts".to_owned(),
            suggestion: "ask the assessor of lane 3; 19.8 is the last one of the stage".to_owned(),
        }],
        wave: String::new(),
        wave_shift: None,
        how_sure: "Course 20.02 m, sound on time to 3 ms, the two assessors agreed on 31 of 32 \
                   shared calls. One test moves by 5.6 % on its own (your 18 repeat pairs), so an \
                   athlete must move about 5 bouts before chance is ruled out."
            .to_owned(),
        sound: None,
        sources: vec![
            SourceLine {
                key: "[own]".to_owned(),
                text: "Own repeat tests, 18 pairs within 7 days, autumn 2026".to_owned(),
                tag: Tag::Measured,
            },
            SourceLine {
                key: "[upt]".to_owned(),
                text: "An invented citation: Larch & Osier, J Invented Phys 2008; 38: 37–51"
                    .to_owned(),
                tag: Tag::SecondaryRead,
            },
        ],
        cautions: Cautions::default(),
    }
}

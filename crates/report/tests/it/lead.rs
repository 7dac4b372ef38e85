//! The paragraph that is read aloud: what it counts, what says so, and what it leaves open.

use jiff::civil::date;
use plimsoll_report::{
    Basis, DayReport, LevelLine, Move, Tally, WaveShift, Way, lead_paragraph, title_words,
};

use crate::fixture::day;

/// A report in which ten moved by the level, the rest by the two tests alone.
fn with_levels(ways: [Way; 10]) -> DayReport {
    let mut report = day();
    for (line, way) in report.athletes.iter_mut().zip(ways) {
        line.level = Some(LevelLine {
            level: 1000.0,
            lower: 900.0,
            upper: 1100.0,
            unit: "m".to_owned(),
            since: date(2026, 9, 12),
            low90: -50.0,
            high90: 50.0,
            p_up: 0.2,
            p_trivial: 0.6,
            p_down: 0.2,
            verdict: "unclear".to_owned(),
        });
        let place = report.moves.iter_mut().find(|m| m.id == line.id);
        *place.expect("a move") = Move {
            id: line.id.clone(),
            way,
            basis: Basis::Level,
            chance: Some(0.8),
        };
    }
    report
}

#[test]
fn levels_and_two_tests_are_counted_apart_and_add_up() {
    use Way::{Better, CutShort, Same, Unclear, Worse};
    let ways = [
        Better, Better, Better, Worse, Same, Same, Unclear, Unclear, Unclear, CutShort,
    ];
    let report = with_levels(ways);
    let all = report.tally();
    let parts = [Basis::Level, Basis::TwoTests].map(|b| report.tally_by(b));
    let sum = |f: fn(&Tally) -> usize| parts.iter().map(f).sum::<usize>();
    assert_eq!(all.better, sum(|t| t.better));
    assert_eq!(all.worse, sum(|t| t.worse));
    assert_eq!(all.compared() + all.cut_short + all.first, 26);
    let lead = lead_paragraph(&report);
    assert!(
        lead.contains(
            "By the level from all results, three have likely risen, one has likely fallen, two \
             likely show no change that matters and for three it is unclear."
        ),
        "{lead}"
    );
    assert!(lead.contains("By the two tests alone, where no level can be had, "));
    assert!(
        lead.contains("One was cut short, so a change stays open."),
        "{lead}"
    );
    assert!(!lead.contains("whole wave"));
}

#[test]
fn a_shifted_wave_takes_the_credit_from_rises_or_falls() {
    let mut report = with_levels([Way::Better; 10]);
    let shifted = |shift| Some(WaveShift { runners: 20, shift });
    report.wave_shift = shifted(0.062);
    let lead = lead_paragraph(&report).replace('\u{202F}', " ");
    assert!(
        lead.contains("The whole wave ran about 6 % further")
            && lead.contains("take no rise for the runner's own"),
        "{lead}"
    );
    report.wave_shift = shifted(-0.041);
    let lead = lead_paragraph(&report).replace('\u{202F}', " ");
    assert!(
        lead.contains("about 4 % less far") && lead.contains("take no fall for the runner's own"),
        "{lead}"
    );
}

#[test]
fn the_heading_counts_and_says_when_nothing_is_sure() {
    let tally = Tally {
        better: 4,
        worse: 1,
        ..Tally::default()
    };
    assert_eq!(
        title_words("Squad", Some("May"), &tally),
        "Squad: four up, one down since May"
    );
    let none = Tally::default();
    assert_eq!(
        title_words("Squad", Some("May"), &none),
        "Squad: no sure change since May"
    );
    assert_eq!(title_words("Squad", None, &tally), "Squad: first results");
}

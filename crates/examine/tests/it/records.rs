//! Accepted rows become plain records; rules correct only where they leave no choice, and list it.

use plimsoll_examine::{Options, RowVerdict, Rule, Sex, examine_bytes};
use plimsoll_judge::{Amount, StopReason};

use crate::support::{catalogue, examine, examine_as, keep};

fn with_rules(test: &str, rules: &[Rule], text: &str) -> plimsoll_examine::Examination<'static> {
    let mut options = Options::new(catalogue()).with_test(test);
    options.rules = rules.iter().copied().collect();
    examine_bytes("sheet.csv", text.as_bytes(), keep(options)).expect("a sheet")
}

/// Returns the first result.
fn result(examination: &plimsoll_examine::Examination<'_>) -> plimsoll_examine::ResultRow {
    examination.results().next().expect("a result")
}

#[test]
fn a_result_keeps_what_was_written_beside_what_it_means() {
    let examination = examine_as(
        "ir1",
        "Bib,Name,Date,Level,Distance (m),Time,Reason,Attempt,Sleep,HR max,Assessor\n\
         7,Ada Alder,2026-05-04,14.3,560 m,4:41,injury,2,7 h,191,R. Gable\n",
    );
    let row = result(&examination);
    assert_eq!(row.amount, Some(Amount::Bouts(14)));
    assert_eq!(row.reason, StopReason::Injury);
    assert_eq!(row.test.as_deref(), Some("ir1"));
    assert_eq!(
        row.date.map(|d| d.to_string()).as_deref(),
        Some("2026-05-04")
    );
    assert_eq!(
        (row.label.as_deref(), row.distance.as_deref()),
        (Some("14.3"), Some("560 m"))
    );
    assert_eq!(
        (row.bib.as_deref(), row.attempt, row.at_least),
        (Some("7"), Some(2), false)
    );
    assert_eq!(
        row.covariates,
        [
            ("sleep".to_owned(), "7 h".to_owned()),
            ("heart_rate_end".to_owned(), "191".to_owned())
        ]
    );
}

#[test]
fn at_least_and_tests_without_a_ladder() {
    let lower = examine_as("ir1", "Name,Level\nAda Alder,>=14.3\n");
    assert!(result(&lower).at_least);
    assert_eq!(result(&lower).amount, Some(Amount::Bouts(14)));
    let run = examine_as("run12", "Name,Distance (m)\nAda Alder,2850\n");
    assert_eq!(result(&run).amount, Some(Amount::DistanceMm(2_850_000)));
    let timed = examine_as("shuttle1200", "Name,Time\nAda Alder,4:51.2\n");
    assert_eq!(result(&timed).amount, Some(Amount::TimeMs(291_200)));
}

#[test]
fn people_of_a_list() {
    let examination = examine(
        "First name,Surname,Date of birth,Sex,Team,Player id,Aliases\n\
         Zoë,Alder,2012-03-04,girl,U14,77,Zo Alder; Z. Alder-Birch\nBo,Birch,2012-08-09,M,U14,78,\n",
    );
    let people: Vec<_> = examination.people().collect();
    let zoe = &people[0];
    assert_eq!(zoe.name, "Zoë Alder");
    assert_eq!(zoe.sex, Some(Sex::Female));
    assert_eq!(zoe.external_id.as_deref(), Some("77"));
    assert_eq!(zoe.aliases, ["Zo Alder", "Z. Alder-Birch"]);
    assert_eq!(people.len(), 2);
    assert!(examination.report.ladders.is_empty() && examination.results().next().is_none());
}

#[test]
fn a_rule_corrects_and_lists_and_without_it_the_row_is_held() {
    let text =
        "Name,Level,Distance (m)\nAda Alder,8.1,1420\nBo Birch,5.4,720\nCleo Cedar,7.2,1060\n";
    let held = examine_as("msr20_whole", text);
    assert_eq!(held.rows[0], (2, RowVerdict::Held));
    let corrected = with_rules("msr20_whole", &[Rule::TrailingZeroFromDistance], text);
    assert_eq!(corrected.rows[0], (2, RowVerdict::Corrected));
    let correction = &corrected.report.corrections[0];
    assert_eq!(
        (
            correction.row,
            correction.before.as_str(),
            correction.after.as_str()
        ),
        (2, "`8.1`", "`8.10`")
    );
    assert_eq!(result(&corrected).amount, Some(Amount::Bouts(71)));
    assert!(result(&corrected).corrected);
}

#[test]
fn other_rules() {
    let date = with_rules(
        "msr20_whole",
        &[Rule::LabelFromDate],
        "Name,Level,Distance (m)\nAda Alder,5-Apr,720\nBo Birch,5.4,720\n",
    );
    assert_eq!(
        date.rows[0].1,
        RowVerdict::Corrected,
        "{:?}",
        date.report.findings
    );
    assert_eq!(result(&date).amount, Some(Amount::Bouts(36)));
    let unit = with_rules(
        "ir1",
        &[Rule::UnitFromLabel],
        "Name,Level,Distance (m)\nAda Alder,14.3,28\nBo Birch,15.1,800\nCleo Cedar,16.1,1080\n",
    );
    // 16.1 is 1120 m: not one of the rules' cases, so it stays held.
    assert_eq!(unit.rows[0].1, RowVerdict::Corrected);
    let zero = with_rules(
        "ir1",
        &[Rule::ZeroIsAbsent],
        "Name,Distance (m)\nAda Alder,0\nBo Birch,760\n",
    );
    assert_eq!(zero.rows[0].1, RowVerdict::Absent);
    assert_eq!(zero.report.corrections.len(), 1);
    let years = with_rules(
        "ir1",
        &[Rule::TwoDigitYears],
        "Name,Date,Distance (m)\nAda Alder,14/02/26,560\nBo Birch,14/02/26,760\n",
    );
    assert_eq!(years.rows[0].1, RowVerdict::Corrected);
    assert_eq!(
        result(&years).date.map(|d| d.to_string()).as_deref(),
        Some("2026-02-14")
    );
}

#[test]
fn one_bout_apart_is_held_under_every_rule() {
    let text = "Name,Level,Distance (m)\nAda Alder,14.3,600\nBo Birch,15.1,800\nCleo Cedar,16.1,1160\nDag Dogwood,16.3,1200\nEli Elm,14.8,760\n";
    let all = with_rules("ir1", &Rule::ALL, text);
    let held: Vec<u32> = all
        .rows
        .iter()
        .filter(|(_, v)| *v == RowVerdict::Held)
        .map(|(row, _)| *row)
        .collect();
    assert_eq!(held, [2, 4], "{:?}", all.report.findings);
}

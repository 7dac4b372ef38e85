//! Layouts of real sheets: titles, blank lines, units rows, repeated headers, totals, split labels.

use plimsoll_examine::{Field, Options, RowVerdict, examine_bytes};

use crate::support::{catalogue, codes, examine, examine_as};

#[test]
fn what_is_not_data_is_told_and_left_out() {
    let text = "Autumn level test,,\n\nName,Level,Distance\n,,(m)\nAda Alder,14.3,560\n\nBo Birch,15.1,800\n\
                Name,Level,Distance\nCleo Cedar,16.2,1160\nMean,,840\n";
    let examination = examine_as("ir1", text);
    let report = &examination.report;
    assert!(report.findings.is_empty(), "{:?}", report.findings);
    assert_eq!((report.rows, report.header_row), (3, 3));
    assert_eq!(report.verdicts.accepted.to_string(), "5, 7, 9");
    let notes: Vec<String> = report
        .notes
        .iter()
        .map(|n| format!("{:?} {}", n.row, n.text))
        .collect();
    assert_eq!(
        notes,
        [
            "Some(1) above the header, not data: `Autumn level test`",
            "Some(4) units under the header, joined to it",
            "Some(8) the header again, not data",
            "Some(10) a row of totals (`Mean`), not data",
            "Some(6) row 6 between the data is blank",
        ]
    );
    assert_eq!(report.columns[2].header, "Distance (m)");
}

#[test]
fn stage_and_shuttle_in_two_columns_are_one_label() {
    let text = "Pupil,Level,Shuttle\nAda Alder,8,10\nBo Birch,7,1\nCleo Cedar,9,12\n";
    let examination = examine_as("msr20_whole", text);
    // Level 9 has eleven shuttles.
    assert_eq!(codes(&examination), ["label-not-on-ladder"]);
    assert_eq!(examination.report.findings[0].row, 4);
    assert_eq!(examination.report.findings[0].column, "Level");
    assert_eq!(
        examination
            .results()
            .next()
            .and_then(|r| r.label)
            .as_deref(),
        Some("8.10")
    );
}

#[test]
fn a_column_of_total_shuttles_is_a_count() {
    let text = "Pupil,Level,Shuttles\nAda Alder,8.10,73\nBo Birch,5.4,36\nCleo Cedar,9.11,85\nDag Dogwood,7.2,52\n";
    let examination = examine_as("msr20_whole", text);
    let report = &examination.report;
    assert_eq!(report.columns[2].field, Some(Field::Shuttles));
    let mut rows: Vec<u32> = report.findings.iter().map(|f| f.row).collect();
    rows.sort_unstable();
    // 8.10 is shuttle 71, 5.4 is 36, 9.11 is 83 and 7.2 is 53.
    assert_eq!(rows, [2, 4, 5], "{:?}", report.findings);
}

#[test]
fn the_caller_may_map_by_hand() {
    let text = "who,how far,note\nAda Alder,560,14.3\nBo Birch,800,15.1\n";
    let mut options = Options::new(catalogue()).with_test("ir1");
    options.mapping = vec![
        ("who".to_owned(), Some(Field::Name)),
        ("how far".to_owned(), Some(Field::Distance)),
        ("note".to_owned(), Some(Field::Label)),
    ];
    let examination = examine_bytes("s.csv", text.as_bytes(), &options);
    // Without a single known heading the header must be found by the one word `note`.
    let examination = examination.expect("a sheet");
    assert!(
        examination.report.findings.is_empty(),
        "{:?}",
        examination.report.findings
    );
    assert_eq!(examination.results().count(), 2);
    options.mapping = vec![("nowhere".to_owned(), None)];
    let error = examine_bytes("s.csv", text.as_bytes(), &options).expect_err("no such column");
    assert_eq!(
        error.to_string(),
        "no column `nowhere`; the columns are who, how far, note"
    );
}

#[test]
fn headings_in_other_languages_are_mapped_with_a_preview() {
    let text = "Spieler;Geburtsdatum;Mannschaft;Stufe;Distanz (m);Grund;Bemerkung;Farbe\n\
                Ada Alder;14.02.2012;U15;14,3;560;;;rot\nBo Birch;25.04.2012;U15;15,1;800;;;blau\n";
    let report = examine(text).report;
    let fields: Vec<Option<Field>> = report.columns.iter().map(|c| c.field).collect();
    assert_eq!(
        fields,
        [
            Some(Field::Name),
            Some(Field::BirthDate),
            Some(Field::Squad),
            Some(Field::Label),
            Some(Field::Distance),
            Some(Field::Reason),
            Some(Field::Notes),
            None,
        ]
    );
    assert_eq!(
        report.columns[7].remark.as_deref(),
        Some("no known heading")
    );
    assert_eq!(report.columns[3].examples, ["14,3", "15,1"]);
    assert!(report.findings.is_empty(), "{:?}", report.findings);
}

#[test]
fn a_row_without_a_result_is_absent_and_not_a_fault() {
    let examination = examine_as(
        "ir1",
        "Name,Level,Distance (m)\nAda Alder,14.3,560\nBo Birch,dns,\nCleo Cedar,,\n",
    );
    assert!(examination.report.findings.is_empty());
    assert_eq!(
        examination.rows,
        [
            (2, RowVerdict::Accepted),
            (3, RowVerdict::Absent),
            (4, RowVerdict::Absent)
        ]
    );
    assert_eq!(examination.results().count(), 1);
}

#[test]
fn rows_of_several_tests_are_read_against_their_own_ladders() {
    let text = "Name,Test,Level,Distance (m)\nAda Alder,ir1,14.3,560\nBo Birch,ir2,18.3,280\n\
                Cleo Cedar,run12,,2850\nDag Dogwood,ir1,18.3,1840\nEli Elm,ir2,18.3,1840\n";
    let examination = examine(text);
    assert_eq!(codes(&examination), ["label-distance-disagree"]);
    assert_eq!(examination.report.findings[0].row, 6);
    assert!(examination.report.findings[0].suggestion.contains("`ir1`"));
    let tests: Vec<Option<String>> = examination.results().map(|r| r.test).collect();
    let tests: Vec<Option<&str>> = tests.iter().map(Option::as_deref).collect();
    assert_eq!(
        tests,
        [Some("ir1"), Some("ir2"), Some("run12"), Some("ir1")]
    );
}

#[test]
fn a_heading_can_give_the_order_of_day_and_month() {
    let dates = |heading: &str| -> Vec<String> {
        let text = format!("Name,{heading}\nAda Alder,05/04/2012\nBo Birch,06/07/2012\n");
        let examination = examine(&text);
        assert!(
            examination.report.findings.is_empty(),
            "{:?}",
            examination.report.findings
        );
        examination
            .people()
            .filter_map(|p| p.birth_date)
            .map(|d| d.to_string())
            .collect()
    };
    assert_eq!(dates("DOB (dd/mm/yyyy)"), ["2012-04-05", "2012-07-06"]);
    assert_eq!(dates("DOB (MM/DD/YYYY)"), ["2012-05-04", "2012-06-07"]);
}

#[test]
fn a_clock_time_under_the_heading_time_is_not_a_running_time() {
    let mut text = String::from("Name,Device,Time,Level\n");
    for (i, at) in [12, 20, 25, 31, 18, 40, 22, 35].into_iter().enumerate() {
        let bout = &crate::support::bouts("ir1")[at];
        let late = if i % 2 == 0 { 42.0 } else { 0.0 };
        let s = (10.0 * 3_600.0 + bout.finish.as_secs_f64() + late).round() as u64;
        let (h, m, s) = (s / 3_600, s / 60 % 60, s % 60);
        text.push_str(&format!(
            "{},phone {},{h:02}:{m:02}:{s:02},{}\n",
            crate::support::name(i),
            i % 2,
            bout.label
        ));
    }
    let examination = examine_as("ir1", &text);
    assert_eq!(examination.report.columns[2].field, Some(Field::Timestamp));
    assert_eq!(codes(&examination), ["clocks-differ"]);
    assert_eq!(examination.report.findings[0].found, "42 s");
}

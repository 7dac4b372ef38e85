//! The workbook and the tidy tables, read back.

use std::io::Cursor;

use calamine::{Data, DataType, Range, Reader, Xlsx, open_workbook_from_rs};
use plimsoll_report::{CsvOptions, DayReport, render_csv, render_xlsx};

use crate::fixture::day;

fn sheet(report: &DayReport, name: &str) -> Range<Data> {
    let bytes = render_xlsx(report).expect("it writes");
    let mut book: Xlsx<_> = open_workbook_from_rs(Cursor::new(bytes)).expect("it reads back");
    assert_eq!(
        book.sheet_names(),
        ["Results", "Level", "Change", "Held back", "How"]
    );
    assert!(
        book.worksheet_formula(name).expect("the sheet").is_empty(),
        "no formula anywhere"
    );
    book.worksheet_range(name).expect("the sheet")
}

fn column(range: &Range<Data>, head: &str) -> usize {
    let row = range.rows().next().expect("a header");
    row.iter()
        .position(|c| c.as_string().as_deref() == Some(head))
        .unwrap_or_else(|| panic!("{head} in {row:?}"))
}

fn row<'a>(range: &'a Range<Data>, name: &str) -> &'a [Data] {
    range
        .rows()
        .find(|r| r[1].as_string().as_deref() == Some(name))
        .unwrap_or_else(|| panic!("{name}"))
}

#[test]
fn labels_are_text_and_a_lower_bound_is_no_score() {
    let range = sheet(&day(), "Results");
    let ivo = row(&range, "Ivo Larch");
    assert_eq!(
        ivo[column(&range, "Label (text)")],
        Data::String("14.10".to_owned())
    );
    assert_eq!(ivo[column(&range, "Result (m)")], Data::Empty);
    assert_eq!(ivo[column(&range, "Distance (m)")], Data::Empty);
    assert_eq!(ivo[column(&range, "Lower bound (m)")], Data::Float(1120.0));
    let words = ivo[column(&range, "At least")].to_string();
    assert_eq!(words, "at least 1\u{202F}120\u{202F}m");
    let sol = row(&range, "Sol Heron");
    assert_eq!(sol[column(&range, "Result (m)")], Data::Float(880.0));
    assert_eq!(sol[column(&range, "Lower bound (m)")], Data::Empty);
    assert_eq!(range.height(), 27);
}

#[test]
fn names_that_look_like_formulas_stay_text() {
    let mut report = day();
    for (line, name) in report
        .athletes
        .iter_mut()
        .zip(["=1+1", "+A1", "-2", "@SUM(A1)"])
    {
        line.name = name.to_owned();
    }
    let range = sheet(&report, "Results");
    for name in ["=1+1", "+A1", "-2", "@SUM(A1)"] {
        assert_eq!(row(&range, name)[1], Data::String(name.to_owned()));
    }
}

#[test]
fn change_held_back_and_how_hold_their_numbers_and_sources() {
    let change = sheet(&day(), "Change");
    let ana = row(&change, "Ana Rowan");
    assert_eq!(
        ana[column(&change, "Difference (unit beside)")],
        Data::Float(-240.0)
    );
    assert_eq!(ana[column(&change, "Unit")], Data::String("m".to_owned()));
    assert_eq!(
        change.height(),
        1 + 25 + 1,
        "25 against the last test, one against the best"
    );
    let held = sheet(&day(), "Held back");
    assert_eq!(held.get((1, 2)), Some(&Data::String("19.9".to_owned())));
    let how = sheet(&day(), "How");
    let all: Vec<String> = how
        .rows()
        .map(|r| r.iter().map(ToString::to_string).collect())
        .collect();
    assert!(
        all.iter()
            .any(|r| r.contains("[own]") && r.contains("measured"))
    );
    assert!(all.iter().any(|r| r.contains("keep out of means")));
}

#[test]
fn two_workbooks_of_one_report_are_the_same_bytes() {
    assert!(render_xlsx(&day()).expect("it writes") == render_xlsx(&day()).expect("it writes"));
}

fn read(text: &str) -> (Vec<String>, Vec<Vec<String>>) {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let header = reader
        .headers()
        .expect("a header")
        .iter()
        .map(str::to_owned)
        .collect();
    let rows = reader
        .records()
        .map(|r| r.expect("a row").iter().map(str::to_owned).collect())
        .collect();
    (header, rows)
}

#[test]
fn tables_have_one_row_a_fact_and_every_column_is_in_the_dictionary() {
    let tables = render_csv(&day(), CsvOptions::default()).expect("it writes");
    let (header, rows) = read(&tables.rows);
    assert_eq!(rows.len(), 26);
    let at = |name: &str| {
        header
            .iter()
            .position(|h| h == name)
            .unwrap_or_else(|| panic!("{name}"))
    };
    let ivo = rows
        .iter()
        .find(|r| r[at("person_name")] == "Ivo Larch")
        .expect("his row");
    assert_eq!(ivo[at("label")], "14.10");
    assert_eq!(ivo[at("result_kind")], "lower_bound");
    assert_eq!(ivo[at("change_bound")], "at_least");
    assert_eq!(ivo[at("date")], "2026-11-25");
    let ana = rows
        .iter()
        .find(|r| r[at("person_name")] == "Ana Rowan")
        .expect("her row");
    assert_eq!(ana[at("change")], "-240");
    assert_eq!(
        (ana[at("moved")].as_str(), ana[at("moved_basis")].as_str()),
        ("worse", "two_tests")
    );
    assert_eq!(ivo[at("moved")], "cut_short");
    assert_eq!(ana[at("decided")], "true");
    let (history_header, history) = read(&tables.history);
    assert_eq!(history.len(), 25 * 5 + 1);
    let (_, dictionary) = read(&tables.dictionary);
    for (table, columns) in [("results.csv", &header), ("history.csv", &history_header)] {
        let known: Vec<&String> = dictionary
            .iter()
            .filter(|r| r[0] == table)
            .map(|r| &r[1])
            .collect();
        assert_eq!(known, columns.iter().collect::<Vec<_>>(), "{table}");
    }
    assert!(
        dictionary
            .iter()
            .all(|r| !r[2].is_empty() && !r[4].is_empty())
    );
}

#[test]
fn formulas_are_disarmed_only_on_request_and_labels_never_change() {
    let mut report = day();
    report.athletes[0].name = "=HYPERLINK(\"x\")".to_owned();
    let raw = render_csv(&report, CsvOptions::default())
        .expect("it writes")
        .rows;
    assert!(raw.contains("\"=HYPERLINK(\"\"x\"\")\""));
    let safe = render_csv(
        &report,
        CsvOptions {
            spreadsheet_safe: true,
        },
    )
    .expect("it writes")
    .rows;
    assert!(safe.contains("\"'=HYPERLINK(\"\"x\"\")\""));
    assert!(raw.contains(",14.10,") && safe.contains(",14.10,") && safe.contains(",-240,"));
}

#[test]
fn the_model_goes_through_json_unchanged() {
    let report = day();
    let value = serde_json::to_value(&report).expect("it writes");
    let again: DayReport = serde_json::from_value(value).expect("it reads");
    assert!(again == report);
}

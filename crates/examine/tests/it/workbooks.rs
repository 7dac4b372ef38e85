//! Workbooks whose cells have kinds: number cells that lost a zero, labels that became dates.
//! The committed ones are made here; set `PLIMSOLL_WRITE_FIXTURES` to write them again.

use std::io::{Cursor, Write};

use plimsoll_examine::{Options, examine_bytes};
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, Workbook};
use zip::write::{SimpleFileOptions, ZipWriter};

use crate::support::{bouts, catalogue, codes, examine_as, fixtures, metres, name};

/// A cell of a made workbook.
enum Made {
    Text(String),
    Number(f64),
    /// Year, month, day.
    Date(u16, u8, u8),
    /// Seconds since midnight.
    Clock(f64),
}

type Rows = Vec<Vec<Made>>;

fn text(value: &str) -> Made {
    Made::Text(value.to_owned())
}

/// Makes an XLSX workbook with sheets given by name.
fn xlsx(sheets: &[(&str, &Rows)]) -> Vec<u8> {
    let mut book = Workbook::new();
    let created = ExcelDateTime::from_ymd(2026, 1, 1).expect("a date");
    book.set_properties(&DocProperties::new().set_creation_datetime(&created));
    let date = Format::new().set_num_format("d-mmm");
    let clock = Format::new().set_num_format("h:mm");
    for (name, rows) in sheets {
        let sheet = book.add_worksheet();
        sheet.set_name(*name).expect("a name");
        for (r, row) in rows.iter().enumerate() {
            for (c, cell) in row.iter().enumerate() {
                let (r, c) = (r as u32, c as u16);
                match cell {
                    Made::Text(t) if t.is_empty() => {}
                    Made::Text(t) => {
                        sheet.write_string(r, c, t).expect("a cell");
                    }
                    Made::Number(n) => {
                        sheet.write_number(r, c, *n).expect("a cell");
                    }
                    Made::Date(y, m, d) => {
                        let day = ExcelDateTime::from_ymd(*y, *m, *d).expect("a date");
                        sheet
                            .write_datetime_with_format(r, c, &day, &date)
                            .expect("a cell");
                    }
                    Made::Clock(s) => {
                        sheet
                            .write_number_with_format(r, c, s / 86_400.0, &clock)
                            .expect("a cell");
                    }
                }
            }
        }
    }
    book.save_to_buffer().expect("memory")
}

/// Makes an OpenDocument workbook with one sheet.
fn ods(rows: &Rows) -> Vec<u8> {
    let mut table = String::new();
    for row in rows {
        table.push_str("<table:table-row>");
        for cell in row {
            match cell {
                Made::Text(t) if t.is_empty() => table.push_str("<table:table-cell/>"),
                Made::Text(t) => table.push_str(&format!(
                    "<table:table-cell office:value-type=\"string\"><text:p>{t}</text:p></table:table-cell>"
                )),
                Made::Number(n) => table.push_str(&format!(
                    "<table:table-cell office:value-type=\"float\" office:value=\"{n}\"><text:p>{n}</text:p></table:table-cell>"
                )),
                Made::Date(y, m, d) => table.push_str(&format!(
                    "<table:table-cell office:value-type=\"date\" office:date-value=\"{y}-{m:02}-{d:02}\"/>"
                )),
                Made::Clock(s) => table.push_str(&format!(
                    "<table:table-cell office:value-type=\"time\" office:time-value=\"PT{s}S\"/>"
                )),
            }
        }
        table.push_str(
            "<table:table-cell table:number-columns-repeated=\"1000\"/></table:table-row>",
        );
    }
    let content = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?><office:document-content \
         xmlns:office=\"urn:oasis:names:tc:opendocument:xmlns:office:1.0\" \
         xmlns:table=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\" \
         xmlns:text=\"urn:oasis:names:tc:opendocument:xmlns:text:1.0\" office:version=\"1.3\">\
         <office:body><office:spreadsheet><table:table table:name=\"Results\">{table}\
         <table:table-row table:number-rows-repeated=\"1048000\"><table:table-cell \
         table:number-columns-repeated=\"1024\"/></table:table-row></table:table>\
         </office:spreadsheet></office:body></office:document-content>"
    );
    let manifest = "<?xml version=\"1.0\" encoding=\"UTF-8\"?><manifest:manifest \
        xmlns:manifest=\"urn:oasis:names:tc:opendocument:xmlns:manifest:1.0\">\
        <manifest:file-entry manifest:full-path=\"/\" \
        manifest:media-type=\"application/vnd.oasis.opendocument.spreadsheet\"/>\
        <manifest:file-entry manifest:full-path=\"content.xml\" manifest:media-type=\"text/xml\"/>\
        </manifest:manifest>";
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    let parts = [
        ("mimetype", "application/vnd.oasis.opendocument.spreadsheet"),
        ("META-INF/manifest.xml", manifest),
        ("content.xml", content.as_str()),
    ];
    for (name, content) in parts {
        writer
            .start_file(name, SimpleFileOptions::default())
            .expect("a part");
        writer.write_all(content.as_bytes()).expect("memory");
    }
    writer.finish().expect("a package").into_inner()
}

/// Labels alone on the ladder with whole shuttles; number cells or text cells.
fn labels(as_numbers: bool) -> Rows {
    let mut rows: Rows = vec![vec![text("Name"), text("Test"), text("Level")]];
    for (i, label) in ["7.4", "8.1", "9.6", "5.2", "10.3", "11.7", "6.9", "8.5"]
        .iter()
        .enumerate()
    {
        let cell = if as_numbers {
            Made::Number(label.parse().expect("a number"))
        } else {
            text(label)
        };
        rows.push(vec![text(&name(i)), text("msr20_whole"), cell]);
    }
    rows
}

/// Labels and distances; the label 5.4 as a date or as text.
fn dated(as_date: bool) -> Rows {
    let mut rows: Rows = vec![vec![text("Name"), text("Level"), text("Distance (m)")]];
    for (i, at) in [30, 44, 36, 61, 52, 75, 83, 40, 69, 58]
        .into_iter()
        .enumerate()
    {
        let bout = &bouts("msr20_whole")[at - 1];
        let label = if as_date && bout.label == "5.4" {
            Made::Date(2026, 4, 5)
        } else {
            text(&bout.label)
        };
        let distance = Made::Number(bout.distance.as_m_f64());
        rows.push(vec![text(&name(i)), label, distance]);
    }
    rows
}

fn made() -> Vec<(&'static str, Vec<u8>)> {
    vec![
        (
            "03-trailing-zero-lost-numbers.xlsx",
            xlsx(&[("Results", &labels(true))]),
        ),
        (
            "03-trailing-zero-lost-numbers.clean.xlsx",
            xlsx(&[("Results", &labels(false))]),
        ),
        (
            "04-label-became-date-cells.xlsx",
            xlsx(&[("Results", &dated(true))]),
        ),
        (
            "04-label-became-date-cells.clean.xlsx",
            xlsx(&[("Results", &dated(false))]),
        ),
        ("04-label-became-date-cells.ods", ods(&dated(true))),
        ("04-label-became-date-cells.clean.ods", ods(&dated(false))),
    ]
}

#[test]
fn the_committed_workbooks_are_those_made_here() {
    for (name, bytes) in made() {
        let path = fixtures().join(name);
        if std::env::var_os("PLIMSOLL_WRITE_FIXTURES").is_some() {
            std::fs::write(&path, &bytes).expect("writable");
        }
        let options = Options::new(catalogue());
        let committed = std::fs::read(&path).expect("a committed workbook");
        let examine = |bytes: &[u8]| {
            let mut report = examine_bytes(name, bytes, &options)
                .expect("a workbook")
                .report;
            report.file.sha256.clear();
            serde_json::to_string(&report).expect("JSON")
        };
        assert_eq!(examine(&committed), examine(&bytes), "{name}");
    }
}

#[test]
fn the_sheet_that_looks_like_results_is_read_and_the_others_are_named() {
    let plan: Rows = vec![vec![text("Lanes and helpers")], vec![text("Bring cones")]];
    let bytes = xlsx(&[
        ("Plan", &plan),
        ("Results", &dated(false)),
        ("Empty", &Vec::new()),
    ]);
    let report = examine_bytes("day.xlsx", &bytes, &Options::new(catalogue()))
        .expect("a book")
        .report;
    assert_eq!(report.file.sheet.as_deref(), Some("Results"));
    let notes: Vec<&str> = report.notes.iter().map(|n| n.text.as_str()).collect();
    assert_eq!(
        notes,
        ["sheet `Plan` was not read", "sheet `Empty` was not read"]
    );
    let mut options = Options::new(catalogue());
    options.sheet = Some("Resluts".to_owned());
    let error = examine_bytes("day.xlsx", &bytes, &options).expect_err("no such sheet");
    assert_eq!(
        error.to_string(),
        "`day.xlsx` has no sheet `Resluts`; it has Plan, Results, Empty"
    );
}

#[test]
fn minutes_and_seconds_typed_into_a_sheet_are_read_as_such() {
    let mut rows: Rows = vec![vec![text("Name"), text("Level"), text("Stop time")]];
    for (i, at) in [14, 20, 33, 41].into_iter().enumerate() {
        let bout = &bouts("ir1")[at];
        // `4:41` typed into a cell is stored as 4 h 41 min.
        let seconds = bout.finish.as_secs_f64().round();
        rows.push(vec![
            text(&name(i)),
            text(&bout.label),
            Made::Clock(seconds * 60.0),
        ]);
    }
    for bytes in [xlsx(&[("S", &rows)]), ods(&rows)] {
        let options = Options::new(catalogue()).with_test("ir1");
        let examination = examine_bytes("day", &bytes, &options).expect("a workbook");
        assert!(
            codes(&examination).is_empty(),
            "{:?}",
            examination.report.findings
        );
        assert_eq!(examination.results().count(), 4);
    }
}

#[test]
fn text_and_workbook_agree() {
    let mut csv = String::from("Name,Level,Distance (m)\n");
    for (i, at) in [30, 44, 36, 61, 52, 75, 83, 40, 69, 58]
        .into_iter()
        .enumerate()
    {
        let bout = &bouts("msr20_whole")[at - 1];
        csv.push_str(&format!("{},{},{}\n", name(i), bout.label, metres(bout)));
    }
    let from_text = examine_as("msr20_whole", &csv);
    let options = Options::new(catalogue()).with_test("msr20_whole");
    for bytes in [xlsx(&[("S", &dated(false))]), ods(&dated(false))] {
        let from_book = examine_bytes("day", &bytes, &options).expect("a workbook");
        assert!(from_book.results().eq(from_text.results()));
    }
}

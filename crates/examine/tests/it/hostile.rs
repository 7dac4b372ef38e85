//! Hostile bytes: random ones, mutated fixtures, broken and explosive workbooks. Nothing panics.

use std::io::{Cursor, Write};

use plimsoll_examine::{ExamineError, Options, Rule, examine_bytes};
use proptest::prelude::*;
use zip::write::{SimpleFileOptions, ZipWriter};

use crate::support::{catalogue, fixtures, keep};

fn run(bytes: &[u8]) {
    for test in [None, Some("ir1"), Some("run12")] {
        let mut options = Options::new(catalogue());
        options.test = test.map(str::to_owned);
        options.rules = Rule::ALL.into_iter().collect();
        options.context.today = "2026-06-01".parse().ok();
        match examine_bytes("hostile", bytes, &options) {
            Ok(examination) => {
                let report = &examination.report;
                assert_eq!(examination.rows.len(), report.rows);
                assert!(
                    examination.people().count() + examination.results().count() <= 2 * report.rows
                );
                serde_json::to_string(report).expect("a report is JSON");
            }
            Err(error) => assert!(!error.to_string().is_empty()),
        }
    }
}

fn corpus() -> Vec<Vec<u8>> {
    std::fs::read_dir(fixtures())
        .expect("the fixtures folder")
        .map(|e| e.expect("readable").path())
        .filter(|p| {
            p.extension()
                .is_some_and(|e| e == "csv" || e == "xlsx" || e == "ods")
        })
        .map(|p| std::fs::read(p).expect("readable"))
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn random_bytes(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        run(&bytes);
    }

    #[test]
    fn random_cells_under_known_headers(
        rows in prop::collection::vec(prop::collection::vec("\\PC{0,8}|[0-9./:,-]{0,10}", 14), 1..8)
    ) {
        let mut text = String::from(
            "name,dob,sex,squad,date,level,distance,shuttles,time,speed,reason,hr max,centile,attempt\n",
        );
        for row in &rows {
            let cells: Vec<String> =
                row.iter().map(|c| format!("\"{}\"", c.replace('"', "\"\""))).collect();
            text.push_str(&cells.join(","));
            text.push('\n');
        }
        run(text.as_bytes());
    }

    #[test]
    fn mutated_fixtures(
        which in 0_usize..10_000,
        cuts in prop::collection::vec((0_usize..100_000, any::<u8>(), 0_u8..4), 1..12),
    ) {
        let corpus = corpus();
        let mut bytes = corpus[which % corpus.len()].clone();
        for (at, byte, how) in cuts {
            if bytes.is_empty() {
                break;
            }
            let at = at % bytes.len();
            match how {
                0 => bytes[at] = byte,
                1 => bytes.insert(at, byte),
                2 => { bytes.remove(at); }
                _ => bytes.truncate(at),
            }
        }
        run(&bytes);
    }
}

fn package(parts: &[(&str, &[u8])]) -> Vec<u8> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, content) in parts {
        writer
            .start_file(*name, SimpleFileOptions::default())
            .expect("a part");
        writer.write_all(content).expect("memory");
    }
    writer.finish().expect("a package").into_inner()
}

fn ods(table: &str) -> Vec<u8> {
    let content = format!(
        "<office:document-content><office:body><office:spreadsheet>\
         <table:table table:name=\"S\">{table}</table:table>\
         </office:spreadsheet></office:body></office:document-content>"
    );
    package(&[
        (
            "mimetype",
            b"application/vnd.oasis.opendocument.spreadsheet",
        ),
        ("content.xml", content.as_bytes()),
    ])
}

#[test]
fn a_workbook_that_unpacks_without_end_is_refused() {
    let zeros = vec![0_u8; 8 << 20];
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    writer
        .start_file("xl/workbook.xml", SimpleFileOptions::default())
        .expect("a part");
    for _ in 0..66 {
        writer.write_all(&zeros).expect("memory");
    }
    let bytes = writer.finish().expect("a package").into_inner();
    assert!(bytes.len() < 1 << 20, "{} bytes hold 528 MiB", bytes.len());
    let error = examine_bytes("bomb.xlsx", &bytes, keep(Options::new(catalogue())));
    assert!(
        matches!(
            error,
            Err(ExamineError::TooLarge {
                unit: "bytes once unpacked",
                ..
            })
        ),
        "{error:?}"
    );
}

#[test]
fn repeats_in_an_open_document_stay_bounded() {
    let header = "<table:table-row><table:table-cell office:value-type=\"string\"><text:p>name</text:p></table:table-cell></table:table-row>";
    let wide = format!(
        "{header}<table:table-row><table:table-cell table:number-columns-repeated=\"2000000000\" office:value-type=\"float\" office:value=\"1\"/></table:table-row>"
    );
    let error = examine_bytes("wide.ods", &ods(&wide), keep(Options::new(catalogue())));
    assert!(
        matches!(
            error,
            Err(ExamineError::TooLarge {
                unit: "columns",
                ..
            })
        ),
        "{error:?}"
    );
    let tall = format!(
        "{header}<table:table-row table:number-rows-repeated=\"2000000000\"><table:table-cell office:value-type=\"float\" office:value=\"1\"/></table:table-row>"
    );
    let error = examine_bytes("tall.ods", &ods(&tall), keep(Options::new(catalogue())));
    assert!(
        matches!(error, Err(ExamineError::TooLarge { unit: "rows", .. })),
        "{error:?}"
    );
}

#[test]
fn an_xlsx_with_a_cell_in_the_last_row_and_column_is_refused_at_once() {
    let sheet = "<worksheet><sheetData>\
        <row r=\"1\"><c r=\"A1\" t=\"inlineStr\"><is><t>name</t></is></c></row>\
        <row r=\"1048576\"><c r=\"XFD1048576\"><v>1</v></c></row></sheetData></worksheet>";
    let workbook = "<workbook xmlns:r=\"http://schemas.openxmlformats.org/officeDocument/2006/relationships\">\
        <sheets><sheet name=\"S\" sheetId=\"1\" r:id=\"rId1\"/></sheets></workbook>";
    let rels = "<Relationships><Relationship Id=\"rId1\" \
        Type=\"http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet\" \
        Target=\"worksheets/sheet1.xml\"/></Relationships>";
    let root = "<Relationships><Relationship Id=\"rId1\" \
        Type=\"http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument\" \
        Target=\"xl/workbook.xml\"/></Relationships>";
    let bytes = package(&[
        ("_rels/.rels", root.as_bytes()),
        ("xl/workbook.xml", workbook.as_bytes()),
        ("xl/_rels/workbook.xml.rels", rels.as_bytes()),
        ("xl/worksheets/sheet1.xml", sheet.as_bytes()),
    ]);
    let error = examine_bytes("corner.xlsx", &bytes, keep(Options::new(catalogue())));
    assert!(
        matches!(
            error,
            Err(ExamineError::TooLarge {
                unit: "columns",
                ..
            })
        ),
        "{error:?}"
    );
}

#[test]
fn what_is_no_sheet_is_told_in_whole_sentences() {
    let say = |name: &str, bytes: &[u8]| {
        examine_bytes(name, bytes, &Options::new(catalogue()))
            .expect_err("no sheet")
            .to_string()
    };
    assert_eq!(
        say("plan.pdf", b"%PDF-1.7"),
        "`plan.pdf` is a PDF, not a sheet; save it as CSV, TSV, XLSX or ODS"
    );
    assert_eq!(
        say("x.zip", &package(&[("a.txt", b"a")])),
        "`x.zip` is a package without a sheet in it, not a sheet; save it as CSV, TSV, XLSX or ODS"
    );
    assert_eq!(
        say("a.csv", b"Ann,14.3\nBo,15.1\n"),
        "`a.csv` has no header row in its first 2 rows (row 1 reads `Ann, 14.3`); put one line above \
         the data that names the columns, for example `name, level, distance (m)`"
    );
    assert_eq!(
        say("b.csv", b"name,level\nAnn,14.3\nBo,\"15.1\n"),
        "`b.csv`, row 3, column 2: a quotation mark opens a cell and does not close within 64 lines; \
         close it, or double it if it belongs to the text"
    );
    assert_eq!(
        say("c.csv", b"name,level\n"),
        "`c.csv` has no rows; a sheet needs a header row and at least one row below it"
    );
    let unknown = Options::new(catalogue()).with_test("ir9");
    let error = examine_bytes("d.csv", b"name\nAnn\n", &unknown)
        .expect_err("no such test")
        .to_string();
    assert!(
        error.starts_with("no test `ir9`; the tests are ir1, ir2,"),
        "{error}"
    );
}

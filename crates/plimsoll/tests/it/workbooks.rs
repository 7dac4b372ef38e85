//! Workbooks (XLSX, ODS) through `study` and `reference fit`: the same answers as from the same table as CSV.

use std::io::{Cursor, Write};
use std::path::Path;

use rust_xlsxwriter::Workbook;
use serde_json::Value;
use zip::write::{SimpleFileOptions, ZipWriter};

use crate::support::Bench;

/// A sheet as written by hand: a title, an empty row, the table; cells that read as numbers are numbers.
fn cells(table: &str) -> Vec<Vec<String>> {
    let mut rows = vec![vec!["Harbour Lane, invented".to_owned()], Vec::new()];
    rows.extend(
        table
            .lines()
            .map(|line| line.split(',').map(str::to_owned).collect()),
    );
    rows
}

fn xlsx(table: &str) -> Vec<u8> {
    let mut book = Workbook::new();
    let cover = book.add_worksheet();
    cover.set_name("Read me").expect("a name");
    cover.write_string(0, 0, "what this is").expect("a cell");
    let sheet = book.add_worksheet();
    sheet.set_name("Data").expect("a name");
    for (r, row) in (0u32..).zip(cells(table)) {
        for (c, cell) in (0u16..).zip(row) {
            match cell.parse::<f64>() {
                Ok(number) => sheet.write_number(r, c, number).expect("a cell"),
                Err(_) if cell.is_empty() => sheet,
                Err(_) => sheet.write_string(r, c, cell).expect("a cell"),
            };
        }
    }
    book.save_to_buffer().expect("a workbook")
}

fn ods(table: &str) -> Vec<u8> {
    let mut body = String::new();
    for row in cells(table) {
        body.push_str("<table:table-row>");
        for cell in row {
            body.push_str(&match cell.parse::<f64>() {
                Ok(n) => format!(
                    "<table:table-cell office:value-type=\"float\" office:value=\"{n}\"><text:p>{cell}</text:p></table:table-cell>"
                ),
                Err(_) if cell.is_empty() => "<table:table-cell/>".to_owned(),
                Err(_) => format!(
                    "<table:table-cell office:value-type=\"string\"><text:p>{cell}</text:p></table:table-cell>"
                ),
            });
        }
        body.push_str("</table:table-row>");
    }
    let name = "urn:oasis:names:tc:opendocument:xmlns";
    let content = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?><office:document-content xmlns:office=\"{name}:office:1.0\" \
         xmlns:table=\"{name}:table:1.0\" xmlns:text=\"{name}:text:1.0\"><office:body><office:spreadsheet>\
         <table:table table:name=\"Data\">{body}</table:table></office:spreadsheet></office:body>\
         </office:document-content>"
    );
    let mut file = ZipWriter::new(Cursor::new(Vec::new()));
    let options = SimpleFileOptions::default();
    for (part, text) in [
        ("mimetype", "application/vnd.oasis.opendocument.spreadsheet"),
        ("content.xml", content.as_str()),
    ] {
        file.start_file(part, options).expect("a part");
        file.write_all(text.as_bytes()).expect("written");
    }
    file.finish().expect("a file").into_inner()
}

/// The bench with a table as CSV, XLSX and ODS.
fn bench(table: &str) -> Bench {
    let bench = Bench::new();
    bench.put("table.csv", table);
    std::fs::write(bench.path("table.xlsx"), xlsx(table)).expect("written");
    std::fs::write(bench.path("table.ods"), ods(table)).expect("written");
    bench
}

fn answer(bench: &Bench, args: &[&str]) -> Value {
    let ran = bench.run(args);
    assert_eq!(ran.status, 0, "{args:?} {}", ran.err);
    let mut answer = ran.json();
    // Notes say how the table was read, where a title stood above it: that differs.
    for key in ["notes", "source"] {
        if let Some(map) = answer.as_object_mut() {
            map.remove(key);
        }
    }
    answer
}

const WIDE: &str = "Name,Trial 1 (m),Trial 2 (m),Trial 3 (m)\nAna,1200,1240,1280\nBo,900,880,940\n\
    Cleo,1600,,1640\nDov,1320,1400,1360\nEda,1080,1120,1080\nFinn,720,760,800\nGus,1480,1440,1520\n";

#[test]
fn a_study_is_the_same_from_a_workbook() {
    let bench = bench(WIDE);
    let csv = answer(&bench, &["study", "table.csv", "--json"]);
    assert_eq!(
        (csv["n"].as_u64(), csv["values"].as_u64()),
        (Some(7), Some(20))
    );
    for file in ["table.xlsx", "table.ods"] {
        let args = ["study", file, "--sheet", "Data", "--json"];
        assert_eq!(answer(&bench, &args), csv, "{file}");
        let said = bench.run(&args[..4]);
        assert!(
            said.out.contains("one cell is empty and counts as missing"),
            "{}",
            said.out
        );
    }
    let none = bench.run(&["study", "table.xlsx", "--sheet", "Daten"]);
    assert_eq!(none.status, 2);
    assert!(
        none.err.contains("Data") && none.err.contains("Read me"),
        "{}",
        none.err
    );
}

#[test]
fn a_label_that_became_a_number_is_refused_in_a_workbook_and_read_from_text() {
    // On this ladder 9.1 and 9.10 are two places; a number cell holds 9.1 for both.
    let bench = bench("Person,First,Second\nAna,9.1,9.4\nBo,8.2,8.5\nCleo,7.3,7.6\nDov,9.2,9.5\n");
    let test = ["--test", "msr20_whole"];
    let csv = bench.run(&["study", "table.csv", test[0], test[1]]);
    assert_eq!(csv.status, 0, "{}", csv.err);
    for file in ["table.xlsx", "table.ods"] {
        let ran = bench.run(&["study", file, "--sheet", "Data", test[0], test[1]]);
        assert_eq!(ran.status, 2, "{file}: {}", ran.out);
        for part in ["row 4, column `First`: found `9.1`", "a label kept as text"] {
            assert!(ran.err.contains(part), "{file}: {part}\n{}", ran.err);
        }
    }
}

/// The numbers are those of the CSV, which `reference.rs` holds against lms_synthetic.json.
#[test]
fn a_reference_is_the_same_from_a_workbook() {
    let golden =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../measure/tests/golden/lms_synthetic.csv");
    let bench = bench(&std::fs::read_to_string(golden).expect("golden file"));
    let fit = |file: &str, more: &[&str]| {
        let args = [
            "reference",
            "fit",
            file,
            "--polynomial",
            "0,2,1",
            "--age-scale",
            "13,10",
            "--json",
        ];
        let args: Vec<&str> = args.iter().chain(more).copied().collect();
        answer(&bench, &args)
    };
    let csv = fit("table.csv", &[]);
    assert_eq!(csv["n"], 800.0);
    for file in ["table.xlsx", "table.ods"] {
        assert_eq!(fit(file, &["--sheet", "Data"]), csv, "{file}");
    }
}

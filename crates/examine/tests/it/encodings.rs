//! The same sheet in many encodings and separators reads the same, and says what was sniffed.

use plimsoll_examine::{Options, examine_bytes};

use crate::support::{catalogue, codes};

const SHEET: &str = "Élève;Niveau;Distance (m);Motif\nZoé Aulne;14,3;560;fatigue\nHélène Bouleau;15,1;760;fatigue\nCléo Cèdre;16,2;1160;fatigue\n";

fn check(bytes: &[u8], encoding: &str, separator: &str) {
    let options = Options::new(catalogue()).with_test("ir1");
    let examination = examine_bytes("sheet.csv", bytes, &options).expect("a sheet");
    let report = &examination.report;
    assert_eq!(report.file.encoding, Some(encoding));
    assert_eq!(report.file.separator, Some(separator), "{encoding}");
    assert_eq!(
        examination.results().next().and_then(|r| r.name).as_deref(),
        Some("Zoé Aulne"),
        "{encoding}"
    );
    // 15.1 is 800 m.
    assert_eq!(
        codes(&examination),
        ["label-distance-disagree"],
        "{encoding}"
    );
    assert_eq!(report.findings[0].row, 3);
    assert_eq!(report.findings[0].column, "Niveau");
}

#[test]
fn encodings_and_separators() {
    check(SHEET.as_bytes(), "UTF-8", "semicolon");
    check(
        &[b"\xEF\xBB\xBF", SHEET.as_bytes()].concat(),
        "UTF-8",
        "semicolon",
    );
    let little: Vec<u8> = SHEET.encode_utf16().flat_map(u16::to_le_bytes).collect();
    check(&little, "UTF-16LE", "semicolon");
    check(
        &[b"\xFF\xFE", little.as_slice()].concat(),
        "UTF-16LE",
        "semicolon",
    );
    let big: Vec<u8> = SHEET.encode_utf16().flat_map(u16::to_be_bytes).collect();
    check(
        &[b"\xFE\xFF", big.as_slice()].concat(),
        "UTF-16BE",
        "semicolon",
    );
    // Every letter of the sheet is one byte of the same number in windows-1252.
    let western: Vec<u8> = SHEET
        .chars()
        .map(|c| u8::try_from(u32::from(c)).expect("Latin"))
        .collect();
    check(&western, "windows-1252", "semicolon");
    check(SHEET.replace(';', "\t").as_bytes(), "UTF-8", "tab");
    check(SHEET.replace(';', "|").as_bytes(), "UTF-8", "bar");
    check(
        SHEET.replace(',', ".").replace(';', ",").as_bytes(),
        "UTF-8",
        "comma",
    );
    check(SHEET.replace('\n', "\r\n").as_bytes(), "UTF-8", "semicolon");
    check(SHEET.replace('\n', "\r").as_bytes(), "UTF-8", "semicolon");
}

#[test]
fn a_declared_separator_line_does_not_count_as_a_row() {
    check(format!("sep=;\n{SHEET}").as_bytes(), "UTF-8", "semicolon");
}

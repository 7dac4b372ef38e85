//! Writes the invented test day as PDF, workbook, tables and figures into a folder.
//!
//! Usage: `cargo run -p plimsoll-report --example sample -- FOLDER`

#[path = "../tests/it/fixture.rs"]
#[expect(dead_code, reason = "shared with the tests, which use more of it")]
mod fixture;
#[path = "../tests/it/sheet_day.rs"]
mod sheet_day;

use std::error::Error;
use std::fs;
use std::path::PathBuf;

use plimsoll_report::{
    CsvOptions, RenderOptions, SheetOptions, figure_change, figure_distribution, figure_history,
    render_csv, render_pdf, render_sheets_pdf, render_xlsx,
};

fn main() -> Result<(), Box<dyn Error>> {
    let folder = std::env::args()
        .nth(1)
        .ok_or("name a folder to write into")?;
    let folder = PathBuf::from(folder);
    fs::create_dir_all(&folder)?;
    let report = fixture::day();
    let pdf = render_pdf(&report, &RenderOptions::new(fixture::DAY.at(20, 15, 0, 0)))?;
    fs::write(folder.join("report.pdf"), pdf.bytes)?;
    let created = fixture::DAY.at(20, 15, 0, 0);
    let sheets = render_sheets_pdf(&sheet_day::sheets(), &SheetOptions::new(created))?;
    fs::write(folder.join("sheets.pdf"), sheets.bytes)?;
    fs::write(folder.join("report.xlsx"), render_xlsx(&report)?)?;
    let tables = render_csv(&report, CsvOptions::default())?;
    fs::write(folder.join("results.csv"), tables.rows)?;
    fs::write(folder.join("history.csv"), tables.history)?;
    fs::write(folder.join("data-dictionary.csv"), tables.dictionary)?;
    for (i, figure) in figure_change(&report).iter().enumerate() {
        fs::write(folder.join(format!("change-{i}.svg")), &figure.svg)?;
    }
    if let Some(figure) = figure_distribution(&report) {
        fs::write(folder.join("squad.svg"), figure.svg)?;
    }
    if let Some(figure) = figure_history(&report, &report.athletes[0]) {
        fs::write(folder.join("history.svg"), figure.svg)?;
    }
    match sheets.warnings.iter().chain(&pdf.warnings).next() {
        Some(warning) => Err(warning.as_str().into()),
        None => Ok(()),
    }
}

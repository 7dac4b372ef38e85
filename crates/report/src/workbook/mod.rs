//! The workbook: sheets Results, Change, Held back and How.
//! Must not write a formula or let a label become a number: every text is a text cell.
//! Format: `docs/formats/report.md`.

mod sheet;
mod tables;

use rust_xlsxwriter::{DocProperties, ExcelDateTime, Workbook};

use crate::ReportError;
use crate::model::DayReport;
use sheet::Styles;

/// Writes the workbook.
///
/// Two calls with the same report give the same bytes: the file's date is the day of the test.
///
/// # Errors
///
/// [`ReportError::Workbook`] names the sheet that could not be written.
pub fn render_xlsx(report: &DayReport) -> Result<Vec<u8>, ReportError> {
    let failed = |sheet| move |source| ReportError::Workbook { sheet, source };
    let mut book = Workbook::new();
    let date = report.day.date;
    let mut properties = DocProperties::new().set_title(&report.title);
    if let (Ok(year), Ok(month), Ok(day)) = (
        u16::try_from(date.year()),
        u8::try_from(date.month()),
        u8::try_from(date.day()),
    ) && let Ok(created) = ExcelDateTime::from_ymd(year, month, day)
    {
        properties = properties.set_creation_datetime(&created);
    }
    book.set_properties(&properties);
    let styles = Styles::new();
    for (name, write) in tables::SHEETS {
        let sheet = book.add_worksheet();
        sheet.set_name(name).map_err(failed(name))?;
        write(report, sheet, &styles).map_err(failed(name))?;
    }
    book.save_to_buffer().map_err(failed("workbook"))
}

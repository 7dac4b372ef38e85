//! The examination: opens a file, maps its columns, runs the detectors, and decides about rows.
//! Pure but for reading the one path given. Everything else is in the options.

use std::fmt;
use std::path::Path;

use crate::case::Case;
use crate::error::ExamineError;
use crate::faults::{self, Settled};
use crate::header;
use crate::options::Options;
use crate::records::{self, PersonRow, ResultRow};
use crate::report::{self, Report};
use crate::rungs::Ladders;
use crate::table::{self, FileFacts, Heading, Sheet};
use crate::verdict::{self, RowVerdict};

/// What came out of an examination.
///
/// Records are made when asked for, so that a large file does not lie in memory twice.
pub struct Examination<'a> {
    /// The report, as it is printed.
    pub report: Report,
    /// What happens to each data row, in sheet order: the row a spreadsheet shows, and the verdict.
    pub rows: Vec<(u32, RowVerdict)>,
    case: Case<'a>,
    settled: Settled,
}

impl Examination<'_> {
    /// Returns the people of rows that are not held, each once, in sheet order.
    pub fn people(&self) -> impl Iterator<Item = PersonRow> + '_ {
        records::people(&self.case, &self.settled, &self.rows)
    }

    /// Returns the results of rows that are accepted or corrected, in sheet order.
    pub fn results(&self) -> impl Iterator<Item = ResultRow> + '_ {
        records::results(&self.case, &self.settled, &self.rows)
    }

    /// Returns the result of one row, held or not, by the number a spreadsheet shows, so that a
    /// person's ruling on it has something to stand on.
    pub fn result_of_row(&self, number: u32) -> Option<ResultRow> {
        let row = self.rows.iter().position(|(n, _)| *n == number)?;
        records::result_of(&self.case, &self.settled, row)
    }

    /// Returns the cells as they were read.
    pub fn sheet(&self) -> &Sheet {
        &self.case.sheet
    }
}

impl fmt::Debug for Examination<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Examination")
            .field("report", &self.report)
            .finish_non_exhaustive()
    }
}

/// Examines a file on disk. Text is read as a stream, so a large file takes little memory.
///
/// # Errors
///
/// [`ExamineError`] when the file cannot be examined at all. Faults inside it are findings.
pub fn examine_path<'a>(
    path: &Path,
    options: &'a Options<'_>,
) -> Result<Examination<'a>, ExamineError> {
    let (facts, sheet) = table::open_path(path, options.sheet.as_deref(), Heading::Known)?;
    examine_sheet(facts, sheet, options)
}

/// Examines bytes in memory; `name` is used in messages only.
///
/// # Errors
///
/// [`ExamineError`] when the bytes cannot be examined at all. Faults inside them are findings.
///
/// # Examples
///
/// ```
/// use plimsoll_examine::{Options, examine_bytes};
/// use plimsoll_ladder::Catalogue;
///
/// let catalogue = Catalogue::built_in();
/// let csv = b"name,level,distance (m)\nAnn Example,14.3,560\nBo Sample,15.1,760\n";
/// let options = Options::new(&catalogue).with_test("ir1");
/// let examination = examine_bytes("day.csv", csv, &options)?;
/// let finding = &examination.report.findings[0];
/// assert_eq!(finding.row, 3);
/// assert_eq!(finding.code.as_str(), "label-distance-disagree");
/// # Ok::<(), plimsoll_examine::ExamineError>(())
/// ```
pub fn examine_bytes<'a>(
    name: &str,
    bytes: &[u8],
    options: &'a Options<'_>,
) -> Result<Examination<'a>, ExamineError> {
    let (facts, sheet) = table::open_bytes(name, bytes, options.sheet.as_deref(), Heading::Known)?;
    examine_sheet(facts, sheet, options)
}

fn examine_sheet<'a>(
    facts: FileFacts,
    sheet: Sheet,
    options: &'a Options<'_>,
) -> Result<Examination<'a>, ExamineError> {
    let ladders = Ladders::of(options.catalogue);
    let declared = match &options.test {
        None => None,
        Some(id) => match ladders.find(id) {
            Some(test) => Some(test),
            None => {
                return Err(ExamineError::NoSuchTest {
                    found: id.clone(),
                    allowed: ladders.tests.iter().map(|t| t.id.clone()).collect(),
                });
            }
        },
    };
    let mapping = header::map(&sheet, &options.mapping)?;
    let case = Case::new(sheet, mapping, options, ladders, declared);
    let state = faults::run(&case);
    let decided = verdict::decide(&state);
    let verdicts = verdict::sum_up(&state, &decided);
    let report = report::write(&state, verdicts, facts);
    let settled = state.settle();
    let rows = decided
        .iter()
        .enumerate()
        .map(|(row, v)| (case.number(row), *v))
        .collect();
    Ok(Examination {
        report,
        rows,
        case,
        settled,
    })
}

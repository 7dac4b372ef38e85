//! Rows that are held back, each with why, and the cells as they were written.

use std::collections::{BTreeMap, BTreeSet};

use plimsoll_archive::{Finding, SourceRow};
use plimsoll_examine::{Report, RowVerdict, Sheet};
use serde_json::{Map, Value};

/// A row held back, for people.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HeldLine {
    /// The row a spreadsheet shows.
    pub row: u32,
    /// The column, where it is about one.
    pub column: String,
    /// The rule that holds it.
    pub code: String,
    /// What was found.
    pub found: String,
    /// Why, in a sentence.
    pub why: String,
    /// What to do.
    pub suggestion: String,
}

impl HeldLine {
    /// Returns the line as a person reads it, with what to do when that is not said already.
    pub fn in_words(&self) -> Vec<String> {
        let said = self
            .why
            .to_lowercase()
            .contains(&self.suggestion.to_lowercase());
        let mut lines = vec![format!("· {}", self.why)];
        if !said && !self.suggestion.is_empty() {
            lines.push(format!("  → {}", self.suggestion));
        }
        lines
    }
}

/// Every row of a sheet as it was written, by the number a spreadsheet shows.
pub(super) struct Written<'s> {
    sheet: &'s Sheet,
    places: BTreeMap<u32, usize>,
    name: Option<String>,
}

impl<'s> Written<'s> {
    /// Wraps a sheet; `name` is the sheet's in a workbook.
    pub(super) fn of(sheet: &'s Sheet, name: Option<String>) -> Self {
        let places = (0..sheet.rows()).map(|i| (sheet.number(i), i)).collect();
        Self {
            sheet,
            places,
            name,
        }
    }

    /// Returns a row as the archive keeps it: header and text of each filled cell.
    pub(super) fn row(&self, number: u32) -> SourceRow {
        let mut cells = Map::new();
        if let Some(place) = self.places.get(&number) {
            for column in self.sheet.columns() {
                let cell = column.cell(*place);
                if !cell.is_empty() {
                    cells.insert(column.header().to_owned(), Value::String(cell.to_string()));
                }
            }
        }
        SourceRow {
            sheet: self.name.clone(),
            row: number,
            as_written: Value::Object(cells),
        }
    }
}

/// Returns why each held row is held, by row: the examiner's findings about it.
pub(super) fn lines(report: &Report, rows: &[(u32, RowVerdict)]) -> Vec<HeldLine> {
    let held: BTreeSet<u32> = rows
        .iter()
        .filter(|(_, v)| *v == RowVerdict::Held)
        .map(|(row, _)| *row)
        .collect();
    let mut explained = BTreeSet::new();
    let mut out = Vec::new();
    for finding in report.findings.iter().filter(|f| f.code.holds()) {
        let about: Vec<u32> = match &finding.rows {
            Some(set) => held
                .iter()
                .copied()
                .filter(|row| set.contains(*row))
                .collect(),
            None => vec![finding.row],
        };
        for row in about {
            if held.contains(&row) && explained.insert(row) {
                out.push(HeldLine {
                    row,
                    column: finding.column.clone(),
                    code: finding.code.as_str().to_owned(),
                    found: finding.found.clone(),
                    why: finding.message.clone(),
                    suggestion: finding.suggestion.clone(),
                });
            }
        }
    }
    // A finding past the listed number still holds its row: say so rather than drop it.
    for row in held.difference(&explained) {
        out.push(HeldLine {
            row: *row,
            column: String::new(),
            code: "held".to_owned(),
            found: String::new(),
            why: format!("Row {row}: held for a fault that is counted above and not listed again."),
            suggestion: "settle the listed rows of the same kind first".to_owned(),
        });
    }
    out.sort_by_key(|line| line.row);
    out
}

/// Returns the findings as the archive keeps them.
pub(super) fn findings(report: &Report, sheet: Option<&str>, more: &[HeldLine]) -> Vec<Finding> {
    let some = |text: &str| Some(text.to_owned()).filter(|t| !t.is_empty());
    let listed = report.findings.iter().map(|f| Finding {
        sheet: sheet.map(str::to_owned),
        row: f.row,
        column: some(&f.column),
        code: f.code.as_str().to_owned(),
        found: some(&f.found),
        allowed: some(&f.allowed),
        suggestion: some(&f.suggestion),
    });
    let ours = more.iter().map(|h| Finding {
        sheet: sheet.map(str::to_owned),
        row: h.row,
        column: some(&h.column),
        code: h.code.clone(),
        found: some(&h.found),
        allowed: None,
        suggestion: some(&h.suggestion),
    });
    listed.chain(ours).collect()
}

//! Everything the fault detectors look at: the sheet, what was read, who, which test, and the ladder.
//! Built once; detectors read it and hand in findings.

use jiff::civil::Date;

use crate::cell::LabelReading;
use crate::forensics::Observed;
use crate::header::{Field, Mapping};
use crate::options::Options;
use crate::people::People;
use crate::readings::Readings;
use crate::rungs::{Ladders, Table};
use crate::table::{Cell, Sheet};

/// No test named.
const NO_TEST: u16 = u16::MAX;

/// What the detectors look at.
pub(crate) struct Case<'a> {
    pub sheet: Sheet,
    pub mapping: Mapping,
    pub options: &'a Options<'a>,
    pub ladders: Ladders,
    pub read: Readings,
    pub people: People,
    tests: Vec<u16>,
}

impl<'a> Case<'a> {
    /// Reads everything that detectors need.
    pub fn new(
        sheet: Sheet,
        mapping: Mapping,
        options: &'a Options<'a>,
        ladders: Ladders,
        declared: Option<usize>,
    ) -> Self {
        let read = Readings::of(&sheet, &mapping, options);
        let people = People::of(&sheet, &mapping, &read, &options.context);
        let column = mapping
            .index_of(Field::Test)
            .and_then(|i| sheet.columns().get(i));
        let kinds: Vec<u16> = column.map_or_else(Vec::new, |c| {
            c.kinds()
                .iter()
                .map(|cell| match cell {
                    Cell::Empty => NO_TEST,
                    other => ladders
                        .find(&other.to_string())
                        .and_then(|t| u16::try_from(t).ok())
                        .unwrap_or(NO_TEST),
                })
                .collect()
        });
        let fallback = declared
            .and_then(|t| u16::try_from(t).ok())
            .unwrap_or(NO_TEST);
        let tests = (0..sheet.rows())
            .map(|row| {
                let own = column
                    .and_then(|c| kinds.get(c.kind_at(row) as usize))
                    .copied();
                own.filter(|t| *t != NO_TEST).unwrap_or(fallback)
            })
            .collect();
        Self {
            sheet,
            mapping,
            options,
            ladders,
            read,
            people,
            tests,
        }
    }

    /// Returns the number of data rows.
    pub fn rows(&self) -> usize {
        self.sheet.rows()
    }

    /// Returns the row a spreadsheet shows.
    pub fn number(&self, row: usize) -> u32 {
        self.sheet.number(row)
    }

    /// Returns the declared test of a row, as an index into the tests.
    pub fn test(&self, row: usize) -> Option<usize> {
        self.tests
            .get(row)
            .copied()
            .filter(|t| *t != NO_TEST)
            .map(usize::from)
    }

    /// Returns the declared ladder of a row.
    pub fn declared_table(&self, row: usize) -> Option<usize> {
        self.ladders.tests.get(self.test(row)?)?.table
    }

    /// Returns whether the declared test of a row is one without a ladder.
    pub fn is_unpaced(&self, row: usize) -> bool {
        self.test(row)
            .and_then(|t| self.ladders.tests.get(t))
            .is_some_and(|t| t.table.is_none())
    }

    /// Returns a ladder.
    pub fn table(&self, index: usize) -> Option<&Table> {
        self.ladders.table(index)
    }

    /// Returns what a row says about its place on a ladder.
    pub fn observed(&self, row: usize) -> Observed<'_> {
        Observed::of(&self.read.values, &self.sheet, row)
    }

    /// Returns the label reading of a row.
    pub fn label(&self, row: usize) -> &LabelReading {
        self.read
            .values
            .label
            .as_ref()
            .and_then(|l| l.at(&self.sheet, row))
            .unwrap_or(&LabelReading::Absent)
    }

    /// Returns the day of the test of a row.
    pub fn day(&self, row: usize) -> Option<Date> {
        self.read
            .date
            .as_ref()
            .and_then(|d| d.date(&self.sheet, row))
            .or(self.options.context.day)
    }

    /// Returns the cell of a field in a row.
    pub fn cell(&self, field: Field, row: usize) -> &Cell {
        self.mapping
            .index_of(field)
            .and_then(|i| self.sheet.columns().get(i))
            .map_or(&Cell::Empty, |c| c.cell(row))
    }

    /// Returns a cell as written, in marks, for messages.
    pub fn written(&self, field: Field, row: usize) -> String {
        let text = self.cell(field, row).to_string();
        if text.is_empty() {
            "nothing".to_owned()
        } else {
            format!("`{}`", shorten(&text))
        }
    }

    /// Returns which of the different cells of a field stands in a row.
    pub fn kind(&self, field: Field, row: usize) -> u32 {
        self.mapping
            .index_of(field)
            .and_then(|i| self.sheet.columns().get(i))
            .map_or(0, |c| c.kind_at(row))
    }

    /// Returns the header of the column that shows labels.
    pub fn label_header(&self) -> String {
        if self.mapping.has(Field::Label) {
            return self.mapping.header_of(Field::Label);
        }
        self.mapping.header_of(Field::Stage)
    }

    /// Returns a label as written, in marks.
    pub fn written_label(&self, row: usize) -> String {
        if self.mapping.has(Field::Label) {
            return self.written(Field::Label, row);
        }
        match self.label(row) {
            LabelReading::Label(label) => format!("`{}`", label.text),
            _ => "nothing".to_owned(),
        }
    }

    /// Returns whether a row has a result in any column, zero included.
    pub fn has_result(&self, row: usize) -> bool {
        [
            Field::Label,
            Field::Stage,
            Field::Bouts,
            Field::Shuttles,
            Field::Distance,
            Field::Time,
            Field::Speed,
        ]
        .into_iter()
        .any(|f| match self.cell(f, row) {
            Cell::Empty => false,
            Cell::Text(text) => !crate::cell::is_absent(text),
            _ => true,
        })
    }
}

/// Cuts text for a message.
pub(crate) fn shorten(text: &str) -> String {
    const LONGEST: usize = 60;
    if text.chars().count() <= LONGEST {
        return text.to_owned();
    }
    text.chars().take(LONGEST).chain(['…']).collect()
}

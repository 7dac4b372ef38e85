//! What the caller decides and knows: test, sheet, mapping, rules, roster, history.
//! All of it is optional. This crate looks nothing up by itself, not even today's date.

use std::collections::BTreeSet;

use jiff::civil::Date;
use plimsoll_judge::Amount;
use plimsoll_ladder::Catalogue;

use crate::cell::{DateOrder, Sex};
use crate::header::Field;
use crate::rules::Rule;

/// A person the archive already knows.
#[derive(Debug, Clone, Default)]
pub struct KnownPerson {
    /// Id in the archive.
    pub id: String,
    /// Every name the person goes by or went by.
    pub names: Vec<String>,
    /// Date of birth.
    pub birth_date: Option<Date>,
    /// Sex category.
    pub sex: Option<Sex>,
    /// Squads.
    pub squads: Vec<String>,
    /// Ids that other systems gave.
    pub external_ids: Vec<String>,
}

/// An earlier result of a known person.
#[derive(Debug, Clone)]
pub struct KnownResult {
    /// Id of the person in the archive.
    pub person: String,
    /// Id of the test.
    pub test: String,
    /// Day of the test.
    pub date: Date,
    /// How much was completed.
    pub amount: Amount,
}

/// What the caller knows beyond the file.
#[derive(Debug, Clone, Default)]
pub struct Context {
    /// Today, for dates in the future and ages.
    pub today: Option<Date>,
    /// The day of the test, when the file has no date column.
    pub day: Option<Date>,
    /// The people the archive knows.
    pub roster: Vec<KnownPerson>,
    /// Their earlier results.
    pub history: Vec<KnownResult>,
    /// Typical error of the test as a coefficient of variation, per cent; the default otherwise.
    pub typical_error_percent: Option<f64>,
}

/// What the caller decides.
#[derive(Debug, Clone)]
pub struct Options<'a> {
    /// The tests to compare with.
    pub catalogue: &'a Catalogue,
    /// Id of the test that was run, when the caller knows it.
    pub test: Option<String>,
    /// Name of the sheet to read in a workbook.
    pub sheet: Option<String>,
    /// Columns mapped by hand: header, and field or nothing to leave it out.
    pub mapping: Vec<(String, Option<Field>)>,
    /// Which of two small numbers in a date is the day.
    pub date_order: Option<DateOrder>,
    /// Corrections the caller allows.
    pub rules: BTreeSet<Rule>,
    /// What the caller knows.
    pub context: Context,
}

impl<'a> Options<'a> {
    /// Returns options that decide nothing.
    pub fn new(catalogue: &'a Catalogue) -> Self {
        Self {
            catalogue,
            test: None,
            sheet: None,
            mapping: Vec::new(),
            date_order: None,
            rules: BTreeSet::new(),
            context: Context::default(),
        }
    }

    /// Returns the options with a declared test.
    #[must_use]
    pub fn with_test(mut self, id: &str) -> Self {
        self.test = Some(id.to_owned());
        self
    }
}

//! The mapping of a sheet's columns to fields, with a preview, and the caller's changes to it.
//! A field goes to the column that fits it best; the others stay unmapped and say why.

use serde::Serialize;

use super::field::Field;
use super::heart::HeartRole;
use super::profile::Profile;
use super::recognise::recognise;
use super::settle::{Open, settle};
use super::unit::Unit;
use crate::error::ExamineError;
use crate::table::{Column, Sheet};

/// Below this score a column stays unmapped.
const ENOUGH: f64 = 0.5;
/// A second field this close makes the column ambiguous.
const CLOSE: f64 = 0.1;
/// Examples shown for a column.
const EXAMPLES: usize = 3;

/// What one column was taken for.
#[derive(Debug, Clone, Serialize)]
pub struct ColumnMap {
    /// Place in the sheet, from 1.
    pub column: usize,
    /// Header as written.
    pub header: String,
    /// The field, or nothing when the column is not read.
    pub field: Option<Field>,
    /// How well the header and values fit it, 0 to 1.
    pub confidence: f64,
    /// Unit given in the header, in words.
    #[serde(skip)]
    pub unit: Option<Unit>,
    /// When a heart rate was taken.
    #[serde(skip)]
    pub heart: Option<HeartRole>,
    /// Other fields that fit nearly as well, or why it is not read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub remark: Option<String>,
    /// The first values.
    pub examples: Vec<String>,
}

/// What every column was taken for.
#[derive(Debug, Clone, Serialize)]
pub struct Mapping {
    columns: Vec<ColumnMap>,
}

impl Mapping {
    /// Returns every column in sheet order.
    pub fn columns(&self) -> &[ColumnMap] {
        &self.columns
    }

    /// Returns the index, from 0, of the column that holds a field.
    pub fn index_of(&self, field: Field) -> Option<usize> {
        self.columns.iter().position(|c| c.field == Some(field))
    }

    /// Returns the indexes, from 0, of all columns that hold a field.
    pub fn indexes_of(&self, field: Field) -> impl Iterator<Item = usize> + '_ {
        let columns = self.columns.iter().enumerate();
        columns
            .filter(move |(_, c)| c.field == Some(field))
            .map(|(i, _)| i)
    }

    /// Returns whether some column holds the field.
    pub fn has(&self, field: Field) -> bool {
        self.index_of(field).is_some()
    }

    /// Returns the header of the column that holds a field, or the field's own name.
    pub fn header_of(&self, field: Field) -> String {
        self.index_of(field)
            .and_then(|i| self.columns.get(i))
            .map_or_else(|| field.as_str().to_owned(), |c| c.header.clone())
    }

    /// Returns the unit in the header of the column that holds a field.
    pub fn unit_of(&self, field: Field) -> Option<Unit> {
        self.index_of(field)
            .and_then(|i| self.columns.get(i))
            .and_then(|c| c.unit)
    }
}

/// Maps the columns of a sheet, then applies the caller's choices (header, field or nothing).
pub(crate) fn map(
    sheet: &Sheet,
    choices: &[(String, Option<Field>)],
) -> Result<Mapping, ExamineError> {
    let heard: Vec<_> = sheet
        .columns()
        .iter()
        .map(|c| recognise(c.header()))
        .collect();
    let mut open: Vec<Open> = sheet
        .columns()
        .iter()
        .zip(&heard)
        .map(|(column, heard)| Open {
            candidates: heard.candidates.clone(),
            profile: Profile::of(column),
        })
        .collect();
    settle(&mut open);
    let mut columns: Vec<ColumnMap> = sheet
        .columns()
        .iter()
        .zip(&heard)
        .enumerate()
        .map(|(i, (column, heard))| ColumnMap {
            column: i + 1,
            header: column.header().to_owned(),
            field: None,
            confidence: 0.0,
            unit: heard.unit,
            heart: None,
            remark: None,
            examples: examples(column),
        })
        .collect();
    assign(&mut columns, &open);
    choose(&mut columns, choices)?;
    for column in &mut columns {
        column.heart =
            (column.field == Some(Field::HeartRate)).then(|| HeartRole::of_header(&column.header));
        if column.field.is_none() && column.remark.is_none() {
            column.remark = Some("no known heading".to_owned());
        }
    }
    Ok(Mapping { columns })
}

/// Gives each field to the column that fits it best.
fn assign(columns: &mut [ColumnMap], open: &[Open]) {
    let mut offers: Vec<(usize, Field, f64)> = Vec::new();
    for (i, column) in open.iter().enumerate() {
        offers.extend(
            column
                .candidates
                .iter()
                .map(|(field, score)| (i, *field, *score)),
        );
    }
    offers.sort_by(|a, b| b.2.total_cmp(&a.2).then(a.0.cmp(&b.0)));
    let mut taken: Vec<(Field, usize)> = Vec::new();
    for (i, field, score) in offers.into_iter().filter(|o| o.2 >= ENOUGH) {
        let Some(column) = columns.get(i) else {
            continue;
        };
        if column.field.is_some() {
            continue;
        }
        let holder = taken.iter().find(|(f, _)| *f == field).map(|(_, at)| *at);
        if let Some(at) = holder
            && !field.may_repeat()
        {
            let other = columns
                .get(at)
                .map(|c| c.header.clone())
                .unwrap_or_default();
            if let Some(column) = columns.get_mut(i)
                && column.remark.is_none()
            {
                column.remark = Some(format!(
                    "looks like {} too, which `{other}` already holds",
                    field.as_str()
                ));
            }
            continue;
        }
        taken.push((field, i));
        let rivals: Vec<&str> = open
            .get(i)
            .map(|o| o.candidates.as_slice())
            .unwrap_or_default()
            .iter()
            .filter(|(f, s)| *f != field && *s >= ENOUGH && score - *s < CLOSE)
            .map(|(f, _)| f.as_str())
            .collect();
        if let Some(column) = columns.get_mut(i) {
            column.field = Some(field);
            column.confidence = (score * 100.0).round() / 100.0;
            column.remark =
                (!rivals.is_empty()).then(|| format!("could also be {}", rivals.join(" or ")));
        }
    }
}

/// Applies the caller's choices.
fn choose(
    columns: &mut [ColumnMap],
    choices: &[(String, Option<Field>)],
) -> Result<(), ExamineError> {
    for (header, field) in choices {
        let Some(at) = columns
            .iter()
            .position(|c| c.header.trim() == header.trim())
        else {
            return Err(ExamineError::NoSuchColumn {
                found: header.clone(),
                allowed: columns.iter().map(|c| c.header.clone()).collect(),
            });
        };
        for (i, column) in columns.iter_mut().enumerate() {
            if i == at {
                column.field = *field;
                column.confidence = 1.0;
                column.remark = Some("chosen by hand".to_owned());
            } else if field.is_some()
                && column.field == *field
                && !field.is_some_and(Field::may_repeat)
            {
                column.field = None;
                column.confidence = 0.0;
                column.remark = Some(format!("given up to `{header}`"));
            }
        }
    }
    Ok(())
}

fn examples(column: &Column) -> Vec<String> {
    column
        .iter()
        .filter(|c| !c.is_empty())
        .take(EXAMPLES)
        .map(ToString::to_string)
        .collect()
}

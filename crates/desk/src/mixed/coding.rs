//! How columns become the columns of a design; kept, so that new rows are coded in the same way.
//! Categories are compared with the first one, in the order of numbers or of the alphabet.

use std::collections::{BTreeMap, BTreeSet};

use plimsoll_measure::mixed::{Column, Design, RandomTerm, intercept, treatment_columns};

use super::ask::GroupAsk;
use super::error::MixedError;
use super::rows::{Needs, Rows};
use crate::study::CellFault;

/// Name of the column of ones.
pub(super) const INTERCEPT: &str = "(Intercept)";
/// Sets an outer label apart from an inner one.
const INSIDE: char = '\u{1f}';

/// A column as it enters a fixed term.
#[derive(Debug, Clone)]
pub(super) enum Factor {
    /// As numbers.
    Number(String),
    /// As categories: the column and its labels, the first of which is compared with.
    Category(String, Vec<String>),
}

impl Factor {
    /// Returns the header of the column.
    pub(super) fn column(&self) -> &str {
        match self {
            Self::Number(column) | Self::Category(column, _) => column,
        }
    }

    /// Returns whether the column enters as categories.
    pub(super) const fn is_category(&self) -> bool {
        matches!(self, Self::Category(..))
    }
}

/// A group with its levels.
#[derive(Debug, Clone)]
pub(super) struct GroupCoding {
    pub(super) ask: GroupAsk,
    /// Keys of the levels; the place is the mark.
    keys: Vec<String>,
}

fn shown(key: &str) -> String {
    match key.split_once(INSIDE) {
        Some((outer, inner)) => format!("{inner} ({outer})"),
        None => key.to_owned(),
    }
}

impl GroupCoding {
    /// Returns the level for people.
    pub(super) fn label(&self, level: usize) -> String {
        shown(self.keys.get(level).map_or("", String::as_str))
    }

    /// Returns the level of each row for people.
    pub(super) fn labels_in(&self, rows: &Rows) -> Vec<String> {
        self.keys_of(rows).iter().map(|key| shown(key)).collect()
    }

    /// Returns the number of levels.
    pub(super) fn levels(&self) -> usize {
        self.keys.len()
    }

    fn keys_of(&self, rows: &Rows) -> Vec<String> {
        let inner = rows.labels_of(&self.ask.column);
        match &self.ask.within {
            None => inner.to_vec(),
            Some(outer) => {
                let pairs = rows.labels_of(outer).iter().zip(inner);
                pairs
                    .map(|(outer, inner)| format!("{outer}{INSIDE}{inner}"))
                    .collect()
            }
        }
    }

    /// Returns the mark of each row; levels that were not fitted get marks of their own.
    pub(super) fn marks(&self, rows: &Rows) -> Vec<usize> {
        let mut marks: BTreeMap<&str, usize> = BTreeMap::new();
        for (mark, key) in self.keys.iter().enumerate() {
            marks.insert(key, mark);
        }
        let keys = self.keys_of(rows);
        let mut out = Vec::with_capacity(keys.len());
        for key in &keys {
            let next = marks.len();
            out.push(*marks.entry(key).or_insert(next));
        }
        out
    }
}

/// How a model's columns are made.
#[derive(Debug, Clone)]
pub(super) struct Coding {
    pub(super) terms: Vec<Vec<Factor>>,
    pub(super) groups: Vec<GroupCoding>,
}

/// Returns the labels once each, as numbers when all are, else by the alphabet.
pub(super) fn in_order(labels: &[String]) -> Vec<String> {
    let unique: BTreeSet<&String> = labels.iter().collect();
    let mut all: Vec<String> = unique.into_iter().cloned().collect();
    let number = |t: &String| t.parse::<f64>().ok();
    if all.iter().all(|t| number(t).is_some()) {
        all.sort_by(|a, b| number(a).partial_cmp(&number(b)).unwrap_or(a.cmp(b)));
    }
    all
}

/// Names the columns that terms and groups are made of.
pub(super) fn needs(
    terms: &[Vec<String>],
    factors: &BTreeSet<String>,
    groups: &[GroupAsk],
) -> Needs {
    let mut needs = Needs::default();
    for column in terms.iter().flatten() {
        if factors.contains(column) {
            needs.labels.insert(column.clone());
        } else {
            needs.numbers.insert(column.clone());
        }
    }
    for group in groups {
        needs.labels.insert(group.column.clone());
        needs.labels.extend(group.within.clone());
        needs.numbers.extend(group.slopes.iter().cloned());
    }
    needs
}

impl Coding {
    /// Learns labels and levels from the rows that are fitted.
    pub(super) fn learn(
        terms: &[Vec<String>],
        factors: &BTreeSet<String>,
        groups: &[GroupAsk],
        rows: &Rows,
    ) -> Self {
        let factor = |column: &String| {
            if factors.contains(column) {
                Factor::Category(column.clone(), in_order(rows.labels_of(column)))
            } else {
                Factor::Number(column.clone())
            }
        };
        let groups = groups.iter().map(|ask| {
            let mut group = GroupCoding {
                ask: ask.clone(),
                keys: Vec::new(),
            };
            group.keys = in_order(&group.keys_of(rows));
            group
        });
        Self {
            terms: terms
                .iter()
                .map(|t| t.iter().map(factor).collect())
                .collect(),
            groups: groups.collect(),
        }
    }

    /// Makes the design of rows.
    pub(super) fn design(&self, file: &str, rows: &Rows) -> Result<Design, MixedError> {
        let n = rows.rows.len();
        let mut fixed = vec![intercept(n)];
        for term in &self.terms {
            let mut columns = vec![Column::new("", vec![1.0; n])];
            for factor in term {
                let next = factor_columns(factor, file, rows)?;
                columns = columns
                    .iter()
                    .flat_map(|a| next.iter().map(move |b| product(a, b)))
                    .collect();
            }
            fixed.extend(columns);
        }
        let random = self.groups.iter().map(|group| {
            let mut columns = vec![intercept(n)];
            for slope in &group.ask.slopes {
                columns.push(Column::new(slope.clone(), rows.of(slope).to_vec()));
            }
            let term = RandomTerm::new(group.ask.name(), group.marks(rows), columns);
            if group.ask.correlated {
                term
            } else {
                term.uncorrelated()
            }
        });
        Ok(Design {
            fixed,
            random: random.collect(),
        })
    }
}

fn product(a: &Column, b: &Column) -> Column {
    let name = if a.name.is_empty() {
        b.name.clone()
    } else {
        format!("{}:{}", a.name, b.name)
    };
    let values = a.values.iter().zip(&b.values).map(|(a, b)| a * b);
    Column::new(name, values.collect())
}

fn factor_columns(factor: &Factor, file: &str, rows: &Rows) -> Result<Vec<Column>, MixedError> {
    let (column, labels) = match factor {
        Factor::Number(column) => {
            return Ok(vec![Column::new(column.clone(), rows.of(column).to_vec())]);
        }
        Factor::Category(column, labels) => (column, labels),
    };
    let mut faults = Vec::new();
    let mut codes = Vec::with_capacity(rows.rows.len());
    for (label, row) in rows.labels_of(column).iter().zip(&rows.rows) {
        match labels.iter().position(|l| l == label) {
            Some(code) => codes.push(code),
            None => faults.push(CellFault {
                row: *row,
                column: column.clone(),
                found: label.clone(),
                allowed: format!("a category of the fitted rows: {}", labels.join(", ")),
            }),
        }
    }
    if !faults.is_empty() {
        let file = file.to_owned();
        return Err(MixedError::Cells { file, faults });
    }
    let names: Vec<&str> = labels.iter().map(String::as_str).collect();
    Ok(treatment_columns(&format!("{column}="), &names, &codes)?)
}

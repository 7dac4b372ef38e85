//! A finding: where, what was found, what was allowed, what to do next, and how sure that is.
//! The collector counts all of them, lists a bounded number, and remembers which rows are held.

use std::collections::BTreeMap;

use serde::Serialize;

use super::code::{Code, Severity};
use crate::limits::MAX_LISTED_PER_CODE;
use crate::rules::Rule;
use crate::table::RowSet;

/// One finding.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Finding {
    /// Row a spreadsheet shows; the first one when it is about several.
    pub row: u32,
    /// Header of the column.
    pub column: String,
    /// What kind of fault.
    pub code: Code,
    /// What was found.
    pub found: String,
    /// What was allowed.
    pub allowed: String,
    /// What to do next.
    pub suggestion: String,
    /// Probability that the suggestion is right, where it can be given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub probability: Option<f64>,
    /// All rows it is about, when there are several.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rows: Option<RowSet>,
    /// Number in the catalogue of faults.
    pub catalogue: u8,
    /// How bad it is.
    pub severity: Severity,
    /// One sentence with row and column.
    pub message: String,
}

/// A finding in the making.
#[derive(Debug, Clone)]
pub(crate) struct Draft {
    /// What kind of fault.
    pub code: Code,
    /// Data rows from 0 it is about; the first is named.
    pub rows: Vec<usize>,
    /// Header of the column.
    pub column: String,
    /// What is wrong, as the start of a sentence.
    pub what: String,
    /// What was found.
    pub found: String,
    /// What was allowed.
    pub allowed: String,
    /// What to do next.
    pub suggestion: String,
    /// Probability that the suggestion is right.
    pub probability: Option<f64>,
}

/// A correction made under a rule.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Correction {
    /// Row a spreadsheet shows.
    pub row: u32,
    /// Header of the column.
    pub column: String,
    /// What stood there.
    pub before: String,
    /// What is used instead.
    pub after: String,
    /// The rule that allowed it.
    pub rule: Rule,
}

/// Findings as they come in.
#[derive(Debug, Default)]
pub(crate) struct Findings {
    list: Vec<(Finding, f64)>,
    listed: BTreeMap<Code, usize>,
    more: BTreeMap<Code, usize>,
    held: BTreeMap<Code, Vec<u32>>,
    flagged: BTreeMap<Code, Vec<u32>>,
}

impl Findings {
    /// Adds a finding. `number` gives the row a spreadsheet shows for a data row.
    pub fn add(&mut self, draft: Draft, number: impl Fn(usize) -> u32) {
        let mut rows: Vec<usize> = draft.rows;
        rows.sort_unstable();
        rows.dedup();
        let numbers: Vec<u32> = rows.iter().map(|r| number(*r)).collect();
        let marks = if draft.code.holds() {
            &mut self.held
        } else {
            &mut self.flagged
        };
        marks
            .entry(draft.code)
            .or_default()
            .extend(rows.iter().map(|r| *r as u32));
        let listed = self.listed.entry(draft.code).or_default();
        if *listed >= MAX_LISTED_PER_CODE {
            *self.more.entry(draft.code).or_default() += 1;
            return;
        }
        *listed += 1;
        let set = RowSet::of(numbers.iter().copied());
        let row = numbers.first().copied().unwrap_or(0);
        let place = if set.count() > 1 {
            format!("Rows {set}")
        } else {
            format!("Row {row}")
        };
        let message = format!(
            "{place}, column `{}`: {}; found {}; allowed: {}. {}.",
            draft.column,
            draft.what,
            draft.found,
            draft.allowed,
            capital(draft.suggestion.trim_end_matches('.')),
        );
        let weight = draft.probability.unwrap_or(1.0) * (1.0 + (set.count() as f64).ln());
        let finding = Finding {
            row,
            column: draft.column,
            code: draft.code,
            found: draft.found,
            allowed: draft.allowed,
            suggestion: draft.suggestion,
            probability: draft.probability.map(|p| (p * 1e3).round() / 1e3),
            rows: (set.count() > 1).then_some(set),
            catalogue: draft.code.catalogue_number(),
            severity: draft.code.severity(),
            message,
        };
        self.list.push((finding, weight));
    }

    /// Returns the findings, the worst first: by severity, then code, then row.
    pub fn sorted(&self) -> Vec<Finding> {
        let rank = |code: Code| Code::ALL.iter().position(|c| *c == code);
        let mut list: Vec<&(Finding, f64)> = self.list.iter().collect();
        list.sort_by(|(a, x), (b, y)| {
            a.severity
                .cmp(&b.severity)
                .then(rank(a.code).cmp(&rank(b.code)))
                .then(y.total_cmp(x))
                .then(a.row.cmp(&b.row))
        });
        list.into_iter()
            .map(|(finding, _)| finding.clone())
            .collect()
    }

    /// Returns how many findings of a code were counted but not listed.
    pub fn more(&self) -> &BTreeMap<Code, usize> {
        &self.more
    }

    /// Returns the data rows held back, for each code.
    pub fn held(&self) -> &BTreeMap<Code, Vec<u32>> {
        &self.held
    }

    /// Returns the data rows with a remark to check, for each code.
    pub fn flagged(&self) -> &BTreeMap<Code, Vec<u32>> {
        &self.flagged
    }
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(chars).collect()
    })
}

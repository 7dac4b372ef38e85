//! The report of an examination, as it is printed in JSON. Keys are only ever added.
//! Rows are those a spreadsheet shows; probabilities are rounded to six places.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::faults::{Correction, Finding, Group, State};
use crate::forensics::LadderVerdict;
use crate::header::ColumnMap;
use crate::table::{FileFacts, Note, RowSet};
use crate::verdict::Verdicts;

/// How likely it is that a row of the file comes from a ladder.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LadderPosterior {
    /// Id of the test.
    pub id: String,
    /// Probability, averaged over the rows; over all ladders it sums to 1.
    pub posterior: f64,
    /// The rows it accounts for, when the ladder changes in mid-file.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rows: Option<RowSet>,
}

/// The verdict for the rows of one declared test, or of none.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GroupVerdict {
    /// The declared test.
    pub declared: Option<String>,
    /// Rows with evidence.
    pub rows: usize,
    /// The verdict.
    #[serde(flatten)]
    pub verdict: LadderVerdict,
}

/// The report of an examination.
#[derive(Debug, Clone, Serialize)]
pub struct Report {
    /// Data rows.
    pub rows: usize,
    /// Findings, the worst first.
    pub findings: Vec<Finding>,
    /// Findings counted but not listed, for each code.
    pub more_findings: BTreeMap<String, usize>,
    /// Which ladders explain the rows, the likeliest first.
    pub ladders: Vec<LadderPosterior>,
    /// What that amounts to; one entry for each declared test.
    pub ladder_verdict: Vec<GroupVerdict>,
    /// First row of the second ladder, when the ladder changes in mid-file.
    pub switch_at_row: Option<u32>,
    /// What happens to the rows.
    #[serde(flatten)]
    pub verdicts: Verdicts,
    /// Corrections made under rules.
    pub corrections: Vec<Correction>,
    /// The file.
    pub file: FileFacts,
    /// Row of the header.
    pub header_row: u32,
    /// What each column was taken for.
    pub columns: Vec<ColumnMap>,
    /// Remarks about the file; nothing that a person must settle.
    pub notes: Vec<Note>,
    /// Remarks not kept.
    pub more_notes: usize,
}

/// Ladders below this posterior are not listed.
const LISTED: f64 = 1e-6;

/// Writes the report.
pub(crate) fn write(state: &State<'_>, verdicts: Verdicts, file: FileFacts) -> Report {
    let case = state.case;
    let sheet = &case.sheet;
    let switch = state
        .groups
        .iter()
        .find_map(|g| match &g.conclusion.verdict {
            LadderVerdict::Switch { row, .. } => Some(*row),
            _ => None,
        });
    let more_findings = state
        .findings
        .more()
        .iter()
        .map(|(code, n)| (code.as_str().to_owned(), *n))
        .collect();
    let mut notes = sheet.notes().to_vec();
    notes.extend(state.notes.iter().cloned());
    let ladder_verdict = state
        .groups
        .iter()
        .filter(|g| !g.evidence.rows.is_empty())
        .map(|g| GroupVerdict {
            declared: g
                .test
                .and_then(|t| case.ladders.tests.get(t))
                .map(|t| t.id.clone()),
            rows: g.evidence.rows.len(),
            verdict: g.conclusion.verdict.clone(),
        })
        .collect();
    Report {
        rows: case.rows(),
        findings: state.findings.sorted(),
        more_findings,
        ladders: posteriors(state),
        ladder_verdict,
        switch_at_row: switch,
        verdicts,
        corrections: state.corrections.clone(),
        file,
        header_row: sheet.header_row(),
        columns: case.mapping.columns().to_vec(),
        notes,
        more_notes: sheet.more_notes(),
    }
}

/// Posteriors of all groups, weighted by their rows.
fn posteriors(state: &State<'_>) -> Vec<LadderPosterior> {
    let case = state.case;
    let groups: Vec<&Group> = state
        .groups
        .iter()
        .filter(|g| !g.evidence.rows.is_empty())
        .collect();
    let total: usize = groups.iter().map(|g| g.evidence.rows.len()).sum();
    let mut list: Vec<LadderPosterior> = Vec::new();
    for (i, table) in case.ladders.tables.iter().enumerate() {
        let mut sum = 0.0;
        let mut rows: Option<RowSet> = None;
        for group in &groups {
            let weight = group.evidence.rows.len() as f64 / total.max(1) as f64;
            sum += weight * group.conclusion.posterior.get(i).copied().unwrap_or(0.0);
            if let Some(switch) = &group.conclusion.switch {
                let part = if switch.from == i {
                    group.order.get(..switch.at)
                } else if switch.to == i {
                    group.order.get(switch.at..)
                } else {
                    None
                };
                rows = rows.or_else(|| {
                    part.map(|part| {
                        RowSet::of(
                            part.iter()
                                .filter_map(|k| group.evidence.rows.get(*k))
                                .map(|r| case.number(*r as usize)),
                        )
                    })
                });
            }
        }
        if sum >= LISTED {
            let posterior = (sum * 1e6).round() / 1e6;
            list.push(LadderPosterior {
                id: table.id.clone(),
                posterior,
                rows,
            });
        }
    }
    list.sort_by(|a, b| b.posterior.total_cmp(&a.posterior));
    list
}

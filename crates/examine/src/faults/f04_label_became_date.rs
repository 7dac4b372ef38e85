//! Fault 4: a label that a spreadsheet turned into a date (`5-4`, `12/3`), a month name or a day count.
//! Detection: date cells, date text and day counts in a label column; both orders are tried on the ladder.

use super::code::Code;
use super::finding::Draft;
use super::ladder_phase::header;
use super::state::{Place, State};
use crate::cell::{Label, LabelReading};
use crate::diagnose::{RowFault, diagnose};
use crate::forensics::Observed;
use crate::header::Field;
use crate::rules::Rule;

pub(super) fn run(state: &mut State<'_>) {
    for row in 0..state.case.rows() {
        if let LabelReading::Date { day, month } = *state.case.label(row) {
            one(state, row, day, month);
        }
    }
}

fn one(state: &mut State<'_>, row: usize, day: u8, month: u8) {
    let case = state.case;
    let column = header(state, Field::Label);
    let candidates: Vec<Label> = if day == month {
        vec![Label::of(u16::from(day), u16::from(month))]
    } else {
        vec![
            Label::of(u16::from(day), u16::from(month)),
            Label::of(u16::from(month), u16::from(day)),
        ]
    };
    let ladder = case.declared_table(row).or_else(|| {
        let group = state.groups.iter().find(|g| g.test == case.test(row));
        let group = group.or_else(|| state.groups.first())?;
        group
            .conclusion
            .table
            .or(match group.conclusion.compatible.as_slice() {
                [only] => Some(*only),
                _ => None,
            })
    });
    let seen = case.observed(row);
    let mut agreeing: Vec<(String, usize)> = Vec::new();
    let mut present: Vec<String> = Vec::new();
    if let Some(table) = ladder.and_then(|l| case.table(l)) {
        for label in &candidates {
            let Some(bout) = table.by_label(&label.text) else {
                continue;
            };
            present.push(label.text.clone());
            let with = Observed {
                label: Some(label),
                ..seen.clone()
            };
            if seen.columns() > 0 && diagnose(table, &with) == RowFault::Fine(Some(bout)) {
                agreeing.push((label.text.clone(), bout));
            }
        }
    }
    if let ([(text, bout)], Some(table), true) = (
        agreeing.as_slice(),
        ladder,
        state.allows(Rule::LabelFromDate),
    ) {
        let before = case.written_label(row);
        state.set_place(
            row,
            Place {
                table,
                bouts: *bout as u32 + 1,
            },
        );
        state.correct(
            row,
            column,
            before,
            format!("`{text}`"),
            Rule::LabelFromDate,
        );
        return;
    }
    let all: Vec<String> = candidates.iter().map(|c| format!("`{}`", c.text)).collect();
    let suggestion = match (agreeing.as_slice(), present.as_slice()) {
        ([(text, _)], _) => format!("`{text}`, which agrees with the rest of the row"),
        (_, [only]) => format!(
            "`{only}`, the only one of {} on the ladder",
            all.join(" and ")
        ),
        _ => format!("look at the original sheet: {}", all.join(" or ")),
    };
    let probability = match (agreeing.len(), present.len()) {
        (1, _) => Some(0.95),
        (_, 1) => Some(0.9),
        _ => None,
    };
    state.report(Draft {
        code: Code::LabelBecameDate,
        rows: vec![row],
        column,
        what: "a date stands where a label should".to_owned(),
        found: case.written_label(row),
        allowed: "a label such as `14.3`, stored as text".to_owned(),
        suggestion: format!("{suggestion}; format the column as text before typing"),
        probability,
    });
}

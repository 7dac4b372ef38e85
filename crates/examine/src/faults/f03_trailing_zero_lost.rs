//! Fault 3: `14.10` read as `14.1`, nine bouts away. A spreadsheet number cannot keep the zero.
//! Detection: by the distance of the row; by cells that hold numbers; by the absence of any `.10`.

use super::code::Code;
use super::finding::Draft;
use super::ladder_phase::{Diagnosed, chance, header, ladders_of};
use super::state::{Place, State};
use crate::cell::LabelReading;
use crate::header::Field;
use crate::rules::Rule;
use crate::rungs::metres;
use crate::stats::tail_at_least;

/// Chance, under honest writing, below which the absence of every `.10` counts as a loss: one false
/// alarm in a thousand sheets.
const RARE: f64 = 1e-3;

/// One row whose distance shows that the zero was lost.
pub(super) fn row(state: &mut State<'_>, d: &Diagnosed, bout: usize) {
    let case = state.case;
    let Some(rung) = case.table(d.table).and_then(|t| t.rung(bout)).cloned() else {
        return;
    };
    let column = header(state, Field::Label);
    if state.allows(Rule::TrailingZeroFromDistance) {
        let before = case.written_label(d.row);
        let after = format!("`{}`", rung.label);
        state.correct(d.row, column, before, after, Rule::TrailingZeroFromDistance);
        state.set_place(
            d.row,
            Place {
                table: d.table,
                bouts: bout as u32 + 1,
            },
        );
        return;
    }
    let draft = Draft {
        code: Code::TrailingZeroLost,
        rows: vec![d.row],
        column,
        what: "the label has lost the zero at its end".to_owned(),
        found: case.written_label(d.row),
        allowed: format!(
            "`{}`, which the rest of the row says ({} m)",
            rung.label,
            metres(rung.distance_m)
        ),
        suggestion: format!("`{}`; format the column as text before typing", rung.label),
        probability: chance(state, d.row, d.table, bout),
    };
    state.report(draft);
}

/// Labels alone: number cells that may have lost a zero, or a column without any `.10`.
pub(super) fn run(state: &mut State<'_>) {
    let case = state.case;
    // Rows whose other columns already settle the label are left alone.
    let alone: Vec<usize> = (0..case.rows())
        .filter(|row| !state.is_claimed(*row) && !state.is_absent(*row))
        .filter(|row| case.observed(*row).columns() == 1)
        .filter(|row| matches!(case.label(*row), LabelReading::Label(_)))
        .collect();
    let (numbers, texts): (Vec<usize>, Vec<usize>) = alone
        .into_iter()
        .partition(|row| matches!(case.label(*row), LabelReading::Label(l) if l.from_number));
    for row in numbers {
        number_cell(state, row);
    }
    missing_tens(state, &texts);
}

/// The label with its zero, when every ladder that the row may be on has both.
fn twin(state: &State<'_>, row: usize) -> Option<(String, String)> {
    let LabelReading::Label(label) = state.case.label(row) else {
        return None;
    };
    let zero = label.with_zero()?;
    let ladders = ladders_of(state, row);
    let first = state.case.table(*ladders.first()?)?;
    let all = ladders
        .iter()
        .filter_map(|l| state.case.table(*l))
        .all(|t| t.by_label(&label.text).is_some() && t.by_label(&zero).is_some());
    all.then(|| (first.id.clone(), zero))
}

fn number_cell(state: &mut State<'_>, row: usize) {
    let Some((id, zero)) = twin(state, row) else {
        return;
    };
    let found = state.case.written_label(row);
    let column = header(state, Field::Label);
    state.report(Draft {
        code: Code::TrailingZeroLost,
        rows: vec![row],
        column,
        what: format!(
            "the cell holds a number, which cannot keep a zero at its end; `{id}` has both labels"
        ),
        found: format!("the number {found}"),
        allowed: "a label stored as text".to_owned(),
        suggestion: format!(
            "look at the original sheet: {found} or `{zero}`; format the column as text"
        ),
        probability: None,
    });
}

/// A text column in which no label ends in `.10` although stages have ten bouts or more.
fn missing_tens(state: &mut State<'_>, rows: &[usize]) {
    let case = state.case;
    let mut chances: Vec<f64> = Vec::new();
    let mut suspects: Vec<usize> = Vec::new();
    for row in rows {
        let LabelReading::Label(label) = case.label(*row) else {
            continue;
        };
        if label.bout == Some(10) || label.bout == Some(20) {
            // One zero that survived: the column kept its zeros.
            return;
        }
        // The shortest and the longest stage the label may lie in, over the ladders it may be on.
        let lengths: Vec<usize> = ladders_of(state, *row)
            .iter()
            .filter_map(|l| case.table(*l))
            .map(|t| {
                t.by_label(&label.text)
                    .map_or(0, |b| t.stage_range(b).len())
            })
            .collect();
        let (Some(shortest), Some(longest)) = (lengths.iter().min(), lengths.iter().max()) else {
            continue;
        };
        if *shortest < 10 {
            continue;
        }
        // Any bout of the stage is as likely as another, so one in so many ends in `.10`.
        chances.push(1.0 / *longest as f64);
        if twin(state, *row).is_some() {
            suspects.push(*row);
        }
    }
    let none: f64 = 1.0 - tail_at_least(&chances, 1);
    if none >= RARE || suspects.is_empty() {
        return;
    }
    // A lost zero also shows as too many `.1`: twice the expected number at least.
    let expected: f64 = chances.iter().sum();
    if (suspects.len() as f64) < 1.5 * expected {
        return;
    }
    let n = chances.len();
    let Some(first) = suspects.first().copied() else {
        return;
    };
    let share = 1.0 - expected / suspects.len() as f64;
    let found = case.written_label(first);
    let column = header(state, Field::Label);
    state.report(Draft {
        code: Code::TrailingZeroLost,
        rows: suspects,
        column,
        what: format!(
            "no label ends in `.10`, although {n} rows lie in stages of ten bouts or more (chance {none:.1e})"
        ),
        found,
        allowed: "labels stored as text, some of them ending in `.10`".to_owned(),
        suggestion: "compare these rows with the original sheet; some are `.10`".to_owned(),
        probability: Some(share.clamp(0.0, 1.0)),
    });
}
